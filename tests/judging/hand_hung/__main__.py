"""How near the engine's proposals come to the hand: `python -m tests.judging.hand_hung [--which W] [--held-out]`.

Without `--held-out` only the two thirds of the entries that may be tuned on are run.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass

from ..agreement import Agreement, agreement, nearest
from ..proposing import proposed
from . import FILES, Entry, entries


@dataclass(frozen=True)
class Row:
    entry: Entry
    with_first: Agreement
    ranks: tuple[int, ...]
    seconds: float

    @property
    def nearest_first(self) -> float:
        """1 where the proposal lies nearest to rank 1, a fraction where it ties."""
        return 1 / len(self.ranks) if 1 in self.ranks else 0.0


def judged(entry: Entry) -> Row:
    made = proposed(entry.house)
    first = agreement(entry.house, made.hangings, entry.ranked[1])
    return Row(entry, first, nearest(entry.house, made.hangings, entry.ranked), made.seconds)


def table(title: str, rows: Sequence[Row]) -> str:
    """A line an entry, then the means of each file and of all."""
    lines = [title, f"  {'entry':<40} {'agrees':>6} {'walls':>6} {'extra':>5} {'miss':>5} {'nearest':>8} {'time s':>7}"]
    for row in rows:
        one, ranks = row.with_first, "=".join(map(str, row.ranks)) or "none"
        lines.append(
            f"  {row.entry.name:<40} {one.score:6.2f} {one.same_wall:6.2f} {one.extra:5d} {one.missing:5d}"
            f" {ranks:>8} {row.seconds:7.2f}"
        )
    for which in (*FILES, "all"):
        part = [row for row in rows if which in ("all", row.entry.which)]
        if part:
            score = sum(row.with_first.score for row in part) / len(part)
            walls = sum(row.with_first.same_wall for row in part) / len(part)
            near = sum(row.nearest_first for row in part) / len(part)
            seconds = sum(row.seconds for row in part)
            lines.append(
                f"  {f'mean of {len(part)}, {which}':<40} {score:6.2f} {walls:6.2f} {'':>11} {near:8.2f} {seconds:7.2f}"
            )
    return "\n".join(lines) + "\n"


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.judging.hand_hung", description=__doc__)
    parser.add_argument("--which", choices=FILES, action="append", help="only this file")
    parser.add_argument("--held-out", action="store_true", help="also the third that is set aside")
    parser.add_argument("--only", help="only entries with this in their name")
    asked = parser.parse_args()
    found = [one for one in entries(*asked.which or FILES) if not asked.only or asked.only in one.name]
    sys.stdout.write(table("To tune on", [judged(one) for one in found if not one.set_aside]))
    if asked.held_out:
        sys.stdout.write("\n" + table("Set aside", [judged(one) for one in found if one.set_aside]))


if __name__ == "__main__":
    main()
