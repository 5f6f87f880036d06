"""How well outlines sit in places: every outline in every place at once, by its faults.

The quality of an outline at its place is 1 less its faults, each capped: off two-thirds of the furniture, lost or
crowded on the open wall, too high or too low for the eye, off the axis, of the wrong shape. All bands are the rules'
own limits; how fast a fault grows with the distance from its band is common practice, no source.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from ..bands import eye_height
from ..blocks import concerned, rulings
from ..groups.boxes import Floats
from ..house import House
from ..position import furniture_gap
from ..rule import INCH, Array, Mask
from ..rulebook import Rulebook
from ..scene import build_scene, placed
from .kinds import Kind
from .places import Place

#: The part of a tall wall that a share of the height is taken of [mm].
SEEN_HEIGHT = 96 * INCH
#: Over furniture a composition lower than this share of the furniture's length looks thin.
THIN = 0.27
#: What covers less than this share of an open wall looks like a stamp on it, and what that takes at the most. Common
#: practice, no source.
STAMP, LIKE_A_STAMP = 0.07, 0.35
#: What is wider than so many lengths of the furniture hangs beside it rather than over it. Common practice, no source.
ASTRIDE = 1.5
#: What sticks out of its box by no more than this fits [mm].
SLACK_MM = 0.5
#: What a rule of care takes weighs so many times: a plan looks for a safe place before a fine one.
CARE_POWER = 2
#: What is left where a rule of care asks for a decision.
HARM = 0.75
#: Outlines times places that are judged at a time.
CELLS = 30_000
#: Rules that say where a piece may be, which the box says already, or weigh a bare wall, which a place's worth does.
NOT_CARE = frozenset({"fit", "quiet-wall"})

#: What the eye sees of an outline in its place.
Sight = Literal["width", "height", "axis", "shape"]


@dataclass(frozen=True)
class Fit:
    """Outlines in places.

    quality : (O, P) up to 1, -inf where it cannot hang; left, bottom : (O, P) [mm] of its lower left corner
    """

    quality: Array
    left: Array
    bottom: Array


@dataclass(frozen=True)
class Ground:
    """P places as arrays, each (P,) [mm]: box, axis, basis, top of what stands below, height of the middle."""

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
    def of(cls, places: Sequence[Place], rulebook: Rulebook) -> Ground:
        """The places in the order given."""
        eye = eye_height(rulebook.limits("eye-line").low, rulebook.limits("eye-line").high)

        def array(values: list[float]) -> Floats:
            return np.array(values, dtype=np.float64)

        def mask(values: list[bool]) -> Mask:
            return np.array(values, dtype=bool)

        spaces = [one.space for one in places]
        return cls(
            left=array([one.box.left for one in places]),
            right=array([one.box.right for one in places]),
            bottom=array([one.box.bottom for one in places]),
            top=array([one.box.top for one in places]),
            axis=array([one.axis for one in places]),
            basis=array([one.basis for one in places]),
            bearer_top=array([one.bearer.rect.top if one.bearer else np.nan for one in places]),
            over=mask([one.kind == "over_furniture" for one in spaces]),
            panel=mask([one.kind == "panel" for one in spaces]),
            stair=mask([one.kind == "stair" for one in spaces]),
            landscape=mask([one.shape == "landscape" for one in spaces]),
            portrait=mask([one.shape == "portrait" for one in spaces]),
            level=array([one.box.centre_y if one.space.kind == "panel" else eye for one in places]),
        )

    def only(self, place: int) -> Ground:
        """One place of them."""
        return Ground(**{one.name: getattr(self, one.name)[place : place + 1] for one in dataclasses.fields(self)})


def fit(width: Floats, height: Floats, ground: Ground, rulebook: Rulebook) -> Fit:
    """Outlines at their best places.

    width, height : (O, 1), or (O, P) where an outline differs from place to place [mm]
    """
    if width.shape[1] == 1 and len(width) > 1:  # many outlines are of one size
        sizes, which = np.unique(np.hstack([width, height]), axis=0, return_inverse=True)
        if len(sizes) < len(width):
            at = fit(sizes[:, :1], sizes[:, 1:], ground, rulebook)
            return Fit(at.quality[which], at.left[which], at.bottom[which])
    at_once = max(1, CELLS // max(1, len(ground.left)))
    parts = [
        _fit(width[start : start + at_once], height[start : start + at_once], ground, rulebook)
        for start in range(0, max(1, len(width)), at_once)
    ]
    return Fit(*(np.concatenate([getattr(part, name) for part in parts]) for name in ("quality", "left", "bottom")))


def _fit(w: Floats, h: Floats, ground: Ground, rulebook: Rulebook) -> Fit:
    """Some outlines at their best places, few enough for a processor's cache."""
    clear, eye = rulebook.limits("clearance"), rulebook.limits("eye-line")
    left = np.clip(ground.axis - w / 2, ground.left, np.maximum(ground.left, ground.right - w))
    least, most = furniture_gap(clear)
    gap = np.maximum((clear.low + clear.high) / 2, eye.low - h / 2 - ground.bearer_top)
    gap = np.clip(np.minimum(gap, eye.high - h / 2 - ground.bearer_top), least, most)
    bottom = np.where(ground.over, ground.bearer_top + gap, ground.level - h / 2)
    lowest = np.where(ground.over, np.maximum(ground.bearer_top + clear.low, ground.bottom), ground.bottom)
    room = ground.top - h
    bottom = np.maximum(np.minimum(bottom, room), np.minimum(lowest, room))
    return Fit(quality(w, h, left, bottom, ground, rulebook), left, bottom)


