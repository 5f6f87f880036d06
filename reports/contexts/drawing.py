"""The elevation of a wall as the hanger needs it: numbered pieces, hook crosses, running dimensions from the datums."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from placements.drawings import PAPER, PHONE, DrawnPiece, Elevation, Mark, Running, draw_elevation
from placements.engine.house import Wall
from studio.units import Units

from .pieces import JobPiece
from .scales import Scale


def draw_wall(
    wall: Wall, pieces: Sequence[JobPiece], units: Units, *, scale: Scale, pictures: Mapping[str, str]
) -> str:
    """The wall to scale on paper, in millimetres, with every hook dimensioned from the left end and the floor."""
    given = Elevation(
        wall,
        pieces=tuple(_drawn(piece, pictures.get(piece.work.id, "")) for piece in pieces),
        marks=marks(pieces),
        running=running(pieces, units),
        title=f"{wall.name}, elevation at {scale.label}",
    )
    return draw_elevation(given, manner=PAPER, words=units, scale=1 / scale.ratio, unit="mm")


def draw_as_hung(wall: Wall, pieces: Sequence[JobPiece], units: Units, *, scale: Scale) -> str:
    """The wall on paper with each piece where it was measured to hang, dimensioned by its left and top edges."""
    lefts = sorted({units.rounded(piece.rect.left) for piece in pieces})
    tops = sorted({units.rounded(piece.rect.top) for piece in pieces})
    given = Elevation(
        wall,
        pieces=tuple(_drawn(piece, "") for piece in pieces),
        running=(
            Running("bottom", tuple(lefts), tuple(units.length(at) for at in lefts)),
            Running("right", tuple(tops), tuple(units.length(at) for at in tops)),
        ),
        title=f"{wall.name}, as hung, at {scale.label}",
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
