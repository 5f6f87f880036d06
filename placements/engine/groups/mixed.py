"""The salon arrangement: works of mixed sizes about their largest, with outer edges that read as one shape.

With straight outer edges it is tiled (`slicing`); around sconces and lamps, and with an oval or a stepped diamond for
an edge, it is built outwards from the middle (`salon`). Both searches lower the same price, which counts how far a
layout falls short of what reads as well hung.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np

from ..house import Work
from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats
from .joins import Taking
from .measures import BatchMeasures
from .regular import on_wall
from .salon import Effort, search
from .score import place_terms, shape_terms, visual_weight, weigh
from .setting import GroupLimits, Setting
from .settle import Wish, settle
from .slicing import Effort as Tiling
from .slicing import band_share, tiled

Edge = Literal["rectangle", "oval", "diamond"]
Stop = Callable[[], bool]

#: What reads as well hung, each with the shortfall that costs a point: facing edges in the gap band, the outline
#: covered, the visual weight off the middle each way, the largest off the middle, the smaller half in one quarter, all
#: as shares. Common practice, no source; a little beyond what the trade asks, so that what is found keeps it.
_FACING, _COVERED, _WEIGHT, _LARGEST, _QUARTER = (
    (0.98, 0.014),
    (0.792, 0.025),
    (0.034, 0.01),
    (0.105, 0.025),
    (0.5, 0.1),
)
#: Outlines are between upright squares and this much wider than high, unless the space asks otherwise (logarithms);
#: how far one may be from what is wanted, and what is lost beyond.
_WIDEST, _NEAR, _SHAPE = float(np.log(2.1)), 0.35, 0.04
#: A place that asks for an outline narrower than high by more than this (logarithm) gets an upright one.
_UPRIGHT = 0.25
#: What an outline that does not suit its place costs at most.
_PLACE = 0.6
#: What edges brought into line may cost.
_LINES = 0.2
#: How far the edge of the outline may be from its shape, as a share of the outline.
_EDGE = (0.12, 0.02)
#: Squareness of the outline that a layout built outwards aims at.
_POWERS: dict[Edge, tuple[float, ...]] = {"rectangle": (2.0, 4.0, 8.0), "oval": (2.0,), "diamond": (1.0, 1.2)}
#: Share of the outline that pieces with their gaps are expected to cover.
_FULL: dict[Edge, float] = {"rectangle": 0.87, "oval": 0.72, "diamond": 0.62}
#: Layouts of one search that are offered, each within so much of the best one's price.
_OFFERED, _WITHIN = 3, 0.15
_RASTER = 24


def tiling_for(pieces: int) -> Tiling:
    """The work given to one tiling, by the number of pieces; found by trial against the time bars."""
    if pieces <= 9:
        return Tiling(batch=96, taking=Taking(32, 24, 7, 8), turns=12, chains=128, rounds=200)
    if pieces <= 12:
        return Tiling(batch=64, taking=Taking(8, 20, 8), turns=48, chains=48, rounds=220)
    if pieces <= 20:
        return Tiling(batch=64, taking=Taking(8, 60, 9), turns=48, chains=48, rounds=300)
    return Tiling(batch=64, taking=Taking(8, 80, 9), turns=48, chains=48, rounds=360)


def effort_for(pieces: int) -> Effort:
    """The work given to one search outwards from the middle, by the number of pieces."""
    return Effort(batch=96, rounds=36 if pieces <= 12 else 32 if pieces <= 20 else 24, keep=24)


def salons(
    works: Sequence[Work],
    setting: Setting,
    limits: GroupLimits,
    rng: np.random.Generator,
    edge: Edge = "rectangle",
    stop: Stop = lambda: False,
) -> list[Floats]:
    """The best few arrangements of works of mixed sizes, (k, 4) in wall coordinates, the best first."""
    sizes = np.array([(w.width, w.height) for w in works])
    if edge == "rectangle" and not len(setting.blocks):
        return _tiled(sizes, visual_weight(works), setting, limits, rng, stop)
    return _built(sizes, visual_weight(works), setting, limits, rng, edge, stop)


def _tiled(
    sizes: Floats, weight: Floats, setting: Setting, limits: GroupLimits, rng: np.random.Generator, stop: Stop
) -> list[Floats]:
    band = limits.gap_low, limits.gap_high
    room = setting.bounds.width, setting.bounds.height
    wanted = _wanted(float(sizes.prod(axis=1).sum()) / _COVERED[0], setting)

    lowest, highest = (
        min(max(wanted - _NEAR, 0.0), wanted - _NEAR * (wanted < 0)),
        max(min(wanted + _NEAR, _WIDEST), wanted),
    )

    def cost(boxes: Floats) -> Floats:
        size = boxes[..., 2:].max(axis=1) - boxes[..., :2].min(axis=1)
        price = fault_price(boxes, sizes, weight, band, size)
        shape = np.log(size[:, 0] / size[:, 1])
        price += np.maximum(np.maximum(lowest - shape, shape - highest), 0) / _SHAPE
        x, y = setting.place(size[:, 0], size[:, 1])
        placed = place_terms(np.stack([x, y, x + size[:, 0], y + size[:, 1]], axis=1), setting)
        price += _PLACE * (1 - weigh(placed) / 100)
        return np.where((size <= np.array(room) + 1e-6).all(axis=1), price, np.inf)

    found = tiled(sizes, band, wanted, (lowest, highest), room, cost, tiling_for(len(sizes)), rng, stop)
    return [on_wall(_in_line(boxes, cost, limits), setting) for boxes in _apart(found, cost)]


def _in_line(boxes: Floats, cost: Callable[[Floats], Floats], limits: GroupLimits) -> Floats:
    """A layout about (0, 0) with edges that nearly share a line brought onto it, where that makes it no worse."""
    moved = settle(boxes, Wish(limits.gap_low, limits.gap_high, limits.gap_low, even=0.0))
    low, high = moved[:, :2].min(axis=0), moved[:, 2:].max(axis=0)
    moved = moved - np.tile((low + high) / 2, 2)
    before, after = cost(np.stack([boxes, moved])).tolist()
    return moved if after <= before + _LINES else boxes


def _wanted(outline: float, setting: Setting) -> float:
    """The logarithm of width over height that an outline of so many square millimetres should have in a setting."""
    aim_w, aim_h = setting.aim
    asked = float(np.log(aim_w / aim_h))
    narrowest = _NEAR / 2 if asked > -_UPRIGHT else -_WIDEST
    wanted = min(max(asked, narrowest), _WIDEST - _NEAR / 2)
    highest = float(np.log(setting.bounds.width**2 / outline))
    lowest = float(np.log(outline / setting.bounds.height**2))
    return min(max(wanted, lowest), highest) if lowest <= highest else (lowest + highest) / 2


def fault_price(boxes: Floats, sizes: Floats, weight: Floats, band: tuple[float, float], outline: Floats) -> Floats:
    """(B,) how far layouts about (0, 0) fall short of what reads as well hung, 0 where they do not.

    Args:
        boxes: (B, k, 4), sizes: (k, 2), weight: (k,) visual weights, outline: (B, 2) width and height.
    """
    area = sizes.prod(axis=1)
    middle = (boxes[..., :2] + boxes[..., 2:]) / 2
    small = np.argsort(area, kind="stable")[: len(area) // 2]
    off = np.abs((weight[:, None] * middle).sum(axis=1) / weight.sum() / outline).max(axis=1)
    largest = np.hypot(*(middle[:, int(np.argmax(area))] / outline).T)
    quarter = 2 * (middle[:, small, 0] > 0) + (middle[:, small, 1] > 0)
    fullest = np.stack([(quarter == one).sum(axis=1) for one in range(4)]).max(axis=0) / max(1, len(small))
    price = _short(_FACING[0] - band_share(boxes, *band), _FACING)
    price += _short(_COVERED[0] - area.sum() / outline.prod(axis=1), _COVERED)
    price += _short(off - _WEIGHT[0], _WEIGHT) + _short(largest - _LARGEST[0], _LARGEST)
    return np.asarray(price + _short(fullest - _QUARTER[0], _QUARTER) + 0.3 * largest)


def _short(beyond: Floats, bar: tuple[float, float]) -> Floats:
    return np.asarray(np.maximum(beyond, 0) / bar[1])


def _apart(found: Floats, cost: Callable[[Floats], Floats]) -> list[Floats]:
    """The best layout and those nearly as good in which most pieces hang elsewhere."""
    if not len(found):
        return []
    price = cost(found)
    taken: list[Floats] = []
    for boxes in found[price <= price[0] + _WITHIN]:
        size = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
        shifts = [np.hypot(*((boxes - one)[:, :2] / size).T) for one in taken]
        if all(np.median(shift) > 0.15 for shift in shifts):
            taken.append(boxes)
        if len(taken) == _OFFERED:
            break
    return taken


def _built(
    sizes: Floats,
    weight: Floats,
    setting: Setting,
    limits: GroupLimits,
    rng: np.random.Generator,
    edge: Edge,
    stop: Stop,
) -> list[Floats]:
    """Layouts built outwards from the middle."""
    count, room, fixed = len(sizes), setting.bounds, len(setting.blocks) > 0
    aim_w, aim_h = setting.aim
    area = float(((sizes[:, 0] + limits.gap) * (sizes[:, 1] + limits.gap)).sum()) / _FULL[edge]
    if fixed:
        area += float(np.prod(setting.blocks[:, 2:] - setting.blocks[:, :2], axis=1).sum())
    width = float(np.clip(np.sqrt(area * aim_w / aim_h), sizes[:, 0].max(), room.width))
    height = min(area / width, room.height)
    width = min(max(width, area / height), room.width)
    left, bottom = setting.place(np.array([width]), np.array([height]))
    middle = np.array([left[0] + width / 2, bottom[0] + height / 2])
    box = (
        (room.left - middle[0], room.bottom - middle[1], room.right - middle[0], room.top - middle[1])
        if fixed
        else (-room.width / 2, -room.height / 2, room.width / 2, room.height / 2)
    )
    shift = np.tile(middle, 2)

    def cost(m: BatchMeasures) -> Floats:
        if fixed:
            outline = m.outline + shift
        else:
            w, h = m.outline[:, RIGHT] - m.outline[:, LEFT], m.outline[:, TOP] - m.outline[:, BOTTOM]
            x, y = setting.place(w, h)
            outline = np.stack([x, y, x + w, y + h], axis=1)
        terms = shape_terms(m, limits, count) | place_terms(outline, setting)
        if edge != "rectangle":  # a rim that is no rectangle is wanted
            del terms["outline"], terms["fullness"]
        return -weigh(terms)

    def silhouette(boxes: Floats) -> Floats:
        return 100 * _short(off_shape(boxes, edge, limits.gap) - _EDGE[0], _EDGE) / 8

    found = search(
        sizes,
        gap_band_mm=(limits.gap_low, limits.gap_high),
        half_size=(width / 2, height / 2),
        limits=box,
        blocks=setting.blocks - shift,
        weight=weight,
        cost=cost,
        shape=None if edge == "rectangle" else silhouette,
        effort=effort_for(count),
        powers=_POWERS[edge],
        rng=rng,
        stop=stop,
    )
    return [boxes + shift if fixed else on_wall(boxes, setting) for boxes in found[:: max(1, len(found) // _OFFERED)]]


def off_shape(boxes: Floats, edge: Edge, gap: float) -> Floats:
    """(B,) share of the outline where (B, k, 4) pieces with their gaps and the wanted shape of the edge differ.

    Notes: counted on a raster of the outline; the shape is as wide and high as the outline.
    """
    cells = boxes + np.array([-1, -1, 1, 1]) * gap / 2
    low, high = cells[..., :2].min(axis=1), cells[..., 2:].max(axis=1)
    at = (np.arange(_RASTER) + 0.5) / _RASTER
    x, y = (low[:, [axis]] + at * (high - low)[:, [axis]] for axis in (0, 1))
    in_x = (cells[:, :, None, LEFT] < x[:, None]) & (cells[:, :, None, RIGHT] > x[:, None])
    in_y = (cells[:, :, None, BOTTOM] < y[:, None]) & (cells[:, :, None, TOP] > y[:, None])
    covered = np.matmul(in_y.transpose(0, 2, 1).astype(np.float32), in_x.astype(np.float32)) > 0.5
    across = np.abs(2 * at - 1)
    power = {"rectangle": 64.0, "oval": 2.0, "diamond": 1.0}[edge]
    wanted = across[:, None] ** power + across[None, :] ** power <= 1
    return np.asarray((covered != wanted).mean(axis=(1, 2)))
