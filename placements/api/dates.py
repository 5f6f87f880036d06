"""Due dates, and deputies who decide and sign in a principal's place."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from placements.models import DateKind, Delegation, DueDate
from placements.selectors.dates import Due, as_due, today_of
from placements.services import dates, delegations
from studio.api.fields import Day, Millimetres, Mine, Number, PlainText, RowSerializer
from studio.api.views import Scoped
from studio.models import Membership, Project
from studio.weighty import weighty

from .plans import read


class DueDateShape(RowSerializer[DueDate]):
    class Meta:
        model = DueDate
        fields = ("id", "project", "kind", "day", "times_changed", "ticked_at", "updated_at")
        read_only_fields = fields


class DueShape(serializers.Serializer[Due]):
    """A due date as it stands today, by the caller's own clock."""

    date = DueDateShape()
    met = serializers.DateTimeField(allow_null=True, help_text="When it was, by a plan's step or by hand.")
    late = serializers.IntegerField(help_text="Days that it is overdue.")
    whose = serializers.CharField(help_text="Who is to meet it.")


class DueSetShape(serializers.Serializer[Any]):
    project = Mine(queryset=Project.objects.select_related("client__studio"))
    kind = serializers.ChoiceField(choices=DateKind.choices)
    day = Day()


class TickShape(serializers.Serializer[Any]):
    met = serializers.BooleanField(default=True)


class DueDateViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """The days that parts of projects are due on, at most one of a kind for a project."""

    rows = DueDate.objects.select_related("project__client__studio", "project__designer").order_by("day", "pk")
    serializer_class = DueDateShape
    filterset_fields = {
        "project": ["exact"],
        "kind": ["exact"],
        "day": ["gte", "lte"],
        "project__designer": ["exact"],
        "project__client": ["exact"],
    }

    @extend_schema(request=DueSetShape, responses={201: DueDateShape})
    def create(self, request: Request) -> Response:
        """Set a date; the project's earlier one of the kind moves there."""
        given = read(DueSetShape, request, self)
        kind = given["kind"]
        rows = dates.dates_set(by=request.user, project=given["project"], days={kind: given["day"]})
        return Response(DueDateShape(next(row for row in rows if row.kind == kind)).data, status=201)

    def destroy(self, request: Request, pk: str | None = None) -> Response:
        """Take the date away."""
        due = self.get_object()
        dates.dates_set(by=request.user, project=due.project, days={due.kind: None})
        return Response(status=204)

    @extend_schema(responses=DueShape)
    @action(detail=True)
    def standing(self, request: Request, pk: str) -> Response:
        """Whether it is met, how late it is, and whom it waits for."""
        [due] = as_due([self.get_object()], today_of(request.user))
        return Response(DueShape(due).data)

    @extend_schema(request=TickShape, responses=DueDateShape)
    @action(detail=True, methods=["post"])
    def tick(self, request: Request, pk: str) -> Response:
        """Say by hand that it is met, or that it is not after all."""
        due = dates.date_tick(by=request.user, due=self.get_object(), **read(TickShape, request, self))
        return Response(DueDateShape(due).data)


class DelegationShape(RowSerializer[Delegation]):
    class Meta:
        model = Delegation
        fields = (
            *("id", "studio", "principal", "deputy", "project", "rules", "most_mm", "most_share", "may_sign"),
            *("first_day", "last_day", "ended_at", "created_at"),
        )
        read_only_fields = fields


class DelegateShape(serializers.Serializer[Any]):
    membership = Mine(
        queryset=Membership.objects.select_related("studio", "user"),
        help_text="The deputy’s in the studio.",
    )
    project = Mine(
        queryset=Project.objects.select_related("client__studio"), required=False, allow_null=True, default=None
    )
    rules = serializers.ListField(
        child=PlainText(max_length=60), max_length=60, default=list, help_text="Ids of rules; empty for all."
    )
    most_mm = Millimetres(zero=True, required=False, allow_null=True, default=None, help_text="Null: any distance.")
    most_share = Number(min_value=0, max_value=1, allow_null=True, default=None, help_text="Null: any share.")
    may_sign = serializers.BooleanField(default=False)
    first_day = Day()
    last_day = Day(help_text="Included.")


class DelegationViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """Who decides in a principal's place: from when to when, for what, how far."""

    rows = Delegation.objects.select_related("studio", "principal", "deputy", "project").order_by("-first_day", "-pk")
    serializer_class = DelegationShape
    filterset_fields = {"studio": ["exact"], "deputy": ["exact"], "project": ["exact"], "ended_at": ["isnull"]}

    @extend_schema(request=DelegateShape, responses={201: DelegationShape})
    @weighty
    def create(self, request: Request) -> Response:
        """Name a deputy."""
        given = read(DelegateShape, request, self)
        member = given.pop("membership")
        made = delegations.delegation_make(by=request.user, studio=member.studio, deputy=member.user, **given)
        return Response(DelegationShape(made).data, status=201)

    @extend_schema(request=None, responses=DelegationShape)
    @action(detail=True, methods=["post"])
    def end(self, request: Request, pk: str) -> Response:
        """End it now; what was decided by it stays decided."""
        return Response(DelegationShape(delegations.delegation_end(by=request.user, delegation=self.get_object())).data)
