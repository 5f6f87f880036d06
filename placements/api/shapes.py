"""What the plan's API shows and takes. Serializers shape and name; services decide."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from placements.models import (
    Comment,
    Decision,
    HouseRule,
    Notice,
    Option,
    Placement,
    Plan,
    ProposalRun,
    ReviewFinding,
    Revision,
    SignOff,
    Transition,
    Verdict,
)
from placements.selectors.groups import FORMS
from placements.services.lifecycle import STEPS
from placements.snapshots import verify
from studio.api.fields import Millimetres, Mine, Number, PlainText, RowSerializer, Version, WholeNumber
from studio.models import Artwork, Project, Studio, Wall

VERSION_HELP = "The version of the wall that the caller saw; null skips the check."


class PlanShape(RowSerializer[Plan]):
    class Meta:
        model = Plan
        fields = ("id", "project", "created_at")
        read_only_fields = fields


class RevisionShape(RowSerializer[Revision]):
    project = serializers.IntegerField(source="plan.project_id", read_only=True)

    class Meta:
        model = Revision
        fields = (
            *("id", "plan", "project", "number", "state", "based_on", "opened_by", "note", "rules_fingerprint"),
            *("sha256", "created_at", "updated_at"),
        )
        read_only_fields = fields


class RevisionOpenShape(serializers.Serializer[Any]):
    project = Mine(queryset=Project.objects.select_related("client__studio"))


class TransitionShape(RowSerializer[Transition]):
    class Meta:
        model = Transition
        fields = ("id", "revision", "from_state", "to_state", "by", "note", "created_at")
        read_only_fields = fields


class PlacementShape(RowSerializer[Placement]):
    class Meta:
        model = Placement
        fields = (
            *("id", "revision", "wall", "artwork", "space", "group", "left_mm", "bottom_mm", "order", "locked", "why"),
            *("created_at", "updated_at"),
        )
        read_only_fields = fields


class PlaceShape(serializers.Serializer[Any]):
    revision = Mine(queryset=Revision.objects.all())
    wall = Mine(queryset=Wall.objects.select_related("room"))
    artwork = Mine(queryset=Artwork.objects.all())
    left_mm = Millimetres(zero=True)
    bottom_mm = Millimetres(zero=True)
    space = PlainText(max_length=160, default="", allow_blank=True)
    instead = serializers.BooleanField(default=False, help_text="What hangs in `space` comes down.")
    version = Version(allow_null=True, help_text=VERSION_HELP)


class MoveShape(serializers.Serializer[Any]):
    left_mm = Millimetres(zero=True, required=False)
    bottom_mm = Millimetres(zero=True, required=False)
    locked = serializers.BooleanField(required=False)
    version = Version(allow_null=True, help_text=VERSION_HELP)


class PieceShape(serializers.Serializer[Any]):
    artwork = WholeNumber(min_value=1)
    left_mm = Millimetres(zero=True)
    bottom_mm = Millimetres(zero=True)
    order = WholeNumber(min_value=1, max_value=1000, default=1)
    space = PlainText(max_length=160, default="", allow_blank=True)
    group = PlainText(max_length=40, default="", allow_blank=True)
    locked = serializers.BooleanField(default=False)
    why = PlainText(max_length=4000, default="", allow_blank=True)


class BareShape(serializers.Serializer[Any]):
    space = PlainText(max_length=160, default="", allow_blank=True)
    reason = PlainText(max_length=250)


class ShownPieceShape(PieceShape):
    placement = serializers.IntegerField()
    title = serializers.CharField()


class WallStateShape(serializers.Serializer[Any]):
    revision = serializers.IntegerField()
    wall = serializers.IntegerField()
    version = serializers.IntegerField()
    edited_by = serializers.CharField(allow_null=True)
    edited_at = serializers.DateTimeField(allow_null=True)
    pieces = ShownPieceShape(many=True)
    bares = BareShape(many=True)


class ArrangementShape(serializers.Serializer[Any]):
    version = Version(allow_null=True, help_text=VERSION_HELP)
    pieces = PieceShape(many=True, max_length=200)
    bares = BareShape(many=True, default=list, max_length=200)
    take_back = serializers.BooleanField(default=False, help_text="Take a plan in review back to draft first.")


class OptionShape(RowSerializer[Option]):
    pieces = PieceShape(many=True, source="arrangement.pieces")
    bares = serializers.SerializerMethodField()

    class Meta:
        model = Option
        fields = ("id", "wall", "name", "pieces", "bares", "kept_by", "created_at")
        read_only_fields = fields

    @extend_schema_field(BareShape(many=True))
    def get_bares(self, option: Option) -> list[dict[str, str]]:
        return [{"space": space, "reason": reason} for space, reason in option.arrangement["bares"]]


class OptionKeepShape(serializers.Serializer[Any]):
    wall = Mine(queryset=Wall.objects.select_related("room__project__client__studio"))
    name = PlainText(max_length=60)
    pieces = PieceShape(many=True, max_length=200)
    bares = BareShape(many=True, default=list, max_length=200)


class OfferedRemedyShape(serializers.Serializer[Any]):
    id = serializers.CharField(allow_blank=True, help_text="Names it until the wall changes; empty: only advice.")
    space = serializers.CharField()
    kind = serializers.CharField()
    text = serializers.CharField()
    gain = serializers.FloatField(help_text="Change of the space's score, of 100.")
    moves_to = serializers.CharField(allow_null=True, help_text="The space that a piece goes to.")


class RemedyShape(serializers.Serializer[Any]):
    id = PlainText(max_length=20)
    text = PlainText(max_length=4000, help_text="As it was offered: what is no longer offered is refused.")
    version = Version(allow_null=True, help_text=VERSION_HELP)
    take_back = serializers.BooleanField(default=False, help_text="Take a plan in review back to draft first.")


class GroupPieceShape(serializers.Serializer[Any]):
    artwork = WholeNumber(min_value=1)
    left_mm = Millimetres(zero=True)
    bottom_mm = Millimetres(zero=True)


class GroupShape(serializers.Serializer[Any]):
    space = PlainText(max_length=160, help_text="What hangs in this space comes down.")
    around = serializers.BooleanField(default=False, help_text="The group goes around the sconces beside the space.")
    form = serializers.ChoiceField(list(FORMS))
    pieces = GroupPieceShape(many=True, min_length=1, max_length=200, help_text="In the order of hanging.")
    version = Version(allow_null=True, help_text=VERSION_HELP)
    take_back = serializers.BooleanField(default=False, help_text="Take a plan in review back to draft first.")


class LeaveBareShape(BareShape):
    version = Version(allow_null=True, help_text=VERSION_HELP)


class TryShape(serializers.Serializer[Any]):
    pieces = PieceShape(many=True, max_length=200)


class EngineFindingShape(serializers.Serializer[Any]):
    rule = serializers.CharField()
    level = serializers.ChoiceField(["note", "exception", "stop"])
    text = serializers.CharField()
    works = serializers.ListField(child=serializers.IntegerField())
    space = serializers.CharField(allow_null=True)
    measured = serializers.FloatField(allow_null=True)
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    unit = serializers.CharField()
    where = serializers.ListField(child=serializers.FloatField(), allow_null=True)


class SpaceShape(serializers.Serializer[Any]):
    id = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(["over_furniture", "open_wall", "panel", "stair"])
    over = serializers.CharField(allow_null=True)
    left_mm = serializers.FloatField(source="rect.left")
    bottom_mm = serializers.FloatField(source="rect.bottom")
    width_mm = serializers.FloatField(source="rect.width")
    height_mm = serializers.FloatField(source="rect.height")
    shape = serializers.CharField()
    advice = serializers.ChoiceField(["hang", "optional", "leave_bare"])
    reasons = serializers.ListField(child=serializers.CharField())
    ideal_width_mm = serializers.ListField(child=serializers.FloatField(), source="ideal.width")
    ideal_height_mm = serializers.ListField(child=serializers.FloatField(), source="ideal.height")


class JudgedShape(serializers.Serializer[Any]):
    space = serializers.CharField()
    kind = serializers.ChoiceField(["single", "group", "bare"])
    score = serializers.FloatField()
    terms = serializers.DictField(child=serializers.FloatField())
    works = serializers.ListField(child=serializers.IntegerField())
    why = serializers.CharField()


class AssessmentShape(serializers.Serializer[Any]):
    spaces = SpaceShape(many=True)
    arrangements = JudgedShape(many=True)
    findings = EngineFindingShape(many=True)


class QuestionShape(serializers.Serializer[Any]):
    key = serializers.CharField()
    wall = serializers.IntegerField()
    rule = serializers.CharField()
    level = serializers.CharField()
    text = serializers.CharField()
    justification = serializers.CharField(help_text="The reason given before.")
    must_answer = serializers.BooleanField()


class SendShape(serializers.Serializer[Any]):
    justifications = serializers.DictField(
        child=PlainText(max_length=4000, allow_blank=True),
        default=dict,
        help_text="A reason for each exception, by its key.",
    )
    note = PlainText(max_length=2000, default="", allow_blank=True)


class StepShape(serializers.Serializer[Any]):
    step = serializers.ChoiceField([name for name in STEPS if name not in ("send", "sign", "issue")])
    note = PlainText(max_length=2000, default="", allow_blank=True)


class SignShape(serializers.Serializer[Any]):
    statement = PlainText(max_length=2000, default="", allow_blank=True)


class FindingShape(RowSerializer[ReviewFinding]):
    artworks = serializers.PrimaryKeyRelatedField(many=True, read_only=True)
    verdict = serializers.CharField(read_only=True, allow_null=True)
    decision = serializers.IntegerField(source="decision_id", read_only=True, allow_null=True)

    class Meta:
        model = ReviewFinding
        fields = (
            *("id", "revision", "wall", "artworks", "key", "rule", "level", "text", "space", "measured", "low", "high"),
            *(
                "unit",
                "limit",
                "where",
                "remedies",
                "justification",
                "corrected_at",
                "verdict",
                "decision",
                "created_at",
            ),
        )
        read_only_fields = fields


class DecideShape(serializers.Serializer[Any]):
    verdict = serializers.ChoiceField([Verdict.ACCEPT, Verdict.ACCEPT_PROJECT, Verdict.RETURN])
    reason = PlainText(max_length=4000, default="", allow_blank=True)
    wanted = PlainText(max_length=250, default="", allow_blank=True, help_text="Of a return: what would be accepted.")
    replaces = WholeNumber(
        allow_null=True, default=None, help_text="The decision that the caller saw; null where it was undecided."
    )


class ChangeRuleShape(serializers.Serializer[Any]):
    limit = PlainText(max_length=60)
    value = Number(help_text="In the limit's own unit.")
    whole_studio = serializers.BooleanField(default=False)
    reason = PlainText(max_length=250, default="", allow_blank=True)
    replaces = WholeNumber(allow_null=True, default=None)


class DecisionShape(RowSerializer[Decision]):
    class Meta:
        model = Decision
        fields = (
            *("id", "finding", "verdict", "reason", "wanted", "by", "in_name_of", "basis"),
            *("withdrawn_at", "withdrawn_by", "created_at"),
        )
        read_only_fields = fields


class SignOffShape(RowSerializer[SignOff]):
    holds = serializers.SerializerMethodField(help_text="Whether the record, hashed again now, is what was signed.")

    class Meta:
        model = SignOff
        fields = ("id", "revision", "by", "in_name_of", "name", "sha256", "statement", "at", "created_at", "holds")
        read_only_fields = fields

    def get_holds(self, row: SignOff) -> bool:
        return verify(row.revision).holds


class ProposalShape(RowSerializer[ProposalRun]):
    as_usual = serializers.BooleanField(read_only=True)

    class Meta:
        model = ProposalRun
        fields = (
            *("id", "project", "requested_by", "as_usual", "state", "progress", "result", "error", "attempts"),
            *("created_at", "finished_at"),
        )
        read_only_fields = fields


class ProposalAskShape(serializers.Serializer[Any]):
    project = Mine(queryset=Project.objects.select_related("client__studio"))
    as_usual = serializers.BooleanField(
        default=True, help_text="Whether what the studio usually hangs, by its signed plans, shifts the ranking."
    )


class AcceptShape(serializers.Serializer[Any]):
    walls = serializers.ListField(
        child=WholeNumber(), allow_null=True, default=None, max_length=2000, help_text="null: every wall."
    )
    even_changed = serializers.BooleanField(default=False)
    alternative = WholeNumber(allow_null=True, default=None)


class AcceptedShape(serializers.Serializer[Any]):
    taken = serializers.ListField(child=serializers.IntegerField())
    changed_since = serializers.ListField(child=serializers.IntegerField())


class CommentShape(RowSerializer[Comment]):
    project = Mine(queryset=Project.objects.select_related("client__studio", "designer"))
    wall = Mine(queryset=Wall.objects.select_related("room"), required=False, allow_null=True)
    artwork = Mine(queryset=Artwork.objects.all(), required=False, allow_null=True)

    class Meta:
        model = Comment
        fields = ("id", "project", "wall", "artwork", "author", "author_name", "text", "mentions", "created_at")
        read_only_fields = ("author", "author_name", "mentions", "created_at")


class NoticeShape(RowSerializer[Notice]):
    class Meta:
        model = Notice
        fields = ("id", "studio", "text", "url", "read_at", "created_at")
        read_only_fields = fields


class HouseRuleShape(RowSerializer[HouseRule]):
    studio = Mine(queryset=Studio.objects.all())
    project = Mine(queryset=Project.objects.select_related("client__studio"), required=False, allow_null=True)

    class Meta:
        model = HouseRule
        fields = ("id", "studio", "project", "rule", "limit", "value", "reason", "changed_by", "updated_at")
        read_only_fields = ("changed_by", "updated_at")
        validators: list[Any] = []


class EffectShape(serializers.Serializer[Any]):
    revision = serializers.IntegerField(source="revision.pk")
    before = serializers.IntegerField()
    after = serializers.IntegerField()
    new = serializers.ListField(child=serializers.CharField(), source="texts")


class LimitShape(serializers.Serializer[Any]):
    name = serializers.CharField()
    label = serializers.CharField()
    default = serializers.FloatField()
    unit = serializers.CharField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    source = serializers.CharField()


class RuleShape(serializers.Serializer[Any]):
    id = serializers.CharField()
    title = serializers.CharField()
    kind = serializers.CharField()
    level = serializers.CharField()
    weight = serializers.FloatField(allow_null=True)
    doc = serializers.CharField()
    limits = LimitShape(many=True)


class SurveyShape(serializers.Serializer[Any]):
    studio = Mine(queryset=Studio.objects.all())
    survey = serializers.JSONField(help_text="A survey file, as its published schema says.")
