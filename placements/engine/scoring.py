"""Runs the rules: N works x M spaces to scores 0-100, or one finished arrangement to its score and findings.

`score` answers for many pairs, `pairing` for one with all its reasons, `judge` for pieces at exact places.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from . import position
from .arrangement import arranged
from .blocks import concerned, rulings, spreads, totals
from .explain import Judged, judged_from, why
from .house import House, Work
from .precedence import position_order
from .ranking import Best, best
from .results import Hanging, Pairing, Space, Words
from .rule import Array, Mask, at
from .rulebook import Rulebook
from .scene import Scene, build_scene, placed


@dataclass(frozen=True)
class Scores:
    """Every pair's score, or each space's best.

    total : (N, M) float64, 0-100
    veto : (N, M) bool, the pairs that cannot hang
    left, bottom : (N, M) float64 [mm] of the lower left corner at the best place
    best : the K best works a space where `top` was asked for; the arrays above are then empty
    """

    scene: Scene
    rulebook: Rulebook
    total: Array
    veto: Mask
    left: Array
    bottom: Array
    best: Best | None = None

    def terms(self) -> dict[str, Array]:
        """Rule id -> (N, M) float64 score in 0-1, NaN where the rule does not apply. Worked out anew: N x M each."""
        pairs = position.solve(self.scene, position.heights(self.scene, self.rulebook.all_limits))
        shape = self.scene.size
        found = {}
        for concern, verdict, term in rulings(pairs, concerned(self.scene, self.rulebook)):
            found[concern.rule.id] = np.full(shape, np.nan)
            found[concern.rule.id][:, concern.columns] = np.where(verdict.applies, term, np.nan)
        return found


def score(scene: Scene, rulebook: Rulebook, top: int | None = None) -> Scores:
    """Score every work in every space at its best place.

    top : keep only this many works a space, in memory that does not grow with N; None keeps every pair

    Notes: with `top` the search runs in float32 and what it keeps is worked out again in float64.
    """
    if top is not None:
        empty = np.empty((0, scene.size[1]))
        return Scores(scene, rulebook, empty, empty.astype(bool), empty, empty, best(scene, rulebook, top))
    total, bottom, left = (np.empty(scene.size) for _ in range(3))
    veto = np.empty(scene.size, dtype=bool)
    heights = position.heights(scene, rulebook.all_limits)
    for spread in spreads(scene, heights, rulebook):
        for rows, pairs in spread.blocks():
            total[rows, spread.columns], veto[rows, spread.columns] = totals(pairs, spread.concerns)
            bottom[rows, spread.columns] = pairs.bottom_edge
            left[rows, spread.columns] = pairs.left_edge
    return Scores(scene, rulebook, total, veto, left, bottom)


def judge(house: House, space: Space, hangings: Sequence[Hanging], rulebook: Rulebook, words: Words) -> Judged:
    """Score and findings of one or several pieces at exact places in a space.

    Pair rules judge the group by its outline, rules of safety every piece by itself, and rules about neighbours the
    pieces among themselves.

    Raises:
        InvalidHouse: nothing hangs, or an unknown work, wall or bearer.
    """
    group = arranged(house, space, hangings, rulebook.margins)
    pieces = build_scene(dataclasses.replace(house, works=group.works), [space], rulebook.margins)
    at_pieces = placed(pieces, group.left[:, None], group.bottom[:, None], group.intrusion[:, None])
    if len(group.works) == 1:
        at_outline = at_pieces
    else:
        one = group.as_one
        whole = dataclasses.replace(group.works[0], width=one.width, height=one.height)
        outline = build_scene(dataclasses.replace(house, works=(whole,)), [space], rulebook.margins)
        at_outline = placed(outline, np.array([[one.left]]), np.array([[one.bottom]]))
    return judged_from(group, at_outline, at_pieces, rulebook, words)


def pairing(house: House, space: Space, work: Work, rulebook: Rulebook, words: Words) -> Pairing:
    """One work in one space at its best place, with every term, finding and the reasons.

    Raises:
        InvalidHouse: a space whose wall or bearer the house does not have.
    """
    alone = dataclasses.replace(house, works=(work,))
    scene = build_scene(alone, [space], rulebook.margins)
    pairs = position.solve(scene, position.heights(scene, rulebook.all_limits))
    left, bottom = at(pairs.left_edge, 0, 0), at(pairs.bottom_edge, 0, 0)
    judged = judge(alone, space, [Hanging(work.id, space.wall, left, bottom)], rulebook, words)
    bearer_top = float(scene.bearer_top[0])
    return Pairing(
        space=space.id,
        work=work.id,
        fits=not judged.stopped,
        score=judged.score,
        terms=judged.terms,
        left=left,
        bottom=bottom,
        centre_height=bottom + work.height / 2,
        clearance=None if np.isnan(bearer_top) else bottom - bearer_top,
        gave_way=tuple(dict.fromkeys((*judged.gave_way, *_missed(space, judged)))),
        findings=judged.findings,
        why=why(judged),
    )


def _missed(space: Space, judged: Judged) -> tuple[str, ...]:
    """The bands that decide the height in this space and do not hold at the best place."""
    return tuple(rule_id for rule_id in position_order(space.kind) if rule_id in {f.rule for f in judged.findings})
