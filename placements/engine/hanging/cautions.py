"""What to mind before and while a piece goes up. Advice only: local codes and licensed trades come first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..fixings import MAKERS_RATING
from ..house import Rect, Room, Wall, Work
from ..names import listed, small
from ..results import PlainWords, Words
from ..weights import estimated_weight
from .fasten import Fastening
from .grips import PUBLIC_ROOMS, STANDING, items_below, seats_below

#: 51 lb, the load constant of the Revised NIOSH Lifting Equation (Waters et al., NIOSH 94-110, 1994, rev. 2021).
TWO_PERSON_KG = 23.0
#: 50 lb: above it, professional help (Earthquake Country Alliance).
PROFESSIONAL_KG = 22.68
#: Too wide for one person to hold level: common practice, no source.
TWO_PERSON_WIDTH_MM = 1220.0
#: Above the reach of a standing person: common practice, no source.
LADDER_MM = 1830.0
WET_ROOMS = ("kitchen", "bath")

DEFER = (
    "These notes are guidance. Local codes, the building's own rules and the advice of a licensed electrician, plumber "
    "or builder come first. When in doubt, do not drill: ask."
)


@dataclass(frozen=True, slots=True)
class Caution:
    code: str
    text: str


def cautions(
    work: Work, room: Room, wall: Wall, place: Rect, fastening: Fastening, words: Words | None = None
) -> tuple[Caution, ...]:
    """The cautions for one piece at `place` on its wall, the gravest first.

    Source: lifting, NIOSH 94-110; over 50 lb and closed hooks, Earthquake Country Alliance and FEMA's how-to for
    framed pictures (April 2008); paint before 1978, 40 CFR 745; silica dust, 29 CFR 1926.1153 (from memory); the
    rest common practice, no source.
    """
    words = words or PlainWords()
    return tuple(
        Caution(code, text)
        for applies, code, text in (
            *_weight(work, fastening, words),
            *_above(wall, place, work, fastening),
            *_behind(room, wall, fastening),
            *_public(room, fastening),
            *_standing(work, fastening),
        )
        if applies
    )


def sheet_cautions(build: str) -> tuple[Caution, ...]:
    """What holds for every piece on a wall of this build."""
    found = [
        Caution(
            "ladders", "Set the ladder on firm, level ground; keep three points of contact; never reach past its rails."
        ),
        Caution("rating", MAKERS_RATING),
    ]
    if build in ("brick", "concrete", "tile"):
        text = "Drilling masonry or tile makes silica dust: use extraction or water, a fitted respirator and goggles."
        found.append(Caution("masonry-dust", text))
    if build in ("plaster", "drywall", "timber"):
        text = (
            "Old paint and plaster may hold lead or asbestos (in the United States, suspect paint before 1978): "
            "do not drill or sand until it has been tested."
        )
        found.append(Caution("old-paint", text))
    text = (
        "In earthquake country ask before hanging on open hooks: closed hooks and held lower corners, which are not "
        "all in these lists, are usual there."
    )
    found.append(Caution("earthquake", text))
    found.append(Caution("defer", DEFER))
    return tuple(found)


def over_load(weight_kg: float, words: Words) -> str:
    """What to say where nothing ordinary carries a piece."""
    return f"No ordinary fixing carries {words.weight(weight_kg)} here: find a stud, more points or a builder's fixing."


def in_line(services: Iterable[str]) -> str:
    """What to say of hooks in line with `services`, by their names."""
    near = listed(sorted(small(name) for name in services))
    return f"A hook is in line with the {near}: scan for cables and pipes and switch off before drilling."


def _weight(work: Work, fastening: Fastening, words: Words) -> list[tuple[bool, str, str]]:
    weight = estimated_weight(work)
    heavy = weight.high_kg
    said = words.weight(heavy)
    return [
        (
            not fastening.enough and bool(fastening.points),
            "over-load",
            over_load(heavy, words),
        ),
        (
            heavy > PROFESSIONAL_KG,
            "professional",
            f"{said}: have a qualified installer choose and set the fixings.",
        ),
        (
            heavy > TWO_PERSON_KG or work.width > TWO_PERSON_WIDTH_MM,
            "two-persons",
            f"Two persons lift and hang this piece ({said}, {words.length(work.width)} wide).",
        ),
        (
            weight.estimated,
            "weight-estimated",
            f"Not weighed; planned for up to {said}. Weigh it before choosing the fixing.",
        ),
        (
            work.glazed or work.form == "mirror",
            "glass",
            "Glass: carry it upright with gloves, never flat, and tape it while it is moved.",
        ),
    ]


def _above(wall: Wall, place: Rect, work: Work, fastening: Fastening) -> list[tuple[bool, str, str]]:
    seats = [small(item.name) for item in seats_below(wall, place)]
    hot = [item.kind for item in items_below(wall, place) if item.kind in ("radiator", "mantel")]
    over = seats[0] if seats else ""
    risky = work.glazed or work.form == "mirror" or estimated_weight(work).high_kg > 9.0
    return [
        (
            bool(seats),
            "over-seat",
            f"Hangs over the {over}: {_held(fastening)}, so that it cannot jump off"
            + (", and agree that glass or weight here is wanted." if risky else "."),
        ),
        (
            bool(hot),
            "heat",
            f"Above a {hot[0] if hot else ''}: heat and soot harm art; it must stay cool when in use.",
        ),
        (
            place.top > LADDER_MM,
            "ladder",
            "Reached from a ladder or platform: one holds, one hangs; clear the floor first.",
        ),
    ]


def _behind(room: Room, wall: Wall, fastening: Fastening) -> list[tuple[bool, str, str]]:
    near = {item.name for fastened in fastening.points for item in fastened.services}
    plumbing = room.use in WET_ROOMS or any(item.kind == "radiator" for item in wall.items)
    return [
        (
            bool(near),
            "services",
            in_line(near),
        ),
        (
            plumbing,
            "pipes",
            "Water pipes may run in this wall: scan before drilling.",
        ),
    ]


def _held(fastening: Fastening) -> str:
    """By what a piece over a seat is kept from jumping off."""
    if fastening.extras:
        return f"fit the {listed(fastening.extras)}"
    return f"hang it on its {'security hangers' if fastening.grip == 'locking' else 'closed hooks'}"


def _standing(work: Work, fastening: Fastening) -> list[tuple[bool, str, str]]:
    kind = work.hang.kind if work.hang else ""
    return [
        (
            kind in STANDING,
            "topple",
            f"It {'stands on an easel' if kind == 'easel' else 'leans'} and can fall on whoever passes: "
            f"fit the {listed(fastening.extras)}, and keep it out of the way of children and doors.",
        )
    ]


def _public(room: Room, fastening: Fastening) -> list[tuple[bool, str, str]]:
    hung = "hang it on its locking security hangers and fit" if fastening.grip == "locking" else "fit"
    fitted = listed(fastening.extras)
    return [
        (
            room.use in PUBLIC_ROOMS and bool(fastening.extras),
            "security",
            f"Public place: {hung} the {fitted}; keep to the projection limits for circulation paths.",
        )
    ]
