"""Layouts that need no search: rows, columns, grids, pairs, trios, wings and stair runs, with exact gaps.

Each function takes (k, 2) widths and heights [mm] in the order of hanging from left to right (or bottom to top) and
returns (k, 4) boxes about a middle of its own; `Setting.place` puts them on the wall.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from ..house import Rail
from ..stairs import rail_at
from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats, Ints

Form = Literal["pair", "trio", "row", "column", "grid", "block", "salon", "stair"]
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


def grid(sizes: Floats, columns: int, gap: float, upright: float | None = None) -> Floats:
    """Rows of one size, the first row on top; each piece centred in a cell of the largest piece.

    upright: the gap between rows, `gap` where None.
    """
    cell = sizes.max(axis=0)
    at = np.arange(len(sizes))
    middle_x = (at % columns) * (cell[0] + gap) + cell[0] / 2
    middle_y = -(at // columns) * (cell[1] + (gap if upright is None else upright)) - cell[1] / 2
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


def size_classes(sizes: Floats) -> list[Ints]:
    """Indices of (k, 2) sizes by size, the largest class first, each in the order given."""
    left = list(range(len(sizes)))
    found = []
    while left:
        alike = [i for i in left if (np.abs(sizes[i] - sizes[left[0]]) <= SAME_SIZE_MM).all()]
        found.append(np.array(alike))
        left = [i for i in left if i not in alike]
    return sorted(found, key=lambda alike: -float(sizes[alike[0]].prod()))


def mirrored_order(sizes: Floats) -> Ints | None:
    """Order from left to right that is its own mirror image: equal pairs outwards by size from the middle.

    None where more than one size has an odd number of pieces.
    """
    classes = size_classes(sizes)
    odd = [alike for alike in classes if len(alike) % 2]
    if len(odd) > 1:
        return None
    rest = [alike for alike in classes if not any(alike is one for one in odd)]
    order = odd[0].tolist() if odd else []
    for alike in rest:
        half = len(alike) // 2
        order = [*alike[:half].tolist(), *order, *alike[half:].tolist()]
    return np.array(order)


def part_grid(sizes: Floats, columns: int, gap: float) -> Floats | None:
    """Rows of one size of which the lowest is short, its pieces in the middle cells; None where they cannot be.

    The pieces of the short row stand below others and the whole is its own mirror image.
    """
    short = len(sizes) % columns
    if not short or (columns - short) % 2:
        return None
    rows = len(sizes) // columns + 1
    full = grid(np.repeat(sizes.max(axis=0)[None], rows * columns, axis=0), columns, gap)
    first = (rows - 1) * columns + (columns - short) // 2
    cells = np.concatenate([full[: (rows - 1) * columns], full[first : first + short]])
    middle = (cells[:, :2] + cells[:, 2:]) / 2
    return np.concatenate([middle - sizes / 2, middle + sizes / 2], axis=1)


def wings(sizes: Floats, classes: list[Ints], core: int, columns: int, gaps: tuple[float, float, float]) -> Floats:
    """A block of one size with the other sizes in equal halves on either side, largest nearest; its own mirror image.

    Each half is a grid as nearly as high as the block; where it can, it stretches its own gaps so that it ends in line
    with the block's upper and lower edges.

    Args:
        classes: indices of each size; all but the core's are even in number.
        core: which of them is the block. columns: of the block's grid.
        gaps: lowest, wanted and highest [mm].
    """
    low, gap, high = gaps
    boxes = np.empty((len(sizes), 4))
    boxes[classes[core]] = _about(grid(sizes[classes[core]], columns, gap))
    tall = np.ptp(boxes[classes[core]][:, [BOTTOM, TOP]])
    edge = float(boxes[classes[core], RIGHT].max())
    for at, alike in enumerate(classes):
        if at == core:
            continue
        half = len(alike) // 2
        cell = sizes[alike].max(axis=0)
        across = min(
            (c for c in range(1, half + 1) if half % c == 0),
            key=lambda c: abs(half // c * (cell[1] + gap) - gap - tall),
        )
        rows = half // across
        upright = (tall - rows * cell[1]) / (rows - 1) if rows > 1 else gap
        wing = _about(grid(sizes[alike[:half]], across, gap, upright if low <= upright <= high else gap))
        width = float(wing[:, RIGHT].max() - wing[:, LEFT].min())
        edge += gap
        for side, members in ((-1, alike[:half]), (1, alike[half:])):
            shift = side * (edge + width / 2)
            boxes[members] = wing + np.array([shift, 0, shift, 0])
        edge += width
    return boxes


def _about(boxes: Floats) -> Floats:
    """Boxes moved so that their outline's middle is (0, 0)."""
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return np.asarray(boxes - np.tile((low + high) / 2, 2))


def stair_run(sizes: Floats, gap: float, rail: Rail, left: float) -> Floats:
    """A run whose middles lie on the handrail's line, in wall coordinates; `Setting.climbed` raises it.

    The rail's line is taken as going on beyond the rail's ends.

    Args:
        left: the first piece's left edge [mm].
    """
    boxes = row(sizes, gap)
    boxes[:, [LEFT, RIGHT]] += left
    line = rail_at(rail, (boxes[:, LEFT] + boxes[:, RIGHT]) / 2)
    boxes[:, BOTTOM] += line
    boxes[:, TOP] += line
    return boxes


def stair_tiers(sizes: Floats, tiers: Ints, gap: float, rail: Rail, left: float) -> Floats:
    """A run of columns whose middles lie on the rail's line: `tiers[c]` pieces in column c, lowest first.

    Args:
        sizes: (k, 2), column after column, each from the bottom up.
        tiers: pieces in each column, summing to k.
    """
    starts = np.concatenate([[0], np.cumsum(tiers)[:-1]])
    stacks = [column(sizes[at : at + count], gap) for at, count in zip(starts, tiers, strict=True)]
    base = stair_run(np.array([outline_size(stack) for stack in stacks]), gap, rail, left)
    middles = (base[:, :2] + base[:, 2:]) / 2
    return np.concatenate([_about(s) + np.tile(middle, 2) for s, middle in zip(stacks, middles, strict=True)])


def outline_size(boxes: Floats) -> Floats:
    """(2,) width and height of the outline of (k, 4) boxes [mm]."""
    return np.asarray(boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0))
