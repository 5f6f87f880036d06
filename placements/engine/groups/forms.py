"""Layouts that need no search: rows, columns, grids, pairs, trios and stair runs, with exact gaps.

Each function takes (k, 2) widths and heights [mm] in the order of hanging from left to right (or bottom to top) and
returns (k, 4) boxes about a middle of its own; `Setting.place` puts them on the wall.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from ..house import Rail
from ..stairs import rail_at, slope_of
from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats, Ints

Form = Literal["pair", "trio", "row", "column", "grid", "salon", "stair"]
Line = Literal["centre", "top", "bottom"]

#: Pieces whose sides differ by less hang as one size [mm]; common practice (1/8 in), no source.
SAME_SIZE_MM = 3.2


def same_size(sizes: Floats) -> bool:
    """Whether (k, 2) sizes are all one size."""
    return bool((np.ptp(sizes, axis=0) <= SAME_SIZE_MM).all())


def row(sizes: Floats, gap: float, line: Line = "centre") -> Floats:
    """A straight row on a shared centre line, or with tops or bottoms in line."""
    left = np.concatenate([[0.0], np.cumsum(sizes[:-1, 0] + gap)])
    bottom = {"centre": -sizes[:, 1] / 2, "top": -sizes[:, 1], "bottom": np.zeros(len(sizes))}[line]
    return np.stack([left, bottom, left + sizes[:, 0], bottom + sizes[:, 1]], axis=1)


def column(sizes: Floats, gap: float) -> Floats:
    """A column on a shared centre line, from the bottom up."""
    return row(sizes[:, ::-1], gap)[:, [BOTTOM, LEFT, TOP, RIGHT]]


def grid(sizes: Floats, columns: int, gap: float) -> Floats:
    """Rows of one size, the first row on top; each piece centred in a cell of the largest piece."""
    cell = sizes.max(axis=0)
    at = np.arange(len(sizes))
    middle_x = (at % columns) * (cell[0] + gap) + cell[0] / 2
    middle_y = -(at // columns) * (cell[1] + gap) - cell[1] / 2
    half = sizes / 2
    return np.stack(
        [middle_x - half[:, 0], middle_y - half[:, 1], middle_x + half[:, 0], middle_y + half[:, 1]], axis=1
    )


def grid_columns(count: int) -> list[int]:
    """Column counts that make whole grids of at least two rows and two columns."""
    return [c for c in range(2, count // 2 + 1) if count % c == 0]


def flanked(sizes: Floats, gap: float) -> Floats | None:
    """The first piece with the other two stacked beside it, tops and bottoms in line as near as the gap allows.

    The two may stand a little closer or farther apart than the gap, within a quarter of it, so that their outer edges
    meet the first piece's; None where that cannot be.
    """
    (w, h), (w1, h1), (w2, h2) = sizes
    between = h - h1 - h2
    if abs(between - gap) > gap / 4:
        return None
    x = w + gap
    return np.array([(0, 0, w, h), (x, 0, x + w1, h1), (x, h - h2, x + w2, h)], dtype=np.float64)


def largest_in_middle(sizes: Floats) -> Ints:
    """Order from left to right: the largest in the middle, the rest outward by size, heavier sides alternating."""
    by_size = np.argsort(-sizes[:, 0] * sizes[:, 1], kind="stable")
    left: list[int] = []
    right: list[int] = []
    mass = [0.0, 0.0]
    for i in by_size[1:]:
        side = 0 if (len(left), mass[0]) <= (len(right), mass[1]) else 1
        (left if side == 0 else right).append(int(i))
        mass[side] += float(sizes[i].prod())
    return np.array([*reversed(left), int(by_size[0]), *right])


def stair_run(sizes: Floats, gap: float, rail: Rail, left: float) -> Floats:
    """A run that stands on the handrail line, in wall coordinates; `Setting.climbed` raises it.

    The middles of the lower edges lie on one line parallel to the rail. That line is offset so that the widest piece's
    corner, the one that comes nearest to the rail, stands exactly on it: no corner crosses. The rail's line is taken as
    going on beyond the rail's ends.

    Args:
        left: the first piece's left edge [mm].
    """
    boxes = row(sizes, gap)
    boxes[:, [LEFT, RIGHT]] += left
    middle = (boxes[:, LEFT] + boxes[:, RIGHT]) / 2
    bottom = rail_at(rail, middle) + abs(slope_of(rail)) * sizes[:, 0].max() / 2
    boxes[:, TOP] = bottom + sizes[:, 1]
    boxes[:, BOTTOM] = bottom
    return boxes


def stair_tiers(sizes: Floats, tiers: Ints, gap: float, rail: Rail, left: float) -> Floats:
    """A run of columns that stand on the rail's line: `tiers[c]` pieces in column c, lowest first, about its middle.

    Args:
        sizes: (k, 2), column after column, each from the bottom up.
        tiers: pieces in each column, summing to k.
    """
    starts = np.concatenate([[0], np.cumsum(tiers)[:-1]])
    widths = np.maximum.reduceat(sizes[:, 0], starts)
    base = stair_run(np.stack([widths, np.ones(len(widths))], axis=1), gap, rail, left)
    boxes = np.empty((len(sizes), 4))
    for c, (start, count) in enumerate(zip(starts.tolist(), tiers.tolist(), strict=True)):
        stack = column(sizes[start : start + count], gap)
        stack[:, [LEFT, RIGHT]] += (base[c, LEFT] + base[c, RIGHT]) / 2 - (
            stack[:, LEFT].min() + stack[:, RIGHT].max()
        ) / 2
        stack[:, [BOTTOM, TOP]] += base[c, BOTTOM] - stack[:, BOTTOM].min()
        boxes[start : start + count] = stack
    return boxes
