"""From a piece's hanging hardware and its place to the points where its hooks bear on the wall.

Every height is to the seat of the hook, where the wire or ring rests, not to the nail above it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..house import Hardware, Item, Wall, Work
from ..results import PlainWords, Words
from ..weights import estimated_weight
from .grips import STANDING
from .studs import even_apart
from .wire import G, ImpossibleWire, WireHang, one_hook, two_hooks

#: Above this width or weight a wire gets two hooks. FEMA's how-to for framed pictures (April 2008) asks for two
#: hooks for large works; the figures are common practice, no source.
TWO_HOOKS_WIDTH_MM = 610.0
TWO_HOOKS_WEIGHT_KG = 9.0
#: A usual picture hook stands about 1 in above its seat: common practice, no source.
HOOK_ABOVE_SEAT_MM = 25.0
#: Below this slope each leg carries more than 2.9 times the whole weight: T = W / (2 sin 10 deg).
LEAST_ANGLE_DEG = 10.0
#: Usual braided picture wire, 50 lb, in newtons: common practice, no source.
USUAL_WIRE_N = 222.0
#: The outer screws of a cleat or a batten are so far in from its ends: common practice, no source.
OUTER_SCREW_MM = 50.0

TroubleCode = Literal[
    "wire-tight", "wire-over-rating", "wire-slack", "hook-shows", "not-measured", "sawtooth-heavy", "no-rail"
]

#: Troubles that a measured drop settles.
_OF_THE_DROP: tuple[TroubleCode, ...] = ("not-measured", "wire-slack", "hook-shows")


@dataclass(frozen=True, slots=True)
class HookPoint:
    """Where one hook bears, in wall coordinates [mm], with what it carries downwards [N]."""

    left: float
    height: float
    down_n: float


@dataclass(frozen=True, slots=True)
class Trouble:
    """What the hardware itself gets wrong, in words."""

    code: TroubleCode
    text: str


@dataclass(frozen=True, slots=True)
class Hooks:
    """How one piece hangs at one place. `drop` is from the piece's top edge down to the hooks' seats [mm]; `tension_n`
    is the pull in a wire [N].
    """

    work: str
    kind: str
    points: tuple[HookPoint, ...]
    drop: float | None
    apart: float
    weight_kg: float
    troubles: tuple[Trouble, ...] = ()
    tension_n: float | None = None

    @property
    def measured(self) -> bool:
        return self.drop is not None


def hook_points(
    work: Work,
    left: float,
    bottom: float,
    *,
    wall: Wall | None = None,
    apart: float | None = None,
    wire_rated_n: float = USUAL_WIRE_N,
    words: Words | None = None,
) -> Hooks:
    """The hook points of a piece whose outer lower left corner is at (`left`, `bottom`) [mm].

    Args:
        wall: where given, two hooks on a wire are put on studs when two studs stand evenly about the piece's middle
        apart: distance between two hooks on a wire; 0 for one hook; chosen from width and weight when None [mm]
        wire_rated_n: what the wire may pull [N]
    Returns:
        The hooks; without points when the hardware is not measured or its wire is impossible, and then a
        trouble says why. The weight is the upper estimate when the piece has not been weighed.
    """
    words = words or PlainWords()
    estimate = estimated_weight(work)
    weight_kg = estimate.high_kg
    hang = work.hang
    if hang is None:
        text = "The hanging hardware is not measured: measure the drop before drilling."
        return Hooks(work.id, "unknown", (), None, 0.0, weight_kg, (Trouble("not-measured", text),))
    if hang.kind == "wire":
        return _wire_hooks(work, hang, left, bottom, weight_kg, wall, apart, wire_rated_n, words)
    if hang.kind in STANDING:
        return Hooks(work.id, hang.kind, (), 0.0, 0.0, weight_kg)
    spacing = hang.spacing or 0.0
    if hang.kind in ("cleat", "batten") and not spacing:
        spacing = max(hang.length - 2 * OUTER_SCREW_MM, 0.0) if hang.length else 0.6 * work.width
    troubles = []
    if (
        hang.kind == "rods"
        and wall is not None
        and rail_above(wall, left + work.width / 2, bottom + work.height) is None
    ):
        text = "There is no picture rail above this place: fix one first, or change the hardware."
        troubles.append(Trouble("no-rail", text))
    if hang.kind == "sawtooth" and weight_kg > TWO_HOOKS_WEIGHT_KG:
        text = f"{words.weight(weight_kg)} on one sawtooth hanger: change to two rings before hanging."
        troubles.append(Trouble("sawtooth-heavy", text))
    points = points_at_drop(work, left, bottom, hang.below_top, spacing, weight_kg)
    return Hooks(work.id, hang.kind, points, hang.below_top, spacing, weight_kg, tuple(troubles))


def rail_above(wall: Wall, x: float, y: float) -> Item | None:
    """The lowest picture rail over a point of a wall, from which rods and cables hang."""
    rails = [
        item
        for item in wall.items
        if item.kind == "picture_rail" and item.left <= x <= item.left + item.width and item.bottom >= y
    ]
    return min(rails, key=lambda item: item.bottom, default=None)


def points_at_drop(
    work: Work, left: float, bottom: float, drop: float, apart: float, weight_kg: float
) -> tuple[HookPoint, ...]:
    """The points for a drop measured on the piece: one at the middle, or two `apart` about it [mm]."""
    middle, height = left + work.width / 2, bottom + work.height - drop
    if apart <= 0:
        return (HookPoint(middle, height, weight_kg * G),)
    return tuple(HookPoint(middle + side * apart / 2, height, weight_kg * G / 2) for side in (-1, 1))


def measured_hooks(
    work: Work, left: float, bottom: float, planned: Hooks, drop: float, apart: float, words: Words | None = None
) -> Hooks:
    """The hooks for a drop that was measured on the piece itself, in place of the `planned` ones [mm].

    What the plan said of the drop is gone with it; what it said of the hardware's strength stays.
    """
    words = words or PlainWords()
    troubles = [trouble for trouble in planned.troubles if trouble.code not in _OF_THE_DROP]
    if 0 <= drop < HOOK_ABOVE_SEAT_MM:
        troubles.append(_hook_shows(drop, words))
    points = points_at_drop(work, left, bottom, drop, apart, planned.weight_kg)
    return Hooks(work.id, planned.kind, points, drop, apart, planned.weight_kg, tuple(troubles))


def _hook_shows(drop: float, words: Words) -> Trouble:
    text = f"The hook bears only {words.length(drop)} below the top edge: a usual hook would show above the frame."
    return Trouble("hook-shows", text)


def _wire_hooks(
    work: Work,
    hang: Hardware,
    left: float,
    bottom: float,
    weight_kg: float,
    wall: Wall | None,
    apart: float | None,
    wire_rated_n: float,
    words: Words,
) -> Hooks:
    span = work.width - 2 * (hang.inset or 0.0)
    length = hang.length or 0.0
    weight_n = weight_kg * G
    try:
        wire, apart = _choose_wire(work, hang, span, length, weight_n, weight_kg, apart, left + work.width / 2, wall)
    except ImpossibleWire as why:
        text = f"{why} Measure it again before drilling."
        return Hooks(work.id, "wire", (), None, 0.0, weight_kg, (Trouble("not-measured", text),))
    drop = hang.below_top - wire.rise
    troubles = _wire_troubles(wire, drop, wire_rated_n, words)
    points = points_at_drop(work, left, bottom, drop, apart, weight_kg)
    return Hooks(work.id, "wire", points, drop, apart, weight_kg, troubles, wire.tension_n)


def _choose_wire(
    work: Work,
    hang: Hardware,
    span: float,
    length: float,
    weight_n: float,
    weight_kg: float,
    apart: float | None,
    middle: float,
    wall: Wall | None,
) -> tuple[WireHang, float]:
    """One hook or two: as asked, else by width and weight, or because one hook would show above the frame."""
    if apart is not None:
        return (two_hooks(span, length, apart, weight_n), apart) if apart > 0 else (one_hook(span, length, weight_n), 0)
    single = one_hook(span, length, weight_n)
    small = work.width <= TWO_HOOKS_WIDTH_MM and weight_kg <= TWO_HOOKS_WEIGHT_KG
    if small and hang.below_top - single.rise >= HOOK_ABOVE_SEAT_MM:
        return single, 0.0
    apart = span / 2
    if wall is not None:
        apart = even_apart(wall, middle, low=0.3 * span, high=0.7 * span, wanted=apart) or apart
    return two_hooks(span, length, apart, weight_n), apart


def _wire_troubles(wire: WireHang, drop: float, rated_n: float, words: Words) -> tuple[Trouble, ...]:
    pull = words.weight(wire.tension_n / G)
    found = []
    if wire.angle_deg < LEAST_ANGLE_DEG:
        text = f"The wire is tight: it rises only {wire.angle_deg:.0f}° and each leg pulls {pull}. Lengthen it."
        found.append(Trouble("wire-tight", text))
    if wire.tension_n > rated_n:
        text = (
            f"Each leg of the wire pulls {pull}, over the {words.weight(rated_n / G)} of usual wire: use heavier wire."
        )
        found.append(Trouble("wire-over-rating", text))
    if drop < 0:
        text = f"The wire is slack: the hook would bear {words.length(-drop)} above the frame. Shorten the wire."
        found.append(Trouble("wire-slack", text))
    elif drop < HOOK_ABOVE_SEAT_MM:
        found.append(_hook_shows(drop, words))
    return tuple(found)
