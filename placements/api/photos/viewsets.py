"""Photographs that measure: added, watched, marked, levelled, and taken over to what they are for."""

from __future__ import annotations

from typing import Any

from django.db.models.fields.files import FieldFile
from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.decorators import action
from rest_framework.parsers import BaseParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from placements.models import MarkState, Photo, PhotoMark, PhotoPurpose
from placements.photogrammetry.errors import PhotoError
from placements.selectors.photos.measured import Measured, as_hung, measured_marks
from placements.selectors.photos.uses import planned_for
from placements.services.photos import marks, uses
from placements.services.photos import photo as services
from placements.services.photos.client import client_photo_choose
from studio.api.views import Scoped
from studio.errors import Invalid, Missing, WrongState
from studio.reader import units_for
from studio.services.pictures import MAX_BYTES

from ..plans import read
from . import shapes

JPEG = {(200, "image/jpeg"): OpenApiTypes.BINARY}


class PhotoViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """Photographs of walls. One is measured in the background: read it until `state` is ready or failed."""

    rows = Photo.objects.select_related("wall__room__project__client__studio").order_by("-created_at", "-pk")
    serializer_class = shapes.PhotoShape
    filterset_fields = ("wall", "wall__room__project", "purpose", "state", "taken_by")
    ordering_fields = ("created_at", "finished_at")

    def get_parsers(self) -> list[BaseParser]:
        """A photograph comes in a form, all else as JSON."""
        adding = not self.detail and self.request is not None and self.request.method == "POST"
        return [MultiPartParser()] if adding else list(super().get_parsers())

    @extend_schema(request={"multipart/form-data": shapes.PhotoAddShape}, responses={202: shapes.PhotoShape})
    def create(self, request: Request) -> Response:
        """Add a photograph and have it measured. The place and time in its file are removed."""
        given = read(shapes.PhotoAddShape, request, self)
        content = given.pop("picture").read(MAX_BYTES + 1)
        return self._answer(services.photo_add(by=request.user, content=content, **given), status=202)

    def destroy(self, request: Request, pk: str | None = None) -> Response:
        """Delete a photograph, its marks and its files."""
        services.photo_delete(by=request.user, photo=self.get_object())
        return Response(status=204)

    @extend_schema(responses=JPEG)
    @action(detail=True)
    def picture(self, request: Request, pk: str) -> FileResponse:
        """The photograph as stored."""
        return _jpeg(self.get_object().picture)

    @extend_schema(responses=JPEG)
    @action(detail=True)
    def shown(self, request: Request, pk: str) -> FileResponse:
        """The photograph with the planned works set into it, in full size."""
        return _jpeg(self.get_object().shown)

    @extend_schema(request=shapes.ClientChoiceShape, responses=shapes.PhotoShape)
    @action(detail=True, methods=["put"], url_path="client-view")
    def client_view(self, request: Request, pk: str) -> Response:
        """Choose what the client sees of this photograph's wall."""
        photo, choice = self.get_object(), read(shapes.ClientChoiceShape, request, self)["choice"]
        chosen = photo if choice == "this" else choice
        client_photo_choose(by=request.user, wall=photo.wall, choice=chosen)
        return self._answer(self.get_object())

    @extend_schema(request=shapes.LevelShape, responses=shapes.PhotoShape)
    @action(detail=True, methods=["put"])
    def level(self, request: Request, pk: str) -> Response:
        """Say where the wall is: its lower corners in the picture, or the card's place on the wall."""
        photo, given = self.get_object(), read(shapes.LevelShape, request, self)
        by_corners = "left_px" in given
        service = services.photo_level if by_corners else services.photo_level_by_card
        return self._answer(service(by=request.user, photo=photo, **given))

    @extend_schema(request=shapes.ReferenceShape, responses={202: shapes.PhotoShape})
    @action(detail=True, methods=["put"])
    def reference(self, request: Request, pk: str) -> Response:
        """Measure from a rectangle of known size; the photograph is measured again."""
        photo, given = self.get_object(), read(shapes.ReferenceShape, request, self)
        return self._answer(services.photo_reference(by=request.user, photo=photo, **given), status=202)

    @extend_schema(request=shapes.RulerShape, responses={202: shapes.PhotoShape})
    @action(detail=True, methods=["put"])
    def ruler(self, request: Request, pk: str) -> Response:
        """What the card's ruler measures on the print; the photograph is measured again."""
        photo, given = self.get_object(), read(shapes.RulerShape, request, self)
        return self._answer(services.photo_ruler(by=request.user, photo=photo, **given), status=202)

    @extend_schema(request=None, responses=shapes.AcceptedMarksShape)
    @action(detail=True, methods=["post"], url_path="accept-all")
    def accept_all(self, request: Request, pk: str) -> Response:
        """Accept everything that was found and is not in doubt."""
        return Response({"accepted": marks.marks_accept(by=request.user, photo=self.get_object())})

    @extend_schema(responses=shapes.ReadingShape(many=True))
    @action(detail=True, pagination_class=None, filter_backends=[])
    def readings(self, request: Request, pk: str) -> Response:
        """Every mark that was not refused, on the wall, with its stated error."""
        photo = self.get_object()
        found = [measured for measured in self._on_wall(photo) if measured.mark.state != MarkState.REFUSED]
        return Response(shapes.ReadingShape(found, many=True).data)

    @extend_schema(responses=shapes.DifferenceShape(many=True))
    @action(detail=True, pagination_class=None, filter_backends=[])
    def differences(self, request: Request, pk: str) -> Response:
        """Each accepted work against the plan, in the caller's units."""
        photo = self.get_object()
        revision = planned_for(photo)
        if revision is None:
            raise WrongState("There is no plan to hold this photograph against yet.")
        units = units_for(request.user, photo.wall.room.project)
        try:
            found = as_hung(photo, revision, units)
        except PhotoError as refusal:
            raise WrongState(refusal.worded(units)) from refusal
        return Response(shapes.DifferenceShape(found, many=True).data)

    @extend_schema(request=shapes.ApplyShape, responses=shapes.AppliedShape)
    @action(detail=True, methods=["post"])
    def apply(self, request: Request, pk: str) -> Response:
        """Take over what was accepted: items, today's hanging, a floor layout, or works set into the picture."""
        photo, given = self.get_object(), read(shapes.ApplyShape, request, self)
        done: dict[str, Any] = {"items": [], "works": [], "shown": None}
        match photo.purpose:
            case PhotoPurpose.SURVEY:
                items = uses.survey_take(by=request.user, photo=photo, version=given["version"])
                done["items"] = [item.pk for item in items]
            case PhotoPurpose.HUNG:
                done["works"] = [artwork.pk for artwork in uses.hung_take(by=request.user, photo=photo)]
            case PhotoPurpose.FLOOR:
                done["works"] = self._hang_layout(request, photo, given)
            case PhotoPurpose.SHOW:
                uses.show_plan(by=request.user, photo=photo)
                done["shown"] = shapes.PhotoShape(photo, context=self.get_serializer_context()).data["shown"]
            case _:
                raise WrongState("A photograph of what was hung changes nothing: read its differences.")
        return Response(shapes.AppliedShape(done).data)

    def _hang_layout(self, request: Request, photo: Photo, given: dict[str, Any]) -> list[int]:
        missing = [name for name in ("revision", "space") if name not in given]
        if missing:
            raise Invalid(
                "Say in which revision and in which space the layout hangs.",
                faults=[{"where": name, "detail": "is needed"} for name in missing],
            )
        project = photo.wall.room.project
        if given["revision"].plan.project_id != project.pk:
            raise Invalid(
                "This revision is of another project.", faults=[{"where": "revision", "detail": "Another's."}]
            )
        uses.floor_take(by=request.user, photo=photo, words=units_for(request.user, project), **given)
        hung = given["revision"].placements.filter(wall=photo.wall, space=given["space"])
        return list(hung.order_by("order").values_list("artwork_id", flat=True))

    def _on_wall(self, photo: Photo) -> list[Measured]:
        try:
            return measured_marks(photo, accepted=False)
        except PhotoError as refusal:
            raise WrongState(str(refusal)) from refusal

    def _answer(self, photo: Photo, status: int = 200) -> Response:
        photo.refresh_from_db()
        return Response(shapes.PhotoShape(photo, context=self.get_serializer_context()).data, status=status)


class PhotoMarkViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """Rectangles in photographs. What was found waits for a yes; nothing counts before."""

    rows = PhotoMark.objects.select_related("photo__wall__room__project__client__studio").order_by("photo", "pk")
    serializer_class = shapes.MarkShape
    filterset_fields = ("photo", "photo__wall", "kind", "state", "found", "artwork")

    @extend_schema(request=shapes.DrawShape, responses={201: shapes.MarkShape})
    def create(self, request: Request) -> Response:
        """Draw a rectangle; it is measured, and accepted."""
        mark = marks.mark_draw(by=request.user, **read(shapes.DrawShape, request, self))
        return Response(shapes.MarkShape(mark).data, status=201)

    @extend_schema(request=shapes.MarkChangeShape, responses=shapes.MarkShape)
    def partial_update(self, request: Request, pk: str | None = None) -> Response:
        """Correct corners, kind, or size by tape; everything in the photograph is measured anew."""
        mark, given = self.get_object(), read(shapes.MarkChangeShape, request, self)
        return Response(shapes.MarkShape(marks.mark_change(by=request.user, mark=mark, **given)).data)

    @extend_schema(request=shapes.AnswerShape, responses=shapes.MarkShape)
    @action(detail=True, methods=["post"])
    def answer(self, request: Request, pk: str) -> Response:
        """Say yes or no to a mark, and which work it is."""
        mark, given = self.get_object(), read(shapes.AnswerShape, request, self)
        return Response(shapes.MarkShape(marks.mark_answer(by=request.user, mark=mark, **given)).data)


def _jpeg(file: FieldFile) -> FileResponse:
    if not file:
        raise Missing("There is no such picture.")
    file.open("rb")
    response = FileResponse(file, content_type="image/jpeg")
    response["X-Content-Type-Options"] = "nosniff"
    return response
