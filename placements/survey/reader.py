"""Reads values out of a JSON document one by one and notes every fault instead of stopping at the first."""

from __future__ import annotations

import difflib
import json
import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from studio.units import LENGTH_EXAMPLES, BadMeasure, parse_length, parse_weight

from .model import ID_PATTERN, Fault, FileUnits, SurveyError

_LARGEST_FILE = 32 * 2**20
_ID = re.compile(ID_PATTERN)
MISSING = object()


class _Object(dict[str, Any]):
    """A JSON object that remembers keys given twice."""

    twice: tuple[str, ...] = ()


def _object(pairs: list[tuple[str, Any]]) -> _Object:
    made = _Object(pairs)
    if len(made) < len(pairs):
        keys = [key for key, _ in pairs]
        made.twice = tuple(sorted({key for key in keys if keys.count(key) > 1}))
    return made


def load(source: str | bytes | Path | Mapping[str, Any]) -> Any:
    """The JSON document in a text, bytes or a file.

    Raises:
        SurveyError: when there is no readable JSON in it.
    """
    if isinstance(source, Mapping):
        return source
    try:
        if isinstance(source, Path):
            if source.stat().st_size > _LARGEST_FILE:
                raise SurveyError([Fault("", f"{source.stat().st_size:,} bytes", "a file of at most 32 MiB")])
            source = source.read_bytes()
        text = source.decode("utf-8-sig") if isinstance(source, bytes) else source
        return json.loads(text, object_pairs_hook=_object)
    except OSError as error:
        raise SurveyError([Fault("", f"no readable file ({error.strerror})", "a survey file")]) from error
    except UnicodeDecodeError as error:
        raise SurveyError([Fault("", f"a byte that is no UTF-8 at {error.start}", "UTF-8 text")]) from error
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise SurveyError([Fault(where, error.msg[0].lower() + error.msg[1:], "JSON")]) from error
    except RecursionError as error:
        raise SurveyError([Fault("", "lists nested too deeply", "a survey")]) from error
    except ValueError as error:  # a number of thousands of digits
        raise SurveyError([Fault("", "a number of thousands of digits", "JSON with sensible numbers")]) from error


def shown(value: Any) -> str:
    """A value as a message shows it: short, and as JSON writes it."""
    if value is MISSING:
        return "nothing"
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list | tuple):
        return "a list"
    try:
        text = json.dumps(value, ensure_ascii=False)
    except (TypeError, ValueError):
        text = type(value).__name__
    return text if len(text) <= 60 else text[:59] + "…"


def nearest(word: str, known: Collection[str]) -> str:
    """The known word most like `word`, or nothing."""
    return next(iter(difflib.get_close_matches(word, known, n=1, cutoff=0.55)), "")


