"""Scores whole blocks of pairs: every rule over N works x M spaces, weighed into one total.

The score is 100 times the weighted mean of the terms of the rules that apply, less what rules of care take: each
leaves the share 1 - weight x (1 - term). Each term falls strictly with the distance from its band, and a rule that
gives way is forgiven in proportion to how well the other holds; so bringing any measure nearer its band never lowers
the score.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from . import position
from .precedence import GIVES_WAY, GivesWay
from .rule import Array, Mask, Rule, Verdict
from .rulebook import Rulebook
from .scene import Pairs, Scene

#: Pairs in one block, and the most spaces across: float32 arrays of that size stay in the second-level cache.
BLOCK_PAIRS = 64 * 1024
BLOCK_SPACES = 1024
Columns = slice | npt.NDArray[np.intp]
ALL = slice(None)
_FORGIVING = frozenset(entry.to for entry in GIVES_WAY if entry.share)


class Concern(NamedTuple):
    """A rule with the columns that it concerns, and by whom it is forgiven there: each entry with its (1, c) share."""

    rule: Rule
    limits: Any
    weight: float
    columns: Columns
    relief: tuple[tuple[GivesWay, Array], ...]


@dataclass(frozen=True)
class Spread:
    """Some spaces with every work: what is worked out once for all their blocks.

    columns : (m,) the spaces' indices in the whole scene
    """

    columns: Array
    scene: Scene
    heights: position.Heights
    concerns: tuple[Concern, ...]

    def blocks(self) -> Iterator[tuple[slice, Pairs]]:
        """The works in cache-sized blocks: their rows, and the pairs at their best places."""
        count, spaces = self.scene.size
        most = max(1, BLOCK_PAIRS // max(1, spaces))
        for start in range(0, count, most):
            rows = slice(start, min(start + most, count))
            yield rows, position.solve(self.scene.take(works=rows), self.heights)


def spreads(scene: Scene, heights: position.Heights, rulebook: Rulebook, most: int = BLOCK_SPACES) -> Iterator[Spread]:
    """The spaces in groups of at most `most`, each of one kind, so that most rules concern all of a group or none.

    Within a group spaces of like surroundings lie together, so that the columns of a hazard are a slice.
    """
    around = (scene.shape, scene.damp, scene.reasons.any(axis=1), scene.below, ~np.isnan(scene.fire_top), scene.kind)
    order = np.lexsort(around)
    for kind in np.unique(scene.kind):
        here = order[scene.kind[order] == kind]
        for first in range(0, len(here), most):
            columns = here[first : first + most]
            part = scene.take(spaces=columns)
            yield Spread(columns, part, position.take(heights, columns), concerned(part, rulebook))


def concerned(scene: Scene, rulebook: Rulebook) -> tuple[Concern, ...]:
    """The pair rules that can change a score or veto in these spaces, those that others give way to first."""
    if not scene.size[1]:
        return ()
    found = []
    for rule in sorted(rulebook.rules, key=lambda rule: rule.id not in _FORGIVING):
        weight, limits = rulebook.weight(rule.id), rulebook.limits(rule.id)
        if rule.kind != "pairing" or not (weight or rule.vetoes):
            continue
        columns = _columns(rule, scene, limits)
        if columns is None:
            continue
        entries = [entry for entry in GIVES_WAY if entry.rule == rule.id and entry.share]
        shares = [(scene.is_kind(*entry.kinds)[columns] * entry.share)[None, :] for entry in entries]
        relief = tuple(
            (entry, share.astype(scene.width.dtype))
            for entry, share in zip(entries, shares, strict=True)
            if share.any()
        )
        found.append(Concern(rule, limits, weight, columns, relief))
    return tuple(found)


def _columns(rule: Rule, scene: Scene, limits: Any) -> Columns | None:
    """The columns that a rule concerns: a slice where they lie together, None where there are none."""
    if rule.concerns is None:
        return ALL
    found = np.flatnonzero(rule.concerns(scene, limits))
    if not len(found):
        return None
    if len(found) == scene.size[1]:
        return ALL
    first, last = int(found[0]), int(found[-1])
    return slice(first, last + 1) if last - first + 1 == len(found) else found


class Ruling(NamedTuple):
    """A rule's verdict over the columns of a block that it concerns, and its term there after giving way."""

    concern: Concern
    verdict: Verdict
    term: Array


def rulings(pairs: Pairs, concerns: Sequence[Concern]) -> Iterator[Ruling]:
    """Every rule that has something to say about the block."""
    ruling: dict[str, Array] = {}
    for concern in concerns:
        whole = concern.columns is ALL
        verdict = concern.rule.evaluate(pairs if whole else pairs.take(concern.columns), concern.limits)
        if concern.rule.id in _FORGIVING:
            ruling[concern.rule.id] = verdict.score
            if not whole:
                ruling[concern.rule.id] = np.zeros(pairs.scene.size, dtype=verdict.score.dtype)
                ruling[concern.rule.id][:, concern.columns] = verdict.score
        term = verdict.score
        for entry, share in concern.relief:
            if entry.to in ruling:
                term = _forgiven(term, verdict, ruling[entry.to][:, concern.columns] * share, entry)
        yield Ruling(concern, verdict, term)


def _forgiven(term: Array, verdict: Verdict, relief: Array, entry: GivesWay) -> Array:
    """The term with its shortfall reduced by the relief: its share times the score of the rule that it gives way to."""
    if entry.side != "both":
        relief *= verdict.value > verdict.high if entry.side == "high" else verdict.value < verdict.low
    relief *= 1 - term
    relief += term
    return relief


def totals(pairs: Pairs, concerns: Sequence[Concern]) -> tuple[Array, Mask]:
    """(N, M) score 0-100 in the scene's float type, and the veto mask.

    Terms that are the same for every work are summed in one row and added once; what rules of care take is taken last.
    """
    shape = pairs.scene.size
    total = np.zeros(shape, dtype=pairs.scene.width.dtype)
    row, weights = np.zeros((1, shape[1]), total.dtype), np.zeros((1, shape[1]), total.dtype)
    veto, row_veto = np.zeros(shape, dtype=bool), np.zeros((1, shape[1]), dtype=bool)
    scratch = np.empty_like(total)
    taken: list[tuple[Columns, Array]] = []
    for concern, verdict, term in rulings(pairs, concerns):
        columns, weight = concern.columns, concern.weight
        if verdict.veto is not None:
            vetoed = row_veto if verdict.veto.shape[0] == 1 else veto
            vetoed[:, columns] |= verdict.veto
        if not weight:
            continue
        if concern.rule.care:
            taken.append((columns, 1 - (weight * verdict.applies) * (1 - term)))
            continue
        if verdict.applies is not True:
            shares = np.multiply(verdict.applies, weight, dtype=total.dtype)
            if shares.shape[0] > weights.shape[0]:
                weights = np.repeat(weights, shape[0], axis=0)
            weights[:, columns] += shares
            total[:, columns] += term * shares
            continue
        weights[:, columns] += weight
        if term.shape[0] == 1:
            row[:, columns] += term * weight
        elif columns is ALL:
            total += np.multiply(term, weight, out=scratch)
        else:
            total[:, columns] += term * weight
    if row.any():
        total += row
    np.multiply(total, 100 / np.where(weights > 0, weights, np.inf), out=total)
    for columns, left in taken:
        total[:, columns] *= left
    if row_veto.any():
        veto |= row_veto
    return total, veto
