"""What the principal sees of a finding, and what everybody sees of a plan's way."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import cast

from django.db.models import Prefetch
from django.utils.safestring import SafeString, mark_safe

from placements.differences import WallDifference
from placements.drawings import SCREEN, Elevation, Flag, Guide, draw_elevation
from placements.engine.geometry import bounding
from placements.engine.house import ACTS, Rect
from placements.engine.results import Level
from placements.engine.rulebook import Entry, Rulebook, entry_of
from placements.models import Decision, Placement, ReviewFinding, Revision, RevisionState, Transition
from placements.scenes import house_rules_of
from placements.selectors.decisions import AnsweredFinding, similar_decisions
from placements.selectors.queue import PlanInReview
from studio.models import Wall, WallItem
from studio.units import Units

from . import rules
from .drawn import SheetRoom, drawn_piece, drawn_wall, studio_picture
from .gauges import Measure, measure_of, said

WIDE, HIGH = 900.0, 520.0


@dataclass(frozen=True, slots=True)
class OfferedRemedy:
    """What was on offer when the plan was sent, and what it would cost elsewhere in the plan."""

    text: str
    kind: str
    gain: str
    elsewhere: str


@dataclass(frozen=True, slots=True)
class PastDecision:
    decision: Decision
    measured: str


@dataclass(frozen=True, slots=True)
class LimitField:
    """A number of the rule behind a finding, as a principal would change it."""

    name: str
    label: str
    now: str
    proposed: str
    allowed: str


@dataclass(frozen=True, slots=True)
class FindingInFull:
    finding: ReviewFinding
    number: int
    rule_title: str
    drawings: tuple[SafeString, ...]
    measure: Measure | None
    remedies: tuple[OfferedRemedy, ...]
    past: tuple[PastDecision, ...]
    limit: LimitField | None
    decision: Decision | None


@dataclass(frozen=True, slots=True)
class StageMark:
    """One station on a plan's way; `step` is the newest arrival there, None when it was not reached."""

    state: str
    label: str
    step: Transition | None
    current: bool


def finding_in_full(finding: AnsweredFinding, number: int, units: Units, rooms: Sequence[SheetRoom]) -> FindingInFull:
    """A finding with everything that a decision needs, drawn for each room that the page may have; its revision's wall,
    pieces and past are fetched here."""
    project = finding.revision.plan.project
    entry = entry_of(finding.rule)
    decisions = Decision.objects.select_related("by")
    decision = None if finding.decision_id is None else decisions.filter(pk=finding.decision_id).first()
    return FindingInFull(
        finding=finding,
        number=number,
        rule_title=entry.title if entry else finding.rule,
        drawings=finding_drawings(finding, number, units, rooms),
        measure=measure_of(
            measured=finding.measured, low=finding.low, high=finding.high, unit=finding.unit, units=units
        ),
        remedies=tuple(_remedies(finding)),
        past=tuple(
            PastDecision(
                decision,
                said(decision.finding.measured, decision.finding.unit, units)
                if decision.finding.measured is not None
                else "",
            )
            for decision in similar_decisions(finding=finding, studio=project.client.studio)
        ),
        limit=_limit_field(finding, entry, units),
        decision=decision,
    )


def wall_with_items(pk: int) -> Wall:
    items = Prefetch("items", queryset=WallItem.objects.order_by("pk"))
    return Wall.objects.select_related("room").prefetch_related(items).get(pk=pk)


def finding_drawings(
    finding: ReviewFinding, number: int, units: Units, rooms: Sequence[SheetRoom]
) -> tuple[SafeString, ...]:
    """The wall with only the pieces that the finding is about in ink, its flag, and the band that it misses."""
    wall = wall_with_items(finding.wall_id)
    placements = list(finding.revision.placements.filter(wall=wall).select_related("artwork"))
    about = {artwork.pk for artwork in finding.artworks.all()}
    inked = {str(placement.artwork_id) for placement in placements if not about or placement.artwork_id in about}
    where = Rect(*finding.where) if finding.where else _around(placements, about)
    flags = (Flag(str(number), cast(Level, finding.level), where, finding.text),) if where else ()
    given = Elevation(
        drawn_wall(wall),
        pieces=tuple(
            drawn_piece(
                placement.artwork,
                placement.left_mm,
                placement.bottom_mm,
                key=str(placement.artwork_id),
                picture=studio_picture(placement.artwork, "page"),
            )
            for placement in placements
        ),
        flags=flags,
        guides=tuple(_guides(finding, wall, where, units)),
        measured=tuple(sorted(inked & {str(pk) for pk in about})),
        inked=frozenset(inked),
        title=wall.name,
        described=finding.text,
    )
    return tuple(
        mark_safe(draw_elevation(given, manner=room.manner, words=units, width=room.width, height=room.height))
        for room in rooms
    )