@dataclass
class Fits:
    """Outlines in every place, each size judged once."""

    ground: Ground
    rulebook: Rulebook
    known: dict[tuple[float, float], Fit] = field(default_factory=dict)

    def of(self, width: float, height: float) -> Fit:
        """One outline [mm] in every place: arrays (1, P)."""
        key = round(width, 3), round(height, 3)
        if key not in self.known:
            self.known[key] = fit(np.array([[width]]), np.array([[height]]), self.ground, self.rulebook)
        return self.known[key]


def quality(w: Array, h: Array, left: Array, bottom: Array, ground: Ground, rulebook: Rulebook) -> Array:
    """(O, P) 1 less the faults of outlines where they are, -inf where one leaves its place's box.

    w, h : (O, 1) or (O, P); left, bottom : (O, P) [mm]
    """
    inside = (left >= ground.left - SLACK_MM) & (left + w <= ground.right + SLACK_MM)
    inside &= (bottom >= ground.bottom - SLACK_MM) & (bottom + h <= ground.top + SLACK_MM)
    inside &= ~ground.over | (w <= ASTRIDE * ground.basis)
    fault = sum(faults(w, h, left, bottom, ground, rulebook).values())
    found: Array = np.where(inside, 1.0 - fault, -np.inf)
    return found


def faults(
    w: Array, h: Array, left: Array, bottom: Array, ground: Ground, rulebook: Rulebook
) -> dict[Sight, Array | float]:
    """(O, P) what each thing that the eye sees takes from the quality of outlines where they are, 0 where it is right.

    w, h : (O, 1) or (O, P); left, bottom : (O, P) [mm]
    """
    clear, eye = rulebook.limits("clearance"), rulebook.limits("eye-line")
    free, tall = ground.right - ground.left, ground.top - ground.bottom
    share = np.where(ground.over, w / ground.basis, w / free)
    seen = np.minimum(tall, SEEN_HEIGHT)
    fill = _fill(share, h / seen, h / tall, ground.stair, rulebook)
    stamp = np.clip(STAMP - w * h / (free * seen), 0.0, None) / STAMP * LIKE_A_STAMP
    fill = fill + stamp * ~(ground.stair | ground.panel)
    thin = np.where(ground.over, np.clip(THIN - h / ground.basis, 0.0, None), 0.0)
    centre = bottom + h / 2
    high = _height(centre, ground.over, eye.low - ground.over * eye.below_over_furniture, eye.high)
    off_middle = np.minimum(np.abs(centre - ground.level) / (6 * INCH), 1.0) * 0.3
    high = np.where(ground.panel, off_middle, high) * ~ground.stair
    gap = np.where(ground.over, _gap(bottom - ground.bearer_top, clear.low, clear.high), 0.0)
    flat, upright = w > 1.2 * h, h > 1.2 * w
    shape = 0.08 * ((ground.landscape & upright) | (ground.portrait & flat)) * ~ground.stair
    shape = shape + 0.04 * ((ground.landscape | ground.portrait) & ~flat & ~upright) * ~ground.stair
    crowded = np.clip((6 * INCH - (ground.top - bottom - h)) / (6 * INCH), 0.0, 1.0) * 0.05
    return {
        "width": np.where(ground.over, _two_thirds(share, rulebook), fill) + thin,
        "height": high + gap + np.where(ground.over, crowded, 0.0),
        "axis": np.minimum(np.abs(left + w / 2 - ground.axis) / (0.25 * ground.basis), 1.0) * 0.5,
        "shape": shape,
    }


