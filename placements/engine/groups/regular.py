"""Every regular arrangement of given pieces in a setting: rows, columns, whole grids, blocks between wings, stair runs.

No search and no limit on how many pieces: what fits the setting is laid out, the most fitting first.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

import numpy as np

from ..house import Work
from ..rule import quarter
from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats, Ints, outline_of
from .forms import (
    Form,
    column,
    flanked,
    grid,
    grid_columns,
    largest_in_middle,
    mirrored_order,
    outline_size,
    part_grid,
    row,
    size_classes,
    stair_run,
    stair_tiers,
    wings,
)
from .setting import GroupLimits, Setting

#: A form's name, and (k, 4) boxes on the wall [mm] in the order of the pieces given.
Laid = tuple[Form, Floats]

#: What an arrangement loses for an outline outside the wanted width or height, for its shape, for how far its grid is
#: from square, for being no mirror image of itself, for a column. Common practice, no source.
_SIZE, _SHAPE, _LONG, _UNLIKE, _COLUMN = 2.0, 0.5, 0.12, 0.4, 0.3
#: More sizes than this read as a mixture, not as a block between wings.
_SIZES = 4


def in_reading_order(works: Sequence[Work]) -> tuple[Work, ...]:
    """Works as a list of them reads: by title with numbers as numbers, then by id, whatever order they came in."""
    return tuple(sorted(works, key=lambda w: (_natural(w.title), _natural(w.id))))


def _natural(text: str) -> tuple[tuple[int, str], ...]:
    parts = re.findall(r"\d+|\D+", text.lower())
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in parts)


def regular(sizes: Floats, setting: Setting, limits: GroupLimits, most: int | None = None) -> list[Laid]:
    """Regular arrangements of all the pieces that fit the setting, the most fitting first.

    Args:
        sizes: (k, 2) widths and heights [mm]; of equal pieces the first hangs first as one reads.
        most: how many to return; all where None.

    Notes: a grid with a short row is laid out only where no whole form fits.
    """
    classes = size_classes(sizes)
    whole = _fitting(_whole(sizes, classes, setting, limits), classes, setting)
    if not whole and len(classes) == 1 and setting.rail is None:
        parts = (part_grid(sizes, c, limits.gap) for c in range(2, len(sizes)))
        whole = _fitting((("grid", boxes) for boxes in parts if boxes is not None), classes, setting)
    ranked = sorted(whole, key=lambda laid: (round(_cost(laid, setting), 6), laid[0]))
    return ranked[:most]


def _whole(sizes: Floats, classes: list[Ints], setting: Setting, limits: GroupLimits) -> Iterator[Laid]:
    """The forms, each about a middle of its own (on a stair on the rail's line)."""
    count, gap = len(sizes), limits.gap
    if setting.rail is not None:
        yield from _on_stair(sizes, setting, gap)
        return
    if count == 1:
        yield "row", row(sizes, gap)
        return
    name: Form = "pair" if count == 2 else "trio" if count == 3 else "row"
    if len(classes) == 1:
        order = np.arange(count)
    else:
        mirrored = mirrored_order(sizes)
        order = largest_in_middle(sizes) if mirrored is None else mirrored
    for between in _gaps(sizes, setting, limits):
        yield name, _back(row(sizes[order], between), order)
    yield name if count <= 3 else "column", _back(column(sizes[order], gap), order)
    if len(classes) == 1:
        for columns in grid_columns(count):
            yield "grid", grid(sizes, columns, gap)
        return
    if count == 3:
        by_size = np.argsort(-sizes.prod(axis=1), kind="stable")
        beside = flanked(sizes[by_size], gap)
        if beside is not None:
            yield "trio", _back(beside, by_size)
    yield from _blocks(sizes, classes, limits)


def _gaps(sizes: Floats, setting: Setting, limits: GroupLimits) -> list[float]:
    """The gap to hang a row by; of a few pieces also a wider one that brings the row nearer to the wanted width."""
    gap, high = limits.gap, limits.gap_band(len(sizes))[1]
    wanted = quarter((setting.aim[0] - float(sizes[:, 0].sum())) / (len(sizes) - 1))
    wider = min(wanted, high)
    return [gap, wider] if high > limits.gap_high and wider > gap + 1 else [gap]


def _blocks(sizes: Floats, classes: list[Ints], limits: GroupLimits) -> Iterator[Laid]:
    """A block of one size with the others mirrored about it: to left and right, or below and above."""
    odd = [at for at, alike in enumerate(classes) if len(alike) % 2]
    if len(classes) > _SIZES or len(odd) > 1:
        return
    gaps = limits.gap_low, limits.gap, limits.gap_band(len(sizes))[1]
    for core in odd or range(len(classes)):
        inside = len(classes[core])
        for columns in (c for c in range(1, inside + 1) if inside % c == 0):
            yield "block", wings(sizes, classes, core, columns, gaps)
            yield "block", wings(sizes[:, ::-1], classes, core, columns, gaps)[:, [BOTTOM, LEFT, TOP, RIGHT]]


def _on_stair(sizes: Floats, setting: Setting, gap: float) -> Iterator[Laid]:
    """One run along the rail, and one of two tiers, their middles on a line parallel to it."""
    rail = setting.rail
    assert rail is not None
    order = largest_in_middle(sizes)
    run = row(sizes[order], gap)
    left = setting.axis - float(outline_size(run)[0]) / 2
    yield "stair", _back(setting.climbed(stair_run(sizes[order], gap, rail, left)), order)
    if len(sizes) < 4:
        return
    by_size = np.argsort(-sizes.prod(axis=1), kind="stable")
    columns = (len(sizes) + 1) // 2
    lower = by_size[:columns][largest_in_middle(sizes[by_size[:columns]])].tolist()
    upper = by_size[columns:].tolist()
    single = columns // 2 if len(sizes) % 2 else None  # the odd one out stands alone in the middle
    stacks = [[low] if at == single else [low, upper.pop(0)] for at, low in enumerate(lower)]
    picks = np.array([i for stack in stacks for i in stack])
    width = sum(float(sizes[stack, 0].max()) for stack in stacks) + gap * (columns - 1)
    tiers = np.array([len(stack) for stack in stacks])
    boxes = stair_tiers(sizes[picks], tiers, gap, rail, setting.axis - width / 2)
    yield "stair", _back(setting.climbed(boxes), picks)


def _back(boxes: Floats, order: Ints) -> Floats:
    """Boxes in the pieces' own order, of boxes in the order in which they were laid."""
    own = np.empty_like(boxes)
    own[order] = boxes
    return own


def _fitting(found: Iterator[Laid], classes: list[Ints], setting: Setting) -> list[Laid]:
    """Those that fit, each once, on the wall and with equal pieces in reading order."""
    kept: list[Laid] = []
    seen: set[bytes] = set()
    for form, boxes in found:
        width, height = outline_size(boxes).tolist()
        if width > setting.bounds.width + 1e-6 or height > setting.bounds.height + 1e-6:
            continue
        placed = boxes if setting.rail is not None else on_wall(boxes, setting)
        placed = _read(placed, classes)
        key = np.round(placed, 1).tobytes()
        if key not in seen and setting.inside(placed):
            seen.add(key)
            kept.append((form, placed))
    return kept


def on_wall(boxes: Floats, setting: Setting) -> Floats:
    """(k, 4) boxes about a middle of their own, moved to where an outline of their size hangs."""
    left, bottom, right, top = outline_of(boxes).tolist()
    x, y = setting.place(np.array(right - left), np.array(top - bottom))
    return np.asarray(boxes + np.array([x - left, y - bottom, x - left, y - bottom]))


def _read(boxes: Floats, classes: list[Ints]) -> Floats:
    """The same places, of equal pieces the first at the top left and so on along each line."""
    own = boxes.copy()
    for alike in classes:
        if len(alike) > 1:
            places = boxes[alike]
            own[alike] = places[np.lexsort((places[:, LEFT], -np.round(places[:, TOP])))]
    return own


def _cost(laid: Laid, setting: Setting) -> float:
    """How far an arrangement is from what the setting asks for, 0 at best."""
    boxes = laid[1]
    if setting.rail is not None:
        return float(np.ptp(setting.seen(boxes)[:, TOP]))  # one tier before two
    width, height = outline_size(boxes).tolist()
    aim_w, aim_h = setting.aim
    low_w, high_w = setting.width
    low_h, high_h = setting.height
    cost = _SIZE * (_outside(width, low_w, high_w) + _outside(height, low_h, high_h) / 2)
    cost += _SHAPE * abs(math.log(width / height * aim_h / aim_w))
    across, upright = _lines(boxes)
    cost += _LONG * abs(math.log(across / upright)) + (_COLUMN if across == 1 < upright else 0.0)
    middle = (boxes[:, LEFT].min() + boxes[:, RIGHT].max()) / 2
    mirrored = np.sort(2 * middle - boxes[:, RIGHT] + 0.01 * (boxes[:, BOTTOM] + boxes[:, TOP]))
    straight = np.sort(boxes[:, LEFT] + 0.01 * (boxes[:, BOTTOM] + boxes[:, TOP]))
    return cost + (_UNLIKE if np.abs(mirrored - straight).max() > 5.0 else 0.0)


def _lines(boxes: Floats) -> tuple[int, int]:
    """How many middles stand side by side, and how many above one another."""
    middle = np.round((boxes[:, :2] + boxes[:, 2:]) / 2)
    return len(set(middle[:, 0].tolist())), len(set(middle[:, 1].tolist()))


def _outside(value: float, low: float, high: float) -> float:
    return max(0.0, math.log(low / value), math.log(value / high))
