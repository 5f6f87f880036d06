"""Revisions and what hangs in them."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import mixins
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from placements import access
from placements.differences import difference
from placements.engine.results import Assessment
from placements.models import Placement, Plan, Revision, SignOff, Transition
from placements.scenes import ProjectScene
from placements.selectors.remedies import offers
from placements.selectors.walls import WallInHand, assess, wall_in_hand
from placements.services import lifecycle, moves, plans, remedies, review, signoff
from placements.services.groups import group_hang
from placements.services.walls import Edit
from placements.snapshots import signed
from studio.api.views import Scoped
from studio.errors import Invalid, WrongState
from studio.models import Wall
from studio.reader import units_of
from studio.weighty import weighty

from . import shapes

WALL = r"walls/(?P<wall>[0-9]{1,18})"


def read(shape: type[Any], request: Request, view: Any, **options: Any) -> dict[str, Any]:
    """The request's body as `shape` takes it."""
    given = shape(data=request.data, context=view.get_serializer_context(), **options)
    given.is_valid(raise_exception=True)
    return dict(given.validated_data)


def edit_of(request: Request, given: dict[str, Any]) -> Edit:
    """Who edits and from which version; takes both out of what was given."""
    return Edit(request.user, given.pop("version"), given.pop("take_back", False))


class PlanViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    rows = Plan.objects.order_by("pk")
    serializer_class = shapes.PlanShape
    filterset_fields = ("project",)


class RevisionViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """A plan's revisions: opened, edited wall by wall, sent, signed, stepped through to closed."""

    rows = Revision.objects.select_related("plan__project__client__studio").order_by("plan", "-number")
    serializer_class = shapes.RevisionShape
    filterset_fields = ("plan", "plan__project", "state", "number")
    ordering_fields = ("number", "updated_at")

    @extend_schema(request=shapes.RevisionOpenShape, responses={201: shapes.RevisionShape})
    def create(self, request: Request) -> Response:
        """The project's open revision, or a new draft that starts from the newest."""
        given = read(shapes.RevisionOpenShape, request, self)
        revision = plans.revision_open(by=request.user, project=given["project"])
        return Response(shapes.RevisionShape(revision).data, status=201)

    @extend_schema(methods=["GET"], responses=shapes.WallStateShape)
    @extend_schema(methods=["PUT"], request=shapes.ArrangementShape, responses=shapes.WallStateShape)
    @action(detail=True, methods=["get", "put"], url_path=WALL)
    def wall(self, request: Request, pk: str, wall: str) -> Response:
        """One wall as it hangs; put the whole arrangement to change it. A stale version answers 409 with the newer."""
        hand = self._hand(pk, wall)
        if request.method == "PUT":
            given = read(shapes.ArrangementShape, request, self)
            moves.arrangement_replace(
                edit=edit_of(request, given),
                hand=hand,
                pieces=moves.pieces_read(project=hand.project, data=given["pieces"]),
                bares=[(bare["space"], bare["reason"]) for bare in given["bares"]],
            )
        return Response(hand.as_data())

    @extend_schema(methods=["GET"], responses=shapes.AssessmentShape)
    @extend_schema(methods=["POST"], request=shapes.TryShape, responses=shapes.AssessmentShape)
    @action(detail=True, methods=["get", "post"], url_path=f"{WALL}/assessment")
    def assessment(self, request: Request, pk: str, wall: str) -> Response:
        """The wall's free spaces and what every rule says of what hangs there; post pieces to try them."""
        hand, pieces = self._hand(pk, wall), None
        if request.method == "POST":
            given = read(shapes.TryShape, request, self)
            pieces = moves.pieces_read(project=hand.project, data=given["pieces"])
        scene, found = assess(hand, units_of(hand.project), pieces=pieces)
        return Response(shapes.AssessmentShape(assessment_data(found, scene)).data)

    @extend_schema(methods=["GET"], responses=shapes.OfferedRemedyShape(many=True))
    @extend_schema(methods=["POST"], request=shapes.RemedyShape, responses=shapes.WallStateShape)
    @action(
        detail=True, methods=["get", "post"], url_path=f"{WALL}/remedies", pagination_class=None, filter_backends=[]
    )
    def remedies(self, request: Request, pk: str, wall: str) -> Response:
        """The remedies for the wall's findings; post one as it was offered to carry it out."""
        hand = self._hand(pk, wall, whole=True)
        words = units_of(hand.project)
        if request.method == "POST":
            given = read(shapes.RemedyShape, request, self)
            remedies.remedy_apply(
                edit=edit_of(request, given), hand=hand, offered=given.pop("id"), words=words, **given
            )
            return Response(hand.as_data())
        _, found = assess(hand, words, remedies=True)
        return Response(
            [
                {
                    "id": offer.id,
                    "space": offer.arrangement.space,
                    "text": offer.text,
                    "kind": offer.remedy.kind,
                    "gain": offer.remedy.gain,
                    "moves_to": offer.remedy.moves_to,
                }
                for offer in offers(found)
            ]
        )

    @extend_schema(request=shapes.GroupShape, responses=shapes.WallStateShape)
    @action(detail=True, methods=["post"], url_path=f"{WALL}/group")
    def group(self, request: Request, pk: str, wall: str) -> Response:
        """Hang pieces as one group in a space; what hangs there comes down, the wall's other pieces stay."""
        hand = self._hand(pk, wall, whole=True)
        given = read(shapes.GroupShape, request, self)
        pieces = [[piece["artwork"], piece["left_mm"], piece["bottom_mm"]] for piece in given.pop("pieces")]
        state = {"pieces": pieces, "locked": [], "form": given.pop("form")}
        group_hang(edit=edit_of(request, given), hand=hand, state=state, words=units_of(hand.project), **given)
        return Response(hand.as_data())

    @extend_schema(methods=["POST"], request=shapes.LeaveBareShape, responses=shapes.WallStateShape)
    @extend_schema(
        methods=["DELETE"],
        parameters=[
            OpenApiParameter("space", str),
            OpenApiParameter("version", int, description=shapes.VERSION_HELP),
        ],
        responses=shapes.WallStateShape,
    )
    @action(detail=True, methods=["post", "delete"], url_path=f"{WALL}/bare")
    def bare(self, request: Request, pk: str, wall: str) -> Response:
        """Leave a space, or with no space the whole wall, bare on purpose; delete lets it be hung again."""
        hand = self._hand(pk, wall)
        if request.method == "POST":
            given = read(shapes.LeaveBareShape, request, self)
            moves.wall_leave_bare(edit=edit_of(request, given), hand=hand, **given)
        else:
            moves.wall_unbare(
                edit=Edit(request.user, _version(request)), hand=hand, space=request.query_params.get("space", "")
            )
        return Response(hand.as_data())

    @extend_schema(responses=shapes.QuestionShape(many=True))
    @action(detail=True, pagination_class=None, filter_backends=[])
    def questions(self, request: Request, pk: str) -> Response:
        """The exceptions and stops of the plan as it is now, each with the reason given before."""
        asked = review.review_questions(revision=self.get_object())
        return Response(
            [
                {
                    "key": question.found.key,
                    "wall": question.found.wall,
                    "rule": question.found.finding.rule,
                    "level": question.found.finding.level,
                    "text": question.found.finding.text,
                    "justification": question.justification,
                    "must_answer": question.must_answer,
                }
                for question in asked
            ]
        )

    @extend_schema(request=shapes.SendShape, responses=shapes.RevisionShape)
    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: str) -> Response:
        """Send a draft to the principal."""
        revision = self.get_object()
        given = read(shapes.SendShape, request, self)
        sent = review.review_submit(by=request.user, revision=revision, **given)
        return Response(shapes.RevisionShape(sent).data)

    @extend_schema(request=shapes.StepShape, responses=shapes.RevisionShape)
    @action(detail=True, methods=["post"])
    def step(self, request: Request, pk: str) -> Response:
        """Take back, send back, recall, hung, rehang, close, reopen."""
        revision = self.get_object()
        given = read(shapes.StepShape, request, self)
        name, note = given["step"], given["note"]
        if name == "send_back":
            stepped = review.review_send_back(by=request.user, revision=revision, note=note)
        elif name == "take_back":
            stepped = review.review_take_back(by=request.user, revision=revision, note=note)
        else:
            stepped = lifecycle.revision_step(by=request.user, revision=revision, name=name, note=note)
        return Response(shapes.RevisionShape(stepped).data)

    @extend_schema(request=shapes.SignShape, responses={201: shapes.SignOffShape})
    @action(detail=True, methods=["post"], url_path="sign-off")
    @weighty
    def sign_off(self, request: Request, pk: str) -> Response:
        """Sign a decided plan and freeze it."""
        revision = self.get_object()
        given = read(shapes.SignShape, request, self)
        signature = signoff.sign_off(by=request.user, revision=revision, **given)
        return Response(shapes.SignOffShape(signature).data, status=201)

    @extend_schema(responses={(200, "application/json"): OpenApiTypes.OBJECT})
    @action(detail=True)
    def record(self, request: Request, pk: str) -> HttpResponse:
        """The signed record, byte for byte as it was hashed, after it was verified."""
        revision = self.get_object()
        if not revision.is_frozen:
            raise WrongState("This revision is not signed: there is no record yet.")
        signed(revision)
        return HttpResponse(revision.snapshot.encode(), content_type="application/json")

    @extend_schema(
        parameters=[OpenApiParameter("from", int, description="Number of the revision to compare with.")],
        responses=OpenApiTypes.OBJECT,
    )
    @action(detail=True, filter_backends=[])
    def difference(self, request: Request, pk: str) -> Response:
        """What this revision changes against another of its plan, wall by wall."""
        new = self.get_object()
        asked = request.query_params.get("from", "")
        others = new.plan.revisions.exclude(pk=new.pk)
        if asked and not asked.isdecimal():
            raise Invalid(f"“{asked}” is no revision's number.")
        old = others.filter(number=asked).first() if asked else new.based_on
        if old is None:
            raise WrongState("There is no other revision of this plan to compare this one with.")
        found = difference(old, new)
        return Response({"from": old.number, "to": new.number, "same": found.same, "walls": found.as_data()})

    def _hand(self, pk: str, wall: str, *, whole: bool = False) -> WallInHand:
        revision = access.get(self.request.user, self.rows.all(), pk)
        return wall_in_hand(revision.plan.project, int(wall), revision, whole=whole)


class PlacementViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """Pieces at their places. Every write names the version of the wall that the caller saw."""

    rows = Placement.objects.select_related(
        "wall__room", "artwork", "revision__plan__project__client__studio"
    ).order_by("revision", "wall", "order")
    serializer_class = shapes.PlacementShape
    filterset_fields = ("revision", "wall", "artwork", "locked")

    @extend_schema(request=shapes.PlaceShape, responses={201: shapes.PlacementShape})
    def create(self, request: Request) -> Response:
        """Hang a work; one that hangs elsewhere in the revision moves here."""
        given = read(shapes.PlaceShape, request, self)
        hand = _hand_of(given.pop("revision"), given.pop("wall"))
        if given.pop("instead"):
            moves.work_hang(edit=edit_of(request, given), hand=hand, **given)
            placement = hand.here[given["artwork"].pk]
        else:
            placement = moves.placement_place(edit=edit_of(request, given), hand=hand, **given)
        return Response(shapes.PlacementShape(placement).data, status=201)

    @extend_schema(request=shapes.MoveShape, responses=shapes.PlacementShape)
    def partial_update(self, request: Request, pk: str | None = None) -> Response:
        """Move a piece on its wall, or fix it where it hangs."""
        placement = self.get_object()
        given = read(shapes.MoveShape, request, self)
        held: dict[str, Any] = {
            "edit": edit_of(request, given),
            "hand": _hand_of(placement.revision, placement.wall),
            "placement": placement,
        }
        if "locked" in given:
            if len(given) > 1:
                raise Invalid("Move a piece, or fix it: one at a time.")
            placement = moves.placement_lock(**held, **given)
        elif given:
            placement = moves.placement_move(
                **held, **{"left_mm": placement.left_mm, "bottom_mm": placement.bottom_mm, **given}
            )
        return Response(shapes.PlacementShape(placement).data)

    @extend_schema(parameters=[OpenApiParameter("version", int, description=shapes.VERSION_HELP)])
    def destroy(self, request: Request, pk: str | None = None) -> Response:
        """Take a piece down."""
        placement = self.get_object()
        hand = _hand_of(placement.revision, placement.wall)
        moves.placement_remove(edit=Edit(request.user, _version(request)), hand=hand, placement=placement)
        return Response(status=204)


class TransitionViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    rows = Transition.objects.order_by("revision", "created_at", "pk")
    serializer_class = shapes.TransitionShape
    filterset_fields = ("revision", "to_state", "by")


class SignOffViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    rows = SignOff.objects.select_related("revision__sign_off").prefetch_related("revision__placements").order_by("-pk")
    serializer_class = shapes.SignOffShape
    filterset_fields = ("revision", "revision__plan__project")


def assessment_data(found: Assessment, scene: ProjectScene) -> dict[str, Any]:
    """The engine's answer with row ids in place of the survey's."""
    return {
        "spaces": [
            {
                "id": space.id,
                "name": space.name,
                "kind": space.kind,
                "over": space.over,
                "rect": space.rect,
                "shape": space.shape,
                "advice": space.advice,
                "reasons": [reason.text for reason in space.reasons],
                "ideal": space.ideal,
            }
            for space in found.spaces
        ],
        "arrangements": [
            {
                "space": arrangement.space,
                "kind": arrangement.kind,
                "score": arrangement.score,
                "terms": dict(arrangement.terms),
                "works": [scene.work_pk[piece.work] for piece in arrangement.pieces],
                "why": arrangement.why,
            }
            for arrangement in found.arrangements
        ],
        "findings": [
            {
                "rule": finding.rule,
                "level": finding.level,
                "text": finding.text,
                "works": [scene.work_pk[code] for code in finding.works],
                "space": finding.space,
                "measured": finding.measured,
                "low": finding.low,
                "high": finding.high,
                "unit": finding.unit,
                "where": [finding.where.left, finding.where.bottom, finding.where.width, finding.where.height]
                if finding.where
                else None,
            }
            for finding in found.findings
        ],
    }


def _hand_of(revision: Revision, wall: Wall) -> WallInHand:
    return WallInHand(revision.plan.project, wall, revision)


def _version(request: Request) -> int | None:
    text = request.query_params.get("version", "")
    if not text:
        return None
    if not text.isdecimal() or len(text) > 9:
        raise Invalid(f"“{text}” is no version of a wall.", faults=[{"where": "version", "detail": "A whole number."}])
    return int(text)
