"""Neighbours on one wall brought to one centre line, as far as the bands of their heights allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..rule import INCH
from ..rulebook import Rulebook
from .places import Place

#: Middles farther apart than this are two heights on purpose [mm]. Common practice, no source.
NEAR = 6 * INCH
#: How far within the band over furniture, and above the lowest eye line, a line is looked for [mm].
INSIDE, ABOVE_LOWEST = 0.5 * INCH, 3 * INCH
#: What is no nearer than this is moved [mm].
LEAST = 2.0


@dataclass(frozen=True, slots=True)
class Band:
    """A composition's middle [mm], where it may be, and how wide it is."""

    centre: float
    low: float
    high: float
    width: float


def band_of(place: Place, bottom: float, top: float, width: float, rulebook: Rulebook) -> Band | None:
    """Where a composition's middle may be; None where something else governs its height: a panel, a rail, what it
    goes around."""
    half, centre = (top - bottom) / 2, (top + bottom) / 2
    if place.bearer is not None:
        clear, over = rulebook.limits("clearance"), place.bearer.rect.top
        low, high = over + clear.low + INSIDE + half, over + clear.high - INSIDE + half
    elif place.role in ("open", "side"):
        eye = rulebook.limits("eye-line")
        low, high = eye.low, min(eye.low + ABOVE_LOWEST, eye.high)
    else:
        return None
    low, high = max(low, place.box.bottom + half), min(high, place.box.top - half)
    # What hangs outside its band for a reason of its own stays.
    return Band(centre, low, high, width) if low - LEAST <= centre <= high + LEAST else None


def levelled(bands: Sequence[Band]) -> list[float]:
    """The middle of each of a wall's compositions [mm], from left to right: those near one another share a line."""
    found = [one.centre for one in bands]
    order = sorted(range(len(bands)), key=lambda at: bands[at].centre)
    start = 0
    for end in range(1, len(order) + 1):
        if end == len(order) or bands[order[end]].centre - bands[order[end - 1]].centre > NEAR:
            some = order[start:end]
            low, high = max(bands[at].low for at in some), min(bands[at].high for at in some)
            if len(some) > 1 and low <= high:
                weight = sum(bands[at].width for at in some)
                line = sum(bands[at].centre * bands[at].width for at in some) / weight
                for at in some:
                    found[at] = min(max(line, low), high)
            start = end
    return found
