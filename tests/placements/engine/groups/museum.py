"""Sizes as collections have them: drawn from a distribution fitted to some 19,000 works on paper, photographs and
paintings of an open museum data set (those of 4 to 48 in), then matted and framed as houses do.

Fitted: the logarithm of the geometric mean of the sides is normal about 2.70 (14.9 in) with a deviation of 0.50; the
longer side is about 1.34 times the shorter (logarithm 0.29, deviation 0.13); somewhat more than half lie. Mats and
frames of 1 to 3 in a side: common practice, no source.
"""

from __future__ import annotations

import numpy as np

from placements.engine.house import Rect, Work
from placements.engine.results import Ideal, Space

IN = 25.4


def museum_sizes(count: int, seed: int) -> np.ndarray:
    """(k, 2) outer widths and heights [in] of works that a home could hang."""
    rng = np.random.default_rng((count, seed))
    mean = np.exp(np.clip(rng.normal(2.70, 0.50, count), np.log(5.5), np.log(32)))
    ratio = np.exp(np.abs(rng.normal(0.29, 0.13, count)) * np.where(rng.random(count) < 0.54, 1, -1))
    sheet = np.stack([mean * np.sqrt(ratio), mean / np.sqrt(ratio)], axis=1)
    return np.round(8 * (sheet + 2 * rng.choice([1, 1.5, 2, 2.5, 3], count)[:, None])) / 8


def salon_wall(sizes: np.ndarray, seed: int) -> tuple[Space, list[Work]]:
    """Works of these sizes [in] that must all hang, and an open wall half as wide and high again as they need."""
    ratio = np.random.default_rng(seed).uniform(1.2, 2.0)
    outline = float((sizes * IN).prod(axis=1).sum()) / 0.78
    width, height = np.sqrt(outline * ratio), np.sqrt(outline / ratio)
    room = Rect(300.0, max(0.0, 1600 - 0.75 * height), 1.5 * width, 1.5 * height)
    space = Space(
        "s", "r", "w", "open_wall", None, room, "landscape", "hang", (),
        Ideal((0.75 * width, 1.15 * width), (0.75 * height, 1.15 * height), "landscape"), room.width,
    )  # fmt: skip
    return space, [Work(f"{i:02}", f"Study {i}", w * IN, h * IN, frame="black") for i, (w, h) in enumerate(sizes)]
