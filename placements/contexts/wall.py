"""The wall page: the drawing, its margins, and what each word in them is tied to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.safestring import SafeString, mark_safe

from placements.drawings import SCREEN, Elevation, Flag, Guide, Manner, Under
from placements.engine.house import ACTS, Rect
from placements.engine.names import listed
from placements.engine.results import Assessment, Finding, Pairing, Space
from placements.engine.rulebook import Rulebook
from placements.pieces import Piece
from placements.scenes import ProjectScene
from placements.selectors.remedies import offers
from studio import models as rows
from studio.units import Units
from studio.words import sentence

from .drawn import PictureUrl, drawn_piece, drawn_wall, large_drawing, standing, studio_picture

ADVICE = {"hang": "", "optional": "may stay bare", "leave_bare": "best left bare"}
LEVELS = {"stop": 0, "exception": 1, "note": 2}
WIDE, HIGH = 860.0, 600.0


@dataclass(frozen=True, slots=True)
class SpaceNote:
    id: str
    name: str
    shape: str
    free: str
    wants: tuple[str, str]
    advice: str
    reasons: tuple[str, ...]
    hangs: str
    pieces: int
    bare: str
    selected: bool


@dataclass(frozen=True, slots=True)
class PieceNote:
    """The measures of the piece that the reader works on: as printed, and as typed into the boxes."""

    hung: Piece
    size: str
    picture: str
    centre: str
    over: str
    clearance: str
    share: str
    typed: Mapping[str, str]
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RemedyNote:
    """A remedy for a finding; `index` finds it again when it is applied, empty where it only advises."""

    kind: str
    text: str
    index: str
    gain: int


@dataclass(frozen=True, slots=True)
class FindingNote:
    """A finding as the page lists it; notes have no number and no flag, and those of one rule are gathered to one."""

    number: str
    level: str
    text: str
    more: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RankNote:
    """A work for the chosen space, with why it ranks where it does."""

    place: int
    work: rows.Artwork
    score: int
    size: str
    why: str
    picture: str
    here: bool
    fits: bool
    exceptions: int
    left_mm: float
    bottom_mm: float
    #: Why it stands behind a work with a smaller number; empty where it does not.
    behind: str = ""


#: The remedies for each space, by the space's name.
RemedyNotes = tuple[tuple[str, tuple[RemedyNote, ...]], ...]


@dataclass(frozen=True, slots=True)
class WallPicture:
    """The wall as drawn and judged: what a move re-renders."""

    drawing: SafeString
    spaces: tuple[SpaceNote, ...]
    findings: tuple[FindingNote, ...]
    piece: PieceNote | None
    space: Space | None
    hung: tuple[Piece, ...]
    assessment: Assessment = field(repr=False)


def wall_picture(
    *,
    wall: rows.Wall,
    hung: Sequence[Piece],
    assessment: Assessment,
    scene: ProjectScene,
    units: Units,
    selected: int | None = None,
    space_id: str = "",
    bares: Mapping[str, str] | None = None,
    interactive: bool = True,
    manner: Manner = SCREEN,
    width: float = WIDE,
    height: float = HIGH,
    picture_url: PictureUrl = studio_picture,
    key: str = "",
    under: Under | None = None,
) -> WallPicture:
    """Everything on the wall page that depends on where the pieces hang."""
    rulebook = Rulebook.for_house(scene.house)
    findings = ordered(assessment.findings)
    chosen = next((piece for piece in hung if piece.artwork.pk == selected), None)
    space = chosen_space(assessment, space_id, _code(scene, chosen))
    said = _said_by_work(findings, scene)
    pieces = tuple(
        drawn_piece(
            piece.artwork,
            piece.left_mm,
            piece.bottom_mm,
            picture=picture_url(piece.artwork, "page"),
            described=describe(piece, units, said.get(piece.artwork.pk, ())),
            locked=piece.locked,
        )
        for piece in hung
    )
    given = Elevation(
        drawn_wall(wall, key=key),
        pieces,
        flags=flags_of([finding for finding in findings if finding.level != "note"], hung, scene, wall),
        spaces=assessment.spaces,
        guides=guides_of(wall, space, rulebook, units),
        measured=measured(hung, chosen),
        selected=str(chosen.artwork.pk) if chosen else "",
        under=under,
        title=f"{wall.room.name}, {wall.name}: elevation",
    )
    svg = large_drawing(given, manner=manner, words=units, width=width, height=height, interactive=interactive)
    return WallPicture(
        drawing=mark_safe(svg),
        spaces=tuple(_space_note(one, assessment, hung, scene, units, space, bares or {}) for one in assessment.spaces),
        findings=finding_notes(findings, scene),
        piece=piece_note(chosen, wall, units) if chosen else None,
        space=space,
        hung=tuple(hung),
        assessment=assessment,
    )


def ordered(findings: Iterable[Finding]) -> list[Finding]:
    """Stops first, then exceptions, then notes; otherwise as the engine orders them."""
    return sorted(findings, key=lambda finding: LEVELS[finding.level])


def finding_notes(findings: Sequence[Finding], scene: ProjectScene) -> tuple[FindingNote, ...]:
    """Findings in order: exceptions and stops numbered as their flags are, then the notes, one line a rule."""
    asking = [finding for finding in findings if finding.level != "note"]
    by_rule: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.level == "note":
            by_rule.setdefault(finding.rule, []).append(finding)
    return (
        *(FindingNote(str(i), finding.level, sentence(finding.text)) for i, finding in enumerate(asking, 1)),
        *(_gathered(alike, scene) for alike in by_rule.values()),
    )


def _gathered(alike: Sequence[Finding], scene: ProjectScene) -> FindingNote:
    """The notes of one rule on a wall as one line."""
    texts = list(dict.fromkeys(sentence(finding.text) for finding in alike))
    titles = [scene.artwork(code).title for finding in alike for code in finding.works if code in scene.work_pk]
    if len(texts) > 1 and alike[0].rule == "hang-data":
        several = f"the hanging hardware of {listed(titles)} is not measured: measure before drilling"
        return FindingNote("", "note", sentence(several))
    return FindingNote("", "note", texts[0], tuple(texts[1:]))


def chosen_space(assessment: Assessment, space_id: str, work: str | None) -> Space | None:
    """The space that the reader asked for, else the one that the chosen piece hangs in, else the first to hang in."""
    by_id = {space.id: space for space in assessment.spaces}
    if space_id in by_id:
        return by_id[space_id]
    for arrangement in assessment.arrangements:
        if work and any(piece.work == work for piece in arrangement.pieces):
            return by_id.get(arrangement.space)
    return next((space for space in assessment.spaces if space.advice == "hang"), next(iter(assessment.spaces), None))


def measured(hung: Sequence[Piece], chosen: Piece | None) -> tuple[str, ...]:
    """Which pieces get dimension strings: the chosen one, else all where they are few."""
    if chosen:
        return (str(chosen.artwork.pk),)
    return tuple(str(piece.artwork.pk) for piece in hung) if len(hung) <= 3 else ()


def flags_of(
    findings: Sequence[Finding], hung: Sequence[Piece], scene: ProjectScene, wall: rows.Wall
) -> tuple[Flag, ...]:
    """A flag for each finding, tied to a piece that it is about, else to the engine's place, else to the corner."""
    rects = {piece.artwork.pk: piece.rect for piece in hung}
    corner = Rect(wall.length_mm * 0.92, wall.height_mm * 0.9, wall.length_mm * 0.02, wall.height_mm * 0.04)
    flags = []
    for i, finding in enumerate(findings, 1):
        works = [rects[pk] for code in finding.works if (pk := scene.work_pk.get(code)) in rects]
        where = works[0] if works else finding.where or corner
        flags.append(Flag(str(i), finding.level, where, finding.text))
    return tuple(flags)


