"""Bringing a measure nearer its band never lowers a term, nor the score: over random works, places and house rules."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine import position, scoring
from placements.engine.house import House
from placements.engine.results import Space
from placements.engine.rulebook import Rulebook
from placements.engine.scene import build_scene, placed
from tests import scenes
from tests.scenes import INCH

BOOK = Rulebook()
BEDS = scenes.item("bed", 42, 0, 84, 34, 80)
MANTEL = scenes.item("mantel", 42, 0, 84, 50, 8)
sizes = st.floats(5, 90)
kinds = st.sampled_from(["sofa", "bed", "mantel", "open", "corridor", "bath"])


def place(kind: str, *works) -> tuple[House, Space]:
    """One house of each sort, with these works."""
    if kind in ("open", "bath", "corridor"):
        use = {"open": "living", "bath": "bath", "corridor": "public_corridor"}[kind]
        return scenes.open_wall(*works, use=use)
    bearer = {"sofa": scenes.SOFA, "bed": BEDS, "mantel": MANTEL}[kind]
    house = scenes.house(*works, walls=(scenes.wall(bearer, build="plaster"),), use="bedroom")
    low = bearer.rect.top / INCH
    return house, scenes.space("over_furniture", scenes.rect(42, low, 84, 104 - low), over=bearer)


@pytest.mark.parametrize("rule_id", ["two-thirds", "clearance", "eye-line", "shape", "load", "overhead"])
@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), kind=st.sampled_from(["sofa", "bed", "mantel", "open"]))
def test_of_two_measures_the_nearer_to_the_band_scores_no_less(rule_id: str, seed: int, kind: str) -> None:
    draw = np.random.default_rng(seed)
    works = [scenes.work(f"a{n}", *draw.uniform(5, 90, 2), weight_kg=draw.uniform(1, 150)) for n in range(40)]
    house, space = place(kind, *works)
    scene = build_scene(house, [space])
    pairs = placed(scene, np.full((40, 1), 1200.0), draw.uniform(6, 100, (40, 1)) * INCH)
    rule, limits = BOOK.rule(rule_id), BOOK.limits(rule_id)
    if rule.concerns is not None and not rule.concerns(scene, limits)[0]:
        return
    verdict = rule.evaluate(pairs, limits)
    columns = (verdict.value, verdict.low, verdict.high, verdict.score)
    value, low, high, score = (np.broadcast_to(np.asarray(column), (40, 1))[:, 0] for column in columns)
    outside = np.maximum(low - value, value - high)
    below = value < low
    for side in (below, value > high):
        order = np.argsort(outside[side])
        assert (np.diff(score[side][order]) <= 1e-12).all()
        if rule_id == "eye-line" and kind != "open" and side is not below:
            continue  # over furniture the gap comes first: what sits high because of it loses nothing
        if side.any() and (outside <= 0).any():
            assert score[side].max() <= score[outside <= 0].min() + 1e-12


@settings(max_examples=80, deadline=None)
@given(
    kind=kinds,
    width=sizes,
    height=sizes,
    depth=st.floats(0.1, 8),
    kg=st.floats(0.5, 200),
    lighter=st.floats(0, 1),
    shallower=st.floats(0.01, 1),
    bottom=st.floats(6, 90),
)
def test_a_lighter_shallower_unglazed_piece_never_scores_worse_in_the_same_place(
    kind, width, height, depth, kg, lighter, shallower, bottom
) -> None:
    worse = scenes.work("a", width, height, depth, weight_kg=kg, glazed=True)
    better = dataclasses.replace(worse, weight_kg=kg * lighter, depth=worse.depth * shallower)
    unglazed = dataclasses.replace(better, glazed=False)
    scores = []
    for piece in (worse, better, unglazed):
        hung = scenes.hang(piece, 60, bottom)
        scores.append(scoring.judge(*place(kind, piece), [hung], BOOK, scenes.WORDS).score)
    assert scores[0] <= scores[1] + 1e-9
    if kind != "bath":  # there the glass keeps the damp out
        assert scores[1] <= scores[2] + 1e-9


@settings(max_examples=60, deadline=None)
@given(kind=kinds, width=sizes, height=st.floats(5, 50), nearer=st.floats(0, 1), up=st.floats(0, 1))
def test_moving_straight_towards_the_best_height_never_lowers_a_term_that_rules_there(
    kind, width, height, nearer, up
) -> None:
    """Clearance over furniture and the eye line elsewhere: on the way to the best place their term only rises."""
    piece = scenes.work("a", width, height)
    house, space = place(kind, piece)
    scene = build_scene(house, [space])
    best = float(position.solve(scene, position.heights(scene, BOOK.all_limits)).bottom_edge[0, 0])
    rule = "clearance" if space.kind == "over_furniture" else "eye-line"

    def away(at: float) -> float:
        hung = scenes.hang(piece, 60, at / INCH)
        term = scoring.judge(house, space, [hung], BOOK, scenes.WORDS).terms[rule]
        return 1 / term - 1

    start = space.rect.bottom + up * (space.rect.height - piece.height)
    closer = start + (best - start) * nearer
    band = BOOK.limits(rule)
    half = (band.high - band.low) / 2
    at_the_end = (half / (half + band.reach)) ** 2
    assert away(closer) <= max(away(start), at_the_end) + 1e-9


@settings(max_examples=40, deadline=None)
@given(kind=kinds, width=sizes, height=sizes, wider=st.floats(0, 150))
def test_a_wider_band_of_the_house_never_lowers_its_own_term(kind, width, height, wider) -> None:
    piece = scenes.work("a", width, height)
    house, space = place(kind, piece)
    hung = [scenes.hang(piece, 60, 45)]
    eye = BOOK.limits("eye-line")
    wide = Rulebook({"eye-line": {"low": eye.low - wider, "high": eye.high + wider}})
    before = scoring.judge(house, space, hung, BOOK, scenes.WORDS)
    after = scoring.judge(house, space, hung, wide, scenes.WORDS)
    assert after.terms["eye-line"] >= before.terms["eye-line"] - 1e-12
