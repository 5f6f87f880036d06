"""Names inside a sentence."""

from __future__ import annotations

from collections.abc import Sequence

_PLACES = ("over", "between", "along", "above", "beside", "in")


def place_of(name: str) -> str:
    """Where a space is: "over the sofa", "to the left of the door", "in the left panel", "on the open wall"."""
    lower = small(name)
    if lower.split(" ", 1)[0] in _PLACES:
        return lower
    if "panel" in lower:
        return f"in the {lower}"
    return f"on the {lower}" if lower.startswith("open") else f"to the {lower}"


def listed(names: Sequence[str]) -> str:
    """ "this", "this and that", "this, that and the other"; empty for none."""
    *first, last = names or ("",)
    return f"{', '.join(first)} and {last}" if first else last


def an(name: str) -> str:
    """The name with its article: "a print", "an object"."""
    return f"an {name}" if name[:1] in "aeiou" else f"a {name}"


def small(text: str) -> str:
    """With a small first letter, unless it begins with an abbreviation: "sofa", "TV stand"."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def capital(text: str) -> str:
    """With a capital first letter."""
    return text[:1].upper() + text[1:]
