"""Who took the works over on site: a name, a signature in strokes, and how the job stood then."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from .progress import Action


@dataclass(frozen=True, slots=True)
class HandOver:
    """`path` is the signature as SVG path data in a box of 1000 by 400, `sha256` that of the record that was shown."""

    name: str
    at: datetime
    sha256: str
    path: str
    up: int
    count: int
    unsolved: int
    note: str


def hand_overs(actions: Iterable[Action]) -> tuple[HandOver, ...]:
    """Every hand-over of a job, in their order: in parts, or once more after a piece was mended."""
    return tuple(
        HandOver(
            name=given["name"],
            at=action.at,
            sha256=given["sha256"],
            path=signature_path(given["strokes"]),
            up=given["up"],
            count=given["count"],
            unsolved=given["unsolved"],
            note=given["note"],
        )
        for action in actions
        if action.kind == "handed_over" and not action.late
        for given in (action.payload,)
    )


def signature_path(strokes: Sequence[Sequence[Sequence[int]]]) -> str:
    """Strokes as SVG path data; a dot is a line of no length, which a round pen draws."""
    return "".join(
        "M" + "L".join(f"{x} {y}" for x, y in (stroke if len(stroke) > 1 else (*stroke, *stroke))) for stroke in strokes
    )
