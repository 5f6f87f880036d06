"""Free spaces: every maximal empty rectangle of walls with many things on them, against the brute force."""

from __future__ import annotations

import itertools
import time
from collections.abc import Iterator, Sequence

import numpy as np

from placements.engine.geometry import maximal_empty_rectangles
from placements.engine.house import House, Item, Rect, Room, Wall
from placements.engine.rulebook import Rulebook
from placements.engine.spaces import find_spaces
from tests.benchmarks import Row

WALL = Rect(0, 0, 6000, 3000)
LIMIT_S = 0.002
KINDS = ("window", "sconce", "outlet", "switch", "bookcase", "console", "floor_lamp", "panel", "radiator")


def obstacles(count: int, seed: int) -> list[Rect]:
    """Small things strewn over the wall, as outlets, sconces and frames are."""
    rng = np.random.default_rng((count, seed))
    place = rng.uniform((0, 0), (5800, 2800), (count, 2))
    size = rng.uniform(50, 300, (count, 2))
    return [Rect(*map(float, one)) for one in np.hstack([place, size])]


def brute_force(wall: Rect, solid: Sequence[Rect]) -> int:
    """Rectangles between any two edges a side, empty and in no other: how many there are."""
    across = sorted({wall.left, wall.right, *(one for o in solid for one in (o.left, o.right))})
    upward = sorted({wall.bottom, wall.top, *(one for o in solid for one in (o.bottom, o.top))})
    empty = [
        (left, bottom, right, top)
        for left, right in itertools.combinations(across, 2)
        for bottom, top in itertools.combinations(upward, 2)
        if not any(o.left < right and o.right > left and o.bottom < top and o.top > bottom for o in solid)
    ]
    boxes = np.array(empty)
    grows = [((boxes[:, :2] <= one[:2]).all(1) & (boxes[:, 2:] >= one[2:]).all(1)).sum() > 1 for one in boxes]
    return len(boxes) - int(np.sum(grows))


def rows(*, smoke: bool) -> Iterator[Row]:
    times = [_cpu(lambda solid=solid: maximal_empty_rectangles(WALL, solid)) for solid in _walls(60, smoke)]
    median = float(np.median(times))
    yield Row(
        "empty rectangles, 60 obstacles: time against 2 ms",
        f"{median * 1e3:.2f} ms, {max(times) * 1e3:.2f} at worst",
        median / LIMIT_S,
        1.0,
        at_least=False,
    )
    solid = obstacles(6 if smoke else 8, 1)
    began = time.process_time()
    count = brute_force(WALL, solid)
    slow, quick = time.process_time() - began, _cpu(lambda: maximal_empty_rectangles(WALL, solid))
    assert count == len(maximal_empty_rectangles(WALL, solid))
    yield Row(
        f"empty rectangles, {len(solid)} obstacles: brute force / sweep",
        f"{slow * 1e3:.0f} ms / {quick * 1e3:.2f} ms, the same {count}",
        slow / quick,
        100.0,
    )
    house, rulebook = _house(60), Rulebook()
    whole = _cpu(lambda: find_spaces(house, rulebook))
    yield Row(
        "spaces of a wall of 60 items, with advice: against 20 ms",
        f"{whole * 1e3:.1f} ms, {len(find_spaces(house, rulebook))} spaces",
        whole / 0.020,
        1.0,
        at_least=False,
    )


def _walls(count: int, smoke: bool) -> list[list[Rect]]:
    return [obstacles(count, seed) for seed in range(5 if smoke else 40)]


def _house(count: int) -> House:
    rng = np.random.default_rng(count)
    items = [
        Item(str(n), KINDS[n % len(KINDS)], one.left, one.bottom, one.width, one.height)
        for n, one in enumerate(obstacles(count, int(rng.integers(100))))
    ]
    return House((Room("r", "Room", walls=(Wall("w", "r", "Wall", 6000, 3000, items=tuple(items)),)),))


def _cpu(run: object, repeat: int = 5) -> float:
    """The least processor time of a few runs [s]."""
    best = float("inf")
    for _ in range(repeat):
        began = time.process_time()
        run()  # type: ignore[operator]
        best = min(best, time.process_time() - began)
    return max(best, 1e-6)
