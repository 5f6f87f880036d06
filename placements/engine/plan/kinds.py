"""Works that no eye could tell apart, folded into one kind each."""

from __future__ import annotations

from dataclasses import dataclass

from ..house import House, Work
from ..rule import INCH

#: Works whose sides differ by no more hang as one size [mm]: 1/8 in. Common practice, no source.
SAME_SIZE_MM = INCH / 8


@dataclass(frozen=True, slots=True)
class Kind:
    """Works that may take one another's place: `members` are their ids, in order; `work` stands for all."""

    work: Work
    members: tuple[str, ...]

    @property
    def count(self) -> int:
        return len(self.members)


def kinds_of(house: House, distinct: frozenset[str] = frozenset()) -> tuple[Kind, ...]:
    """Every work of the house in kinds, in an order that does not depend on the inventory's.

    distinct : ids of works that stand for themselves, since something ties each to a place of its own
    """
    apart = {one for pair in house.apart for one in pair} | distinct
    found: dict[tuple[object, ...], list[Work]] = {}
    for work in house.works:
        own = work.id if work.id in apart or work.locked else ""
        found.setdefault((own, *_looks(work)), []).append(work)
    kinds = [
        Kind(min(works, key=lambda one: one.id), tuple(sorted(one.id for one in works))) for works in found.values()
    ]
    return tuple(sorted(kinds, key=lambda one: (-one.work.width * one.work.height, one.members)))


def _looks(work: Work) -> tuple[object, ...]:
    return (
        round(work.width, 1),
        round(work.height, 1),
        round(work.depth, 1),
        work.form,
        work.frame.strip().lower(),
        tuple(sorted(theme.lower() for theme in work.themes)),
        work.maker.strip().lower(),
        work.set_name,
        work.glazed,
        work.light,
        work.weight_kg,
        work.palette_lab,
        work.hang,
    )
