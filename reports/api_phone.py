"""The hanger's phone talks to these: the job, its pictures, its actions. A link opens them, nobody's account."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import Http404, HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from studio.api.fields import Moment, WholeNumber
from studio.api.parsers import PlainJson
from studio.metrics import PHONE_REFUSED

from .access import HasLink, HasOpenLink, LinkAuthentication, LinkThrottle
from .models import ActionKind
from .pictures import small_jpeg
from .selectors import job_for_phone, placement_picture
from .services.actions import action_store


class LinkView(APIView):
    authentication_classes = [LinkAuthentication]
    permission_classes: ClassVar[list[type[HasLink]]] = [HasOpenLink]
    throttle_classes = [LinkThrottle]

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        answer = super().finalize_response(request, response, *args, **kwargs)
        answer["Cache-Control"] = "no-store"
        answer["Referrer-Policy"] = "no-referrer"
        if request.method == "POST" and answer.status_code >= 400:
            PHONE_REFUSED.labels((answer.data or {}).get("code", str(answer.status_code))).inc()
        return answer


class JobView(LinkView):
    @extend_schema(
        responses={200: OpenApiTypes.OBJECT, 304: OpenApiResponse(description="The phone has this version.")},
        operation_id="phone_job",
    )
    def get(self, request: Request) -> Response:
        """The whole job, ready to be kept on the phone. `If-None-Match` with its version answers 304."""
        job = job_for_phone(request.auth.job)
        etag = f'"{job["version"]}"'
        if request.headers.get("If-None-Match") == etag:
            return Response(status=304, headers={"ETag": etag})
        return Response(job, headers={"ETag": etag})


class PictureView(LinkView):
    @extend_schema(responses={(200, "image/jpeg"): OpenApiTypes.BINARY}, operation_id="phone_picture")
    def get(self, request: Request, placement: int) -> HttpResponse:
        """A piece's picture, small."""
        picture = placement_picture(request.auth.job, placement)
        jpeg = small_jpeg(picture) if picture else None
        if jpeg is None:
            raise Http404
        return HttpResponse(jpeg, content_type="image/jpeg")


class ActionSerializer(serializers.Serializer):
    uuid = serializers.UUIDField(help_text="Made on the phone; the same action sent again has the same one.")
    device = serializers.RegexField(r"^[A-Za-z0-9_-]{8,40}$", help_text="Made once by each phone.")
    sequence = WholeNumber(min_value=1, max_value=2_000_000_000, help_text="Counts this phone's actions from 1.")
    kind = serializers.ChoiceField(ActionKind.choices)
    placement = WholeNumber(required=False, allow_null=True, min_value=1)
    payload = serializers.JSONField(required=False)
    done_at = Moment(help_text="By the phone's clock.")
    sent_at = Moment(
        required=False, help_text="By the same clock: the moment of sending, which tells how far it is out."
    )
    photo = serializers.FileField(required=False, allow_null=True)

    def validate_payload(self, value: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise serializers.ValidationError("Expected an object.")
        return value


class OutcomeSerializer(serializers.Serializer):
    sequence = serializers.IntegerField()
    already = serializers.BooleanField(help_text="It was stored before.")
    conflict = serializers.CharField(help_text="What another phone said that does not agree; empty when it agrees.")
    late = serializers.BooleanField(help_text="The job was closed before: kept as a late note.")
    points = serializers.ListField(child=serializers.DictField(), help_text="The hook points for a measured drop.")


class ActionsView(LinkView):
    permission_classes = [HasLink]  # of a closed job, too: its late notes are taken
    parser_classes = [PlainJson, MultiPartParser]  # a photograph comes in a form

    @extend_schema(
        request=ActionSerializer,
        responses={201: OutcomeSerializer, 200: OpenApiResponse(OutcomeSerializer, "It was stored before.")},
        operation_id="phone_action",
    )
    def post(self, request: Request) -> Response:
        """Store one action, once. 409 with `expected` asks for an earlier one first; 422 will never be taken."""
        serializer = ActionSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        given = serializer.validated_data
        photo = given.get("photo")
        outcome = action_store(
            link=request.auth,
            identity=given["uuid"],
            device=given["device"],
            sequence=given["sequence"],
            kind=given["kind"],
            placement_id=given.get("placement"),
            payload=given.get("payload", {}),
            done_at=given["done_at"],
            sent_at=given.get("sent_at"),
            photo=photo.read() if photo else None,
        )
        answer = {
            "sequence": outcome.action.sequence,
            "already": outcome.already,
            "conflict": outcome.action.conflict,
            "late": outcome.action.late,
            "points": list(outcome.points),
        }
        return Response(answer, status=200 if outcome.already else 201)
