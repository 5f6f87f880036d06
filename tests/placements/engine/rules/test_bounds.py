"""What a studio may set each number of a rule to: its default and the least and the greatest that is allowed.

A slip in a bound would let a house rule loosen what a code asks, and no other test would notice.
"""

from __future__ import annotations

import pytest

from placements.engine.errors import UnknownRule
from placements.engine.limits import limits_of
from placements.engine.margins import DEFAULT_MARGINS
from placements.engine.rule import Rule
from placements.engine.rulebook import Rulebook
from placements.engine.rules import RULES

INCH = 25.4  # mm, exact by definition
LB = 0.45359237  # kg, exact by definition
LARGE, SMALL = 1.01, 0.99

Bounds = dict[tuple[str, str], tuple[float, float, float]]

#: Default, least, greatest. Where a code speaks, the default is the code's own figure and may only be made stricter:
#: fire, IRC R1001.11 exception 4 and NFPA 211 as quoted in trade pages (nothing combustible within 6 in of the opening;
#: to 12 in, 1/8 in deep for each inch of distance); public ways, 2010 ADA Standards 307.2 (4 in deep between 27 and
#: 80 in) and 403.5.1 (36 in clear).
OF_A_CODE: Bounds = {
    ("heat", "clear"): (6 * INCH, 6 * INCH, 60 * INCH),
    ("heat", "graded"): (12 * INCH, 12 * INCH, 60 * INCH),
    ("heat", "slope"): (0.125, 0, 0.125),
    ("protrusion", "depth"): (4 * INCH, 0, 4 * INCH),
    ("protrusion", "cane"): (27 * INCH, 0, 27 * INCH),
    ("protrusion", "head"): (80 * INCH, 80 * INCH, 120 * INCH),
    ("protrusion", "way"): (36 * INCH, 36 * INCH, 120 * INCH),
}

#: Common practice, no source, but: seats and beds, 50 and 20 lb of the Earthquake Country Alliance; yearly budgets of
#: light, CIE 157:2004 (from memory); the sun indoors, about 80,000 lux (conservationphysics.org).
OF_THE_TRADE: Bounds = {
    ("clearance", "low"): (6 * INCH, 0, 36 * INCH),
    ("clearance", "high"): (10 * INCH, 0, 36 * INCH),
    ("clearance", "reach"): (6 * INCH, 1 * INCH, 36 * INCH),
    ("even-row", "high"): (0.125 * INCH, 0, 1 * INCH),
    ("even-row", "same"): (0.25 * INCH, 0, 2 * INCH),
    ("even-row", "reach"): (1 * INCH, 0.1 * INCH, 12 * INCH),
    ("eye-line", "low"): (60 * INCH, 36 * INCH, 96 * INCH),
    ("eye-line", "high"): (66 * INCH, 36 * INCH, 96 * INCH),
    ("eye-line", "below_over_furniture"): (2 * INCH, 0, 12 * INCH),
    ("eye-line", "reach"): (6 * INCH, 1 * INCH, 48 * INCH),
    ("fill", "low"): (0.5, 0.05, 1),
    ("fill", "high"): (0.75, 0.05, 1),
    ("fill", "low_stair"): (0.35, 0.05, 1),
    ("fill", "high_stair"): (0.9, 0.05, 1),
    ("fill", "low_height"): (0.25, 0.05, 1),
    ("fill", "high_height"): (0.8, 0.05, 1),
    ("fill", "reach"): (0.2, 0.02, 1),
    ("fit", "slack"): (0.5, 0, 25),
    ("heat", "assumed_drop"): (12 * INCH, 0, 60 * INCH),
    ("heat", "above_hot"): (24 * INCH, 0, 60 * INCH),
    ("heat", "reach"): (6 * INCH, 1 * INCH, 36 * INCH),
    ("heat", "tender"): (0.5, 0, 1),
    ("largest-central", "high"): (0.25, 0.02, 0.5),
    ("largest-central", "larger"): (1.2, 1, 4),
    ("largest-central", "as_large"): (0.95, 0.5, 1),
    ("largest-central", "reach"): (0.15, 0.01, 1),
    ("light", "budget_high"): (15_000, 1_000, 10_000_000),
    ("light", "budget_medium"): (150_000, 1_000, 10_000_000),
    ("light", "budget_low"): (600_000, 1_000, 10_000_000),
    ("light", "sun"): (80_000, 10_000, 130_000),
    ("light", "clear_share"): (0.6, 0.05, 1),
    ("light", "reach"): (4, 1.1, 20),
    ("light", "near"): (36 * INCH, 0, 200 * INCH),
    ("load", "share"): (1, 0.1, 1),
    ("load", "reach"): (1, 0.1, 4),
    ("moisture", "bare"): (0, 0, 2),
    ("moisture", "glazed"): (1, 0, 2),
    ("moisture", "painting"): (1, 0, 2),
    ("moisture", "hard"): (2, 0, 2),
    ("moisture", "reach"): (1, 0.1, 4),
    ("overhead", "seat"): (50 * LB, 0, 200),
    ("overhead", "bed"): (20 * LB, 0, 200),
    ("overhead", "cot"): (5 * LB, 0, 200),
    ("overhead", "reach"): (10, 0.5, 100),
    ("overhead", "glazed"): (0.6, 0, 1),
    ("protrusion", "reach"): (2 * INCH, 0.25 * INCH, 12 * INCH),
    ("quiet-wall", "flank"): (0.4, 0, 2),
    ("quiet-wall", "view"): (0.5, 0, 2),
    ("quiet-wall", "statement_light"): (0.7, 0, 2),
    ("quiet-wall", "pier"): (0.6, 0, 2),
    ("quiet-wall", "texture"): (0.5, 0, 2),
    ("quiet-wall", "accent"): (0.4, 0, 2),
    ("quiet-wall", "leave_at"): (1, 0.1, 5),
    ("quiet-wall", "reach"): (1, 0.1, 5),
    ("rail-line", "high"): (1 * INCH, 0.1 * INCH, 6 * INCH),
    ("rail-line", "reach"): (3 * INCH, 0.5 * INCH, 24 * INCH),
    ("scale", "high"): (0, 0, 10),
    ("scale", "equal"): (0.6, 0.5, 1),
    ("scale", "same"): (0.25 * INCH, 0, 2 * INCH),
    ("scale", "smaller"): (0.6, 0.05, 1),
    ("scale", "reach"): (1, 0.1, 10),
    ("services", "low"): (150, 0, 600),
    ("shape", "square_to"): (1.2, 1, 1.6),
    ("shape", "ideal"): (1.5, 1, 5),
    ("shape", "longest"): (3, 1.5, 10),
    ("shape", "reach"): (0.5, 0.05, 3),
    ("spacing", "low"): (2 * INCH, 0, 24 * INCH),
    ("spacing", "high"): (3 * INCH, 0, 24 * INCH),
    ("spacing", "high_few"): (5 * INCH, 0, 24 * INCH),
    ("spacing", "few"): (3, 2, 6),
    ("spacing", "reach"): (1.5 * INCH, 0.1 * INCH, 12 * INCH),
    ("standing-clear", "lamp"): (0, 0, 24 * INCH),
    ("standing-clear", "ornament"): (4 * INCH, 0, 24 * INCH),
    ("standing-clear", "reach"): (4 * INCH, 0.25 * INCH, 24 * INCH),
    ("two-thirds", "low"): (0.6, 0.2, 1),
    ("two-thirds", "high"): (0.75, 0.2, 1.2),
    ("two-thirds", "reach"): (0.2, 0.02, 1),
    ("unity", "low"): (0.6, 0, 1),
    ("unity", "reach"): (0.3, 0.05, 1),
}

