"""What a piece hangs on, at the end of each fixing: the hardware decides it, and then what hangs below or who walks by.

What a caution asks for is chosen here, so that the list of fixings and the table have it.
"""

from __future__ import annotations

from ..fixings import Grip
from ..house import Item, Rect, Room, Wall

SEATS_AND_BEDS = ("sofa", "bed", "bench", "desk")
PUBLIC_ROOMS = ("public_corridor", "lobby", "office")
#: Hardware that sits on screw heads or is screwed to the wall: no hook can be closed on it.
OF_HARDWARE: dict[str, Grip] = {
    "keyholes": "head", "cleat": "cleat", "batten": "batten", "rods": "rail", "security": "locking",
}  # fmt: skip
#: What stands or leans, and is to be kept from falling.
STANDING = ("easel", "lean")


def items_below(wall: Wall, place: Rect) -> list[Item]:
    """What stands on or hangs from the wall below a piece at `place`."""
    return [
        item
        for item in wall.items
        if item.left < place.right and item.left + item.width > place.left and item.bottom + item.height <= place.top
    ]


def seats_below(wall: Wall, place: Rect) -> list[Item]:
    """Where somebody sits or lies under a piece at `place`."""
    return [item for item in items_below(wall, place) if item.kind in SEATS_AND_BEDS]


def grip_of(kind: str, room: Room, wall: Wall, place: Rect) -> Grip:
    """What a piece with hanging hardware of this kind hangs on at `place`."""
    if kind in OF_HARDWARE:
        return OF_HARDWARE[kind]
    public, over = room.use in PUBLIC_ROOMS, bool(seats_below(wall, place))
    if kind == "sawtooth":  # its teeth take a nail or a screw's head, and nothing that closes
        return "head" if public or over else "hook"
    if public:
        return "locking"
    return "closed" if over else "hook"


def extras(kind: str, grip: Grip, room: Room, wall: Wall, place: Rect) -> tuple[str, ...]:
    """What is fitted to the piece besides its hooks."""
    if kind in STANDING:
        return (TIE,) if kind == "easel" else (PADS, STRAP)
    if grip == "locking":
        return (LOCK,)
    if room.use in PUBLIC_ROOMS:
        return (SECURITY_BRACKET,)
    return (CORNER_HOLD,) if grip not in ("hook", "closed") and seats_below(wall, place) else ()


LOCK = "lock at the lower edge, for the security hangers"
TIE = "tie from the piece to its easel"
PADS = "pair of pads that do not slip, under the lower edge"
STRAP = "safety strap from the back to the wall"
SECURITY_BRACKET = "security bracket at the lower edge"
CORNER_HOLD = "pair of holds for the lower corners"
