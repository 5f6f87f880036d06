"""What the principal sees of a finding, and what everybody sees of a plan's way."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Iterable, Mapping, Sequence
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
from placements.models import (
    ClientAnswer,
    Decision,
    Photo,
    Placement,
    ReviewFinding,
    Revision,
    RevisionState,
    Transition,
)
from placements.scenes import house_rules_of
from placements.selectors.clients import newest_answer
from placements.selectors.decisions import AnsweredFinding, similar_decisions
from placements.selectors.photos.composites import shown_photo
from placements.selectors.queue import Matter, PlanInReview
from studio.models import Studio, Wall, WallItem
from studio.units import Units

from . import rules
from .drawn import SheetRoom, drawn_piece, drawn_wall, small_elevation, studio_picture
from .gauges import Measure, measure_of, said

WIDE, HIGH = 900.0, 520.0
#: How many earlier decisions stand beside a matter.
MOST_PAST = 6
#: How wide a wall is drawn there at most [px].
PAST_WIDTH = 84.0


@dataclass(frozen=True, slots=True)
class OfferedRemedy:
    """What was on offer when the plan was sent, and what it would cost elsewhere in the plan."""

    text: str
    kind: str
    gain: str
    elsewhere: str


@dataclass(frozen=True, slots=True)
class PastDecision:
    """An earlier decision with the wall that it was about, drawn small, as it was planned then."""

    decision: Decision
    measured: str
    picture: SafeString


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
    """One exception or stop; `mark` is its matter's number in the plan, with a letter where it is one of several."""

    finding: AnsweredFinding
    mark: str
    rule_title: str
    measure: Measure | None
    limit: LimitField | None
    decision: Decision | None


@dataclass(frozen=True, slots=True)
class MatterInFull:
    """What is decided at once, with everything that the decision needs.

    `like` are the undecided exceptions elsewhere that are no worse: those that an acceptance may take along, and that
    one for the whole project takes along in any case.
    """

    findings: tuple[FindingInFull, ...]
    drawings: tuple[SafeString, ...]
    remedies: tuple[OfferedRemedy, ...]
    past: tuple[PastDecision, ...]
    like: tuple[FindingInFull, ...]
    photograph: Photo | None
    client_says: ClientAnswer | None

    @property
    def wanted(self) -> str:
        """What would be accepted, as the rules have it."""
        return "; ".join(
            f"{one.rule_title}: {one.measure.allowed}" for one in self.findings if one.measure and not one.decision
        )


@dataclass(frozen=True, slots=True)
class StageMark:
    """One station on a plan's way; `step` is the newest arrival there, None when it was not reached."""

    state: str
    label: str
    step: Transition | None
    current: bool


def matter_in_full(plan: PlanInReview, matter: Matter, units: Units, rooms: Sequence[SheetRoom]) -> MatterInFull:
    """A matter with everything that its decision needs, drawn for each room that the page may have; its wall, pieces
    and past are fetched here."""
    revision, studio = plan.revision, plan.revision.plan.project.client.studio
    marks = {finding.pk: mark for finding, mark in _marks(plan)}
    like = plan.like(matter)
    made = Decision.objects.filter(pk__in=[one.decision_id for one in matter.findings if one.decision_id])
    decisions = {decision.pk: decision for decision in made.select_related("by", "in_name_of")}
    book = Rulebook(house_rules_of(revision.plan.project))
    wall = wall_with_items(matter.first.wall_id)
    placements = list(revision.placements.filter(wall=wall).select_related("artwork"))
    for finding in matter.findings:
        finding.revision = revision

    def full(finding: AnsweredFinding) -> FindingInFull:
        entry = entry_of(finding.rule)
        measure = measure_of(
            measured=finding.measured, low=finding.low, high=finding.high, unit=finding.unit, units=units
        )
        return FindingInFull(
            finding=finding,
            mark=marks[finding.pk],
            rule_title=entry.title if entry else finding.rule,
            measure=measure,
            limit=_limit_field(finding, entry, book, units),
            decision=decisions.get(finding.decision_id or 0),
        )

    return MatterInFull(
        findings=tuple(full(finding) for finding in matter.findings),
        drawings=_drawings(matter, wall, placements, marks, units, rooms),
        remedies=tuple(_remedies(matter)),
        past=tuple(_past(matter, studio, units)),
        like=tuple(full(finding) for finding in like),
        photograph=shown_photo(wall, placements),
        client_says=newest_answer(wall),
    )


