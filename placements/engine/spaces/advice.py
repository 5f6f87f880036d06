"""Whether a space should take a piece: reasons to leave it bare against reasons that ask for one, each weighed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..geometry import overlap_across
from ..house import House, Item, Wall
from ..names import capital
from ..obstacles import bearers, item_name
from ..results import Advice, Reason, Space, Words
from ..rule import INCH
from ..rulebook import Rulebook
from ..rules.pairing import quiet_wall
from ..surroundings import bare_reasons
from .outline import Found

#: From this sum of reasons on a space is optional; `quiet-wall`'s own limit says from where it is better left bare.
OPTIONAL_AT = 0.4
#: How strongly furniture of some length, and a large panel, ask for a piece. Common practice, no source.
FURNITURE_ASKS = 0.3
PANEL_ASKS = 0.6
#: How strongly it speaks against a piece that none could reach the eye line. Common practice, no source.
TOO_LOW = 0.7
#: Furniture shorter than this is small: a table beside something longer [mm].
SMALL = 30 * INCH
#: An open stretch narrower than this is narrow [mm].
NARROW = 20 * INCH
#: How near small furniture stands to the longer piece that it flanks [mm].
BESIDE = 12 * INCH

Weighed = tuple[float, Reason]


def advised(house: House, wall: Wall, found: Iterable[Found], rulebook: Rulebook, words: Words) -> Iterator[Space]:
    """Each space with its advice and the reasons for it."""
    found = tuple(found)
    for one in found:
        against = _against(house, wall, one, found, rulebook, words)
        asks = _asks(wall, one, found)
        yield Space(
            id=one.id,
            room=wall.room,
            wall=wall.id,
            kind=one.kind,
            over=one.over,
            rect=one.rect,
            shape=one.ideal.shape,
            advice=_advice(wall, against, asks, rulebook),
            reasons=tuple(reason for _, reason in (*against, *asks)),
            ideal=one.ideal,
            width_basis=one.basis,
            name=one.name,
            beyond=one.beyond,
        )


def _advice(wall: Wall, against: list[Weighed], asks: list[Weighed], rulebook: Rulebook) -> Advice:
    leave_at = rulebook.limits("quiet-wall").leave_at
    total = sum(weight for weight, _ in against) - sum(weight for weight, _ in asks)
    if wall.keep_bare or total >= leave_at - 1e-9:
        return "leave_bare"
    return "optional" if total >= OPTIONAL_AT - 1e-9 else "hang"


def _against(
    house: House, wall: Wall, one: Found, found: tuple[Found, ...], rulebook: Rulebook, words: Words
) -> list[Weighed]:
    limits = rulebook.limits("quiet-wall")
    holds = bare_reasons(house.room_by_id[wall.room], wall, one.rect)
    named = quiet_wall.reasons(holds, limits)
    reasons = [(strength, Reason("quiet-wall", capital(text))) for _, strength, text in named]
    beside = _flanked(wall, one, found)
    if beside:
        reasons.append((limits.flank, Reason("quiet-wall", f"It flanks {beside}")))
    low = _too_low(wall, one, rulebook)
    if low:
        reasons.append((TOO_LOW, Reason("eye-line", low)))
    pier = any(name == "pier" for name, _, _ in named)
    if one.kind == "open_wall" and one.rect.width < NARROW and not pier:
        text = f"It is a narrow strip of {words.length(one.rect.width)}"
        reasons.append((limits.pier, Reason("quiet-wall", text)))
    return reasons


def _too_low(wall: Wall, one: Found, rulebook: Rulebook) -> str:
    """In words, that nothing over the furniture can reach the eye line; empty where something can.

    Even a piece from the widest gap up to the ceiling would have its middle too low.
    """
    bearer = wall.item(one.over) if one.kind == "over_furniture" else None
    if bearer is None:
        return ""
    lowest = bearer.rect.top + rulebook.limits("clearance").high
    if (lowest + one.rect.top) / 2 >= rulebook.limits("eye-line").low:
        return ""
    return f"The {item_name(bearer, wall)} is so low that nothing over it reaches the eye line under this ceiling"


def _asks(wall: Wall, one: Found, found: tuple[Found, ...]) -> list[Weighed]:
    lights = [item for item in wall.items if item.acts == "statement_light"]
    if any(overlap_across(light.rect, one.rect) > 0 for light in lights):
        return []
    if one.kind == "over_furniture" and one.basis >= SMALL:
        bearer = wall.item(one.over)
        name = item_name(bearer, wall) if bearer else "furniture"
        return [(FURNITURE_ASKS, Reason("two-thirds", f"The {name} below asks for a piece about two-thirds as long"))]
    if one.kind == "panel" and one.id == _main_panel(found):
        sconces = sum(item.kind == "sconce" for item in wall.items)
        flanked = ", flanked by sconces," if sconces >= 2 else ""
        return [(PANEL_ASKS, Reason("fill", f"The largest moulding{flanked} asks for a piece"))]
    return []


def _flanked(wall: Wall, one: Found, found: tuple[Found, ...]) -> str:
    """What a side space flanks, in words: the longer furniture beside it, or the main panel; empty where nothing."""
    if one.kind == "panel":
        main = _main_panel(found)
        return "the main panel" if main and one.id != main else ""
    long = [item for item in bearers(wall) if item.width >= SMALL and item.id != one.over]
    own = wall.item(one.over)
    if one.kind == "over_furniture" and own is not None:
        near = [item for item in long if _gap(own, item) <= BESIDE and item.width >= 1.5 * own.width]
    elif one.kind == "open_wall":
        near = [item for item in long if item.width > one.rect.width and _reaches(one, item)]
    else:
        near = []
    return f"the {item_name(max(near, key=lambda item: item.width), wall)}" if near else ""


def _reaches(one: Found, item: Item) -> bool:
    """Whether an open stretch begins beside the furniture, with nothing but a small table between."""
    gap = max(item.left - one.rect.right, one.rect.left - item.rect.right)
    return gap <= SMALL + BESIDE


def _gap(item: Item, other: Item) -> float:
    return max(other.left - item.rect.right, item.left - other.rect.right)


def _main_panel(found: tuple[Found, ...]) -> str | None:
    """The largest panel where there are several and it is clearly the largest, or the only one."""
    sizes = sorted(((f.rect.width * f.rect.height, f.id) for f in found if f.kind == "panel"), reverse=True)
    if not sizes or (len(sizes) > 1 and sizes[0][0] < 1.15 * sizes[1][0]):
        return None
    return sizes[0][1]
