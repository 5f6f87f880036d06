"""What a composition is worth in a place: every outline in every place at once, by its faults.

The quality of an outline in a place is 1 less its faults, each capped: off two-thirds of the furniture, lost or crowded
on the open wall, too high or too low for the eye, off the axis, of the wrong shape. What a rule of care takes (weight
over a bed, sun on paper) is taken from it too. All bands are the rules' own limits; how fast a fault grows is common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..groups.boxes import Floats
from ..house import House
from ..rule import INCH, Array, Mask
from ..rulebook import Rulebook
from ..scene import build_scene, placed
from ..blocks import concerned, hear
from .kinds import Kind
from .places import Place

#: Above furniture the gap that is aimed at, and how far it may open to bring a low piece up to the eye line [mm].
GAP_WISH, GAP_MOST = 7.5 * INCH, 8.0 * INCH
#: Where in the eye line's band the middle of a composition goes, from its low end.
EYE_SHARE = 0.35
#: The part of a tall wall that a share of the height is taken of [mm].
SEEN_HEIGHT = 96 * INCH


@dataclass(frozen=True)
class Fit:
    """Outlines in places.

    quality : (O, P) 0-1, -inf where it cannot hang
    bottom : (O, P) [mm] lower edge of the outline; left : (O, P) [mm] its left edge
    """

    quality: Array
    left: Array
    bottom: Array


@dataclass(frozen=True)
class Ground:
    """The places as arrays, each (P,) [mm]."""

    left: Floats
    right: Floats
    bottom: Floats
    top: Floats
    axis: Floats
    basis: Floats
    bearer_top: Floats
    over: Mask
    panel: Mask
    stair: Mask
    landscape: Mask
    portrait: Mask
    level: Floats

    @classmethod
    def of(cls, places: Sequence[Place], eye: float) -> Ground:
        def array(values: list[float]) -> Floats:
            return np.array(values, dtype=np.float64)

        return cls(
            left=array([one.box.left for one in places]),
            right=array([one.box.right for one in places]),
            bottom=array([one.box.bottom for one in places]),
            top=array([one.box.top for one in places]),
            axis=array([one.axis for one in places]),
            basis=array([one.basis for one in places]),
            bearer_top=array([one.bearer.rect.top if one.bearer else np.nan for one in places]),
            over=np.array([one.space.kind == "over_furniture" for one in places], dtype=bool),
            panel=np.array([one.space.kind == "panel" for one in places], dtype=bool),
            stair=np.array([one.space.kind == "stair" for one in places], dtype=bool),
            landscape=np.array([one.space.shape == "landscape" for one in places], dtype=bool),
            portrait=np.array([one.space.shape == "portrait" for one in places], dtype=bool),
            level=array([one.box.centre_y if one.space.kind == "panel" else eye for one in places]),
        )


def fit(width: Floats, height: Floats, ground: Ground, rulebook: Rulebook) -> Fit:
    """Judge outlines in places.

    width, height : (O,) [mm]
    """
    w, h = width[:, None], height[:, None]
    clear, eye = rulebook.limits("clearance"), rulebook.limits("eye-line")
    free = ground.right - ground.left
    tall = ground.top - ground.bottom
    left = np.clip(ground.axis - w / 2, ground.left, np.maximum(ground.left, ground.right - w))
    wish = np.clip(GAP_WISH, clear.low, clear.high)
    most = np.clip(GAP_MOST, clear.low, clear.high)
    gap = np.clip(eye.low - h / 2 - ground.bearer_top, wish, most)
    over = ground.bearer_top + gap
    bottom = np.where(ground.over, over, ground.level - h / 2)
    room = ground.top - h
    lowest = np.where(ground.over, ground.bearer_top + clear.low, ground.bottom)
    bottom = np.maximum(np.minimum(bottom, room), np.minimum(lowest, room))
    fits = (w <= free + 0.5) & (bottom >= np.where(ground.over, lowest, ground.bottom) - 0.5) & (bottom + h <= ground.top + 0.5)
    fault = np.where(ground.over, _two_thirds(w / ground.basis, rulebook), _fill(w / free, h / np.minimum(tall, SEEN_HEIGHT), rulebook))
    centre = bottom + h / 2
    fault = fault + np.where(ground.panel, 0.0, _height(centre, ground.over, eye.low, eye.high))
    fault = fault + np.minimum(np.abs(left + w / 2 - ground.axis) / (0.25 * ground.basis), 1.0) * 0.5
    flat, upright = w > 1.2 * h, h > 1.2 * w
    fault = fault + 0.08 * ((ground.landscape & upright) | (ground.portrait & flat))
    fault = fault + 0.04 * ((ground.landscape | ground.portrait) & ~flat & ~upright)
    crowded = np.clip((6 * INCH - (ground.top - bottom - h)) / (6 * INCH), 0.0, 1.0) * 0.05
    quality = np.where(fits, 1.0 - fault - np.where(ground.over, crowded, 0.0), -np.inf)
    return Fit(quality, left, bottom)


def _two_thirds(share: Array, rulebook: Rulebook) -> Array:
    """Off two-thirds of what it hangs over; the middle of the band is best by a hair."""
    limits = rulebook.limits("two-thirds")
    middle = (limits.low + limits.high) / 2
    short = np.clip(limits.low - share, 0.0, None) * 1.9
    wide = np.clip(share - limits.high, 0.0, None) * 2.2
    inside = np.minimum(np.abs(share - middle), 0.1) * 0.25
    return np.minimum(short + wide + inside, 0.95)


def _fill(across: Array, upward: Array, rulebook: Rulebook) -> Array:
    """Lost or crowded on an open wall or in a panel."""
    limits = rulebook.limits("fill")
    middle = (limits.low + limits.high) / 2
    lost = np.clip(limits.low - 0.05 - across, 0.0, None) * 1.3
    full = np.clip(across - limits.high - 0.02, 0.0, None) * 1.8
    inside = np.minimum(np.abs(across - middle), 0.15) * 0.15
    low = np.clip(limits.low_height - upward, 0.0, None) * 2.0
    high = np.clip(upward - limits.high_height, 0.0, None) * 1.5
    return np.minimum(lost + full + inside + low + high, 0.95)


def _height(centre: Array, over: Mask, low: float, high: float) -> Array:
    """Too high or too low for the eye; over furniture the gap decides and what follows from it costs little."""
    above, below = np.clip(centre - high, 0.0, None), np.clip(low - centre, 0.0, None)
    bound = np.minimum(above / (30 * INCH), 1.0) * 0.15 + np.minimum(below / (18 * INCH), 1.0) * 0.2
    free = np.minimum(above / (8 * INCH), 1.0) * 0.4 + np.minimum(below / (8 * INCH), 1.0) * 0.4
    return np.where(over, bound, free)


def care(house: House, kinds: Sequence[Kind], places: Sequence[Place], rulebook: Rulebook, ground: Ground) -> tuple[Array, Mask]:
    """What rules of care leave of the worth of each kind in each place, and where a rule stops it.

    Returns:
        (K, P) share left, 0-1, and (K, P) bool veto, judged where the kind would hang by itself.
    """
    works = tuple(kind.work for kind in kinds)
    spaces = [place.space for place in places]
    shape = (len(works), len(spaces))
    left, veto = np.ones(shape), np.zeros(shape, dtype=bool)
    if not works or not spaces:
        return left, veto
    scene = build_scene(_with_works(house, works), spaces, rulebook.margins)
    at = fit(scene.width, scene.height, ground, rulebook)
    pairs = placed(scene, at.left, np.where(np.isfinite(at.bottom), at.bottom, 0.0))
    for concern, verdict, term in hear(pairs, concerned(scene, rulebook)):
        if concern.rule.id == "fit" or concern.rule.id == "quiet-wall":
            continue
        if verdict.veto is not None:
            veto[:, concern.columns] |= verdict.veto
        if concern.rule.care:
            left[:, concern.columns] *= 1 - (concern.weight * verdict.applies) * (1 - term)
    return left, veto


def _with_works(house: House, works: tuple) -> House:  # type: ignore[type-arg]
    import dataclasses

    return dataclasses.replace(house, works=works)
