"""The piece to look for in a space with no good match: size, shape and character."""

from __future__ import annotations

from collections.abc import Iterable

from .house import House, Wall
from .names import an, place_of
from .results import Arrangement, Brief, Space, Words
from .surroundings import PUBLIC_USES
from .worth import worth_of

#: An arrangement worth less than this calls for another piece. Common practice, no source.
GOOD = 80.0
_SIZE_RULES = ("two-thirds", "fill", "shape", "eye-line")


def briefs(house: House, spaces: Iterable[Space], plan: Iterable[Arrangement], words: Words) -> dict[str, Brief]:
    """A brief for every space that asks for a piece and has no good match in the plan, by the space's id."""
    chosen = {arrangement.space: arrangement for arrangement in plan}
    found = {}
    for space in spaces:
        one = chosen.get(space.id)
        if space.advice == "hang" and (one is None or _wanting(one)):
            found[space.id] = brief_for(house, space, words)
    return found


def brief_for(house: House, space: Space, words: Words) -> Brief:
    """What a space asks for."""
    ideal, wall = space.ideal, house.wall_by_id[space.wall]
    character = _character(house, space, wall)
    wide, tall = words.band(*ideal.width), words.band(*ideal.height)
    look = f"Look for {an(ideal.shape)} piece or group {wide} wide and {tall} high"
    text = f"{look} {place_of(space.name)}" + (f": {character}" if character else "")
    return Brief(ideal.width, ideal.height, ideal.shape, character, text)


def _wanting(arrangement: Arrangement) -> bool:
    if arrangement.kind == "bare":
        return True
    size = any(finding.rule in _SIZE_RULES and finding.level == "exception" for finding in arrangement.findings)
    return size or worth_of(arrangement) < GOOD


def _character(house: House, space: Space, wall: Wall) -> str:
    room, bearer = house.room_by_id[wall.room], wall.item(space.over)
    said = []
    if room.style:
        said.append(f"in keeping with a {room.style} room")
    if bearer is not None and bearer.kind in ("bed", "sofa"):
        said.append(f"light and unglazed over the {bearer.kind}")
    if bearer is not None and bearer.kind == "mantel":
        said.append("robust against warmth, no works on paper")
    if room.use in ("bath", "kitchen"):
        said.append("no paper or textile: steam and splashes")
    if room.use in PUBLIC_USES:
        said.append("shallow (nothing stands out into the passage) and securely fixed")
    if wall.finish in ("patterned_wallpaper", "brick", "stone", "tile"):
        said.append("plain and bold enough to hold against the wall's pattern")
    return "; ".join(said)
