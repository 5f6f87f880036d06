"""What every pair rule keeps, whatever it judges."""

from __future__ import annotations

import dataclasses
import inspect
import re
from types import ModuleType

import numpy as np
import pytest

from placements.engine import position, scoring
from placements.engine.bands import within
from placements.engine.rule import INCH, Rule, limit, limits_of
from placements.engine.rulebook import Rulebook
from placements.engine.rules import RULES, MalformedRule, checked
from placements.engine.rules.pairing import clearance
from placements.engine.scene import Pairs, Scene, build_scene
from tests import scenes

BOOK = Rulebook()
PAIR_RULES = [rule for rule in RULES if rule.kind == "pairing"]
every_rule = pytest.mark.parametrize("rule", RULES, ids=[rule.id for rule in RULES])
every_pair_rule = pytest.mark.parametrize("rule", PAIR_RULES, ids=[rule.id for rule in PAIR_RULES])


def mixed_scene(works: int = 7) -> Scene:
    """Every kind of space, with works from tiny to too large, some with nothing known about them."""
    sofa, mantel = scenes.SOFA, scenes.item("mantel", 40, 0, 60, 52, 8)
    sunny = {"faces_deg": 180.0}
    walls = (
        scenes.wall(sofa, scenes.item("outlet", 80, 12, 3, 5), **sunny),
        scenes.wall(mantel, id="fire", build="brick"),
        scenes.wall(scenes.item("window", 4, 30, 30, 54, view=True), id="pier", faces_deg=90.0),
        scenes.wall(id="stair"),
    )
    pool = [
        scenes.work(
            f"a{n}",
            6 + 14 * n,
            90 - 12 * n,
            depth=(0.0, 1.5, 5.0)[n % 3],
            weight_kg=(None, 4.0, 60.0)[n % 3],
            form=("print", "textile", "mirror", "relief")[n % 4],
            light=("sensitive", "moderate", "robust")[n % 3],
            glazed=n % 2 == 0,
        )
        for n in range(works)
    ]
    house = scenes.house(*pool, walls=walls, latitude=40.0, longitude=-74.0)
    spaces = [
        scenes.space("over_furniture", scenes.rect(42, 34, 84, 68), over=sofa),
        scenes.space("over_furniture", scenes.rect(40, 52, 60, 50), over=mantel, wall="fire", id="f", shape="square"),
        scenes.space("open_wall", scenes.rect(24, 6, 120, 90), wall="pier", id="p"),
        scenes.space("panel", scenes.rect(24, 30, 40, 60), wall="pier", id="m", shape="portrait"),
        scenes.space("stair", scenes.rect(10, 40, 90, 60), wall="stair", id="s"),
    ]
    return build_scene(house, spaces)


def solved(scene: Scene) -> Pairs:
    return position.solve(scene, position.heights(scene, BOOK.all_limits))


def whole(array: object, shape: tuple[int, int]) -> np.ndarray:
    return np.broadcast_to(np.asarray(array), shape)


@every_rule
def test_every_limit_has_unit_range_source_and_label(rule: Rule) -> None:
    for one in limits_of(rule.limits):
        assert one.unit
        assert one.label
        assert one.source
        assert one.low <= one.default <= one.high


@every_rule
def test_docstring_says_source_and_examples(rule: Rule) -> None:
    assert "Source:" in rule.doc
    assert "Good:" in rule.doc
    assert "Bad:" in rule.doc


@every_pair_rule
def test_scores_lie_between_0_and_1_and_broadcast_to_n_by_m(rule: Rule) -> None:
    pairs = solved(mixed_scene())
    verdict = rule.evaluate(pairs, BOOK.limits(rule.id))
    concern = rule.concerns(pairs.scene, BOOK.limits(rule.id)) if rule.concerns else True
    applies = whole(verdict.applies, pairs.scene.size) & concern
    score = whole(verdict.score, pairs.scene.size)[applies]
    assert ((score >= 0) & (score <= 1)).all()
    for array in (verdict.value, verdict.low, verdict.high, verdict.veto, *verdict.also.values()):
        whole(array, pairs.scene.size)
    assert np.isfinite(whole(verdict.value, pairs.scene.size)[applies]).all()


