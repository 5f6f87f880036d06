"""Lengths and weights: read as people type them, set as people read them. The one place where units convert.

Inside the project every length is a float in millimetres and every weight a float in kilograms. Conversion is done
on exact fractions and rounded to a float once, so `5' 3 1/2"` and `63.5 in` are the same number of millimetres.

Source of the factors: 1 in = 25.4 mm and 1 ft = 0.3048 m exactly, 1 lb = 0.45359237 kg exactly (international yard
and pound agreement, 1959; NIST Handbook 44, appendix C).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal, get_args

Style = Literal["ft_in", "in", "cm", "mm"]
STYLES: tuple[Style, ...] = get_args(Style)

MM_PER_INCH = Fraction(254, 10)
MM_PER_FOOT = 12 * MM_PER_INCH
KG_PER_POUND = Fraction(45359237, 100000000)

#: No wall, and so nothing on one, is longer than 100 m.
LONGEST_MM = 100_000.0
#: A piece heavier than 2 t is not hung on a wall.
HEAVIEST_KG = 2_000.0

#: Millimetres in a length unit, by every name that people type for it.
MM_PER_UNIT: dict[str, Fraction] = {
    **dict.fromkeys(('"', "in", "inch", "inches"), MM_PER_INCH),
    **dict.fromkeys(("'", "ft", "foot", "feet"), MM_PER_FOOT),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Fraction(10)),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Fraction(1000)),
}
_WEIGHT_UNITS: dict[str, Fraction] = {
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"), Fraction(1)),
    **dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), Fraction(1, 1000)),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), KG_PER_POUND),
    **dict.fromkeys(("oz", "ounce", "ounces"), KG_PER_POUND / 16),
}

_FRACTION_TEXTS = (" 1/2", " 1/4", " 3/4", " 1/8", " 3/8", " 5/8", " 7/8", " 1/3", " 2/3")
_GLYPHS = str.maketrans(
    {
        **dict.fromkeys("′’‘ʹʼ´`＇", "'"),
        **dict.fromkeys("″”“ʺ〃＂„", '"'),
        **dict.fromkeys("⁄∕／", "/"),
        **dict.fromkeys("\u00a0\u202f\u2009\u2007\t", " "),
        **dict.fromkeys("−–—‐‑", "-"),
        **dict(zip("½¼¾⅛⅜⅝⅞⅓⅔", _FRACTION_TEXTS, strict=True)),
        **dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789", strict=True)),
        **dict(zip("₀₁₂₃₄₅₆₇₈₉", "0123456789", strict=True)),
    }
)
_FRACTION_GLYPHS = {
    Fraction(1, 8): "⅛",
    Fraction(1, 4): "¼",
    Fraction(3, 8): "⅜",
    Fraction(1, 2): "½",
    Fraction(5, 8): "⅝",
    Fraction(3, 4): "¾",
    Fraction(7, 8): "⅞",
}
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")

# 63   63.5   .5   28,5   63 1/2   63-1/2   1/2
_NUMBER = r"(?:[0-9]+[ -]+[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_QUANTITY = re.compile(rf"({_NUMBER}) *([a-z]+\.?|['\"])?")
_LONGEST_TEXT = 60

LENGTH_EXAMPLES = "63, 63 1/2, 5' 3 1/2\", 161 cm or 1.6 m"
WEIGHT_EXAMPLES = "12.5 lb, 12 lb 8 oz or 5.7 kg"


class BadMeasure(ValueError):
    """A length or a weight that cannot be used. The message says what was found and what is expected."""

    def __init__(self, found: object, expected: str) -> None:
        shown = found if isinstance(found, str) else _shown(found)
        shown = shown if len(shown) <= _LONGEST_TEXT else shown[:_LONGEST_TEXT] + "…"
        self.found = shown
        self.expected = expected
        super().__init__(f"found “{shown}”, expected {expected}" if shown.strip() else f"expected {expected}")


def _shown(found: object) -> str:
    try:
        return repr(found)
    except ValueError:  # an integer of thousands of digits
        return "a number of thousands of digits"


def plain(text: str) -> str:
    """A text with plain keys for every kind of prime, quote, dash, fraction, raised digit and space."""
    parted = re.sub("([0-9])([⁰¹²³⁴⁵⁶⁷⁸⁹])", r"\1 \2", text)
    return parted.translate(_GLYPHS)


def parse_length(
    value: object,
    unit: str = "in",
    *,
    zero: bool = False,
    negative: bool = False,
    longest_mm: float = LONGEST_MM,
) -> float:
    """Read a length.

    Args:
        value: a number in `unit`, or a text that may carry its own: `63 in`, `5' 3 1/2"`, `63½`, `161cm`, `1.6 m`.
        unit: "in", "ft", "mm", "cm" or "m", for a number without a unit of its own.
        zero: whether nought is a sensible answer (a place, not a size).
        negative: whether a length below nought is (a place beyond an end).
        longest_mm: the largest length that makes sense here.

    Returns:
        The length [mm].

    Raises:
        BadMeasure: for anything else.
    """
    exact = _read(value, unit, MM_PER_UNIT, ("ft", "in"), f"a length such as {LENGTH_EXAMPLES}")
    if exact < 0 and not negative:
        raise BadMeasure(value, "a length above zero" if not zero else "a length of zero or more")
    if exact == 0 and not zero:
        raise BadMeasure(value, "a length above zero")
    if abs(exact) > Fraction(longest_mm):
        raise BadMeasure(value, f"a length of at most {longest_mm / 1000:g} m")
    return float(exact)


def parse_weight(value: object, unit: str = "lb", *, heaviest_kg: float = HEAVIEST_KG) -> float:
    """Read a weight: a number in `unit` ("lb" or "kg"), or a text that may carry its own unit.

    Returns:
        The weight [kg], above zero.

    Raises:
        BadMeasure: for anything else.
    """
    exact = _read(value, unit, _WEIGHT_UNITS, ("lb", "oz"), f"a weight such as {WEIGHT_EXAMPLES}")
    if exact <= 0:
        raise BadMeasure(value, "a weight above zero")
    if exact > Fraction(heaviest_kg):
        raise BadMeasure(value, f"a weight of at most {heaviest_kg:g} kg")
    return float(exact)


def _read(value: object, unit: str, factors: dict[str, Fraction], compound: tuple[str, str], expected: str) -> Fraction:
    """`value` in the base unit (mm or kg), exactly. `compound` names a unit and the smaller one that may follow it."""
    if isinstance(value, bool) or not isinstance(value, str | int | float | Decimal | Fraction):
        raise BadMeasure(value, expected)
    if isinstance(value, int | Fraction):
        return value * factors[unit]
    if not isinstance(value, str):
        if not math.isfinite(value):
            raise BadMeasure(value, expected)
        # A float is read by its shortest decimal text: 63.1 means 63.1, not its binary neighbour.
        return Fraction(str(value)) * factors[unit]

    text = re.sub(" +", " ", plain(value)).strip().lower().replace("''", '"')
    if not text or len(text) > _LONGEST_TEXT:
        raise BadMeasure(value, expected)
    sign = -1 if text.startswith("-") else 1
    text = text[1:].strip() if text[0] in "+-" else text
    parts = []
    at = 0
    while at < len(text):
        match = _QUANTITY.match(text, at)
        if match is None:
            raise BadMeasure(value, expected)
        number, name = match[1], (match[2] or "").rstrip(".")
        if name and name not in factors:
            raise BadMeasure(value, expected)
        parts.append((_number(number, value, expected), factors[name] if name else None))
        at = match.end()
        while at < len(text) and text[at] in " -":
            at += 1
    large, small = factors[compound[0]], factors[compound[1]]
    match parts:
        case [(amount, None)]:
            return sign * amount * factors[unit]
        case [(amount, Fraction() as factor)]:
            return sign * amount * factor
        case [(major, factor), (minor, rest)] if factor == large and rest in (None, small):
            if minor * small >= large:
                raise BadMeasure(value, f"less than {large / small} {compound[1]} after the {compound[0]}")
            return sign * (major * large + minor * small)
    raise BadMeasure(value, expected)


def _number(text: str, value: object, expected: str) -> Fraction:
    if re.search(r"[0-9],[0-9]{3}$", text):
        raise BadMeasure(value, "a number without a thousands comma, or with a decimal point")
    whole, _, part = text.replace("-", " ").rpartition(" ")
    try:
        return Fraction(whole.strip() or 0) + Fraction(part.replace(",", "."))
    except ZeroDivisionError:
        raise BadMeasure(value, expected) from None


def inches(mm: float) -> float:
    """Millimetres in inches, for exports and scales."""
    return float(_exact(mm) / MM_PER_INCH)


def pounds(kg: float) -> float:
    """Kilograms in pounds."""
    return float(_exact(kg) / KG_PER_POUND)


@dataclass(frozen=True, slots=True)
class Units:
    """How one reader wants measures: set to the nearest 1/16 in or 1 mm, pounds or kilograms.

    It is the `placements.engine.results.Words` that pages, sheets and the API hand to the engine.
    """

    style: Style = "ft_in"

    def __post_init__(self) -> None:
        if self.style not in STYLES:
            raise ValueError(f"unknown style of units {self.style!r}; choose one of {', '.join(STYLES)}")

    @property
    def metric(self) -> bool:
        return self.style in ("cm", "mm")

    @property
    def unit(self) -> str:
        """The unit of a typed number that carries none: in, cm or mm."""
        return "in" if self.style == "ft_in" else self.style

    @property
    def weight_unit(self) -> str:
        return "kg" if self.metric else "lb"

    # setting

    def length(self, mm: float) -> str:
        """`5′ 3½″`, `63½″`, `161.3 cm`, `1613 mm`."""
        if self.metric:
            return f"{self.number(mm)} {self.style}"
        whole, fraction = _sixteenths(mm)
        minus = "−" if mm < 0 and (whole or fraction) else ""
        if self.style == "in" or whole < 12:
            return f"{minus}{_mixed(whole, fraction)}″"
        # Nought inches are written: 8′ 0½″ cannot be taken for 8½ feet (drafting practice, from memory).
        nought = "0" if whole % 12 == 0 and fraction else ""
        return f"{minus}{whole // 12}′ {nought}{_mixed(whole % 12, fraction)}″"

    def number(self, mm: float) -> str:
        """The length in inches, cm or mm without its unit: `63½`, `161.3`, `1613`."""
        if not self.metric:
            whole, fraction = _sixteenths(mm)
            minus = "−" if mm < 0 and (whole or fraction) else ""
            return minus + _mixed(whole, fraction)
        millimetres = _half_up(_exact(mm))
        minus = "−" if millimetres < 0 else ""
        if self.style == "mm":
            return f"{minus}{abs(millimetres)}"
        whole, tenth = divmod(abs(millimetres), 10)
        return f"{minus}{whole}.{tenth}" if tenth else f"{minus}{whole}"

    def rounded(self, mm: float) -> float:
        """The length that is set and measured: to the nearest 1/16 in or 1 mm [mm].

        Dimensions that are worked out from rounded ones agree with them, so that slips do not add up.
        """
        if self.metric:
            return float(_half_up(_exact(mm)))
        return float(_half_up(_exact(mm) / MM_PER_INCH * 16) * MM_PER_INCH / 16)

    def band(self, low_mm: float, high_mm: float) -> str:
        """`6–10″`, `5′ 0″–5′ 6″`, `152.4–167.6 cm`."""
        if self.metric:
            return f"{self.number(low_mm)}–{self.number(high_mm)} {self.style}"
        if self.style == "in" or high_mm < MM_PER_FOOT:
            return f"{self.number(low_mm)}–{self.number(high_mm)}″"
        return f"{self.length(low_mm)}–{self.length(high_mm)}"

    def size(self, width_mm: float, height_mm: float) -> str:
        """Width by height: art in plain inches (`56 × 40″`), anything over 8 ft in feet and inches, or metric."""
        if self.style == "ft_in" and max(width_mm, height_mm) > 8 * MM_PER_FOOT:
            return f"{self.length(width_mm)} × {self.length(height_mm)}"
        unit = f" {self.style}" if self.metric else "″"
        return f"{self.number(width_mm)} × {self.number(height_mm)}{unit}"

    def weight(self, kg: float) -> str:
        """`31 lb`, `8.5 lb`, `14.1 kg`: one decimal below 10 lb or 20 kg."""
        amount, limit = (_exact(kg), 20) if self.metric else (_exact(kg) / KG_PER_POUND, 10)
        tenths = _half_up(amount * 10)
        text = f"{tenths // 10}.{tenths % 10}" if tenths % 10 and amount < limit else str(_half_up(amount))
        return f"{text} {self.weight_unit}"

    # typing

    def parse_length(self, value: object, *, zero: bool = False, negative: bool = False) -> float:
        """`parse_length` with this reader's unit for bare numbers."""
        return parse_length(value, self.unit, zero=zero, negative=negative)

    def parse_weight(self, value: object) -> float:
        return parse_weight(value, self.weight_unit)

    def typed(self, mm: float) -> str:
        """The length as one would type it with plain keys; reading it back gives the same length to 0.01 mm."""
        if self.metric:
            amount = _exact(mm) / MM_PER_UNIT[self.style]
            return f"{_decimal(amount)} {self.style}"
        minus = "-" if mm < 0 else ""
        amount, (inches, sixteenths) = abs(_exact(mm)) / MM_PER_INCH, _sixteenths(mm)
        nearest = inches + sixteenths
        on_tape = abs(nearest - amount) * MM_PER_INCH <= Fraction(1, 100)
        # Feet are counted after that choice: a hair below 21 ft is 20 ft and some inches.
        left = nearest if on_tape else amount
        feet, left = divmod(left, 12) if self.style == "ft_in" else (0, left)
        whole, fraction = divmod(left, 1)
        text = f"{whole} {fraction}" if whole and fraction else str(fraction or whole)
        text = text if on_tape else _decimal(left)
        return f"{minus}{feet}' {text}\"" if feet else f'{minus}{text}"'

    def typed_weight(self, kg: float) -> str:
        amount = _exact(kg) if self.metric else _exact(kg) / KG_PER_POUND
        return f"{_decimal(amount)} {self.weight_unit}"


def _exact(value: float) -> Fraction:
    if not math.isfinite(value):
        raise ValueError(f"cannot set {value!r} as a measure")
    return Fraction(str(value))


def _half_up(value: Fraction) -> int:
    """The nearest whole number, halves away from zero."""
    nearest = math.floor(abs(value) + Fraction(1, 2))
    return nearest if value >= 0 else -nearest


@lru_cache(maxsize=4096)  # a page sets the same few lengths over and over
def _sixteenths(mm: float) -> tuple[int, Fraction]:
    """The size of a length in whole inches and a fraction, to the nearest 1/16 in."""
    whole, sixteenths = divmod(abs(_half_up(_exact(mm) / MM_PER_INCH * 16)), 16)
    return whole, Fraction(sixteenths, 16)


def _mixed(whole: int, fraction: Fraction) -> str:
    if not fraction:
        return str(whole)
    glyph = _FRACTION_GLYPHS.get(fraction)
    if glyph is None:
        glyph = f"{str(fraction.numerator).translate(_RAISED)}⁄{str(fraction.denominator).translate(_LOWERED)}"
    return f"{whole}{glyph}" if whole else glyph


def _decimal(amount: Fraction) -> str:
    return f"{float(amount):.4f}".rstrip("0").rstrip(".")
