"""What can be measured of a group as it hangs (or would hang): gaps, fill, balance, alignment, outline.

Every measure is written once, over a batch of layouts, so that the search that composes a group and the words that
describe it cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..geometry import from_edges
from ..house import Rect
from .boxes import BOTTOM, LEFT, RIGHT, SLACK_MM, TOP, Bools, Floats, facing_stretches, outline_of

#: Edges closer than this read as one line [mm]; common practice (about 1/8 in), no source.
ALIGNED_MM = 3.0
#: Pieces of at least this share of the largest one's area count as largest too.
_AS_LARGE = 0.95


@dataclass(frozen=True, slots=True)
class BatchMeasures:
    """Measures of a batch of B layouts, each (B,) float; the meaning of each is told in `GroupMeasures`."""

    overlap_mm2: Floats
    band_share: Floats
    gap_spread_mm: Floats
    mean_gap_mm: Floats
    fill_ratio: Floats
    weight_offset_ratio: Floats
    alignment_ratio: Floats
    largest_offset_ratio: Floats
    void_ratio: Floats
    notch_ratio: Floats
    lopsided_ratio: Floats
    strays: Floats
    cross_meetings: Floats
    outline: Floats  # (B, 4)


def overlap_area(boxes: Floats, blocks: Floats | None = None) -> Floats:
    """(B,) total area [mm²] that pieces share with one another or with the blocks, of (B, k, 4) boxes."""
    others = boxes
    if blocks is not None and len(blocks):
        others = np.concatenate([boxes, np.broadcast_to(blocks, (len(boxes), *blocks.shape))], axis=1)
    a, b = boxes[:, :, None, :], others[:, None, :, :]
    wide = np.minimum(a[..., RIGHT], b[..., RIGHT]) - np.maximum(a[..., LEFT], b[..., LEFT])
    tall = np.minimum(a[..., TOP], b[..., TOP]) - np.maximum(a[..., BOTTOM], b[..., BOTTOM])
    area = np.clip(wide, 0, None) * np.clip(tall, 0, None)
    once = np.triu(np.ones(area.shape[1:], dtype=bool), k=1)
    return np.asarray((area * once).sum(axis=(1, 2)))


def _spans(boxes: Floats, gap_mm: float, blocks: Floats | None) -> tuple[Floats, Floats, Floats]:
    """(B,) shares of the outline that are voids inside, notches at the rim, and lopsidedness of the rim."""
    grown = boxes + np.array([-1, -1, 1, 1]) * (gap_mm / 2)
    k = grown.shape[1]
    if blocks is not None and len(blocks):
        grown = np.concatenate([grown, np.broadcast_to(blocks, (len(grown), *blocks.shape))], axis=1)
    outline = outline_of(grown[:, :k])
    x = np.sort(grown[:, :k, LEFT::2].reshape(len(grown), -1), axis=1)
    y = np.sort(grown[:, :k, BOTTOM::2].reshape(len(grown), -1), axis=1)
    dx, dy = np.diff(x, axis=1), np.diff(y, axis=1)
    mx, my = (x[:, 1:] + x[:, :-1]) / 2, (y[:, 1:] + y[:, :-1]) / 2
    in_x = (grown[:, :, None, LEFT] < mx[:, None]) & (grown[:, :, None, RIGHT] > mx[:, None])
    in_y = (grown[:, :, None, BOTTOM] < my[:, None]) & (grown[:, :, None, TOP] > my[:, None])
    covered = np.matmul(in_y.transpose(0, 2, 1).astype(np.float32), in_x.astype(np.float32)) > 0.5

    right = np.logical_or.accumulate(covered, axis=2)
    left = np.logical_or.accumulate(covered[:, :, ::-1], axis=2)[:, :, ::-1]
    up = np.logical_or.accumulate(covered, axis=1)
    down = np.logical_or.accumulate(covered[:, ::-1], axis=1)[:, ::-1]
    rows, columns = right & left, up & down
    cell = dy[:, :, None] * dx[:, None, :]
    whole = (outline[:, RIGHT] - outline[:, LEFT]) * (outline[:, TOP] - outline[:, BOTTOM])
    void = (cell * (rows & columns & ~covered)).sum(axis=(1, 2)) / whole
    notch = (cell * ~(rows & columns)).sum(axis=(1, 2)) / whole

    sideways = np.abs((~right * dx[:, None, :]).sum(2) - (~left * dx[:, None, :]).sum(2))
    upright = np.abs((~up * dy[:, :, None]).sum(1) - (~down * dy[:, :, None]).sum(1))
    lopsided = ((sideways * dy).sum(1) + (upright * dx).sum(1)) / whole
    return void, notch, lopsided


def _cross_meetings(boxes: Floats, reach_mm: float) -> Floats:
    """(B,) places where four corners of unequal pieces meet around one crossing of gaps."""
    w, h = boxes[..., RIGHT] - boxes[..., LEFT], boxes[..., TOP] - boxes[..., BOTTOM]

    def meets(x: int, y: int) -> Bools:
        near_x = np.abs(boxes[:, :, None, RIGHT] + reach_mm / 2 - boxes[:, None, :, x]) <= reach_mm + SLACK_MM
        near_y = np.abs(boxes[:, :, None, TOP] + reach_mm / 2 - boxes[:, None, :, y]) <= reach_mm + SLACK_MM
        return np.asarray(near_x & near_y)

    other = ~np.eye(boxes.shape[1], dtype=bool)[None]
    corners = [meets(LEFT, BOTTOM) & other, meets(LEFT, TOP) & other, meets(RIGHT, BOTTOM) & other]
    met = np.logical_and.reduce([c.any(axis=2) for c in corners])
    unequal = (np.abs(w[:, :, None] - w[:, None]) > ALIGNED_MM) | (np.abs(h[:, :, None] - h[:, None]) > ALIGNED_MM)
    mixed = np.logical_or.reduce([(c & unequal).any(axis=2) for c in corners])
    return np.asarray((met & mixed).sum(axis=1), dtype=np.float64)


def _covered(outline: Floats, blocks: Floats | None) -> Floats:
    """(B,) area [mm²] of each outline that things among the pieces take up."""
    if blocks is None or not len(blocks):
        return np.zeros(len(outline))
    wide = np.minimum(outline[:, None, RIGHT], blocks[:, RIGHT]) - np.maximum(outline[:, None, LEFT], blocks[:, LEFT])
    tall = np.minimum(outline[:, None, TOP], blocks[:, TOP]) - np.maximum(outline[:, None, BOTTOM], blocks[:, BOTTOM])
    return np.asarray((np.clip(wide, 0, None) * np.clip(tall, 0, None)).sum(axis=1))


def measure_batch(
    boxes: Floats,
    *,
    gap_band_mm: tuple[float, float],
    gap_mm: float | None = None,
    weight: Floats | None = None,
    blocks: Floats | None = None,
) -> BatchMeasures:
    """Measure B layouts of the same k pieces.

    Args:
        boxes: (B, k, 4) [mm].
        gap_band_mm: lowest and highest gap between neighbours.
        gap_mm: the gap to hang by, half of which belongs to each piece; the band's middle where None.
        weight: (k,) visual weight of each piece; its area where None.
        blocks: (m, 4) things among the pieces that are not part of the group [mm].
    """
    low, high = gap_band_mm
    target = (low + high) / 2 if gap_mm is None else gap_mm
    count, k = boxes.shape[:2]
    w, h = boxes[..., RIGHT] - boxes[..., LEFT], boxes[..., TOP] - boxes[..., BOTTOM]
    outline = outline_of(boxes)
    width, height = outline[:, RIGHT] - outline[:, LEFT], outline[:, TOP] - outline[:, BOTTOM]
    middle_x, middle_y = (outline[:, LEFT] + outline[:, RIGHT]) / 2, (outline[:, BOTTOM] + outline[:, TOP]) / 2
    cx, cy = (boxes[..., LEFT] + boxes[..., RIGHT]) / 2, (boxes[..., BOTTOM] + boxes[..., TOP]) / 2

    area = w * h
    total, inside, aligned = np.zeros(count), np.zeros(count), np.zeros(count)
    gap_sum, gap_square = np.zeros(count), np.zeros(count)
    held = np.zeros((count, k, 2))
    others = 0 if blocks is None else len(blocks)
    rows = np.arange(count)[:, None, None]
    for axis in (0, 1) if k > 1 else ():
        facing = facing_stretches(boxes, axis, blocks)
        good = (facing.gap >= low - SLACK_MM) & (facing.gap <= high + SLACK_MM)
        good_length = facing.length * good
        total += facing.length.sum(axis=(1, 2))
        inside += good_length.sum(axis=(1, 2))
        gap_sum += (good_length * facing.gap).sum(axis=(1, 2))
        gap_square += (good_length * facing.gap**2).sum(axis=(1, 2))
        piece = np.minimum(facing.piece, k - 1)
        before = np.minimum(facing.before, k - 1)
        lo, hi = boxes[..., 1 - axis], boxes[..., 3 - axis]
        lo_gap = np.take_along_axis(lo, piece, 1)[:, None, :] - lo[rows, before]
        hi_gap = np.take_along_axis(hi, piece, 1)[:, None, :] - hi[rows, before]
        line = np.minimum(np.minimum(np.abs(lo_gap), np.abs(hi_gap)), np.abs(lo_gap + hi_gap) / 2) <= ALIGNED_MM
        aligned += (facing.length * line).sum(axis=(1, 2))
        own = np.zeros((count, k + others))
        np.put_along_axis(own, facing.piece, good_length.sum(axis=1), axis=1)
        flat = np.bincount((rows * k + before).ravel(), weights=good_length.ravel(), minlength=count * k)
        held[..., axis] = own[:, :k] + flat.reshape(count, k)

    safe, held_length = np.maximum(total, SLACK_MM), np.maximum(inside, SLACK_MM)
    mean_gap = gap_sum / held_length
    faced = total > SLACK_MM
    mass = area if weight is None else np.broadcast_to(weight, w.shape)
    mass_sum = mass.sum(axis=1)
    heavy_x = (mass * cx).sum(axis=1) / mass_sum - middle_x
    heavy_y = (mass * cy).sum(axis=1) / mass_sum - middle_y
    large = area >= _AS_LARGE * area.max(axis=1, keepdims=True)
    away = np.hypot((cx - middle_x[:, None]) / width[:, None], (cy - middle_y[:, None]) / height[:, None])
    void, notch, lopsided = _spans(boxes, target, blocks)
    spread_both_ways = (held.sum(axis=1) > SLACK_MM).all(axis=1)
    perimeter = 2 * (w + h)
    return BatchMeasures(
        overlap_mm2=overlap_area(boxes, blocks),
        band_share=np.where(faced, inside / safe, 1.0),
        gap_spread_mm=np.sqrt(np.maximum(gap_square / held_length - mean_gap**2, 0)),
        mean_gap_mm=mean_gap,
        fill_ratio=(((w + target) * (h + target)).sum(axis=1) + _covered(outline, blocks))
        / ((width + target) * (height + target)),
        weight_offset_ratio=np.hypot(heavy_x / width, heavy_y / height),
        alignment_ratio=np.where(faced, aligned / safe, 1.0),
        largest_offset_ratio=np.where(large, away, np.inf).min(axis=1),
        void_ratio=void,
        notch_ratio=notch,
        lopsided_ratio=lopsided,
        strays=((held.sum(axis=2) < 0.3 * perimeter).sum(axis=1) * (spread_both_ways & (k >= 4))).astype(np.float64),
        cross_meetings=_cross_meetings(boxes, high),
        outline=outline,
    )


@dataclass(frozen=True, slots=True)
class GroupMeasures:
    """One group's measures. Ratios are 0-1 unless said otherwise.

    overlap_mm2: area that pieces share with one another or with what stands among them; 0 in anything hung.
    band_share: share of the facing edge length whose gap lies in the band.
    gap_spread_mm, mean_gap_mm: standard deviation and mean of the gaps in the band, weighted by facing length.
    fill_ratio: pieces, each grown by half a gap, and what stands among them, over the outline grown likewise.
    weight_offset_ratio: the visual weight's centre from the outline's middle, in outline widths and heights.
    alignment_ratio: share of facing length where the two neighbours share an edge line or a centre line.
    largest_offset_ratio: the largest piece's centre (of several, the nearest) from the outline's middle, likewise.
    void_ratio: empty wall inside the group over the outline's area.
    notch_ratio: steps and notches at the rim over the outline's area.
    lopsided_ratio: how much left and right, top and bottom rims differ, over the outline's area (0-2).
    outline: on the wall. On a stair all else is measured over the treads, where a run that climbs stands in a row.
    strays: pieces held to the rest by less than three tenths of their rim, in a group of four or more.
    cross_meetings: crossings of gaps where four corners of unequal pieces meet.
    """

    overlap_mm2: float
    band_share: float
    gap_spread_mm: float
    mean_gap_mm: float
    fill_ratio: float
    weight_offset_ratio: float
    alignment_ratio: float
    largest_offset_ratio: float
    void_ratio: float
    notch_ratio: float
    lopsided_ratio: float
    strays: int
    cross_meetings: int
    outline: Rect

    @classmethod
    def of(cls, batch: BatchMeasures) -> GroupMeasures:
        """Those of the first layout of a batch."""
        left, bottom, right, top = batch.outline[0].tolist()
        return cls(
            overlap_mm2=float(batch.overlap_mm2[0]),
            band_share=float(batch.band_share[0]),
            gap_spread_mm=float(batch.gap_spread_mm[0]),
            mean_gap_mm=float(batch.mean_gap_mm[0]),
            fill_ratio=float(batch.fill_ratio[0]),
            weight_offset_ratio=float(batch.weight_offset_ratio[0]),
            alignment_ratio=float(batch.alignment_ratio[0]),
            largest_offset_ratio=float(batch.largest_offset_ratio[0]),
            void_ratio=float(batch.void_ratio[0]),
            notch_ratio=float(batch.notch_ratio[0]),
            lopsided_ratio=float(batch.lopsided_ratio[0]),
            strays=int(batch.strays[0]),
            cross_meetings=int(batch.cross_meetings[0]),
            outline=from_edges(left, bottom, right, top),
        )


def measure(
    boxes: Floats,
    *,
    gap_band_mm: tuple[float, float],
    gap_mm: float | None = None,
    weight: Floats | None = None,
    blocks: Floats | None = None,
) -> GroupMeasures:
    """Measure one layout.

    Args:
        boxes: (k, 4) [mm], k of at least 1.
        gap_band_mm, gap_mm, weight, blocks: as `measure_batch`.

    Raises:
        ValueError: no boxes.
    """
    if len(boxes) == 0:
        raise ValueError("a group needs at least one piece to be measured")
    return GroupMeasures.of(
        measure_batch(boxes[None], gap_band_mm=gap_band_mm, gap_mm=gap_mm, weight=weight, blocks=blocks)
    )
