"""Sizes as lists and museums write them: several measures, labels, fractions, two systems and a weight in one cell.

Museums write height by width; dealers and framers often the other way round. The caller says which, and
one list in one cell may still contradict its own columns: the preview shows every piece in its shape.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from studio.units import BadMeasure, parse_length, parse_weight, plain

Order = Literal["height_first", "width_first"]

_NUMBER = r"(?:[0-9]+[ -]+[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?)"
_UNIT = r"(?:mm|cm|millimet(?:re|er)s?|centimet(?:re|er)s?|inches|inch|in\.?|m\b|feet|foot|ft\.?|\"|')"
_FEET = rf"{_NUMBER} *(?:'|ft\.?|feet|foot) *{_NUMBER} *(?:\"|inches|inch|in\.?)?"
_NOT_WEIGHT = r"(?![0-9.,]* *(?:kg|lbs?\b|pounds?|g\b))"
#: Names of the measures in English, French, German, Spanish and Italian, by what they measure.
_LABELS = {
    "h": r"height|hauteur|hohe|alto|altura|altezza|h",
    "w": r"width|largeur|breite|ancho|anchura|larghezza|w|l|b",
    "d": r"depth|profondeur|tiefe|fondo|profundidad|profondita|d|p|t",
}
_LABEL = rf"(?:{'|'.join(_LABELS.values())})"
_MEASURE = (
    rf"(?:(?<![a-z])(?P<before{{0}}>{_LABEL})\.? *[:=]? *)?"
    rf"(?P<measure{{0}}>{_FEET}|{_NOT_WEIGHT}{_NUMBER} *{_UNIT}?)(?: *\(?(?P<after{{0}}>{_LABEL})\b\.?\)?)?"
)
_BETWEEN = rf"(?: *(?:x|×|\*|by|,(?= *{_LABEL}\b)|;(?= *{_LABEL}\b)) *| +(?={_LABEL}\.? *[:=]? *[0-9]))"
_SIZE = re.compile(
    _MEASURE.format("1") + _BETWEEN + _MEASURE.format("2") + f"(?:{_BETWEEN}" + _MEASURE.format("3") + ")?"
)
_WEIGHT = re.compile(rf"({_NUMBER}) *(kgs?\b|lbs?\b|pounds?\b|kilograms?\b)(?! *\)? *gross)")
#: A round piece: its one measure is both, `40 cm dia`, `Ø 40 cm`.
_ACROSS = r"(?:ø|⌀|dia(?:m(?:et(?:er|re|ro|ros))?)?\b\.?|durchmesser)"
_ROUND = re.compile(rf"{_ACROSS} *[:=]? *({_NUMBER} *{_UNIT}?)|({_NUMBER} *{_UNIT}?) *\(?{_ACROSS}")
#: What a part of the cell may be about, the outer size of what hangs first; from `_FIRST_INNER` on it is without frame.
_RANKS = (
    *("frame", "framed", "overall", "object", "encadre", "gerahmt", "enmarcado", "con cornice"),
    *("support", "sheet", "canvas", "panel", "image", "plate", "unframed", "sight", "sans cadre", "ungerahmt"),
    *("sin marco", "senza cornice"),
)
_FIRST_INNER = _RANKS.index("support")
#: No size is longer.
_LONGEST = 800


@dataclass(frozen=True, slots=True)
class Size:
    """Outer size [mm] and weight [kg]; `notes` say what looked odd, in words.

    `inner`: the text says that it is the size without the frame.
    """

    width_mm: float
    height_mm: float
    depth_mm: float | None = None
    weight_kg: float | None = None
    notes: tuple[str, ...] = ()
    inner: bool = False


def parse_size(text: str, unit: str, order: Order) -> Size:
    """Read a size, for instance `29 1/4 x 36 1/4 in. (74.3 x 92.1 cm)`, `H 30 cm, W 40 cm`, `frame: 762 x 1118 mm`.

    Args:
        unit: "in", "cm" or "mm", where the text names none.
        order: which of the first two measures is which, unless they are labelled.

    Raises:
        BadMeasure: no size in it.
    """
    said = _folded(text)
    if round_piece := _round(said, text, unit):
        return round_piece
    found = [(rank, match) for rank, part in _parts(said) if (match := _SIZE.search(part))]
    if not found:
        raise BadMeasure(text, "a size such as 30 x 40 in, 76.2 x 101.6 cm or H 30 x W 40")
    rank, match = min(found, key=lambda one: one[0])
    measures = _measures(match, unit)
    notes = []
    width, height, depth = _ordered(match, measures, order)
    if max(width, height) > 8 * min(width, height):
        notes.append("one side is more than eight times the other: is a digit missing?")
    if rank < len(_RANKS) and _RANKS[rank].startswith("frame"):
        notes += _smaller_than_support(found, unit, order, (width, height))
    inner = _FIRST_INNER <= rank < len(_RANKS)
    return Size(width, height, depth, weight_in(text), tuple(notes), inner)


def _folded(text: str) -> str:
    """The text in small letters with plain keys, without accents."""
    split = unicodedata.normalize("NFKD", plain(text[:_LONGEST]).lower())
    return "".join(char for char in split if not unicodedata.combining(char))


def _round(said: str, text: str, unit: str) -> Size | None:
    """The size of a piece that is given by its diameter."""
    match = _ROUND.search(said)
    if match is None:
        return None
    across = parse_length((match[1] or match[2]).strip(), unit)
    inner = bool(re.search(r"\b(?:unframed|image|sight|sans cadre|ungerahmt|sin marco|senza cornice)\b", said))
    return Size(across, across, None, weight_in(text), (), inner)


def weight_in(text: str) -> float | None:
    """The weight [kg] that a text mentions; a gross weight is that of the crate."""
    match = _WEIGHT.search(plain(text[:_LONGEST]).lower())
    if match is None:
        return None
    try:
        return parse_weight(f"{match[1]} {'kg' if match[2].startswith('k') else 'lb'}")
    except BadMeasure:
        return None


def _parts(said: str) -> list[tuple[int, str]]:
    """The parts of a cell, each with how well it says the outer size: a label first, then in reading order."""
    parts = []
    for index, part in enumerate(re.split(r"[\r\n;]+|\((?=[^)]*[0-9] *(?:cm|mm|in|m)\b)", said)):
        label = next((rank for rank, name in enumerate(_RANKS) if re.search(rf"\b{name}\b", part)), len(_RANKS))
        parts.append((label * 100 + index if label < len(_RANKS) else len(_RANKS) * 100 + index, part))
    return [(rank // 100, part) for rank, part in sorted(parts, key=lambda part: part[0])]


def _measures(match: re.Match[str], unit: str) -> list[float]:
    """The two or three measures [mm]; one without a unit has that of the nearest later one, then of an earlier one."""
    texts = [match[f"measure{n}"].strip() for n in (1, 2, 3) if match[f"measure{n}"]]
    units = [one[0] if (one := re.findall(rf"{_UNIT}", text)) else None for text in texts]
    lengths = []
    for index, text in enumerate(texts):
        later = next((one for one in units[index:] if one), None) or next((one for one in units[::-1] if one), None)
        own = text if units[index] else f"{text} {later or unit}"
        lengths.append(parse_length(own, unit))
    return lengths


def _ordered(match: re.Match[str], measures: Sequence[float], order: Order) -> tuple[float, float, float | None]:
    labels = [_measured(match[f"before{n}"] or match[f"after{n}"] or "") for n in range(1, len(measures) + 1)]
    said = dict(zip(labels, measures, strict=True))
    if "h" in said and "w" in said:
        return said["w"], said["h"], said.get("d")
    first, second = measures[:2]
    width, height = (second, first) if order == "height_first" else (first, second)
    return width, height, measures[2] if len(measures) > 2 else None


def _measured(label: str) -> str:
    """h, w or d for a label in any of the languages; empty for none."""
    return next((name for name, words in _LABELS.items() if label in words.split("|")), "")


def _smaller_than_support(
    found: Sequence[tuple[int, re.Match[str]]], unit: str, order: Order, frame: tuple[float, float]
) -> list[str]:
    for rank, match in found:
        if rank < len(_RANKS) and _RANKS[rank] in ("support", "sheet", "canvas", "panel"):
            width, height, _ = _ordered(match, _measures(match, unit), order)
            if width > frame[0] or height > frame[1]:
                return ["the frame is smaller than what it holds: one of the two is wrong"]
    return []
