"""What is assigned: values of single works, groups and bareness, and what must not go together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..errors import EngineError
from ..rule import Array


@dataclass(frozen=True, slots=True)
class Column:
    """One arrangement in one space: indices of the works (none: bare), and what it is worth.

    twin : in a solution, the space where the other work of a match hangs
    """

    space: int
    works: tuple[int, ...]
    value: float
    twin: int | None = None


@dataclass(frozen=True, slots=True)
class Match:
    """Two works that hang each by itself in two spaces of a room, the first in the first: what both are worth there."""

    spaces: tuple[int, int]
    works: tuple[int, int]
    value: float


@dataclass(frozen=True)
class Problem:
    """Choose one column a space, each work at most once, for the greatest total value.

    singles : (N, M) value of work i alone in space j, -inf where it must not hang
    bare : (M,) value of leaving space j bare
    groups : columns of two or more works
    matches : pairs of works in pairs of spaces, for what both are worth there together
    apart : pairs of works that must not share a room
    room : (M,) int, the room of each space; needed only with `apart`
    """

    singles: Array
    bare: Array
    groups: Sequence[Column] = ()
    matches: Sequence[Match] = ()
    apart: Sequence[tuple[int, int]] = ()
    room: Array | None = None

    @property
    def size(self) -> tuple[int, int]:
        """N works, M spaces."""
        return int(self.singles.shape[0]), int(self.singles.shape[1])

    def check(self) -> None:
        """Refuse what cannot be solved.

        Raises:
            EngineError: shapes that disagree, values that are NaN or +inf, a bare value that is not finite, an index
                out of range, a work twice in a group, or works to be kept apart without rooms.
        """
        works, spaces = self.size
        faults = []
        if self.bare.shape != (spaces,) or not np.isfinite(self.bare).all():
            faults.append(f"bare needs {spaces} finite values")
        if np.isnan(self.singles).any() or (self.singles == np.inf).any():
            faults.append("a value of a single work is NaN or infinite")
        for number, one in enumerate(self.groups):
            known = 0 <= one.space < spaces and all(0 <= i < works for i in one.works)
            if not known or len(set(one.works)) < max(2, len(one.works)) or not np.isfinite(one.value):
                faults.append(f"group {number} needs a known space, two or more different known works, a finite value")
        for number, match in enumerate(self.matches):
            known = all(0 <= j < spaces for j in match.spaces) and all(0 <= i < works for i in match.works)
            two = len({*match.spaces}) == len({*match.works}) == 2
            if not known or not two or not np.isfinite(match.value):
                faults.append(f"match {number} needs two known spaces, two known works, a finite value")
            elif self.room is not None and self.room[match.spaces[0]] != self.room[match.spaces[1]]:
                faults.append(f"match {number} lies in two rooms")
        if len(self.apart) and (self.room is None or self.room.shape != (spaces,)):
            faults.append("works are kept apart, but the spaces' rooms are not given")
        if faults:
            raise EngineError("; ".join(faults))


@dataclass(frozen=True, slots=True)
class Solution:
    """The chosen column of each space in order, their total, and a proven upper bound on any choice's total."""

    columns: tuple[Column, ...]
    objective: float
    bound: float

    @property
    def gap(self) -> float:
        """How far from the best this can be at most, as a share of the bound; 0 when proved optimal."""
        slack = self.bound - self.objective
        return 0.0 if slack <= 1e-7 * max(1.0, abs(self.bound)) else slack / max(abs(self.bound), 1e-9)
