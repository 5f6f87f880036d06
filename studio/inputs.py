"""Text, whole numbers, days and JSON as people and programs send them: one reader for pages, links, the phone and API.

The form fields of `studio.formfields` and the API's of `studio.api.fields` are built on these; a service that takes
loose values reads them here, too. Measures have their own reader in `studio.units`.
"""

from __future__ import annotations

import datetime as dt
import json
import re
from typing import Any, NoReturn

from studio.errors import Invalid

#: The largest number that a row may have.
LARGEST_ROW = 2**63 - 1
#: The largest version of a row: each edit counts one.
LARGEST_VERSION = 2**31 - 1
#: Days outside these are slips of the finger, and no zone can push them off the calendar.
FIRST_DAY, LAST_DAY = dt.date(1900, 1, 1), dt.date(2199, 12, 31)

_WHOLE = re.compile(r"[+-]?[0-9]{1,19}", re.ASCII)
_SHOWN = 40


def read_text(value: object, *, longest: int, where: str = "", strip: bool = True) -> str:
    """The text, without blanks at its ends unless they count (`strip`).

    Raises:
        Invalid: it is no text, longer than `longest` characters, or holds what no text holds: the character NUL, or
            half of one (a lone surrogate).
    """
    if not isinstance(value, str):
        raise _invalid(where, f"Expected text, found {_kind(value)}.")
    if "\0" in value or any("\ud800" <= one <= "\udfff" for one in value):
        raise _invalid(where, "It contains a character that cannot be saved. Type it again instead of pasting it.")
    text = value.strip() if strip else value
    if len(text) > longest:
        raise _invalid(where, f"At most {longest} characters; this has {len(text)}.")
    return text


def read_whole(value: object, *, least: int = 0, most: int = LARGEST_ROW, where: str = "") -> int:
    """The whole number, given as one or as its digits.

    Raises:
        Invalid: it is none, or lies outside `least` to `most`.
    """
    number: int | None = None
    if isinstance(value, int) and not isinstance(value, bool):
        number = value
    elif (isinstance(value, float) and value.is_integer()) or (
        isinstance(value, str) and _WHOLE.fullmatch(value.strip())
    ):
        number = int(value)
    if number is None or not least <= number <= most:
        bound = f"of {least} or more" if most >= LARGEST_VERSION else f"from {least} to {most}"
        raise _invalid(where, f"Expected a whole number {bound}, found {_kind(value)}.")
    return number


def read_day(value: object, *, where: str = "") -> dt.date:
    """The day, written as 2026-03-31.

    Raises:
        Invalid: it is none, or lies outside the years 1900 to 2199.
    """
    try:
        day = dt.date.fromisoformat(value.strip()) if isinstance(value, str) and len(value) < _SHOWN else None
    except ValueError:
        day = None
    if day is None or not FIRST_DAY <= day <= LAST_DAY:
        years = f"{FIRST_DAY.year} to {LAST_DAY.year}"
        raise _invalid(where, f"Expected a day of the years {years}, written as 2026-03-31; found {_kind(value)}.")
    return day


def read_json(text: str | bytes, *, where: str = "") -> Any:
    """The value of a JSON document (RFC 8259), in UTF-8 where it comes as bytes.

    Raises:
        Invalid: it is none, is nested hundreds of times, or holds a number of thousands of digits.
    """
    try:
        return json.loads(text.decode("utf-8-sig") if isinstance(text, bytes) else text, parse_constant=_no_number)
    except json.JSONDecodeError as fault:
        detail = f"Expected JSON; at line {fault.lineno}, column {fault.colno} it is none."
    except UnicodeDecodeError as fault:
        detail = f"Expected JSON in UTF-8; byte {fault.start + 1} is none."
    except RecursionError:
        detail = "Expected JSON; this has lists within lists hundreds of times over."
    except ValueError:
        detail = "Expected JSON; this has a number that is none, or of thousands of digits."
    raise _invalid(where, detail)


def _no_number(name: str) -> NoReturn:
    raise ValueError(name)


def _kind(value: object) -> str:
    """What was found, short and safe to show."""
    if isinstance(value, str):
        shown = "".join(one if one.isprintable() else "\N{REPLACEMENT CHARACTER}" for one in value.strip())
        return f"“{shown[:_SHOWN]}{'…' if len(shown) > _SHOWN else ''}”"
    if isinstance(value, bool) or value is None:
        return {True: "yes", False: "no", None: "nothing"}[value]
    if isinstance(value, int | float):
        return "another number"
    return "a list" if isinstance(value, list | tuple) else "something else"


def _invalid(where: str, detail: str) -> Invalid:
    return Invalid(detail, faults=[{"where": where, "detail": detail}] if where else ())
