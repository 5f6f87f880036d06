"""A group as pages show it: small in a list of layouts; large on the floor and on the wall while it is edited."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from placements.drawings import SCREEN, STRIP, DrawnPiece, Elevation, Manner, Running, draw_elevation
from placements.drawings.elevation import fitting_scale
from placements.engine.groups.layout import GroupLayout
from placements.engine.house import Rect, Wall
from placements.engine.results import Finding
from placements.engine.rulebook import Rulebook
from placements.selectors.groups import FORMS, Ground, state_of
from placements.selectors.walls import WallInHand
from studio.models import Artwork
from studio.units import Units
from studio.words import sentence

from .drawn import SheetRoom, boxed, drawn_piece, drawn_wall, small_elevation, studio_picture
from .wall import guides_of

#: The pieces as they lie on the floor before hanging: close together, measured from the group's lower left corner.
FLOOR: Manner = dataclasses.replace(
    SCREEN, name="floor", top=44, bottom=14, left=14, right=60, overall=False, chained=False
)
#: Up to so many pieces every edge and gap is dimensioned in one chain; more would crowd it.
CHAINED = 5


@dataclass(frozen=True, slots=True)
class LayoutNote:
    number: int
    name: str
    score: int
    drawing: SafeString
    reasons: tuple[str, ...]
    findings: tuple[Finding, ...]
    works: tuple[str, ...]
    size: str
    state: str


@dataclass(frozen=True, slots=True)
class GroupPiece:
    artwork: Artwork
    locked: bool
    order: int


@dataclass(frozen=True, slots=True)
class GroupPicture:
    """The floor and the wall, in step, with what the group measures."""

    floor: SafeString
    wall: SafeString
    name: str
    score: int
    size: str
    middle: str
    gap: str
    reasons: tuple[str, ...]
    findings: tuple[Finding, ...]
    pieces: tuple[GroupPiece, ...]
    chosen: GroupPiece | None


def layout_note(hand: WallInHand, ground: Ground, layout: GroupLayout, units: Units, number: int) -> LayoutNote:
    works = _works(ground)
    rest = hand.besides(ground.hung_here)
    group = [ground.scene.piece(hanging) for hanging in layout.hangings]
    outline = layout.measures.outline
    return LayoutNote(
        number=number,
        name=FORMS[layout.form],
        score=round(layout.score),
        drawing=small_elevation(
            hand.wall, [*rest, *group], scale=0.075, manner=STRIP, picture_url=studio_picture, key=f"layout-{number}"
        ),
        reasons=tuple(sentence(reason.text) for reason in layout.reasons),
        findings=tuple(finding for finding in layout.findings if finding.level != "note"),
        works=tuple(works[h.work].title for h in layout.hangings),
        size=units.size(outline.width, outline.height),
        state=json.dumps(state_of(ground, layout)),
    )


def group_picture(
    hand: WallInHand, ground: Ground, layout: GroupLayout, units: Units, *, room: SheetRoom, selected: str = ""
) -> GroupPicture:
    works = _works(ground)
    pieces = tuple(
        drawn_piece(
            works[h.work],
            h.left,
            h.bottom,
            picture=studio_picture(works[h.work], "page"),
            number=str(h.order),
            locked=h.work in layout.locked,
            described=f"Number {h.order} in the order of hanging.",
        )
        for h in layout.hangings
    )
    members = tuple(GroupPiece(works[h.work], h.work in layout.locked, h.order) for h in layout.hangings)
    chosen = next((piece for piece in members if str(piece.artwork.pk) == selected), None)
    outline = layout.measures.outline
    rest = tuple(
        drawn_piece(piece.artwork, piece.left_mm, piece.bottom_mm, picture=studio_picture(piece.artwork, "strip"))
        for piece in hand.besides({*ground.hung_here, *(works[h.work].pk for h in layout.hangings)})
    )
    rulebook = Rulebook.for_house(ground.scene.house)
    # In the hand the wall is too small for numbers on small pieces; the floor above shows them.
    numbered = pieces if room.manner is SCREEN else tuple(dataclasses.replace(piece, number="") for piece in pieces)
    on_wall = Elevation(
        drawn_wall(hand.wall, key="group-wall"),
        (*rest, *numbered),
        guides=guides_of(hand.wall, ground.space, rulebook, units),
        selected=selected,
        title=f"The group on {hand.wall.name}",
    )
    # Every text in the drawings is escaped by `placements.drawings`.
    return GroupPicture(
        floor=mark_safe(floor_picture(pieces, outline, units, selected, room)),
        wall=mark_safe(
            draw_elevation(
                on_wall, manner=room.manner, words=units, width=room.width, height=room.height, interactive=True
            )
        ),
        name=FORMS[layout.form],
        score=round(layout.score),
        size=units.size(outline.width, outline.height),
        middle=units.length(outline.centre_y),
        gap=boxed(ground.site.limits.gap, units),
        reasons=tuple(sentence(reason.text) for reason in layout.reasons),
        findings=tuple(finding for finding in layout.findings if finding.level != "note"),
        pieces=members,
        chosen=chosen,
    )


def floor_picture(pieces: tuple[DrawnPiece, ...], outline: Rect, units: Units, selected: str, room: SheetRoom) -> str:
    """The pieces by themselves. A few are dimensioned in a chain, gaps included; of more the chosen piece, or where
    none is chosen every edge that has room, is measured from the group's lower left corner."""
    moved = tuple(
        dataclasses.replace(
            piece,
            rect=Rect(
                piece.rect.left - outline.left,
                piece.rect.bottom - outline.bottom,
                piece.rect.width,
                piece.rect.height,
            ),
        )
        for piece in pieces
    )
    few = len(moved) <= CHAINED
    width, height = (room.width, room.height) if room.enlarged else (min(room.width, 620.0), 460.0)
    given = Elevation(
        Wall("group-floor", "", "Floor", outline.width, outline.height),
        moved,
        measured=tuple(piece.id for piece in moved) if few else (),
        running=() if few else _running(moved, outline, units, selected, (width, height)),
        selected=selected,
        title="The group on the floor",
    )
    return draw_elevation(given, manner=FLOOR, words=units, width=width, height=height, interactive=True)


def _running(
    pieces: tuple[DrawnPiece, ...], outline: Rect, units: Units, selected: str, room: tuple[float, float]
) -> tuple[Running, Running]:
    """Along the top and up the right from one datum, so no slip adds up; figures that would touch are left out."""
    chosen = [piece.rect for piece in pieces if piece.id == selected] or [piece.rect for piece in pieces]
    scale = fitting_scale(outline.width, outline.height, FLOOR, *room)
    apart = FLOOR.text * 1.25 / scale
    across = _parted([edge for r in chosen for edge in (r.left, r.right)], outline.width, apart)
    up = _parted([edge for r in chosen for edge in (r.bottom, r.top)], outline.height, apart)
    return (
        Running("top", across, tuple(units.length(at) for at in across)),
        Running("right", up, tuple(units.length(at) for at in up)),
    )


def _parted(edges: list[float], whole: float, apart: float) -> tuple[float, ...]:
    """Edges in order, the whole's end always among them, those too near another left out."""
    kept: list[float] = []
    for edge in sorted(edges):
        if edge > apart and whole - edge > apart and (not kept or edge - kept[-1] >= apart):
            kept.append(edge)
    return (*kept, whole)


def _works(ground: Ground) -> dict[str, Artwork]:
    by_pk = {artwork.pk: artwork for artwork in ground.pool}
    return {code: by_pk[pk] for code, pk in ground.scene.work_pk.items() if pk in by_pk}
