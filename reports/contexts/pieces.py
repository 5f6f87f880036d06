"""Every piece of a job with its hooks in the numbers that a hanger measures.

Distances are rounded once, from the fixed datums (the wall's left end, the finished floor), to 1/16 in or 1 mm.
Every other distance on a sheet is the difference of two rounded ones, so that the numbers agree with one another and
slips do not add up.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from placements.engine.facade import bearer_below, standing
from placements.engine.fixings import Choice
from placements.engine.hanging.cautions import Caution, cautions
from placements.engine.hanging.fasten import Fastened, Fastening, fasten
from placements.engine.hanging.points import Hooks, hook_points
from placements.engine.hanging.studs import best_shift
from placements.engine.house import House, Item, Rect, Room, Wall, Work
from placements.engine.names import small
from placements.engine.results import Hanging
from studio.units import Units

#: Walls without studs behind them.
SOLID = ("brick", "concrete")
UNKNOWN_STUDS = "studs not known"

#: What there is to mind about a piece that stands and is fixed to nothing.
MINDED_STANDING = ("two-persons", "glass", "heat", "ladder", "topple")
#: Where a piece stands by its own hardware.
STANDS = {"easel": "on its easel", "lean": "leaning on the wall"}

HARDWARE = {
    "wire": "wire",
    "two_rings": "two rings",
    "sawtooth": "sawtooth hanger",
    "cleat": "cleat",
    "keyholes": "keyholes",
    "ring": "single ring",
    "straps": "strap hangers",
    "security": "security hangers",
    "batten": "textile batten",
    "rods": "rods or cables from the picture rail",
    "unknown": "not measured",
}


@dataclass(frozen=True, slots=True)
class Hook:
    """One hook in rounded millimetres: from the datum (left end of the wall), from the floor, above the bearer."""

    label: str
    datum_mm: float
    floor_mm: float
    bearer_mm: float | None
    fastened: Fastened

    @property
    def nail_mm(self) -> float | None:
        """How high the nail or screw is [mm]; None where the hook in the hand has to be measured."""
        rise = self.fastened.choice.rise_mm
        return None if rise is None else self.floor_mm + rise


@dataclass(frozen=True, slots=True)
class JobPiece:
    """One piece at its place. `number` counts through the job in order of hanging; `step` on its own wall.

    `check_mm` is the distance between its two hooks, `across_mm` and `up_mm` from the first hook of the piece
    hung before it on the same wall to its own first hook. `gap` is the distance to the piece beside it on its left,
    else to the one below it, and that piece's number. `stands` says where a piece stands that does not hang ("in the
    niche"): it has no hooks and needs no fixing. `moved_mm` is how far its hooks moved right to meet studs; `rect` is
    its place in the plan all the same.
    """

    number: int
    step: int
    work: Work
    wall: Wall
    room: Room
    rect: Rect
    bearer: Item | None
    hooks: Hooks
    points: tuple[Hook, ...]
    fastening: Fastening
    cautions: tuple[Caution, ...]
    check_mm: float | None = None
    before: int | None = None
    across_mm: float | None = None
    up_mm: float | None = None
    gap: tuple[float, int] | None = None
    stands: str = ""
    moved_mm: float = 0.0

    @property
    def hardware(self) -> str:
        if self.stands:
            return f"stands {self.stands}, {'no hook' if self.fastening.extras else 'no fixing'}"
        return HARDWARE[self.hooks.kind]


def job_pieces(
    house: House,
    hangings: Iterable[Hanging],
    units: Units,
    spaces: Mapping[str, str] | None = None,
    to_studs_mm: float = 0.0,
) -> tuple[JobPiece, ...]:
    """Every hanging of a job, numbered wall by wall in house order, space by space from the left, then in order of
    hanging. `spaces` says which space each work hangs in, by their ids; hooks move up to `to_studs_mm` to meet studs.
    """
    hangings = tuple(hangings)
    stands = {one.work.id: small(one.stand.name) for one in standing(house, hangings)}
    by_wall: dict[str, list[Hanging]] = {}
    for hanging in hangings:
        by_wall.setdefault(hanging.wall, []).append(hanging)
    pieces: list[JobPiece] = []
    for room, wall in house.walls():
        for step, hanging in enumerate(_in_order(by_wall.get(wall.id, []), spaces or {}), start=1):
            work = house.work_by_id[hanging.work]
            piece = _piece(len(pieces) + 1, step, work, wall, room, hanging, units, to_studs_mm)
            if work.id in stands:
                piece = _standing(piece, stands[work.id])
            elif piece.hooks.kind in STANDS:
                piece = _standing(piece, STANDS[piece.hooks.kind], piece.fastening.extras)
            pieces.append(piece)
    return with_gaps(checked(pieces), units)


def checked(pieces: Iterable[JobPiece]) -> tuple[JobPiece, ...]:
    """The pieces of a job in their order, each with its checks: between its hooks, and from the piece before it."""
    found: list[JobPiece] = []
    for piece in pieces:
        before = found[-1] if piece.step > 1 else None
        first, last = (piece.points[0], before.points[0]) if piece.points and before and before.points else (None, None)
        found.append(
            dataclasses.replace(
                piece,
                check_mm=piece.points[1].datum_mm - piece.points[0].datum_mm if len(piece.points) == 2 else None,
                before=before.number if before else None,
                across_mm=first.datum_mm - last.datum_mm if first and last else None,
                up_mm=first.floor_mm - last.floor_mm if first and last else None,
            )
        )
    return tuple(found)


def with_gaps(pieces: Iterable[JobPiece], units: Units) -> tuple[JobPiece, ...]:
    """The pieces with the gap of each to its neighbour: between rounded edges, so that the numbers agree."""
    given = tuple(pieces)
    return tuple(dataclasses.replace(piece, gap=_gap(piece, given, units)) for piece in given)


#: Pieces farther apart than this are no neighbours [mm]: 24 in, common practice, no source.
NEIGHBOURS_MM = 610.0


def _gap(piece: JobPiece, pieces: Iterable[JobPiece], units: Units) -> tuple[float, int] | None:
    mine = piece.rect
    beside, below = [], []
    for other in pieces:
        rect = other.rect
        if other is piece or other.wall.id != piece.wall.id:
            continue
        if rect.right <= mine.left and rect.bottom < mine.top and mine.bottom < rect.top:
            beside.append((units.rounded(mine.left) - units.rounded(rect.right), other.number))
        if rect.top <= mine.bottom and rect.left < mine.right and mine.left < rect.right:
            below.append((units.rounded(mine.bottom) - units.rounded(rect.top), other.number))
    near = [gap for gap in (*sorted(beside)[:1], *sorted(below)[:1]) if gap[0] <= NEIGHBOURS_MM]
    return near[0] if near else None


def _in_order(hangings: list[Hanging], spaces: Mapping[str, str]) -> list[Hanging]:
    """One wall's hangings, those of one space together."""
    starts: dict[str, float] = {}
    for hanging in hangings:
        space = spaces.get(hanging.work, "")
        starts[space] = min(hanging.left, starts.get(space, hanging.left))
    return sorted(
        hangings,
        key=lambda hanging: (
            starts[spaces.get(hanging.work, "")],
            spaces.get(hanging.work, ""),
            hanging.order,
            hanging.left,
        ),
    )