@every_pair_rule
def test_a_measure_in_its_band_scores_no_less_than_one_outside(rule: Rule) -> None:
    pairs = solved(mixed_scene())
    shape = pairs.scene.size
    verdict = rule.evaluate(pairs, BOOK.limits(rule.id))
    concern = rule.concerns(pairs.scene, BOOK.limits(rule.id)) if rule.concerns else True
    applies = whole(verdict.applies, shape) & concern
    value, low, high = (whole(one, shape)[applies] for one in (verdict.value, verdict.low, verdict.high))
    outside = (value < low - 1e-6) | (value > high + 1e-6)
    if rule.id == "eye-line":  # over furniture the gap comes first: what sits high because of it loses nothing
        outside &= ~(whole(pairs.scene.over_furniture[None, :], shape)[applies] & (value > high))
    score = whole(verdict.score, shape)[applies]
    assert (score[outside] < 1).all() or not rule.weight
    one_sided = np.isinf(low) | np.isinf(high)
    assert (score[~outside & ~one_sided] > 0.5).all() or rule.id == "fill"  # its height has a band of its own


@every_pair_rule
def test_a_scene_in_single_precision_is_judged_in_single_precision(rule: Rule) -> None:
    scene = mixed_scene().as_type(np.float32)
    heights = position.as_type(position.heights(scene, BOOK.all_limits), np.float32)
    pairs = position.solve(scene, heights)
    assert pairs.bottom_edge.dtype == pairs.overhang.dtype == np.float32
    if BOOK.weight(rule.id):
        assert rule.evaluate(pairs, BOOK.limits(rule.id)).score.dtype == np.float32


@every_pair_rule
def test_empty_scenes_are_no_trouble(rule: Rule) -> None:
    scene = mixed_scene()
    for empty in (scene.take(works=slice(0, 0)), scene.take(spaces=slice(0, 0))):
        verdict = rule.evaluate(solved(empty), BOOK.limits(rule.id))
        assert whole(verdict.score, empty.size).shape == empty.size


@every_pair_rule
def test_inputs_are_left_unchanged(rule: Rule) -> None:
    pairs = solved(mixed_scene())
    fields = [field.name for field in dataclasses.fields(pairs.scene)]
    before = {name: np.array(getattr(pairs.scene, name), copy=True) for name in fields if name not in ("works",)}
    places = (pairs.bottom_edge.copy(), pairs.overhang.copy())
    rule.evaluate(pairs, BOOK.limits(rule.id))
    for name, array in before.items():
        if array.dtype != object:
            np.testing.assert_array_equal(array, getattr(pairs.scene, name))
    for was, now in zip(places, (pairs.bottom_edge, pairs.overhang), strict=True):
        np.testing.assert_array_equal(was, now)


@every_pair_rule
def test_a_slice_of_the_scene_gives_the_slice_of_the_result(rule: Rule) -> None:
    scene = mixed_scene()
    limits = BOOK.limits(rule.id)
    all_of = whole(rule.evaluate(solved(scene), limits).score, scene.size)
    some = scene.take(works=slice(2, 6), spaces=np.array([3, 1]))
    part = whole(rule.evaluate(solved(some), limits).score, some.size)
    np.testing.assert_array_equal(part, all_of[2:6][:, [3, 1]])


@every_pair_rule
def test_every_explanation_states_a_number_or_the_fact_and_what_is_allowed(rule: Rule) -> None:
    pairs = solved(mixed_scene())
    limits = BOOK.limits(rule.id)
    verdict = rule.evaluate(pairs, limits)
    concern = rule.concerns(pairs.scene, limits) if rule.concerns else np.ones(pairs.scene.size[1], dtype=bool)
    applies = whole(verdict.applies, pairs.scene.size) & concern
    for i, j in np.argwhere(applies):
        remark = rule.explain(pairs, verdict, int(i), int(j), limits, scenes.WORDS)
        assert remark.text
        assert not re.search(r"\bnan\b|\binf\b|None", remark.text), remark.text
        if remark.low is not None or remark.high is not None:
            assert re.search(r"\d", remark.text), remark.text
            assert remark.measured is not None
            assert remark.unit