def _two_thirds(share: Array, rulebook: Rulebook) -> Array:
    """Off two-thirds of what it hangs over; the middle of the band is best by a hair."""
    limits = rulebook.limits("two-thirds")
    middle = (limits.low + limits.high) / 2
    short = np.clip(limits.low - share, 0.0, None) * 1.9
    wide = np.clip(share - limits.high, 0.0, None) * 2.2
    inside = np.minimum(np.abs(share - middle), 0.1) * 0.25
    fault: Array = np.minimum(short + wide + inside, 0.95)
    return fault


def _fill(across: Array, seen: Array, upward: Array, stair: Mask, rulebook: Rulebook) -> Array:
    """Lost or crowded on an open wall, in a panel or along a stair, where only the run counts.

    across, upward : shares of the free width and height; seen : share of the part of the height that the eye takes in
    """
    limits = rulebook.limits("fill")
    low, high = np.where(stair, limits.low_stair, limits.low), np.where(stair, limits.high_stair, limits.high)
    lost = np.clip(low - 0.05 - across, 0.0, None) * 1.1
    full = np.clip(across - high - 0.02, 0.0, None) * 1.8
    inside = np.minimum(np.abs(across - (low + high) / 2), 0.15) * 0.15
    short = np.clip(limits.low_height - seen, 0.0, None) * 2.0
    tall = np.clip(upward - limits.high_height, 0.0, None) * 1.5
    fault: Array = np.minimum(lost + full + inside + (short + tall) * ~stair, 0.95)
    return fault


def _height(centre: Array, over: Mask, low: Array, high: float) -> Array:
    """Too high or too low for the eye; over furniture the gap decides and what follows from it costs little."""
    above, below = np.clip(centre - high, 0.0, None), np.clip(low - centre, 0.0, None)
    bound = np.minimum(above / (30 * INCH), 1.0) * 0.04 + np.minimum(below / (18 * INCH), 1.0) * 0.2
    free = np.minimum(above / (8 * INCH), 1.0) * 0.4 + np.minimum(below / (8 * INCH), 1.0) * 0.4
    fault: Array = np.where(over, bound, free)
    return fault


def _gap(gap: Array, low: float, high: float) -> Array:
    """Too near to the furniture or too far above it."""
    near = np.minimum(np.clip(low - gap, 0.0, None) / (4 * INCH), 1.0) * 0.4
    fault: Array = near + np.minimum(np.clip(gap - high, 0.0, None) / (8 * INCH), 1.0) * 0.5
    return fault


def care(
    house: House, kinds: Sequence[Kind], places: Sequence[Place], rulebook: Rulebook, ground: Ground
) -> tuple[Array, Mask]:
    """What rules of care leave of the worth of each kind in each place, and where a rule stops it.

    Returns:
        (K, P) share left, 0-1; (K, P) bool, where a rule stops the kind as it would hang by itself.
    """
    works = tuple(kind.work for kind in kinds)
    shape = (len(works), len(places))
    left, stopped = np.ones(shape), np.zeros(shape, dtype=bool)
    if not works or not places:
        return left, stopped
    scene = build_scene(dataclasses.replace(house, works=works), [one.space for one in places], rulebook.margins)
    at = fit(scene.width[:, None], scene.height[:, None], ground, rulebook)
    for concern, verdict, term in rulings(placed(scene, at.left, at.bottom), concerned(scene, rulebook)):
        if verdict.veto is not None and concern.rule.id != "fit":
            stopped[:, concern.columns] |= verdict.veto
        if concern.rule.care and concern.rule.id not in NOT_CARE:
            left[:, concern.columns] *= (1 - (concern.weight * verdict.applies) * (1 - term)) ** CARE_POWER
            missed = (verdict.value < verdict.low - verdict.slack) | (verdict.value > verdict.high + verdict.slack)
            left[:, concern.columns] *= np.where(missed & verdict.applies, HARM, 1.0)
    return left, stopped
