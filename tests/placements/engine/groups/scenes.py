"""Small spaces and pools for the groups' tests: our own invented works, sizes in inches."""

from __future__ import annotations

import numpy as np

from placements.engine.groups.setting import GroupLimits, Site
from placements.engine.house import Rect, Work
from placements.engine.results import Ideal, Space

IN = 25.4
#: Common frame sizes of the US trade [in].
FRAMES = ((5, 7), (8, 10), (11, 14), (16, 20), (18, 24), (20, 24), (22, 28), (24, 36), (30, 40))


def work(id, width_in, height_in, **kwargs):
    return Work(id=id, title=f"Study {id}", width=width_in * IN, height=height_in * IN, **kwargs)


def prints(count, width_in=11, height_in=14, **kwargs):
    return [work(f"p{i:02}", width_in, height_in, form="print", frame="black", **kwargs) for i in range(count)]


def mixed_sizes(count, seed):
    """(k, 2) sizes [in] drawn from the common frame sizes, upright or lying."""
    rng = np.random.default_rng(seed)
    sizes = np.array(FRAMES)[rng.integers(len(FRAMES), size=count)]
    return np.where((rng.random(count) < 0.5)[:, None], sizes[:, ::-1], sizes)


def mixed_pool(count, seed, **kwargs):
    rng = np.random.default_rng(seed + 1)
    return [
        work(f"m{i:02}", float(w), float(h), **({"frame": str(rng.choice(["black", "oak", "gilt"]))} | kwargs))
        for i, (w, h) in enumerate(mixed_sizes(count, seed))
    ]


def space(
    kind="open_wall", *, left=12, bottom=20, width=140, height=80, ideal=((70, 110), (40, 66)), basis=None, over=None
):
    (w0, w1), (h0, h1) = ideal
    return Space(
        id="s1",
        room="r1",
        wall="w1",
        kind=kind,
        over=over,
        rect=Rect(left * IN, bottom * IN, width * IN, height * IN),
        shape="landscape",
        advice="hang",
        reasons=(),
        ideal=Ideal((w0 * IN, w1 * IN), (h0 * IN, h1 * IN), "landscape"),
        width_basis=(basis or width) * IN,
    )


def over_sofa():
    """The wall above an 84 in sofa whose top is 34 in up, under an 108 in ceiling."""
    return space("over_furniture", left=42, bottom=34, width=84, height=70, ideal=((50, 63), (28, 48)), over="sofa")


def site(*, obstacles=(), rail=None, axis=None):
    return Site(GroupLimits.of(), tuple(obstacles), rail, axis)