def guides_of(wall: rows.Wall, space: Space | None, rulebook: Rulebook, units: Units) -> tuple[Guide, ...]:
    """The eye-line band across the wall; over a bearer also the wanted span and the clearance band."""
    eye = rulebook.limits("eye-line")
    guides = []
    if wall.rail_from_y_mm is None:
        band = Rect(0, eye.low, wall.length_mm, eye.high - eye.low)
        guides.append(Guide("eye_line", band, f"eye line\n{units.band(eye.low, eye.high)}"))
    if space is None:
        return tuple(guides)
    low, high = space.ideal.width
    rect = space.rect
    if space.kind == "over_furniture":
        clear = rulebook.limits("clearance")
        guides.append(
            Guide(
                "clearance",
                Rect(rect.left, rect.bottom + clear.low, rect.width, clear.high - clear.low),
                f"{units.band(clear.low, clear.high)} above",
            )
        )
        if 0 < low <= high <= wall.length_mm:
            span = Rect(rect.centre_x - high / 2, rect.bottom, high, rect.height)
            guides.append(Guide("span", span, f"{units.band(low, high)} wide"))
    guides.append(Guide("centre", Rect(rect.centre_x, rect.bottom, 0, rect.height)))
    return tuple(guides)


def describe(piece: Piece, units: Units, said: Sequence[str]) -> str:
    """A piece in words for a screen reader: size, place, findings."""
    r = piece.rect
    words = (
        f"{units.size(r.width, r.height)}. Left edge {units.length(r.left)} from the wall's left end, bottom edge "
        f"{units.length(r.bottom)}, centre {units.length(r.centre_y)} above the floor"
    )
    return ". ".join([words, *(f"Finding: {text}" for text in said)])


