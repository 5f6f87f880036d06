"""Checks that several services share: sizes that make sense, free codes, versions."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db.models import Model, QuerySet
from django.utils.text import slugify

from studio.errors import Conflict, Invalid
from studio.models import User
from studio.models.base import Owned
from studio.units import LONGEST_MM

Row = TypeVar("Row", bound=Owned)


def expect_lengths(
    values: Mapping[str, Any], *, above_zero: Iterable[str] = (), from_zero: Iterable[str] = ()
) -> list[dict[str, str]]:
    """The faults of lengths in mm: those named in `above_zero` are sizes, those in `from_zero` places."""
    faults = []
    for names, low, expected in (
        (above_zero, math.nextafter(0, 1), "a length above zero"),
        (from_zero, 0.0, "zero or more"),
    ):
        for name in names:
            value = values.get(name)
            if value is None:
                continue
            if not (isinstance(value, int | float) and math.isfinite(value) and low <= value <= LONGEST_MM):
                faults.append({"where": name, "detail": f"expected {expected} and at most {LONGEST_MM / 1000:g} m"})
    return faults


def refuse(faults: list[dict[str, str]], what: str) -> None:
    if faults:
        raise Invalid(f"{what} cannot be saved like this.", faults=faults)


def clean(row: Model, what: str, *, exclude: Iterable[str] = ()) -> None:
    """The model's own checks (lengths of text, choices, what must be unique), as one refusal with every fault."""
    try:
        row.full_clean(exclude=set(exclude))
    except ValidationError as error:
        refuse(
            [
                {"where": "" if name == "__all__" else name, "detail": message}
                for name, messages in error.message_dict.items()
                for message in messages
            ],
            what,
        )


def save(row: Row, by: User, what: str) -> Row:
    """Store a row that passes the model's own checks; its history names who."""
    clean(row, what)
    row._history_user = by
    row.save()
    return row


def set_fields(row: Model, changes: Mapping[str, Any], allowed: Iterable[str]) -> None:
    """Set what may be changed; a field that is not in `allowed` is a mistake of the caller's."""
    unknown = changes.keys() - set(allowed)
    if unknown:
        raise TypeError(f"{type(row).__name__} takes no {', '.join(sorted(unknown))}")
    for name, value in changes.items():
        setattr(row, name, value)


def free_code(rows: QuerySet[Any], name: str, fallback: str) -> str:
    """A code made of a name that none of `rows` has."""
    base = slugify(name)[:50] or fallback
    taken = set(rows.filter(code__startswith=base).values_list("code", flat=True))
    if base not in taken:
        return base
    return next(code for number in range(2, len(taken) + 3) if (code := f"{base}-{number}") not in taken)


def expect_version(row: Any, version: int | None, current: Mapping[str, Any]) -> None:
    """Refuse an edit of something that somebody else has changed since; None asks for no check.

    Raises:
        Conflict: `extra["current"]` carries the newer state, so that the editor can choose.
    """
    if version is None or row.version == version:
        return
    history = row.history.select_related("history_user").first()
    who = str(history.history_user) if history and history.history_user else "Somebody"
    raise Conflict(
        f"{who} changed “{row}” after you opened it. Look at what they did, then keep it or make your change again.",
        extra={"current": dict(current)},
    )
