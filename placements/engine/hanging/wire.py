r"""A picture wire under load: where the hook bears, and what each straight segment pulls.

                 hook
               /      \
             /          \          rise: hook above rings
    ring  o                o  ring
          |<--- span S --->|         wire length L

The wire is taken as inextensible and frictionless over the hook, its weight as nothing. Lengths mm, forces N,
angles degrees from the horizontal.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, degrees, radians, sin, sqrt

from ..errors import EngineError

G = 9.80665  # m/s2, standard gravity, exact by definition (CGPM 1901)

NO_SLACK = "A wire of {length:.0f} mm cannot bridge rings that are {span:.0f} mm apart with any slack."


class ImpossibleWire(EngineError):
    """The wire cannot hang as described: shorter than what it has to bridge."""


@dataclass(frozen=True, slots=True)
class Segment:
    """One straight piece of the wire: its ends from the left ring (x right, y up) [mm] and its tension [N]."""

    from_x: float
    from_y: float
    to_x: float
    to_y: float
    tension_n: float

    @property
    def angle_deg(self) -> float:
        """Slope against the horizontal, 0 to 90 [deg]."""
        return abs(degrees(atan2(self.to_y - self.from_y, abs(self.to_x - self.from_x))))


@dataclass(frozen=True, slots=True)
class WireHang:
    """A wire on one or two hooks.

    `rise` is how far the hooks bear above the rings [mm].
    """

    rise: float
    segments: tuple[Segment, ...]

    @property
    def tension_n(self) -> float:
        return max(segment.tension_n for segment in self.segments)

    @property
    def angle_deg(self) -> float:
        """The flattest sloping segment [deg]."""
        return min(segment.angle_deg for segment in self.segments if segment.from_y != segment.to_y)


def leg_tension(weight_n: float, angle_deg: float) -> float:
    """Tension in each of two equal legs that carry `weight_n` [N].

    Notes: T = W / (2 sin a), for 0 < a <= 90.
    Source: statics; worked in OpenStax University Physics 1, ch. 6 (tightrope walker).
    """
    return weight_n / (2 * sin(radians(angle_deg)))


def leg_tensions(weight_n: float, left_deg: float, right_deg: float) -> tuple[float, float]:
    """Tensions of two legs at unequal angles that together carry `weight_n`, left and right [N].

    Notes: T_left = W cos(right) / sin(left + right), and the mirror image.
    Source: statics; worked in OpenStax College Physics, "Further applications" (traffic light, 30 and 45 deg).
    """
    together = sin(radians(left_deg + right_deg))
    return weight_n * cos(radians(right_deg)) / together, weight_n * cos(radians(left_deg)) / together


def one_hook(span: float, length: float, weight_n: float, hook_x: float | None = None) -> WireHang:
    """A wire over one hook.

    Args:
        span, length: between the rings, and along the wire [mm]
        weight_n: the piece's weight [N]
        hook_x: the hook from the left ring [mm]; the middle when None. Off the middle the hook point lies on the
            ellipse with the rings as foci, and the legs have unequal angles.
    Raises:
        ImpossibleWire: the wire is not longer than the span, or the hook is not between the rings.
    """
    if length <= span:
        raise ImpossibleWire(NO_SLACK.format(length=length, span=span))
    x = span / 2 if hook_x is None else hook_x
    if not 0 < x < span:
        raise ImpossibleWire(
            f"The hook must be between the rings; it is {x:.0f} mm from the left one of {span:.0f} mm."
        )
    a, c = length / 2, span / 2
    rise = sqrt((a * a - c * c) * (1 - ((x - c) / a) ** 2))
    left, right = leg_tensions(weight_n, degrees(atan2(rise, x)), degrees(atan2(rise, span - x)))
    return WireHang(rise, (Segment(0, 0, x, rise, left), Segment(x, rise, span, 0, right)))


def two_hooks(span: float, length: float, apart: float, weight_n: float) -> WireHang:
    """A wire over two level hooks that stand `apart` [mm], evenly about the middle.

    Notes: rise^2 = ((L - d)/2)^2 - ((S - d)/2)^2; the tension is the same along the wire. Each hook carries half the
    weight.
    Source: statics.
    Raises:
        ImpossibleWire: the wire is not longer than the span, or the hooks are not inside it.
    """
    if length <= span:
        raise ImpossibleWire(NO_SLACK.format(length=length, span=span))
    if not 0 < apart < span:
        raise ImpossibleWire(f"Two hooks {apart:.0f} mm apart do not fit between rings that are {span:.0f} mm apart.")
    run = (span - apart) / 2
    leg = (length - apart) / 2
    rise = sqrt(leg * leg - run * run)
    tension = leg_tension(weight_n, degrees(asin(rise / leg)))
    return WireHang(
        rise,
        (
            Segment(0, 0, run, rise, tension),
            Segment(run, rise, run + apart, rise, tension),
            Segment(run + apart, rise, span, 0, tension),
        ),
    )