@every_pair_rule
def test_a_remark_has_a_level_where_the_band_is_missed(rule: Rule) -> None:
    pairs = solved(mixed_scene())
    limits, shape = BOOK.limits(rule.id), pairs.scene.size
    verdict = rule.evaluate(pairs, limits)
    concern = rule.concerns(pairs.scene, limits) if rule.concerns else np.ones(shape[1], dtype=bool)
    for i, j in np.argwhere(whole(verdict.applies, shape) & concern):
        remark = rule.explain(pairs, verdict, int(i), int(j), limits, scenes.WORDS)
        vetoed = verdict.veto is not None and whole(verdict.veto, shape)[i, j]
        value, low, high = (whole(one, shape)[i, j] for one in (verdict.value, verdict.low, verdict.high))
        assert (remark.level == "stop") == bool(vetoed), remark
        if not within(value, low, high, verdict.slack):
            assert remark.level is not None, remark
        elif not rule.care and not vetoed and rule.id != "fill":
            assert remark.level is None, remark


def test_rules_are_ordered_by_id_and_named_after_their_files() -> None:
    assert [rule.id for rule in RULES] == sorted(rule.id for rule in RULES)


def malformed(**changes: object) -> ModuleType:
    module = ModuleType("placements.engine.rules.pairing.clearance")
    module.__doc__ = clearance.__doc__
    module.RULE = dataclasses.replace(clearance.RULE, **changes)  # type: ignore[attr-defined]
    return module


@dataclasses.dataclass(frozen=True)
class Bare:
    low: float = 3.0


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        pytest.param({"id": "gap"}, "its id is 'gap'", id="id"),
        pytest.param({"kind": "arrangement"}, "its kind is 'arrangement'", id="kind"),
        pytest.param({"title": ""}, "no title", id="title"),
        pytest.param({"weight": -1.0}, "below zero", id="weight"),
        pytest.param({"limits": Bare}, "low has no unit", id="limit without unit"),
        pytest.param({"limits": dict}, "no frozen dataclass", id="limits"),
    ],
)
def test_a_malformed_rule_file_is_refused_with_its_fault(changes: dict[str, object], fault: str) -> None:
    with pytest.raises(MalformedRule, match=fault) as caught:
        checked(malformed(**changes), "pairing")
    assert "rules/pairing/clearance.py" in str(caught.value)


def test_a_file_without_a_rule_is_refused() -> None:
    with pytest.raises(MalformedRule, match="must end in RULE"):
        checked(ModuleType("placements.engine.rules.pairing.stray"), "pairing")


def test_a_limit_outside_its_own_range_is_refused() -> None:
    with pytest.raises(ValueError, match="outside"):
        limit(40 * INCH, "mm", (0.0, INCH), "too far")
    with pytest.raises(ValueError, match="unit"):
        limit(1.0, "furlong", (0.0, 2.0), "strange")


@every_pair_rule
def test_a_rule_that_may_veto_says_so(rule: Rule) -> None:
    """A rule that the studio has switched off is passed over, unless it says that it may veto."""
    assert rule.vetoes == ("veto=" in inspect.getsource(rule.evaluate))


def test_the_designers_wish_holds_even_where_reasons_to_leave_a_wall_bare_do_not_count() -> None:
    piece, book = scenes.work("a", 20, 30), Rulebook({"quiet-wall": {"weight": 0}})
    space = scenes.space("open_wall", scenes.rect(24, 6, 120, 90))
    fits = [
        scoring.pairing(
            scenes.house(piece, walls=(scenes.wall(keep_bare=kept),)), space, piece, book, scenes.WORDS
        ).fits
        for kept in (False, True)
    ]
    assert fits == [True, False]