TABLE = OF_A_CODE | OF_THE_TRADE
DECLARED = {(rule.id, one.name): one for rule in RULES for one in limits_of(rule.limits)}


@pytest.mark.parametrize("which", TABLE, ids=" ".join)
def test_each_number_has_the_default_and_the_bounds_of_the_table(which: tuple[str, str]) -> None:
    one = DECLARED[which]
    assert (one.default, one.low, one.high) == pytest.approx(TABLE[which])


def test_the_table_has_every_number_of_every_rule() -> None:
    assert DECLARED.keys() - TABLE.keys() == set(), "give each a line with its source"


def test_margins_are_at_most_a_yard() -> None:
    # Common practice, no source.
    usual = {"casing": 3, "sconce": 4, "corner": 4, "floor": 12, "ceiling": 6, "furniture": 3, "moulding": 3, "rail": 4}
    usual["service"] = 3
    for one in limits_of(DEFAULT_MARGINS):
        assert (one.default, one.low, one.high) == pytest.approx((usual[one.name] * INCH, 0, 36 * INCH))


LOOSER = {"clear": SMALL, "graded": SMALL, "slope": LARGE, "depth": LARGE, "cane": LARGE, "head": SMALL, "way": SMALL}


@pytest.mark.parametrize(("rule", "limit"), OF_A_CODE, ids=" ".join)
def test_no_studio_loosens_a_code(rule: str, limit: str) -> None:
    code = OF_A_CODE[rule, limit][0]
    with pytest.raises(UnknownRule):
        Rulebook({rule: {limit: code * LOOSER[limit]}})


#: Share of each rule in the mean of the score, or, of a rule of care, the most that it takes from it: our own choice.
WEIGHTS = {
    "clearance": 2, "even-row": 3, "eye-line": 2, "fill": 2, "largest-central": 1.5, "rail-line": 3, "scale": 2,
    "shape": 1.5, "spacing": 3, "two-thirds": 3, "unity": 2,
    "heat": 0.4, "light": 0.25, "load": 0.4, "moisture": 0.4, "overhead": 0.3, "protrusion": 0.4, "quiet-wall": 0.4,
    "standing-clear": 0.3, "fit": 0, "hang-data": 0, "services": 0,
}  # fmt: skip
OF_CARE = {"heat", "light", "load", "moisture", "overhead", "protrusion", "quiet-wall", "standing-clear"}


@pytest.mark.parametrize("rule", RULES, ids=[rule.id for rule in RULES])
def test_each_rule_has_its_share_in_the_score(rule: Rule) -> None:
    assert rule.weight == WEIGHTS[rule.id]
    assert rule.care == (rule.id in OF_CARE)


@pytest.mark.parametrize("rule", [rule for rule in RULES if rule.weight], ids=lambda rule: rule.id)
def test_no_studio_weighs_a_rule_below_nothing_or_past_its_most(rule: Rule) -> None:
    most = 1 if rule.care else 10
    assert Rulebook({rule.id: {"weight": most}}).weight(rule.id) == most
    for value in (-0.01, most + 0.01):
        with pytest.raises(UnknownRule):
            Rulebook({rule.id: {"weight": value}})
