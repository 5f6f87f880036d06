"""What of a plan is charged for: each piece with what hanging it asks for."""

from __future__ import annotations

from dataclasses import dataclass

INCH = 25.4


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece at its place.

    width, height : outer [mm]; weight_kg : None where unknown; hardware : as the engine names it, "" where it stands
    points : hooks or screws in the wall; heavy : how many of them are anchors or structural; top_mm : its upper edge
    build : of the wall; group : how many hang together with it, itself counted
    """

    id: int
    title: str
    room: str
    wall: str
    width: float
    height: float
    weight_kg: float | None
    hardware: str
    points: int
    heavy: int
    top_mm: float
    build: str
    group: int
