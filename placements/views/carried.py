"""What a page carries and sends back as JSON: a whole wall, or the layout of a group; every value checked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from placements.selectors.groups import FORMS
from placements.services.moves import FURTHEST_MM
from studio.errors import Invalid
from studio.inputs import read_json, read_text, read_whole


def arrangement(text: str) -> dict[str, Any]:
    """A whole wall: `pieces` as an edit takes them, and `bares` as [space, reason]."""
    return _read(text, _arrangement, "This way to hang the wall could not be read: go back and choose it again.")


def layout(text: str) -> dict[str, Any]:
    """A group: `pieces` as [artwork, left, bottom], the fixed ones among them, the form."""
    return _read(text, _layout, "This layout could not be read: go back and compose again.")


def _read(text: str, checked: Callable[[Any], dict[str, Any]], refusal: str) -> dict[str, Any]:
    try:
        return checked(read_json(text))
    except (Invalid, ValueError, TypeError, KeyError):
        raise Invalid(refusal) from None


def _arrangement(state: Any) -> dict[str, Any]:
    pieces = [
        {
            "artwork": _row(one["artwork"]),
            "left_mm": _length(one["left_mm"]),
            "bottom_mm": _length(one["bottom_mm"]),
            "order": order,
            "space": _text(one["space"], 160),
            "group": _text(one["group"], 40),
            "locked": bool(one["locked"]),
            "why": _text(one["why"], 1000),
        }
        for order, one in enumerate(state["pieces"], 1)
    ]
    bares = {_text(space, 160): _text(why, 250) for space, why in state["bares"]}
    return {"pieces": pieces, "bares": [[space, why] for space, why in bares.items()]}


def _layout(state: Any) -> dict[str, Any]:
    pieces = [[_row(pk), _length(left), _length(bottom)] for pk, left, bottom in state["pieces"]]
    fixed = {_row(pk) for pk in state["locked"]}
    if state["form"] not in FORMS:
        raise ValueError
    return {"pieces": pieces, "locked": [pk for pk, _, _ in pieces if pk in fixed], "form": state["form"]}


def _row(value: object) -> int:
    return read_whole(value, least=1)


def _length(value: object) -> float:
    if isinstance(value, int | float) and abs(value) <= FURTHEST_MM:  # which no NaN is
        return float(value)
    raise ValueError


def _text(value: object, most: int) -> str:
    return read_text(str(value)[:most], longest=most, strip=False)
