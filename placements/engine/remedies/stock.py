"""What a remedy may draw on: works that hang nowhere and free spaces; and what an arrangement is worth."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from ..explain import Judged
from ..house import House, Work
from ..results import Hanging, Pairing, Space, Words
from ..rulebook import Rulebook
from ..scene import build_scene
from ..scoring import judge, pairing, score
from ..worth import may_hang, worth_of

#: Candidates judged in full for one remedy, the best by score first.
LOOK_AT = 3


@dataclass(frozen=True)
class Stock:
    """The house with what hangs in it: `hung` are ids of works, `occupied` the pieces that hang in each space."""

    house: House
    rulebook: Rulebook
    words: Words
    spaces: tuple[Space, ...]
    hung: frozenset[str]
    occupied: Mapping[str, tuple[Hanging, ...]] = field(default_factory=dict)

    @cached_property
    def space_by_id(self) -> Mapping[str, Space]:
        return {space.id: space for space in self.spaces}

    @cached_property
    def pool(self) -> tuple[Work, ...]:
        """Works that hang nowhere, may hang by themselves and are not fixed elsewhere."""
        sets = [work.set_name or "" for work in self.house.works]
        return tuple(
            work
            for work in self.house.works
            if work.id not in self.hung and work.locked is None and (not work.set_name or sets.count(work.set_name) < 2)
        )

    @cached_property
    def free(self) -> tuple[Space, ...]:
        """Spaces where nothing hangs and something may."""
        return tuple(s for s in self.spaces if s.id not in self.occupied and s.advice != "leave_bare")

    def beside(self, space: Space, pieces: Sequence[Hanging]) -> tuple[Hanging, ...]:
        """What else hangs in a space, apart from these pieces."""
        own = {hanging.work for hanging in pieces}
        return tuple(hanging for hanging in self.occupied.get(space.id, ()) if hanging.work not in own)

    def judge(self, space: Space, pieces: Sequence[Hanging]) -> Judged:
        return judge(self.house, space, pieces, self.rulebook, self.words)

    def best_works(self, space: Space, than: float, without: Iterable[str] = ()) -> list[Pairing]:
        """Works of the pool that are worth more in a space than `than`, best first."""
        left_out = set(without)
        works = tuple(work for work in self.pool if may_hang(work, space) and work.id not in left_out)
        return self._better(works, (space,), than)

    def best_spaces(self, work: Work, than: float) -> list[Pairing]:
        """Free spaces where a work is worth more than `than`, best first."""
        return self._better((work,), tuple(space for space in self.free if may_hang(work, space)), than)

    def _better(self, works: tuple[Work, ...], spaces: tuple[Space, ...], than: float) -> list[Pairing]:
        if not works or not spaces:
            return []
        scores = score(
            build_scene(dataclasses.replace(self.house, works=works), spaces, self.rulebook.margins), self.rulebook
        )
        totals = np.where(scores.veto, -np.inf, scores.total)
        found = []
        for at in np.argsort(-totals, axis=None, kind="stable")[:LOOK_AT]:
            i, j = np.unravel_index(at, totals.shape)
            if totals[i, j] > than:
                found.append(pairing(self.house, spaces[int(j)], works[int(i)], self.rulebook, self.words))
        better = [pairing for pairing in found if pairing.fits and worth_of(pairing) > than]
        return sorted(better, key=lambda pairing: -worth_of(pairing))


def broken(judged: Judged) -> frozenset[str]:
    """The rules that an arrangement breaks."""
    return frozenset(finding.rule for finding in judged.findings if finding.level != "note")


def corrected(judged: Judged, after: Judged) -> tuple[str, ...]:
    """The rules that are broken now and hold after a change, in order of name."""
    return tuple(sorted(broken(judged) - broken(after)))


def worth(judged: Judged) -> float:
    """Score less what its exceptions cost; nothing where it cannot hang."""
    return 0.0 if judged.stopped else worth_of(judged)
