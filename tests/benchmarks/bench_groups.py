"""Composing groups: the quality of salons on fresh seeds, the time they take, and what regularising brings back.

Sizes are drawn from the distribution of `museum.py`; with `SALON_SIZES=file.csv` in the environment from that file's
columns `w_in` and `h_in`, those of 4 to 40 in with mats and frames of 1 to 3 in a side. Judged from the boxes alone by
`judging.py`. Seeds from 1000 on; none was used in tuning.
"""

from __future__ import annotations

import csv
import os
import time
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np

from placements.engine.groups.boxes import boxes_hung, neighbour_gaps
from placements.engine.groups.compose import compose
from placements.engine.groups.layout import GroupLayout
from placements.engine.groups.regularise import from_corners, regularise
from placements.engine.house import Work
from tests.benchmarks import Row
from tests.placements.engine.groups.judging import judge
from tests.placements.engine.groups.museum import IN, museum_sizes, salon_wall

FIRST_SEED = 1000
#: Bars of `judging.Verdict`: attribute, what it says, the bar, whether at least.
BARS = (
    ("overlap", "overlap [sq in]", 1e-6, False),
    ("facing", "facing edges 2-3 in apart", 0.97, True),
    ("fill", "outline covered", 0.78, True),
    ("across", "weight off the middle, across", 0.04, False),
    ("upright", "weight off the middle, upright", 0.04, False),
    ("largest", "largest off the middle", 0.12, False),
    ("quarter", "smaller half in one quarter", 0.5, False),
    ("aspect", "width over height", 2.2, False),
)


@cache
def listed_sizes() -> np.ndarray | None:
    """(N, 2) sizes of works that a home could hang [in], of the file that the environment names; None without one."""
    name = os.environ.get("SALON_SIZES")
    if not name:
        return None
    with Path(name).open(newline="", encoding="utf-8") as rows:
        sizes = np.array([(float(row["w_in"] or 0), float(row["h_in"] or 0)) for row in csv.DictReader(rows)])
    return sizes[(sizes.min(axis=1) >= 4) & (sizes.max(axis=1) <= 40)]


def sizes_of(k: int, seed: int) -> np.ndarray:
    """(k, 2) outer sizes [in]."""
    listed = listed_sizes()
    if listed is None:
        return museum_sizes(k, seed)
    rng = np.random.default_rng((k, seed))
    return listed[rng.integers(len(listed), size=k)] + 2 * rng.choice([1, 1.5, 2, 2.5, 3], k)[:, None]


def composed(k: int, seed: int) -> tuple[GroupLayout, list[Work], float]:
    """The best salon of k works, the works, and the processor seconds it took (others may share the machine)."""
    space, works = salon_wall(sizes_of(k, seed), seed)
    start = time.process_time()
    found = compose(space, works, hang_all=True, count=(k, k))
    took = time.process_time() - start
    return next(one for one in found.layouts if one.form == "salon"), works, took


def salons(k: int, seeds: int) -> Iterator[Row]:
    found = [composed(k, FIRST_SEED + s) for s in range(seeds)]
    verdicts = [judge(boxes_hung(one.hangings, {w.id: w for w in works}) / IN) for one, works, _ in found]
    for name, what, bar, at_least in BARS:
        v = np.array([getattr(one, name) for one in verdicts])
        worst = v.min() if at_least else v.max()
        held = ((v >= bar) if at_least else (v <= bar)).mean()
        figure = f"mean {v.mean():.3f}, worst {worst:.3f}, {held:.0%} of {seeds} seeds hold"
        yield Row(f"salon k={k}: {what}", figure, float(v.mean()), bar, at_least)
    seconds = np.array([took for _, _, took in found])
    figure = f"median {np.median(seconds):.2f} s, worst {seconds.max():.2f} s (load {os.getloadavg()[0]:.1f})"
    limit = 1.0 if k <= 12 else 4.0
    yield Row(f"salon k={k}: processor seconds", figure, float(np.median(seconds)), limit, False)


def regularised(seeds: int) -> Iterator[Row]:
    """Salons of 20 shaken by half an inch (standard deviation) and up to three degrees, then straightened."""
    kept, took, error = [], [], []
    for s in range(seeds):
        layout, works, _ = composed(20, FIRST_SEED + s)
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
    seeds = 1 if smoke else 40
    for k in (8,) if smoke else (8, 12, 18, 30):
        yield from salons(k, seeds)
    yield from regularised(1 if smoke else 30)