def difference_drawing(difference: WallDifference, units: Units) -> SafeString:
    """A wall as it hangs now in ink, over where its changed pieces hung before, in pencil."""
    wall = wall_with_items(difference.wall.pk)
    moved = {change.artwork.pk for change in difference.changes}
    ghosts = [
        dataclasses.replace(
            drawn_piece(
                placement.artwork, placement.left_mm, placement.bottom_mm, key=f"before-{placement.artwork_id}"
            ),
            form="print",
            frame="",
            frame_mm=None,
            mat_mm=None,
            tone="",
        )
        for placement in difference.before
        if placement.artwork_id in moved
    ]
    now = [
        drawn_piece(
            placement.artwork,
            placement.left_mm,
            placement.bottom_mm,
            key=str(placement.artwork_id),
            picture=studio_picture(placement.artwork, "page"),
        )
        for placement in difference.after
    ]
    inked = frozenset(str(placement.artwork_id) for placement in difference.after if placement.artwork_id in moved)
    given = Elevation(
        drawn_wall(wall),
        pieces=(*ghosts, *now),
        measured=tuple(sorted(inked)),
        inked=inked,
        title=wall.name,
        described=" ".join(change.text(units) for change in difference.changes),
    )
    return mark_safe(draw_elevation(given, manner=SCREEN, words=units, width=WIDE, height=440.0))


def stages(revision: Revision, steps: Iterable[Transition]) -> list[StageMark]:
    """The whole way from draft to closed, with who arrived where and when."""
    newest: dict[str, Transition] = {}
    for step in steps:
        newest[step.to_state] = step
    order = list(RevisionState)
    reached = order.index(RevisionState(revision.state))
    return [
        StageMark(state, state.label, newest.get(state) if index <= reached else None, index == reached)
        for index, state in enumerate(order)
    ]


def verdict_marks(plan: PlanInReview) -> list[str | None]:
    return [finding.verdict for finding in plan.findings]


def _remedies(finding: ReviewFinding) -> Iterable[OfferedRemedy]:
    """Gains are as the engine gives them; a piece that hangs elsewhere now is named with its wall."""
    wanted = [remedy["work"] for remedy in finding.remedies if remedy.get("work")]
    hanging = {
        placement.artwork_id: placement
        for placement in finding.revision.placements.filter(artwork__in=wanted).select_related("wall", "artwork")
    }
    for remedy in finding.remedies:
        placed: Placement | None = hanging.get(remedy.get("work"))
        elsewhere = ""
        if placed is not None and placed.wall_id != finding.wall_id:
            elsewhere = f"takes {placed.artwork} from {placed.wall}"
        gain = remedy.get("gain") or 0.0
        yield OfferedRemedy(
            text=remedy["text"],
            kind=remedy["kind"],
            gain=f"{gain:+.1f}".replace("-", "−") if gain else "±0",
            elsewhere=elsewhere,
        )


def _limit_field(finding: ReviewFinding, entry: Entry | None, units: Units) -> LimitField | None:
    """The limit that the finding misses; the proposed value just lets it pass."""
    if entry is None or finding.level != "exception" or finding.measured is None:
        return None
    limit = next((limit for limit in entry.limits if limit.name == finding.limit), None)
    if limit is None:
        return None
    now = getattr(Rulebook(house_rules_of(finding.revision.plan.project)).limits(finding.rule), limit.name)
    return LimitField(
        name=limit.name,
        label=limit.label,
        now=rules.said(now, limit, units),
        proposed=rules.typed(min(max(finding.measured, limit.low), limit.high), limit, units),
        allowed=f"{rules.said(limit.low, limit, units)} to {rules.said(limit.high, limit, units)}",
    )


def _guides(finding: ReviewFinding, wall: Wall, where: Rect | None, units: Units) -> Iterable[Guide]:
    if finding.low is None or finding.high is None or finding.unit not in ("mm", "ratio"):
        return
    if finding.rule == "eye-line":
        band = Rect(0.0, finding.low, wall.length_mm, finding.high - finding.low)
        yield Guide("eye_line", band, f"eye line {units.band(finding.low, finding.high)}")
        return
    bearer = _bearer(wall, where)
    if bearer is None or where is None:
        return
    if finding.rule == "clearance":
        top = bearer.bottom_mm + bearer.height_mm
        band = Rect(bearer.left_mm, top + finding.low, bearer.width_mm, finding.high - finding.low)
        yield Guide("clearance", band, f"clear {units.band(finding.low, finding.high)}")
    elif finding.rule == "two-thirds" and finding.measured:
        basis = where.width / finding.measured if finding.unit == "ratio" else 0.0
        low, high = finding.low * basis, finding.high * basis
        if high > 0:
            label = f"{finding.low:.0%}–{finding.high:.0%} of {units.length(basis)}"
            yield Guide("span", Rect(where.centre_x - high / 2, where.bottom, high, where.height), label)
            yield Guide("span", Rect(where.centre_x - low / 2, where.bottom, low, where.height))


def _bearer(wall: Wall, where: Rect | None) -> WallItem | None:
    """What a piece hangs over: the highest bearer below it that it overlaps."""
    if where is None:
        return None
    under = [
        item
        for item in wall.items.all()
        if ACTS.get(item.kind, item.acts) == "bearer"
        and item.left_mm < where.right
        and item.left_mm + item.width_mm > where.left
        and item.bottom_mm + item.height_mm <= where.bottom + 1.0
    ]
    return max(under, key=lambda item: item.bottom_mm + item.height_mm, default=None)


def _around(placements: Iterable[Placement], about: set[int]) -> Rect | None:
    boxes = [
        Rect(placement.left_mm, placement.bottom_mm, placement.artwork.width_mm, placement.artwork.height_mm)
        for placement in placements
        if placement.artwork_id in about
    ]
    return bounding(boxes) if boxes else None
