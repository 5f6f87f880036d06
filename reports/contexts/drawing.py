"""The elevation of a wall as the hanger needs it: numbered pieces, hook crosses, running dimensions from the datums."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from placements.drawings import PAPER, PHONE, DrawnPiece, Elevation, Guide, Mark, Running, draw_elevation
from placements.engine.hanging.studs import centres
from placements.engine.house import Rect, Wall
from studio.units import Units

from .pieces import SOLID, JobPiece
from .scales import IMPERIAL, METRIC, Scale

#: The printed margins of a page and its title block [mm].
MARGIN_MM, FOOT_MM = 12.0, 24.0
#: A drawing shares its page with the table while its scale is at most this much smaller than on a page of its own, or
#: at least so large.
SHARED, LARGE_ENOUGH = 2.0, 50


@dataclass(frozen=True, slots=True)
class Place:
    """The room for a wall's drawing [mm]: to the end of a page of its own, and beside its table, None where the table
    takes more than one page.
    """

    depth: float
    shared: float | None


def placed(
    wall: Wall, place: Place, paper: tuple[float, float], units: Units, draw: Callable[[Scale], str]
) -> tuple[Scale, str, str]:
    """The scale of a wall's drawing, its page and the drawing itself.

    The page is empty beside the table, else "own" or "wide" (a page of its own, upright or across).
    """
    width, height = paper
    across = width - 2 * MARGIN_MM
    head = height - MARGIN_MM - FOOT_MM - place.depth
    wide = fitted(draw, height - 2 * MARGIN_MM, width - MARGIN_MM - FOOT_MM - head, metric=units.metric)
    own = fitted(draw, across, place.depth, metric=units.metric)
    best, page = (wide, "wide") if wide[0].ratio < own[0].ratio else (own, "own")
    if place.shared is not None:
        shared = fitted(draw, across, place.shared, metric=units.metric)
        if shared[0].ratio <= max(best[0].ratio * SHARED, LARGE_ENOUGH):
            return shared[0], "", shared[1]
    return best[0], page, best[1]


def fitted(draw: Callable[[Scale], str], width: float, depth: float, *, metric: bool) -> tuple[Scale, str]:
    """The largest standard scale at which what is drawn fits a place [mm], and the drawing."""
    for scale in METRIC if metric else IMPERIAL:
        svg = draw(scale)
        wide, high = (float(size) for size in _SIZE.findall(svg[:400])[:2])
        if wide <= width and high <= depth:
            return scale, svg
    return scale, svg


_SIZE = re.compile(r' (?:width|height)="([0-9.]+)mm"')


def draw_wall(wall: Wall, pieces: Sequence[JobPiece], units: Units, scale: Scale, pictures: Mapping[str, str]) -> str:
    """The wall to scale on paper, in millimetres: each piece with its number, and the level line.

    Hooks are labelled, and dimensioned from the left end and the floor, where each figure has room at its hook; else
    the details have them.
    """
    strings = running(pieces, units)
    roomy = all(_roomy(one.at, scale) for one in strings)
    given = Elevation(
        wall,
        pieces=tuple(_drawn(piece, pictures.get(piece.work.id, "")) for piece in pieces),
        marks=marks(pieces) if roomy else tuple(dataclasses.replace(mark, label="") for mark in marks(pieces)),
        running=strings if roomy else (),
        studs=centres(wall.studs, wall.length) if wall.studs and wall.build not in SOLID else (),
        guides=(Guide("eye_line", Rect(0, level_mm(units), wall.length, 0.01)),),
        title=f"{wall.name}, elevation at {scale.label}",
    )
    return draw_elevation(given, manner=PAPER, words=units, scale=1 / scale.ratio, unit="mm")


def _roomy(at: Sequence[float], scale: Scale) -> bool:
    """Whether figures along a line stand beside their own ticks, moved by no more than a line of lettering."""
    step, free = PAPER.text * 1.1, -1e9
    for here in (mm / scale.ratio for mm in at):
        place = max(here, free)
        if place - here > step:
            return False
        free = place + step
    return True


def level_mm(units: Units) -> float:
    """How high the line that a laser or a water level strikes is above the highest point of the floor [mm]: 1.5 m or
    5 ft, common practice, no source.
    """
    return 1500.0 if units.metric else 1524.0


def draw_record(
    wall: Wall, pieces: Sequence[JobPiece], units: Units, scale: Scale, pictures: Mapping[str, str], title: str
) -> str:
    """The wall on paper with each piece and its picture where the record has it, dimensioned by left and top edges."""
    lefts = sorted({units.rounded(piece.rect.left) for piece in pieces})
    tops = sorted({units.rounded(piece.rect.top) for piece in pieces})
    given = Elevation(
        wall,
        pieces=tuple(_drawn(piece, pictures.get(piece.work.id, "")) for piece in pieces),
        running=(
            Running("bottom", tuple(lefts), tuple(units.length(at) for at in lefts)),
            Running("right", tuple(tops), tuple(units.length(at) for at in tops)),
        ),
        title=f"{title} at {scale.label}",
    )
    return draw_elevation(given, manner=PAPER, words=units, scale=1 / scale.ratio, unit="mm")


def draw_focus(wall: Wall, pieces: Sequence[JobPiece], focus: JobPiece, units: Units, *, width: float) -> str:
    """The wall on a phone: only `focus` inked, with its hooks dimensioned, the rest in pencil."""
    given = Elevation(
        wall,
        pieces=tuple(_drawn(piece, "") for piece in pieces),
        marks=marks([focus]),
        running=running([focus], units),
        inked=frozenset({focus.work.id}),
        title=f"{focus.work.title} on the {wall.name}",
    )
    return draw_elevation(given, manner=PHONE, words=units, width=width)


def draw_small(wall: Wall, pieces: Sequence[JobPiece], units: Units, *, width: float) -> str:
    """The whole wall on a phone, every piece inked with its number: for whoever looks at it and takes it over."""
    given = Elevation(
        wall,
        pieces=tuple(_drawn(piece, "") for piece in pieces),
        title=f"{wall.name} with {len(pieces)} piece{'s' if len(pieces) > 1 else ''}",
    )
    return draw_elevation(given, manner=PHONE, words=units, width=width)


def _drawn(piece: JobPiece, picture: str) -> DrawnPiece:
    work = piece.work
    return DrawnPiece(
        id=work.id,
        title=work.title,
        rect=piece.rect,
        picture=picture,
        form=work.form,
        frame=work.frame,
        number=str(piece.number),
    )


def marks(pieces: Sequence[JobPiece]) -> tuple[Mark, ...]:
    return tuple(
        Mark(hook.fastened.point.left, hook.fastened.point.height, hook.label)
        for piece in pieces
        for hook in piece.points
    )


def running(pieces: Sequence[JobPiece], units: Units) -> tuple[Running, ...]:
    """Running dimensions of every hook, each height and each distance once."""
    hooks = [hook for piece in pieces for hook in piece.points]
    along = sorted({hook.datum_mm for hook in hooks})
    up = sorted({hook.floor_mm for hook in hooks})
    if not hooks:
        return ()
    return (
        Running("bottom", tuple(along), tuple(units.length(at) for at in along)),
        Running("right", tuple(up), tuple(units.length(at) for at in up)),
    )
