"""Benchmarks: each compares two things in one run and gives the ratio, since seconds alone depend on the machine.

A benchmark is a module `bench_<what>.py` with `rows(smoke)`, which yields a `Row` a comparison; `smoke` asks for sizes
that take a second or two, to see that it still runs.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One comparison: `figure` is what was measured, in words; `ratio` is judged against `bar`."""

    what: str
    figure: str
    ratio: float
    bar: float
    #: Whether the ratio should be at least the bar (a speed-up) or at most (a slow-down).
    at_least: bool = True

    @property
    def holds(self) -> bool:
        return self.ratio >= self.bar if self.at_least else self.ratio <= self.bar
