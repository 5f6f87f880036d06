"""The API of sheets and jobs. Every row is reached through the caller's studios."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from placements.models import Revision
from studio.access import OFFICE, get, visible
from studio.api.fields import PlainText, RowSerializer, WholeNumber
from studio.models import Artwork, Wall

from .files import sheet_file
from .models import Job, JobAction, JobLink, Report, ReportKind
from .services.jobs import job_close, job_issue, link_add, link_revoke
from .services.sheets import PAPERS, report_request, report_retry


class ReportSerializer(RowSerializer[Report]):
    class Meta:
        model = Report
        fields = (
            "id", "revision", "kind", "wall", "artwork", "job", "paper", "state", "progress", "pages", "error",
            "attempts", "file_sha256", "created_at", "finished_at",
        )  # fmt: skip
        read_only_fields = fields


class ReportRequestSerializer(serializers.Serializer):
    revision = WholeNumber(min_value=1)
    kind = serializers.ChoiceField(
        [ReportKind.INSTALL, ReportKind.TEMPLATE, ReportKind.CLOSE_OUT], default=ReportKind.INSTALL
    )
    wall = WholeNumber(min_value=1, required=False, allow_null=True)
    artwork = WholeNumber(min_value=1, required=False, allow_null=True)
    job = WholeNumber(min_value=1, required=False, allow_null=True)
    paper = serializers.ChoiceField(PAPERS, required=False)


class ReportViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet):
    """Sheets: asked for, watched, fetched."""

    serializer_class = ReportSerializer
    queryset = Report.objects.none()
    filterset_fields = ("revision", "kind", "state")
    ordering_fields = ("created_at", "finished_at")

    def get_queryset(self) -> QuerySet[Report]:
        return visible(self.request.user, Report.objects.select_related("revision__plan__project__client__studio"))

    @extend_schema(request=ReportRequestSerializer, responses={202: ReportSerializer})
    def create(self, request: Request) -> Response:
        """Ask for a sheet. Asking again for the same one answers the same row."""
        given = ReportRequestSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        data, user = given.validated_data, request.user
        wall, artwork, job = data.get("wall"), data.get("artwork"), data.get("job")
        report = report_request(
            by=user,
            revision=get(user, Revision.objects.select_related("plan__project__client__studio"), data["revision"]),
            kind=data["kind"],
            wall=get(user, Wall.objects.select_related("room"), wall) if wall else None,
            artwork=get(user, Artwork, artwork) if artwork else None,
            job=get(user, Job, job) if job else None,
            paper=data.get("paper", ""),
        )
        return Response(ReportSerializer(report).data, status=202)

    @extend_schema(request=None, responses={202: ReportSerializer})
    @action(detail=True, methods=["post"])
    def again(self, request: Request, pk: str) -> Response:
        """Draw a failed sheet again, or one whose file was lost."""
        report = report_retry(by=request.user, report=get(request.user, self.get_queryset(), pk))
        return Response(ReportSerializer(report).data, status=202)

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY, 410: None})
    @action(detail=True)
    def file(self, request: Request, pk: str) -> FileResponse:
        """The PDF."""
        return sheet_file(get(request.user, self.get_queryset(), pk))


class LinkSerializer(RowSerializer[JobLink]):
    class Meta:
        model = JobLink
        fields = ("id", "created_at", "expires_at", "revoked_at", "last_used_at", "report")
        read_only_fields = fields


class ActionSerializer(RowSerializer[JobAction]):
    class Meta:
        model = JobAction
        fields = (
            "id",
            "uuid",
            "device",
            "sequence",
            "kind",
            "placement",
            "payload",
            "done_at",
            "created_at",
            "conflict",
        )
        read_only_fields = fields


class JobSerializer(RowSerializer[Job]):
    links = LinkSerializer(many=True, read_only=True)

    class Meta:
        model = Job
        fields = (
            "id", "revision", "hanger_name", "note", "to_studs", "follows", "created_at", "started_at", "finished_at",
            "links",
        )  # fmt: skip
        read_only_fields = fields


class JobIssueSerializer(serializers.Serializer):
    revision = WholeNumber(min_value=1)
    hanger_name = PlainText(max_length=120)
    note = PlainText(required=False, allow_blank=True, max_length=2000)
    days = WholeNumber(required=False, min_value=1, max_value=365)
    to_studs = serializers.BooleanField(required=False, help_text="Hooks may move within tolerance to meet studs.")


class IssuedSerializer(serializers.Serializer):
    job = JobSerializer()
    address = serializers.CharField(help_text="The hanger's link. It is shown here once and cannot be read again.")


class JobViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet):
    """Jobs issued to hangers."""

    serializer_class = JobSerializer
    queryset = Job.objects.none()
    filterset_fields = ("revision",)
    ordering_fields = ("created_at", "finished_at")

    def get_queryset(self) -> QuerySet[Job]:
        jobs = Job.objects.select_related("revision__plan__project__client__studio").prefetch_related("links")
        return visible(self.request.user, jobs)

    def _job(self, pk: str, to: str) -> Job:
        return get(self.request.user, self.get_queryset(), pk, roles=OFFICE, to=to)

    @extend_schema(request=JobIssueSerializer, responses={201: IssuedSerializer})
    def create(self, request: Request) -> Response:
        """Issue a signed revision to a hanger."""
        given = JobIssueSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        data = given.validated_data
        revision = get(
            request.user, Revision.objects.select_related("plan__project__client__studio"), data.pop("revision"),
            roles=OFFICE, to="issue a job to a hanger",
        )  # fmt: skip
        issued = job_issue(by=request.user, revision=revision, **data)
        return Response({"job": JobSerializer(issued.job).data, "address": issued.address}, status=201)

    @extend_schema(request=None, responses={201: IssuedSerializer})
    @action(detail=True, methods=["post"], url_path="links")
    def link(self, request: Request, pk: str) -> Response:
        """Another link to the same job."""
        issued = link_add(by=request.user, job=self._job(pk, "make a link to a job"))
        return Response({"job": JobSerializer(issued.job).data, "address": issued.address}, status=201)

    @extend_schema(request=None, responses={204: None})
    @action(detail=True, methods=["post"], url_path=r"links/(?P<link>[0-9]+)/revoke")
    def revoke(self, request: Request, pk: str, link: str) -> Response:
        """Withdraw a link."""
        job = self._job(pk, "withdraw a link")
        link_revoke(by=request.user, link=get(request.user, job.links.all(), link))
        return Response(status=204)

    @extend_schema(request=None, responses={202: ReportSerializer})
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """Close a finished job; its record is drawn."""
        return Response(ReportSerializer(job_close(by=request.user, job=self._job(pk, "close a job"))).data, status=202)

    @extend_schema(responses=ActionSerializer(many=True), filters=False)
    @action(detail=True)
    def actions(self, request: Request, pk: str) -> Response:
        """What the hanger did, in the order in which it was stored."""
        job = get(request.user, self.get_queryset(), pk)
        page = self.paginate_queryset(job.actions.order_by("created_at", "pk"))
        return self.get_paginated_response(ActionSerializer(page, many=True).data)