class Reader:
    """One pass over a document. Every getter notes a fault and answers with its default when a value is wrong."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.unit: FileUnits = "in"

    def fault(self, path: str, found: str, expected: str) -> None:
        self.faults.append(Fault(path, found, expected))

    def finish(self) -> None:
        if self.faults:
            raise SurveyError(self.faults)

    # containers

    def object(self, value: Any, path: str, known: Sequence[str], required: Sequence[str] = ()) -> Mapping[str, Any]:
        """`value` as an object with only `known` keys; an empty one when it is something else."""
        if not isinstance(value, Mapping):
            self.fault(path, shown(value), "an object with " + _listed(known))
            return {}
        for key in value:
            if key not in known:
                guess = nearest(str(key), known)
                expected = f"“{guess}”" if guess else "one of " + ", ".join(known)
                self.fault(_join(path, str(key)), f"the unknown key “{str(key)[:60]}”", expected)
        for key in getattr(value, "twice", ()):
            hint = "one place: a piece hangs on one wall" if key == "hung" else "it once"
            self.fault(_join(path, key), "the key twice", hint)
        for key in required:
            if key not in value:
                self.fault(_join(path, key), "nothing", "this key: it cannot be left out")
        return value

    def each(self, owner: Mapping[str, Any], key: str, path: str, what: str) -> Iterator[tuple[Any, str]]:
        """The members of a list with the path of each; nothing when the key is absent or null."""
        value = owner.get(key)
        if value is None:
            return
        if not isinstance(value, list | tuple):
            self.fault(_join(path, key), shown(value), f"a list of {what}")
            return
        for index, member in enumerate(value):
            yield member, f"{_join(path, key)}[{index}]"

    # plain values

    def text(self, owner: Mapping[str, Any], key: str, path: str, longest: int, default: str = "") -> str:
        value = owner.get(key)
        if value is None:
            return default
        return self.string(value, _join(path, key), longest) or default

    def string(self, value: Any, path: str, longest: int) -> str:
        if not isinstance(value, str):
            self.fault(path, shown(value), "a text")
            return ""
        if len(value) > longest:
            self.fault(path, f"a text of {len(value)} characters", f"at most {longest}")
            return ""
        if any((ord(char) < 32 and char not in "\n\t") or 0xD800 <= ord(char) <= 0xDFFF for char in value):
            self.fault(path, "characters that are not text", "plain text without control characters")
            return ""
        return value.strip()

    def identifier(self, owner: Mapping[str, Any], path: str) -> str:
        value = owner.get("id", MISSING)
        if value is MISSING:
            return ""  # noted as a missing key
        if not isinstance(value, str) or not _ID.match(value):
            self.fault(_join(path, "id"), shown(value), "an id of 1 to 60 letters, digits, - or _")
            return ""
        return value

    def choice(self, owner: Mapping[str, Any], key: str, path: str, choices: Sequence[str], default: str = "") -> str:
        value = owner.get(key)
        if value is None:
            if key in owner:
                self.fault(_join(path, key), "null", "one of " + ", ".join(choices))
            return default
        if value in choices and isinstance(value, str):
            return value
        guess = nearest(value, choices) if isinstance(value, str) else ""
        hint = f" (did you mean “{guess}”?)" if guess else ""
        self.fault(_join(path, key), shown(value), "one of " + ", ".join(choices) + hint)
        return default

    def flag(self, owner: Mapping[str, Any], key: str, path: str) -> bool:
        value = owner.get(key, False)
        if not isinstance(value, bool):
            self.fault(_join(path, key), shown(value), "true or false")
            return False
        return value

    def number(self, value: Any, path: str, expected: str, fits: Callable[[float], bool]) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(path, shown(value), expected)
            return 0.0
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not (math.isfinite(number) and fits(number)):
            self.fault(path, shown(value), expected)
            return 0.0
        return number

    def optional_number(
        self, owner: Mapping[str, Any], key: str, path: str, expected: str, fits: Callable[[float], bool]
    ) -> float | None:
        value = owner.get(key)
        return None if value is None else self.number(value, _join(path, key), expected, fits)

    # measures

    def length(self, value: Any, path: str, *, zero: bool = False) -> float:
        """A length [mm]; 1.0 in place of one that is wrong."""
        try:
            return parse_length(value, self.unit, zero=zero)
        except BadMeasure as error:
            of_text = isinstance(value, str | int | float) and not isinstance(value, bool)
            self.fault(path, shown(value), error.expected if of_text else f"a length such as {LENGTH_EXAMPLES}")
            return 1.0

    def length_of(self, owner: Mapping[str, Any], key: str, path: str, *, zero: bool = False) -> float:
        """A length that must be there; its absence has been noted by `object`."""
        return self.length(owner[key], _join(path, key), zero=zero) if key in owner else 1.0

    def optional_length(self, owner: Mapping[str, Any], key: str, path: str, *, zero: bool = False) -> float | None:
        value = owner.get(key)
        return None if value is None else self.length(value, _join(path, key), zero=zero)

    def weight(self, owner: Mapping[str, Any], key: str, path: str) -> float | None:
        value = owner.get(key)
        if value is None:
            return None
        here = _join(path, key)
        if not isinstance(value, Mapping) or len(value) != 1 or not value.keys() <= {"lb", "kg"}:
            self.fault(here, shown(value), 'a weight such as {"lb": 12.5} or {"kg": 5.7}')
            return None
        ((unit, amount),) = value.items()
        try:
            if isinstance(amount, str):
                raise BadMeasure(amount, "a number")
            return parse_weight(amount, unit)
        except BadMeasure as error:
            self.fault(_join(here, unit), shown(amount), error.expected)
            return None


def _join(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _listed(keys: Sequence[str]) -> str:
    few = [f"“{key}”" for key in keys[:4]]
    return ", ".join(few) + (" …" if len(keys) > 4 else "")
