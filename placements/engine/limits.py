"""The numbers that rules and margins are set by: each a `Limit` with its unit, its allowed range and its source."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

#: A float array, or a number where one value serves all; (N, M) unless said otherwise.
Array = npt.NDArray[Any]
Mask = npt.NDArray[np.bool_]

INCH = 25.4
COMMON = "common practice, no source"
UNITS = ("mm", "ratio", "kg", "N", "lux_h", "lux", "deg", "count", "years")


@dataclass(frozen=True, slots=True)
class Limit:
    """One number of a rule: `default` in `unit`, allowed from `low` to `high`, with its `source`."""

    name: str
    label: str
    default: float
    unit: str
    low: float
    high: float
    source: str


def limit(default: float, unit: str, allowed: tuple[float, float], label: str, source: str = COMMON) -> Any:
    """A field of a `Limits` dataclass.

    default : float [unit]
    allowed : lowest and highest value that a house rule may give
    source : where the default comes from, or `COMMON`

    Raises:
        ValueError: unknown unit, or a default outside the allowed range.
    """
    low, high = allowed
    if unit not in UNITS:
        raise ValueError(f"unit {unit!r} is not one of {', '.join(UNITS)}")
    if not low <= default <= high:
        raise ValueError(f"default {default} lies outside {low} to {high}")
    return field(default=float(default), metadata={"label": label, "unit": unit, "allowed": allowed, "source": source})


def limits_of(record: Any) -> tuple[Limit, ...]:
    """The `Limit`s of a Limits dataclass (or of an instance), in the order written.

    Raises:
        ValueError: a field that was not made by `limit()`.
    """
    found = []
    for column in dataclasses.fields(record):
        meta = column.metadata
        if "source" not in meta:
            raise ValueError(f"{column.name} has no unit, range and source: make it with limit()")
        low, high = meta["allowed"]
        found.append(Limit(column.name, meta["label"], float(column.default), meta["unit"], low, high, meta["source"]))  # type: ignore[arg-type]
    return tuple(found)
