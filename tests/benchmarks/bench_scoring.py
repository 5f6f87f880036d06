"""Pair scoring: arrays in blocks against the same rules one pair at a time, and against the machine's limit."""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable, Iterator

import numpy as np

from placements.engine import position, scoring
from placements.engine.blocks import spreads, totals
from placements.engine.house import FORMS, LIGHT_CLASSES
from placements.engine.rulebook import Rulebook
from placements.engine.scene import Scene, build_scene
from tests import scenes
from tests.benchmarks import Row
from tests.placements.engine import plain

SHAPES = ("landscape", "square", "portrait")
BEARERS = ("sofa", "bed", "console", "mantel", "sideboard")
BUILDS = ("drywall", "plaster", "brick", "concrete")


def stock(works: int, spaces: int, seed: int = 7) -> Scene:
    """Works and spaces of every kind: six in ten over furniture, three on open walls, one in a panel."""
    draw = np.random.default_rng(seed)
    pool = [
        scenes.work(
            f"a{n}",
            *draw.uniform(6, 60, 2),
            depth=float(draw.choice([0.8, 1.5, 3.0, 5.0])),
            weight_kg=float(draw.uniform(0.5, 60)) if n % 2 else None,
            form=FORMS[n % len(FORMS)],
            light=LIGHT_CLASSES[n % 3],
            glazed=bool(n % 2),
        )
        for n in range(works)
    ]
    walls, where = [], []
    for m in range(spaces):
        kind = "over_furniture" if m % 10 < 6 else "open_wall" if m % 10 < 9 else "panel"
        over = kind == "over_furniture"
        bearer = scenes.item(BEARERS[m % 5], 42, 0, draw.uniform(40, 90), draw.uniform(24, 40), 20)
        finish = "patterned_wallpaper" if m % 9 == 0 else "paint"
        walls.append(scenes.wall(*(bearer,) * over, id=f"w{m}", build=BUILDS[m % 4], finish=finish))
        low = bearer.rect.top / scenes.INCH if over else 8
        area = scenes.rect(12, low, draw.uniform(30, 140), draw.uniform(40, 80))
        on = {"wall": f"w{m}", "id": f"s{m}", "shape": SHAPES[m % 3]}
        where.append(scenes.space(kind, area, over=bearer if over else None, **on))
    return build_scene(scenes.house(*pool, walls=tuple(walls)), where)


def seconds(run: Callable[[], object], times: int = 3, clock: Callable[[], float] = time.perf_counter) -> float:
    """The best of several runs: other work on the machine only ever adds."""
    taken = []
    for _ in range(times):
        start = clock()
        run()
        taken.append(clock() - start)
    return min(taken)


def loop_ns(scene: Scene, rulebook: Rulebook, pairs: int, clock: Callable[[], float]) -> float:
    """Nanoseconds a pair of the plain loop, over a diagonal sample of the scene."""
    limits, weights = plain.tables(rulebook)
    works, spaces = plain.works_of(scene), plain.spaces_of(scene)
    chosen = [(works[k * 7 % len(works)], spaces[k % len(spaces)]) for k in range(pairs)]

    def run() -> None:
        for work, space in chosen:
            plain.score(work, space, limits, weights)

    return seconds(run, clock=clock) / pairs * 1e9


def limit_ns() -> float:
    """Nanoseconds a pair to read and write a block of float32 in the cache 24 times: two bare passes a term."""
    block = np.ones((128, 1024), dtype=np.float32)
    out = np.empty_like(block)

    def run() -> None:
        for _ in range(24):
            np.multiply(block, 1.5, out=out)

    return seconds(run, 20, time.process_time) / block.size * 1e9


def peak_mb(run: Callable[[], object]) -> float:
    """Most memory that a run holds at once beyond what was there before."""
    tracemalloc.start()
    try:
        run()
        return tracemalloc.get_traced_memory()[1] / 1e6
    finally:
        tracemalloc.stop()


def rows(smoke: bool) -> Iterator[Row]:
    rulebook = Rulebook()
    works, spaces = (600, 120) if smoke else (10_000, 1_000)
    scene = stock(works, spaces)
    sample = 2_000 if smoke else 20_000
    # Timed by the processor's clock, which other work on the machine disturbs least.
    plain_ns = loop_ns(scene, rulebook, sample, time.process_time)
    one_ns = seconds(lambda: scoring.score(scene, rulebook, top=20), clock=time.process_time) / (works * spaces) * 1e9
    what = f"scoring {works:,} × {spaces:,} on one thread, over plain loop"
    yield Row(what, f"{one_ns:.1f} ns a pair, plain {plain_ns:,.0f} ns", plain_ns / one_ns, 100.0)
    floor = limit_ns()
    yield Row("  its time over bare array passes (limit)", f"{floor:.1f} ns a pair", one_ns / floor, 25.0, False)
    if smoke:
        return
    many = stock(100_000, 1_000)
    taken = seconds(lambda: scoring.score(many, rulebook, top=20), 1, time.process_time)
    ns = taken / 1e8 * 1e9
    yield Row("  time a pair at 100,000 × 1,000 over 10,000 × 1,000", f"{ns:.1f} ns a pair", ns / one_ns, 1.3, False)
    grown = peak_mb(lambda: scoring.score(many, rulebook, top=20))
    yield Row("  memory that it adds at its peak (share of 300 MB)", f"{grown:.0f} MB", grown / 300, 1.0, False)
    single, double = scene.as_type(np.float32), position.heights(scene, rulebook.all_limits)
    worst, flipped = 0.0, 0
    for exact, rough in zip(
        spreads(scene, double, rulebook), spreads(single, position.as_type(double, np.float32), rulebook), strict=True
    ):
        for (_, one), (_, two) in zip(exact.blocks(), rough.blocks(), strict=True):
            (total, veto), (near, near_veto) = totals(one, exact.concerns), totals(two, rough.concerns)
            worst = max(worst, float(np.abs(total - near).max()))
            flipped += int((veto != near_veto).sum())
    yield Row(
        "  float32 against float64, greatest difference of 100",
        f"{worst:.1e}, {flipped} vetoes flipped",
        worst,
        1e-3,
        False,
    )
