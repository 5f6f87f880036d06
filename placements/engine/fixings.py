"""What holds a hook to a wall: ordinary fixings, the load that each is trusted with, and the choice between them.

A capacity is `working` (a printed or recommended load) or `ultimate` (the load at failure); what we allow is the
capacity divided by the factor. Hollow-wall fixings publish ultimate loads, to be divided by at least four; a printed
working load is halved, as the trade does when it picks a hook rated for twice the piece (common practice, no source).
All figures are defaults for planning: the maker's printed rating governs.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Literal

from .errors import EngineError
from .hanging.wire import G
from .house import BUILDS

Basis = Literal["working", "ultimate"]
#: What the piece hangs on, at the end of a fixing.
Grip = Literal["hook", "closed", "locking", "head", "cleat", "batten", "rail"]
FACTOR: dict[Basis, float] = {"working": 2.0, "ultimate": 4.0}
LB_N = 4.4482216152605  # one pound-force in newtons, exact
MAKERS_RATING = "Figures are planning defaults. The rating printed by the maker of the fixing governs."
#: How each grip is named after the screw that holds it, and how far the screw stands above the seat [mm] (common
#: practice, no source); None where the maker decides: measure it.
GRIPS: dict[Grip, tuple[str, float | None]] = {
    "hook": ("with screw hook", 10.0),
    "closed": ("with closed hook", 12.0),
    "locking": ("with locking security hanger", None),
    "head": ("its head left out to hang on", 0.0),
    "cleat": ("through the cleat", 0.0),
    "batten": ("through the batten", 0.0),
    "rail": ("", None),
}
#: A usual picture hook's nail stands about 1 in above its seat: common practice, no source.
NAIL_ABOVE_SEAT_MM = 25.0
IN_STUD = ("drywall", "plaster", "tile", "timber")


@dataclass(frozen=True, slots=True)
class Fixing:
    """One kind of fixing: what goes into the wall. `capacity_n` at one point [N].

    A `nailed` picture hook holds a wire or a ring and comes with its hook; every other grip needs a screw.
    """

    id: str
    name: str
    builds: tuple[str, ...]
    on_stud: bool
    capacity_n: float
    basis: Basis
    source: str
    tools: tuple[str, ...]
    specialist: bool = False
    nailed: bool = False

    @property
    def factor(self) -> float:
        return FACTOR[self.basis]

    @property
    def allowed_n(self) -> float:
        return self.capacity_n / self.factor


_PACKET = "printed packet loads, common practice, no source"
_HOLLOW = "order of magnitude of published hollow-wall loads in 1/2 in board; factor 4 on the ultimate load"
_PLUG = "planning default below usual plug loads, from memory; no published standard could be checked"
_STUD = (
    "planning default below the lateral value of a No. 8 wood screw in softwood as remembered from the US National "
    "Design Specification for Wood (its text could not be checked), lowered for the board between hook and stud"
)
_PILOT = ("drill", "pilot bit")
_DUST = ("fitted respirator and goggles",)
_MASONRY = ("hammer drill", "masonry bit", "dust extraction", *_DUST)
_TILE = ("drill without hammer", "diamond or carbide tile bit", "masking tape", *_DUST)
_HARDENED = (*_PILOT, "masking tape", "hammer")

FIXINGS: tuple[Fixing, ...] = (
    Fixing("picture-hook-1", "picture hook, one nail", ("drywall", "timber"), False, 20 * LB_N, "working", _PACKET,
           ("hammer",), nailed=True),
    Fixing("picture-hook-2", "picture hook, two nails", ("drywall", "timber"), False, 50 * LB_N, "working", _PACKET,
           ("hammer",), nailed=True),
    Fixing("picture-hook-plaster", "picture hook, one hardened nail, hole drilled first", ("plaster",), False,
           20 * LB_N, "working", _PACKET, _HARDENED, nailed=True),
    Fixing("picture-hook-plaster-2", "picture hook, two hardened nails, holes drilled first", ("plaster",), False,
           30 * LB_N, "working", _PACKET, _HARDENED, nailed=True),
    Fixing("picture-hook-plaster-3", "picture hook, three hardened nails, holes drilled first", ("plaster",), False,
           50 * LB_N, "working", _PACKET, _HARDENED, nailed=True),
    Fixing("picture-hook-plaster-4", "picture hook, four hardened nails, holes drilled first", ("plaster",), False,
           75 * LB_N, "working", _PACKET, _HARDENED, nailed=True),
    Fixing("board-anchor", "self-drilling board anchor and screw", ("drywall",), False, 75 * LB_N,
           "ultimate", _HOLLOW, ("screwdriver",)),
    Fixing("toggle", "toggle bolt through the board", ("drywall", "plaster"), False, 200 * LB_N,
           "ultimate", _HOLLOW, ("drill", "bit for the toggle", "screwdriver")),
    Fixing("stud-screw", "No. 8 wood screw, 1¼ in (32 mm) into the stud", IN_STUD, True,
           100 * LB_N, "working", _STUD, (*_PILOT, "stud finder", "screwdriver")),
    Fixing("plug-6", "6 mm plug and screw", ("brick", "concrete"), False, 60 * LB_N, "working", _PLUG,
           (*_MASONRY, "6 mm bit", "screwdriver")),
    Fixing("plug-8", "8 mm plug and screw", ("brick", "concrete"), False, 120 * LB_N, "working", _PLUG,
           (*_MASONRY, "8 mm bit", "screwdriver")),
    Fixing("tile-plug-6", "6 mm plug and screw through the tile, seated in the wall behind it", ("tile",), False,
           30 * LB_N, "working", _PLUG, (*_TILE, "screwdriver")),
    Fixing("wood-screw", "wood screw into solid timber", ("timber",), False, 80 * LB_N, "working", _STUD,
           (*_PILOT, "screwdriver")),
    Fixing("stud-lag", "structural screw, ¼ in (6 mm), into the stud", IN_STUD, True, 240 * LB_N, "working", _STUD,
           (*_PILOT, "stud finder", "socket driver"), specialist=True),
    Fixing("sleeve-anchor", "sleeve anchor, ¼ in (6 mm), in sound masonry", ("brick", "concrete"), False, 400 * LB_N,
           "working", _PLUG, (*_MASONRY, "spanner"), specialist=True),
)  # fmt: skip

#: What carries a piece from a picture rail, whatever the wall is of: 20 kg is an order of magnitude of printed loads of
#: hooks with 2 mm cables or 4 mm rods, common practice, no source; the rail's own fixing is not known.
RAIL_HOOK = Fixing("rail-hook", "rail hook with rod or cable", BUILDS, False, 196.0, "working", _PACKET, ())


@dataclass(frozen=True, slots=True)
class Choice:
    """The fixing for one point: `count` of them share `load_n`; `enough` is false when nothing ordinary carries it."""

    fixing: Fixing
    count: int
    load_n: float
    enough: bool
    grip: Grip = "hook"

    @property
    def name(self) -> str:
        """What goes into the wall, and what the piece hangs on."""
        hangs = "" if self.fixing.nailed else GRIPS[self.grip][0]
        return f"{self.fixing.name}, {hangs}" if hangs else self.fixing.name

    @property
    def rise_mm(self) -> float | None:
        """How far the nail or screw stands above the seat [mm]; None where it is to be measured."""
        return NAIL_ABOVE_SEAT_MM if self.fixing.nailed else GRIPS[self.grip][1]

    @property
    def allowed_n(self) -> float:
        return self.count * self.fixing.allowed_n

    @property
    def factor(self) -> float:
        """Capacity over load: the safety factor that is really there."""
        return self.count * self.fixing.capacity_n / self.load_n if self.load_n else float("inf")


def usable(build: str, on_stud: bool, specialist: bool = False, screws: bool = False) -> tuple[Fixing, ...]:
    """The fixings for a wall build at a point, weakest first; `screws` leaves nailed hooks out.

    Raises:
        EngineError: the build is not one of `house.BUILDS`.
    """
    if build not in BUILDS:
        raise EngineError(f"Wall build {build!r} is not known; use one of {', '.join(BUILDS)}.")
    found = [
        fixing
        for fixing in FIXINGS
        if build in fixing.builds
        and (on_stud or not fixing.on_stud)
        and (specialist or not fixing.specialist)
        and not (screws and fixing.nailed)
    ]
    return tuple(sorted(found, key=lambda fixing: fixing.allowed_n))


def allowed_n(build: str, on_stud: bool = False) -> float:
    """What one point carries with the best ordinary fixing [N]."""
    return usable(build, on_stud)[-1].allowed_n


def greatest_weight_kg(build: str, points: int = 2, on_stud: bool = False) -> float:
    """The heaviest piece that `points` equally loaded points carry with ordinary fixings [kg]."""
    return points * allowed_n(build, on_stud) / G


def choose(build: str, load_n: float, on_stud: bool = False, grip: Grip = "hook") -> Choice:
    """The plainest fixing that carries `load_n` at one point; where there is none, the strongest, and how many.

    A single specialist fixing is taken before several ordinary ones. `enough` is false when more than two of the
    strongest would be needed at one point: the piece wants more points, a stud, or a specialist.
    """
    if load_n < 0:
        raise EngineError(f"A load cannot be negative; it is {load_n:.1f} N.")
    if grip == "rail":
        count = max(1, ceil(load_n / RAIL_HOOK.allowed_n))
        return Choice(RAIL_HOOK, count, load_n, enough=count <= 2, grip=grip)
    screws = grip != "hook"
    ordinary = usable(build, on_stud, screws=screws)
    if on_stud:  # a stud was found: use it
        ordinary = tuple(fixing for fixing in ordinary if fixing.on_stud) or ordinary
    for fixing in (*ordinary, *usable(build, on_stud, specialist=True, screws=screws)):
        if fixing.allowed_n >= load_n:
            return Choice(fixing, 1, load_n, enough=True, grip=grip)
    strongest = usable(build, on_stud, specialist=True, screws=screws)[-1]
    count = ceil(load_n / strongest.allowed_n)
    return Choice(strongest, count, load_n, enough=count <= 2, grip=grip)
