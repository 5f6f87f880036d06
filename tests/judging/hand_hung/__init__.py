"""Walls and rooms hung by hand, each in three ways with rank and reason: our own invented data.

Common practice, no source: one judgement, not a panel. `domestic.json` holds single walls of homes, `groups.json`
salons, grids, rows and stairs, `rooms.json` whole rooms and small houses. An entry has a `name`, an `idea` (what the
eye sees here), a `survey` (a survey document in inches) and three `hangings` with `rank`, `why` and `pieces` (`wall`,
`art`, `left`, `bottom` in inches). Rank 1 is how it would be hung, rank 2 is sound but less good, rank 3 a plausible
mistake.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from placements.engine.house import House
from placements.engine.results import Hanging

from ..proposing import INCH, house_of

HERE = Path(__file__).parent
FILES = ("domestic", "groups", "rooms")


@dataclass(frozen=True)
class Entry:
    """One house with its three hangings by rank; `set_aside` where it is not to be tuned on."""

    which: str
    name: str
    idea: str
    house: House
    ranked: dict[int, tuple[Hanging, ...]]
    why: dict[int, str]
    set_aside: bool


def entries(*which: str) -> tuple[Entry, ...]:
    """The entries of the named files, of all three when none is named; a third of each is set aside, by its name."""
    found = []
    for file in which or FILES:
        read = json.loads((HERE / f"{file}.json").read_text(encoding="utf-8"))
        by_hash = sorted((entry["name"] for entry in read), key=lambda name: hashlib.sha256(name.encode()).digest())
        aside = set(by_hash[: (len(read) + 1) // 3])
        for entry in read:
            ranked = {
                one["rank"]: tuple(
                    Hanging(piece["art"], piece["wall"], piece["left"] * INCH, piece["bottom"] * INCH, order)
                    for order, piece in enumerate(one["pieces"], start=1)
                )
                for one in entry["hangings"]
            }
            why = {one["rank"]: one["why"] for one in entry["hangings"]}
            name, house = entry["name"], house_of(entry["survey"])
            found.append(Entry(file, name, entry["idea"], house, ranked, why, name in aside))
    return tuple(found)