def _marks(plan: PlanInReview) -> Iterable[tuple[AnsweredFinding, str]]:
    for number, matter in enumerate(plan.matters, 1):
        for place, finding in enumerate(matter.findings):
            yield finding, f"{number}{chr(ord('a') + place)}" if len(matter.findings) > 1 else str(number)


def wall_with_items(pk: int) -> Wall:
    items = Prefetch("items", queryset=WallItem.objects.order_by("pk"))
    return Wall.objects.select_related("room").prefetch_related(items).get(pk=pk)


def _drawings(
    matter: Matter,
    wall: Wall,
    placements: Sequence[Placement],
    marks: Mapping[int, str],
    units: Units,
    rooms: Sequence[SheetRoom],
) -> tuple[SafeString, ...]:
    """The wall with only the pieces that the matter is about in ink, its flags, and the bands that it misses."""
    about = {artwork.pk for finding in matter.findings for artwork in finding.artworks.all()}
    inked = {str(placement.artwork_id) for placement in placements if not about or placement.artwork_id in about}
    around = _around(placements, about)
    places = [(finding, Rect(*finding.where) if finding.where else around) for finding in matter.findings]
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
        flags=tuple(
            Flag(marks[finding.pk], cast(Level, finding.level), where, finding.text)
            for finding, where in places
            if where
        ),
        guides=tuple(guide for finding, where in places for guide in _guides(finding, wall, where, units)),
        measured=tuple(sorted(inked & {str(pk) for pk in about})),
        inked=frozenset(inked),
        title=wall.name,
        described=" ".join(finding.text for finding in matter.findings),
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


def _past(matter: Matter, studio: Studio, units: Units) -> Iterable[PastDecision]:
    """What this studio decided of the same rules before, the rules in turn, the nearest in measure first."""
    found = [similar_decisions(finding=finding, studio=studio) for finding in matter.exceptions]
    here = {finding.pk for finding in matter.findings}
    decisions = {
        decision.finding_id: decision
        for decision in itertools.chain.from_iterable(itertools.zip_longest(*found))
        if decision is not None and decision.finding_id not in here
    }
    chosen = [*decisions.values()][:MOST_PAST]
    walls = Wall.objects.filter(pk__in=[one.finding.wall_id for one in chosen]).prefetch_related("items").in_bulk()
    hanging: dict[tuple[int, int], list[Placement]] = {}
    revisions = [one.finding.revision_id for one in chosen]
    for placement in Placement.objects.filter(revision__in=revisions, wall__in=walls).select_related("artwork"):
        hanging.setdefault((placement.revision_id, placement.wall_id), []).append(placement)
    for decision in chosen:
        about, wall = decision.finding, walls[decision.finding.wall_id]
        scale = PAST_WIDTH / max(wall.length_mm, 1.5 * wall.height_mm)
        picture = small_elevation(wall, hanging.get((about.revision_id, wall.pk), ()), scale=scale)
        measured = "" if about.measured is None else said(about.measured, about.unit, units)
        yield PastDecision(decision, measured, picture)


def _remedies(matter: Matter) -> Iterable[OfferedRemedy]:
    """Gains are as the engine gives them; a piece that hangs elsewhere now is named with its wall."""
    offered = {remedy["text"]: remedy for finding in matter.findings for remedy in finding.remedies}
    wanted = [remedy["work"] for remedy in offered.values() if remedy.get("work")]
    revision = matter.first.revision
    hanging = {
        placement.artwork_id: placement
        for placement in revision.placements.filter(artwork__in=wanted).select_related("wall", "artwork")
    }
    for remedy in offered.values():
        placed: Placement | None = hanging.get(remedy.get("work"))
        elsewhere = ""
        if placed is not None and placed.wall_id != matter.first.wall_id:
            elsewhere = f"takes {placed.artwork} from {placed.wall}"
        gain = remedy.get("gain") or 0.0
        yield OfferedRemedy(
            text=remedy["text"],
            kind=remedy["kind"],
            gain=f"{gain:+.1f}".replace("-", "−") if gain else "±0",
            elsewhere=elsewhere,
        )


def _limit_field(finding: ReviewFinding, entry: Entry | None, book: Rulebook, units: Units) -> LimitField | None:
    """The limit that the finding misses; the proposed value just lets it pass."""
    if entry is None or finding.level != "exception" or finding.measured is None:
        return None
    limit = next((limit for limit in entry.limits if limit.name == finding.limit), None)
    if limit is None:
        return None
    return LimitField(
        name=limit.name,
        label=limit.label,
        now=rules.said(getattr(book.limits(finding.rule), limit.name), limit, units),
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