def piece_note(piece: Piece, wall: rows.Wall, units: Units) -> PieceNote:
    r = piece.rect
    bearer = bearer_under(wall, r)
    gap = r.bottom - bearer.bottom_mm - bearer.height_mm if bearer else None
    return PieceNote(
        hung=piece,
        size=units.size(r.width, r.height),
        picture=studio_picture(piece.artwork, "strip"),
        centre=units.length(r.centre_y),
        over=str(bearer).lower() if bearer else "",
        clearance=units.length(gap) if gap is not None else "",
        share=f"{r.width / bearer.width_mm:.2f}" if bearer else "",
        typed={
            "left": units.length(r.left),
            "right": units.length(wall.length_mm - r.right),
            "bottom": units.length(r.bottom),
            "centre": units.length(r.centre_y),
            "above": units.length(gap) if gap is not None else "",
        },
        why=tuple(sentence(part) for part in piece.why.split("; ") if part.strip()),
    )


def bearer_under(wall: rows.Wall, r: Rect) -> rows.WallItem | None:
    """The highest thing below the piece that art hangs over."""
    under = [
        item
        for item in standing(wall)
        if (item.acts or ACTS.get(item.kind)) == "bearer"
        and item.left_mm < r.right
        and item.left_mm + item.width_mm > r.left
        and item.bottom_mm + item.height_mm <= r.bottom
    ]
    return max(under, key=lambda item: item.bottom_mm + item.height_mm, default=None)


def remedy_notes(assessment: Assessment) -> RemedyNotes:
    """What the engine offers for each space, by the space's name."""
    names = {space.id: space_name(space) for space in assessment.spaces}
    notes: dict[str, list[RemedyNote]] = {}
    for offer in offers(assessment):
        note = RemedyNote(offer.remedy.kind, offer.text, offer.id, round(offer.remedy.gain))
        notes.setdefault(offer.arrangement.space, []).append(note)
    return tuple((names.get(space, ""), tuple(found)) for space, found in notes.items())


def why_behind(pairing: Pairing, below: Sequence[Pairing]) -> str:
    """Why a work ranks behind others although its number is larger than that of one before it."""
    if not below or round(pairing.score) <= min(round(one.score) for one in below):
        return ""
    if not pairing.fits:
        return "does not fit"
    count = pairing.exceptions
    return f"{count} exception{'' if count == 1 else 's'} against it" if count else ""


def rank_words(pairing: Pairing, leader: Pairing | None = None, most: int = 1) -> str:
    """Why a work ranks where it does: what keeps it out or counts against it, else its strongest reason; and for what
    it stands behind the first."""
    stops = [finding.text for finding in pairing.findings if finding.level == "stop"]
    breaks = [finding.text for finding in pairing.findings if finding.level == "exception"]
    said = [part for part in (stops or breaks or pairing.why.split("; ")) if part.strip()][:most]
    best = leader.terms if leader else {}
    behind = {name: best[name] - score for name, score in pairing.terms.items() if name in best}
    weakest = max(behind, key=lambda name: behind[name], default="")
    if weakest and behind[weakest] > 0.02 and not stops:
        said.append(f"behind the first in {rule_name(weakest)}")
    return " ".join(sentence(part) for part in said)


def rule_name(rule: str) -> str:
    """A rule's title as written within a sentence."""
    title = Rulebook().rule(rule).title
    return title[:1].lower() + title[1:]


def _code(scene: ProjectScene, piece: Piece | None) -> str | None:
    return scene.work_code.get(piece.artwork.pk) if piece else None


def _said_by_work(findings: Iterable[Finding], scene: ProjectScene) -> dict[int, list[str]]:
    said: dict[int, list[str]] = {}
    for finding in findings:
        for code in finding.works:
            if code in scene.work_pk:
                said.setdefault(scene.work_pk[code], []).append(finding.text)
    return said


def _space_note(
    space: Space,
    assessment: Assessment,
    hung: Sequence[Piece],
    scene: ProjectScene,
    units: Units,
    chosen: Space | None,
    bares: Mapping[str, str],
) -> SpaceNote:
    titles = {scene.work_code.get(h.artwork.pk): h.artwork.title for h in hung}
    hanging = [
        titles[piece.work]
        for arrangement in assessment.arrangements
        if arrangement.space == space.id
        for piece in arrangement.pieces
        if piece.work in titles
    ]
    return SpaceNote(
        id=space.id,
        name=space_name(space),
        shape=space.shape,
        free=units.length(space.rect.width),
        wants=(units.band(*space.ideal.width), units.band(*space.ideal.height)),
        advice=ADVICE[space.advice],
        reasons=tuple(reason.text for reason in space.reasons),
        hangs=", ".join(hanging),
        pieces=len(hanging),
        bare=bares.get(space.id, bares.get("", "")),
        selected=chosen is not None and chosen.id == space.id,
    )


def space_name(space: Space) -> str:
    return (
        space.name
        or {
            "over_furniture": f"Over the {(space.over or 'furniture').split('-')[0].replace('_', ' ')}",
            "open_wall": "Open wall",
            "panel": "In the panel",
            "stair": "Along the stair",
        }[space.kind]
    )
