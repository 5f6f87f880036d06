"""How long pieces take to hang: for each piece, wall and visit, low and high, and how many people it asks for.

All figures are common practice, no source; a studio's own pace, learned from its jobs, scales them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .pieces import Piece

#: Minutes of one piece by its hardware: unpacking, marking, fixing, hanging, levelling.
BY_HARDWARE = {
    "sawtooth": (8.0, 14.0),
    "wire": (10.0, 18.0),
    "two_rings": (14.0, 24.0),
    "keyholes": (16.0, 28.0),
    "cleat": (22.0, 40.0),
    "unknown": (14.0, 28.0),
    "": (3.0, 6.0),
}
#: Minutes of each point in the wall beyond two, and for finding its place among others of a group.
MORE_POINTS, IN_A_GROUP = (3.0, 6.0), (3.0, 7.0)
#: How much longer it takes in what the wall is built of.
BY_BUILD = {"drywall": 1.0, "timber": 1.0, "plaster": 1.3, "tile": 1.7, "brick": 1.6, "concrete": 1.8}
OTHER_BUILD = 1.3
#: From a ladder, from a platform: upper edge above [mm], how much longer.
LADDER, PLATFORM = (2100.0, 1.25), (3000.0, 1.6)
#: Two people: heavier than [kg], or wider than [mm]; how much longer what is heavy takes. US and UK guidance on lifting
#: differs with posture; this is a planning figure only, common practice, no source.
TWO_FROM_KG, TWO_FROM_MM, HEAVY = 18.0, 1300.0, 1.4
#: Minutes of each wall (levels, protection) and of each visit (in, out, waste).
A_WALL, A_VISIT = (8.0, 15.0), (25.0, 45.0)


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours of the hanger and of a second person, low and high."""

    low: float = 0.0
    high: float = 0.0
    second_low: float = 0.0
    second_high: float = 0.0

    def __add__(self, other: Hours) -> Hours:
        return Hours(
            self.low + other.low,
            self.high + other.high,
            self.second_low + other.second_low,
            self.second_high + other.second_high,
        )

    def times(self, pace: float) -> Hours:
        return Hours(self.low * pace, self.high * pace, self.second_low * pace, self.second_high * pace)

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2

    @property
    def second(self) -> float:
        return (self.second_low + self.second_high) / 2


def people(piece: Piece) -> int:
    """How many it takes to hang a piece safely."""
    heavy = piece.weight_kg is not None and piece.weight_kg > TWO_FROM_KG
    return 2 if heavy or max(piece.width, piece.height) > TWO_FROM_MM or piece.top_mm > PLATFORM[0] else 1


def of_piece(piece: Piece) -> Hours:
    """One piece by itself."""
    more = max(0, piece.points - 2)
    factor = BY_BUILD.get(piece.build, OTHER_BUILD) if piece.points else 1.0
    factor *= PLATFORM[1] if piece.top_mm > PLATFORM[0] else LADDER[1] if piece.top_mm > LADDER[0] else 1.0
    factor *= HEAVY if piece.weight_kg is not None and piece.weight_kg > TWO_FROM_KG else 1.0
    low, high = (
        factor * (BY_HARDWARE.get(piece.hardware, BY_HARDWARE["unknown"])[end] + more * MORE_POINTS[end])
        + (IN_A_GROUP[end] if piece.group > 1 else 0.0)
        for end in (0, 1)
    )
    second = people(piece) > 1
    return Hours(low / 60, high / 60, low / 60 * second, high / 60 * second)


def of_wall() -> Hours:
    return Hours(A_WALL[0] / 60, A_WALL[1] / 60)


def of_visit() -> Hours:
    return Hours(A_VISIT[0] / 60, A_VISIT[1] / 60)


def of_all(pieces: Sequence[Piece], visits: int = 1) -> Hours:
    """All pieces, their walls and the visits."""
    walls = len({(piece.room, piece.wall) for piece in pieces})
    return added((*(of_piece(one) for one in pieces), *[of_wall()] * walls, *[of_visit()] * visits * bool(pieces)))


def added(hours: Iterable[Hours]) -> Hours:
    total = Hours()
    for one in hours:
        total = total + one
    return total
