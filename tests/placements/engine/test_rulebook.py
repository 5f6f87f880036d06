"""House rules: what a studio may change, and what is said when it cannot."""

from __future__ import annotations

import numpy as np
import pytest

from placements.engine import scoring
from placements.engine.errors import UnknownRule
from placements.engine.rulebook import Rulebook, catalogue
from tests.placements.engine.rules.test_contract import mixed_scene
from tests.scenes import INCH

SCENE = mixed_scene()


def test_a_house_rule_replaces_the_default_and_leaves_the_rest() -> None:
    book = Rulebook({"two-thirds": {"low": 0.55}, "margins": {"casing": 50.8}, "clearance": {"weight": 4}})
    assert book.limits("two-thirds").low == 0.55
    assert book.limits("two-thirds").high == 0.75
    assert book.margins.casing == 50.8
    assert book.weight("clearance") == 4.0
    assert Rulebook().weight("clearance") == 2.0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        pytest.param({"two-third": {"low": 0.5}}, "nearest is 'two-thirds'", id="rule"),
        pytest.param({"clearance": {"lo": 100}}, "nearest is 'low'", id="limit"),
        pytest.param({"clearance": {"low": -1}}, "from 0 to 914.4 mm", id="below range"),
        pytest.param({"clearance": {"low": float("nan")}}, "must be a number", id="nan"),
        pytest.param({"clearance": {"low": "six"}}, "must be a number", id="text"),
        pytest.param({"clearance": {"low": True}}, "must be a number", id="bool"),
        pytest.param({"clearance": {"low": 20 * INCH}}, "above high", id="band upside down"),
        pytest.param({"clearance": {"weight": 11}}, "from 0 to 10", id="weight"),
        pytest.param({"margins": {"weight": 1}}, "no limit 'weight'", id="margins have no weight"),
    ],
)
def test_a_wrong_house_rule_is_refused_and_says_how_to_mend_it(given: dict[str, dict[str, float]], said: str) -> None:
    with pytest.raises(UnknownRule, match=said):
        Rulebook(given)


def test_every_fault_is_listed_at_once() -> None:
    with pytest.raises(UnknownRule) as caught:
        Rulebook({"shap": {}, "clearance": {"low": -1, "hihg": 3}})
    assert str(caught.value).count(";") >= 3
    assert "'shap'" in str(caught.value)
    assert "hihg" in str(caught.value)


def test_an_unknown_rule_names_the_nearest() -> None:
    with pytest.raises(UnknownRule, match="eye-line"):
        Rulebook().rule("eyeline")


def test_the_fingerprint_changes_with_any_number_and_with_nothing_else() -> None:
    base = Rulebook().fingerprint
    assert base == Rulebook({}).fingerprint
    assert base == Rulebook({"clearance": {"low": 6 * INCH}}).fingerprint
    changed = {
        Rulebook({"clearance": {"low": 5 * INCH}}).fingerprint,
        Rulebook({"clearance": {"weight": 1}}).fingerprint,
        Rulebook({"margins": {"casing": 10}}).fingerprint,
        Rulebook({"tolerances": {"level": 2}}).fingerprint,
    }
    assert len(changed | {base}) == 5


def test_the_catalogue_lists_every_rule_and_the_margins() -> None:
    entries = {entry.id: entry for entry in catalogue()}
    assert set(entries) == {rule.id for rule in Rulebook().rules} | {"margins", "tolerances"}
    assert {limit.name for limit in entries["margins"].limits} >= {"casing", "sconce", "corner", "ceiling"}


EXTREMES = [(entry.id, limit, end) for entry in catalogue() for limit in entry.limits for end in ("low", "high")]


@pytest.mark.parametrize(("rule_id", "limit", "end"), EXTREMES, ids=[f"{r}.{one.name} {e}" for r, one, e in EXTREMES])
def test_a_house_rule_at_either_end_of_its_range_still_judges(rule_id, limit, end) -> None:
    given = {limit.name: getattr(limit, end)}
    known = {limit.name: limit for entry in catalogue() if entry.id == rule_id for limit in entry.limits}
    first, _, rest = limit.name.partition("_")
    partner = {"low": "high", "high": "low"}.get(first, "") + (f"_{rest}" if rest else "")
    if partner in known:  # a band that would stand upside down is moved as a whole, as far as it can
        given[partner] = min(max(getattr(limit, end), known[partner].low), known[partner].high)
    book = Rulebook({rule_id: given})
    found = scoring.score(SCENE, book)
    assert ((found.total >= 0) & (found.total <= 100 + 1e-9)).all()
    single = scoring.score(SCENE, book, top=2).best
    assert single is not None
    assert np.nanmax(single.total) <= 100 + 1e-9