def _piece(
    number: int,
    step: int,
    work: Work,
    wall: Wall,
    room: Room,
    hanging: Hanging,
    units: Units,
    to_studs_mm: float,
) -> JobPiece:
    rect = Rect(hanging.left, hanging.bottom, work.width, work.height)
    hooks = hook_points(work, rect.left, rect.bottom, wall=wall, words=units)
    fastening = fasten(room, wall, rect, hooks)
    moved = best_shift(wall, tuple(point.left for point in hooks.points), to_studs_mm) if fastening.shift else None
    if moved is not None:
        points = tuple(dataclasses.replace(point, left=point.left + moved.by) for point in hooks.points)
        hooks = dataclasses.replace(hooks, points=points)
        fastening = fasten(room, wall, rect, hooks)
    bearer = bearer_below(wall, rect)
    return JobPiece(
        number=number,
        step=step,
        work=work,
        wall=wall,
        room=room,
        rect=rect,
        bearer=bearer,
        hooks=hooks,
        points=rounded_hooks(number, fastening, bearer, units),
        fastening=fastening,
        cautions=cautions(work, room, wall, rect, fastening, units),
        moved_mm=moved.by if moved else 0.0,
    )


def _standing(piece: JobPiece, stands: str, extras: tuple[str, ...] = ()) -> JobPiece:
    """A piece that stands where it is: no hook goes into the wall for it; `extras` keep it from falling."""
    return dataclasses.replace(
        piece,
        stands=stands,
        hooks=dataclasses.replace(piece.hooks, points=(), drop=None, troubles=()),
        points=(),
        fastening=dataclasses.replace(piece.fastening, points=(), shift=None, extras=extras),
        cautions=tuple(one for one in piece.cautions if one.code in MINDED_STANDING),
    )


def rounded_hooks(number: int, fastening: Fastening, bearer: Item | None, units: Units) -> tuple[Hook, ...]:
    """The hooks of piece `number`, labelled 3a and 3b, or 3 where there is one."""
    several = len(fastening.points) > 1
    top = units.rounded(bearer.bottom + bearer.height) if bearer else None
    hooks = []
    for index, fastened in enumerate(fastening.points):
        floor = units.rounded(fastened.point.height)
        hooks.append(
            Hook(
                label=f"{number}{'abcdefgh'[index]}" if several else str(number),
                datum_mm=units.rounded(fastened.point.left),
                floor_mm=floor,
                bearer_mm=floor - top if top is not None else None,
                fastened=fastened,
            )
        )
    return tuple(hooks)


def fixing_text(choice: Choice) -> str:
    """The fixing at one point, and how many where one is too weak."""
    return choice.name if choice.count == 1 else f"{choice.count} × {choice.name}"
