"""Which rule gives way to which: all of it, as data.

`POSITION` says in which order the bands of a space are honoured when a piece is hung: the first holds for certain,
each later one as far as the earlier leave room. `WIDTH` says which rule has the say about the width. `GIVES_WAY`
says which shortfall is forgiven while another rule holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from .results import SpaceKind

Side = Literal["low", "high", "both"]

#: Space kind -> what decides the height, strongest first. "fit" keeps the piece inside the free rectangle,
#: "centred" puts it in the middle of its panel.
POSITION: Mapping[SpaceKind, tuple[str, ...]] = {
    "over_furniture": ("fit", "clearance", "eye-line"),
    "open_wall": ("fit", "eye-line"),
    "stair": ("fit", "eye-line"),
    "panel": ("fit", "centred"),
}


#: Space kind -> the rule that decides how wide a piece should be: over furniture two-thirds of it, not the free width.
WIDTH: Mapping[SpaceKind, str] = {
    "over_furniture": "two-thirds",
    "open_wall": "fill",
    "stair": "fill",
    "panel": "fill",
}


@dataclass(frozen=True, slots=True)
class GivesWay:
    """While `to` holds, `rule` may miss its band on `side`: `share` (0-1) of its shortfall in the score is forgiven,
    and its finding becomes a note.

    `kinds` are the spaces where that is so; `to` may also be "centred".
    """

    rule: str
    to: str
    kinds: tuple[SpaceKind, ...]
    side: Side
    share: float
    why: str


GIVES_WAY: tuple[GivesWay, ...] = (
    GivesWay(
        "shape",
        "two-thirds",
        ("over_furniture",),
        "both",
        0.5,
        "two-thirds of the furniture counts for more than the shape of the free wall",
    ),
    GivesWay(
        "eye-line",
        "clearance",
        ("over_furniture",),
        "high",
        0.0,
        "above furniture the gap comes first, and the centre may sit higher",
    ),
    GivesWay(
        "eye-line",
        "centred",
        ("panel",),
        "both",
        0.0,
        "inside a moulding the piece is centred in its panel",
    ),
)


def position_order(kind: SpaceKind) -> tuple[str, ...]:
    """What decides the height in a space of this kind, strongest first."""
    return POSITION[kind]


def width_decided_by(rule: str) -> tuple[SpaceKind, ...]:
    """The kinds of space where this rule decides the width."""
    return tuple(kind for kind, ruling in WIDTH.items() if ruling == rule)


def gives_way(rule: str, kind: SpaceKind) -> tuple[GivesWay, ...]:
    """The entries under which `rule` gives way in a space of this kind."""
    return tuple(way for way in GIVES_WAY if way.rule == rule and kind in way.kinds)
