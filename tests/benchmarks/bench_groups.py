"""Composing groups: the quality of salons on fresh seeds, the time they take, and what batches gain.

Pieces are drawn from the common frame sizes of the trade (5 x 7 to 30 x 40 in), upright or lying; the space is an open
wall whose free part the group should fill to about two thirds. Seeds from 1000 on; none was used in tuning.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator

import numpy as np

from placements.engine.groups.boxes import boxes_hung, neighbour_gaps
from placements.engine.groups.compose import compose
from placements.engine.groups.layout import GroupLayout
from placements.engine.groups.regularise import from_corners, regularise
from placements.engine.house import Rect, Work
from placements.engine.results import Ideal, Space
from tests.benchmarks import Row

IN = 25.4
FRAMES = ((5, 7), (8, 10), (11, 14), (16, 20), (18, 24), (20, 24), (22, 28), (24, 36), (30, 40))
FIRST_SEED = 1000


def problem(k: int, seed: int) -> tuple[Space, list[Work]]:
    """A pool of k pieces that must all hang, and a wall for them."""
    rng = np.random.default_rng((k, seed))
    sizes = np.array(FRAMES)[rng.integers(len(FRAMES), size=k)] * IN
    sizes = np.where((rng.random(k) < 0.5)[:, None], sizes[:, ::-1], sizes)
    ratio = rng.uniform(1.2, 2.0)
    outline = ((sizes[:, 0] + 63.5) * (sizes[:, 1] + 63.5)).sum() / 0.85
    width, height = np.sqrt(outline * ratio), np.sqrt(outline / ratio)
    room = Rect(300.0, max(0.0, 1600 - 0.75 * height), 1.5 * width, 1.5 * height)
    space = Space(
        "s", "r", "w", "open_wall", None, room, "landscape", "hang", (),
        Ideal((0.9 * width, 1.1 * width), (0.9 * height, 1.1 * height), "landscape"), room.width,
    )  # fmt: skip
    works = [Work(f"{i:02}", f"Study {i}", float(w), float(h), frame="black") for i, (w, h) in enumerate(sizes)]
    return space, works


def composed(k: int, seed: int) -> tuple[GroupLayout, float]:
    """The best salon of a problem and the processor seconds it took (others may share the machine)."""
    space, works = problem(k, seed)
    start = time.process_time()
    found = compose(space, works, hang_all=True, count=(k, k), seed=seed)
    took = time.process_time() - start
    return next(one for one in found.layouts if one.form == "salon"), took


def salons(k: int, seeds: int) -> Iterator[Row]:
    found = [composed(k, FIRST_SEED + s) for s in range(seeds)]
    m = [layout.measures for layout, _ in found]
    seconds = np.array([took for _, took in found])
    load = f"load {os.getloadavg()[0]:.1f}"

    def row(what: str, values: list[float], bar: float, at_least: bool = True) -> Row:
        v = np.array(values)
        worst = v.min() if at_least else v.max()
        held = ((v >= bar) if at_least else (v <= bar)).mean()
        figure = f"mean {v.mean():.3f}, worst {worst:.3f}, {held:.0%} of {seeds} seeds hold"
        return Row(f"salon k={k}: {what}", figure, float(v.mean()), bar, at_least)

    yield row("overlap [mm2]", [x.overlap_mm2 for x in m], 1e-6, False)
    yield row("facing edge length in band", [x.band_share for x in m], 0.95 if k <= 20 else 0.93)
    yield row("fill", [x.fill_ratio for x in m], 0.75)
    yield row("weight off centre", [x.weight_offset_ratio for x in m], 0.06, False)
    yield row("alignment", [x.alignment_ratio for x in m], 0.55)
    limit = 1.0 if k <= 12 else 4.0
    figure = f"median {np.median(seconds):.2f} s, worst {seconds.max():.2f} s ({load})"
    yield Row(f"salon k={k}: processor seconds", figure, float(np.median(seconds)), limit, False)


def regularised(seeds: int) -> Iterator[Row]:
    """Salons of 20 shaken by half an inch (standard deviation) and up to three degrees, then straightened."""
    kept, took, error = [], [], []
    for s in range(seeds):
        layout, _ = composed(20, FIRST_SEED + s)
        _, works = problem(20, FIRST_SEED + s)
        true = boxes_hung(layout.hangings, {w.id: w for w in works})
        rng = np.random.default_rng(s)
        middle, half = (true[:, :2] + true[:, 2:]) / 2, (true[:, 2:] - true[:, :2]) / 2
        tilt = np.radians(rng.uniform(-3, 3, len(true)))
        turn = np.array([[np.cos(tilt), -np.sin(tilt)], [np.sin(tilt), np.cos(tilt)]]).transpose(2, 0, 1)
        square = half[:, None, :] * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
        corners = middle[:, None] + np.einsum("kij,kcj->kci", turn, square) + rng.normal(0, 0.5 * IN, (len(true), 1, 2))
        start = time.process_time()
        boxes = regularise(*from_corners(corners)[:2])
        took.append(time.process_time() - start)
        kept.append(_kept(true, boxes))
        moved = (boxes[:, :2] + boxes[:, 2:]) / 2 - middle
        error.append(float(np.hypot(*(moved - moved.mean(axis=0)).T).mean()) / IN)
    share = np.array(kept)
    yield Row(
        "regularise k=20: gaps back in band",
        f"mean {share.mean():.3f}, worst {share.min():.3f} of {seeds} seeds; mean error {np.mean(error):.2f} in",
        float(share.min()),
        0.9,
    )
    figure = f"median {1e3 * np.median(took):.1f} ms, worst {1e3 * max(took):.1f} ms (load {os.getloadavg()[0]:.1f})"
    yield Row("regularise k=20: processor milliseconds", figure, 1e3 * float(np.median(took)), 30.0, False)


def _kept(true: np.ndarray, boxes: np.ndarray) -> float:
    """Share of the true layout's gaps in the band that are in the band again, between the same neighbours."""
    pairs = []
    for one in (true, boxes):
        gaps = neighbour_gaps(one)
        good = (gaps.gap_mm >= 2 * IN - 1e-6) & (gaps.gap_mm <= 3 * IN + 1e-6)
        pairs.append(set(zip(gaps.first[good], gaps.second[good], gaps.axis[good], strict=True)))
    return len(pairs[0] & pairs[1]) / len(pairs[0])


def rows(smoke: bool) -> Iterator[Row]:
    """Every comparison; `smoke` for small sizes that take a second or two."""
    seeds = 2 if smoke else 100
    for k in (5, 12) if smoke else (5, 8, 12, 20, 30):
        yield from salons(k, seeds)
    yield from regularised(1 if smoke else 30)
