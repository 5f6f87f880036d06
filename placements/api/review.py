"""Findings, decisions, proposals, comments, notices, house rules, surveys."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, views
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from placements import access
from placements.engine.rulebook import catalogue
from placements.models import Comment, Decision, HouseRule, Notice, ProposalRun, ReviewFinding
from placements.scenes import survey_of
from placements.selectors.decisions import with_verdicts
from placements.services import comments, house_rules, notices, proposals, review, surveys
from placements.survey import SurveyError, read_survey, schema, write_survey
from studio.api.serializers import ProjectSerializer
from studio.api.views import Scoped
from studio.errors import Invalid
from studio.models import Project

from . import shapes
from .plans import read


class FindingViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """What the engine found when a plan was sent, with what was said and decided of it."""

    rows = ReviewFinding.objects.select_related("revision__plan__project__client__studio").prefetch_related("artworks")
    serializer_class = shapes.FindingShape
    filterset_fields = {
        "revision": ["exact"],
        "revision__state": ["exact"],
        "revision__plan__project": ["exact"],
        "wall": ["exact"],
        "rule": ["exact"],
        "level": ["exact", "in"],
        "corrected_at": ["isnull"],
    }
    ordering_fields = ("created_at", "rule")

    def get_queryset(self) -> QuerySet[Any]:
        return with_verdicts(super().get_queryset()).order_by("revision", "wall", "rule", "pk")

    @extend_schema(request=shapes.DecideShape, responses={201: shapes.DecisionShape})
    @action(detail=True, methods=["post"])
    def decide(self, request: Request, pk: str) -> Response:
        """Accept, accept for the whole project, or return."""
        finding = self.get_object()
        given = read(shapes.DecideShape, request, self)
        decision = review.finding_decide(by=request.user, finding=finding, **given)
        return Response(shapes.DecisionShape(decision).data, status=201)

    @extend_schema(request=shapes.ChangeRuleShape, responses={201: shapes.HouseRuleShape})
    @action(detail=True, methods=["post"], url_path="house-rule")
    def house_rule(self, request: Request, pk: str) -> Response:
        """Answer it by changing the number behind it."""
        finding = self.get_object()
        given = read(shapes.ChangeRuleShape, request, self)
        row = review.finding_change_rule(by=request.user, finding=finding, **given)
        return Response(shapes.HouseRuleShape(row, context=self.get_serializer_context()).data, status=201)


class DecisionViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    rows = Decision.objects.order_by("-created_at", "-pk")
    serializer_class = shapes.DecisionShape
    filterset_fields = ("finding", "finding__revision", "verdict", "by")

    @extend_schema(request=None, responses=shapes.DecisionShape)
    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, pk: str) -> Response:
        """Take a decision back: its finding is undecided again."""
        taken = review.decision_withdraw(by=request.user, decision=self.get_object())
        return Response(shapes.DecisionShape(taken).data)


class ProposalViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """Proposals of the engine: asked for, watched, cancelled, accepted whole or wall by wall."""

    rows = ProposalRun.objects.select_related("project__client__studio").order_by("-created_at", "-pk")
    serializer_class = shapes.ProposalShape
    filterset_fields = ("project", "state")

    @extend_schema(request=shapes.ProposalAskShape, responses={202: shapes.ProposalShape})
    def create(self, request: Request) -> Response:
        """Ask for a proposal; one that is under way is given back instead of a second."""
        given = read(shapes.ProposalAskShape, request, self)
        run = proposals.proposal_request(by=request.user, **given)
        return Response(shapes.ProposalShape(run).data, status=202)

    @extend_schema(request=None, responses=shapes.ProposalShape)
    @action(detail=True, methods=["post"])
    def cancel(self, request: Request, pk: str) -> Response:
        run = proposals.proposal_cancel(by=request.user, run=self.get_object())
        return Response(shapes.ProposalShape(run).data)

    @extend_schema(request=shapes.AcceptShape, responses=shapes.AcceptedShape)
    @action(detail=True, methods=["post"])
    def accept(self, request: Request, pk: str) -> Response:
        """Hang what it proposes; walls that were edited since are left alone and named."""
        run = self.get_object()
        given = read(shapes.AcceptShape, request, self)
        accepted = proposals.proposal_accept(by=request.user, run=run, **given)
        return Response(shapes.AcceptedShape(accepted).data)


class CommentViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    rows = Comment.objects.prefetch_related("mentions").order_by("-created_at", "-pk")
    serializer_class = shapes.CommentShape
    filterset_fields = ("project", "wall", "artwork", "author")

    def create(self, request: Request) -> Response:
        """Say something; people named after an @ find it in their inbox."""
        comment = comments.comment_write(by=request.user, **read(shapes.CommentShape, request, self))
        return Response(shapes.CommentShape(comment, context=self.get_serializer_context()).data, status=201)


class NoticeViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """The caller's own inbox."""

    rows = Notice.objects.select_related("studio").order_by("-created_at", "-pk")
    serializer_class = shapes.NoticeShape
    filterset_fields = {"read_at": ["isnull"], "studio": ["exact"]}

    def get_queryset(self) -> QuerySet[Any]:
        return super().get_queryset().filter(user=self.request.user.pk)

    @extend_schema(request=None, responses=shapes.NoticeShape)
    @action(detail=True, methods=["post"])
    def read(self, request: Request, pk: str) -> Response:
        """Mark it as read."""
        notice = self.get_object()
        notices.notices_read(user=request.user, notices=[notice.pk])
        notice.refresh_from_db()
        return Response(shapes.NoticeShape(notice).data)


class HouseRuleViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """The studio's own numbers; what is not here has its default in `rules`."""

    rows = HouseRule.objects.select_related("studio", "project__client").order_by("rule", "limit", "pk")
    serializer_class = shapes.HouseRuleShape
    filterset_fields = ("studio", "project", "rule")

    def create(self, request: Request) -> Response:
        """Give a limit a value of the studio's or a project's own; an earlier one is replaced."""
        given = read(shapes.HouseRuleShape, request, self)
        row = house_rules.house_rule_set(by=request.user, **given)
        return Response(shapes.HouseRuleShape(row, context=self.get_serializer_context()).data, status=201)

    def destroy(self, request: Request, pk: str | None = None) -> Response:
        """Go back to the default, or in a project to the studio's number."""
        row = self.get_object()
        house_rules.house_rule_reset(
            by=request.user, studio=row.studio, project=row.project, rule=row.rule, limit=row.limit
        )
        return Response(status=204)

    @extend_schema(request=shapes.HouseRuleShape, responses=shapes.EffectShape(many=True))
    @action(detail=False, methods=["post"], pagination_class=None, filter_backends=[])
    def preview(self, request: Request) -> Response:
        """What a value would do to the plans that are open now; nothing is stored."""
        given = read(shapes.HouseRuleShape, request, self)
        access.require(by=request.user, studio=given["studio"], roles=access.EVERYONE, to="see house rules")
        changes = {(given["rule"], given["limit"]): given["value"]}
        effects = house_rules.house_rules_preview(studio=given["studio"], changes=changes, project=given.get("project"))
        return Response(
            [
                {
                    "revision": effect.revision.pk,
                    "before": len(effect.before),
                    "after": len(effect.after),
                    "new": list(effect.texts),
                }
                for effect in effects
            ]
        )


class RulesView(views.APIView):
    @extend_schema(responses=shapes.RuleShape(many=True))
    def get(self, request: Request) -> Response:
        """Every rule with its limits, their defaults, ranges and sources."""
        return Response(shapes.RuleShape(catalogue(), many=True).data)


class SurveySchemaView(views.APIView):
    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request) -> Response:
        """The JSON Schema of the survey file."""
        return Response(schema())


class SurveysView(views.APIView):
    @extend_schema(request=shapes.SurveyShape, responses={201: ProjectSerializer})
    def post(self, request: Request) -> Response:
        """Store a survey file as a new project, whole or not at all; every fault in it is named."""
        given = shapes.SurveyShape(data=request.data, context={"request": request})
        given.is_valid(raise_exception=True)
        studio = given.validated_data["studio"]
        access.require(by=request.user, studio=studio, roles=access.DESIGN, to="load a survey")
        try:
            survey = read_survey(given.validated_data["survey"])
        except SurveyError as error:
            raise Invalid(
                f"The survey has {len(error.faults)} faults; nothing was saved.",
                faults=[{"where": fault.path, "detail": fault.detail} for fault in error.faults],
            ) from error
        project = surveys.survey_load(survey=survey, studio=studio, by=request.user)
        return Response(ProjectSerializer(project, context={"request": request}).data, status=201)


class ProjectSurveyView(views.APIView):
    @extend_schema(responses={(200, "application/json"): OpenApiTypes.OBJECT})
    def get(self, request: Request, pk: int) -> Response:
        """A project as its survey file."""
        project = access.get(request.user, Project.objects.select_related("client__studio"), pk)
        return Response(write_survey(survey_of(project)))
