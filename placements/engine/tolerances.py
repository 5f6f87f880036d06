"""How true a piece is to hang. House rules under the name "tolerances"."""

from __future__ import annotations

from dataclasses import dataclass

from .limits import INCH, limit


@dataclass(frozen=True)
class Tolerances:
    """How far a piece may hang from its plan before the hanger is told to move it [mm]."""

    place: float = limit(INCH / 4, "mm", (INCH / 16, 2 * INCH), "to either side, and up or down")
    level: float = limit(INCH / 8, "mm", (INCH / 16, INCH), "one top corner above the other, over the piece's width")


DEFAULT_TOLERANCES = Tolerances()
