"""A drop that the hanger measured on the piece: what it may be, and the hooks that it leads to.

The phone works the same out of `reckoning` while it has no signal; both are held to `tests/reports/drops.json`.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from typing import Any

from placements.engine.facade import G
from placements.engine.fixings import choose
from placements.engine.hanging.cautions import cautions, over_load
from placements.engine.hanging.fasten import fasten, service_zone
from placements.engine.hanging.points import measured_hooks
from placements.engine.hanging.studs import HOLD_MM, centres
from placements.engine.names import small
from studio.units import LONGEST_MM, Units

from .pieces import SOLID, UNKNOWN_STUDS, JobPiece, checked, fixing_text, rounded_hooks
from .progress import PieceState

#: A reference card may be taped beside the wall's end, and a measure be a little over a ceiling that is not level [mm].
BESIDE_MM = 1000.0
SLACK_MM = 100.0


def limits(piece: JobPiece) -> dict[str, tuple[float, float]]:
    """The least and the most that each measure of a piece can be [mm], on the phone and in the office."""
    up = piece.wall.height + SLACK_MM
    return {
        "drop_mm": (0.0, piece.work.height),
        "apart_mm": (0.0, piece.work.width),
        "left_mm": (-SLACK_MM, piece.wall.length),
        "top_left_mm": (0.0, up),
        "top_right_mm": (0.0, up),
        "card_left_mm": (-BESIDE_MM, piece.wall.length),
        "card_bottom_mm": (0.0, piece.wall.height),
    }


def impossible(value: float, least: float, most: float, units: Units) -> str:
    """What to say of a measure that is not between the two; empty where it is."""
    if least <= value <= most:
        return ""
    found = units.length(value) if abs(value) <= LONGEST_MM else "A length like this"
    return f"{found} is not possible: it must be between {units.length(least)} and {units.length(most)}."


def with_drop(piece: JobPiece, drop_mm: float, apart_mm: float, units: Units) -> JobPiece:
    """The piece with its hooks where a measured drop has them, each with its stud, fixing and services."""
    rect = piece.rect
    hooks = measured_hooks(piece.work, rect.left, rect.bottom, piece.hooks, drop_mm, apart_mm, units)
    fastening = fasten(piece.room, piece.wall, rect, hooks)
    return dataclasses.replace(
        piece,
        hooks=hooks,
        points=rounded_hooks(piece.number, fastening, piece.bearer, units),
        fastening=fastening,
        cautions=cautions(piece.work, piece.room, piece.wall, rect, fastening, units),
        moved_mm=0.0,
    )


def as_measured(pieces: Iterable[JobPiece], states: Mapping[int, PieceState], units: Units) -> tuple[JobPiece, ...]:
    """The pieces of a job in their order, those whose drop was measured with the hooks that follow from it."""
    return checked(
        piece
        if (state := states.get(piece.number)) is None or state.drop_mm is None
        else with_drop(piece, state.drop_mm, state.apart_mm, units)
        for piece in pieces
    )


def reckoning(piece: JobPiece, units: Units) -> dict[str, Any]:
    """What the phone reckons the hooks of a measured drop with: lengths in mm, words for what it finds."""
    wall, rect, weight_kg = piece.wall, piece.rect, piece.hooks.weight_kg
    drilled = piece.fastening.grip != "rail"
    zones = [(small(item.name), service_zone(item)) for item in wall.items if item.acts == "service" and drilled]
    return {
        "left_mm": rect.left,
        "top_mm": rect.top,
        "middle_mm": rect.centre_x,
        "wall_mm": wall.length,
        "bearer_mm": piece.bearer.bottom + piece.bearer.height if piece.bearer else None,
        "studs": [] if wall.studs is None or not drilled else list(centres(wall.studs, wall.length)),
        "hold_mm": HOLD_MM,
        "no_studs": "" if wall.build in SOLID or not drilled else UNKNOWN_STUDS,
        "fixings": [
            {
                where: {"text": fixing_text(choice), "enough": choice.enough}
                for where, on_stud in (("stud", True), ("bare", False))
                for choice in (choose(wall.build, weight_kg * G / hooks, on_stud, piece.fastening.grip),)
            }
            for hooks in (1, 2)
        ],
        "over_load": over_load(weight_kg, units),
        "services": [
            {"name": name, "across": [zone.left, zone.right], "up": [zone.bottom, zone.top]} for name, zone in zones
        ],
        "limits": {name: list(ends) for name, ends in limits(piece).items()},
    }
