"""An exception names the number that it misses: set to what was measured, that number alone allows it."""

from __future__ import annotations

import dataclasses
import random

from placements.engine.facade import assess_wall
from placements.engine.house import House
from placements.engine.results import Finding, Hanging
from placements.engine.rulebook import entry_of
from tests.judging.proposing import house_of
from tests.judging.random_houses import random_survey


def _anywhere(house: House, r: random.Random) -> list[Hanging]:
    """One to three pieces a wall, each at a place of its own, as a hand that knows no rule would put them."""
    works = iter(r.sample(house.works, len(house.works)))
    return [
        Hanging(work.id, wall.id, r.uniform(0, max(wall.length - work.width, 1)), r.uniform(300, 1700), order)
        for room in house.rooms
        for wall in room.walls
        for order, work in enumerate((next(works, None) for _ in range(r.randint(1, 3))), 1)
        if work is not None
    ]


def _found(house: House, hangings: list[Hanging], wall: str) -> list[Finding]:
    return [one for one in assess_wall(house, wall, tuple(hangings)).findings if one.level == "exception"]


def test_setting_the_named_limit_to_what_was_measured_allows_it() -> None:
    named: set[tuple[str, str]] = set()
    for seed in range(12):
        house = house_of(random_survey(seed))
        hangings = _anywhere(house, random.Random(seed))
        for wall in {hanging.wall for hanging in hangings}:
            for finding in _found(house, hangings, wall):
                if not finding.limit or finding.measured is None:
                    continue
                entry = entry_of(finding.rule)
                assert entry is not None
                limit = next(limit for limit in entry.limits if limit.name == finding.limit)
                if not limit.low <= finding.measured <= limit.high:
                    continue
                rules = dict(house.house_rules)
                rules[finding.rule] = {**rules.get(finding.rule, {}), finding.limit: finding.measured}
                changed = dataclasses.replace(house, house_rules=rules)
                left = [
                    one
                    for one in _found(changed, hangings, wall)
                    if (one.rule, one.works, one.measured) == (finding.rule, finding.works, finding.measured)
                ]
                assert left == [], (seed, finding)
                named.add((finding.rule, finding.limit))
    both = {(rule, side) for rule in ("clearance", "eye-line", "two-thirds") for side in ("low", "high")}
    assert both <= named
    assert {rule for rule, _ in named} >= {"fill", "heat", "overhead", "shape", "spacing", "unity"}
