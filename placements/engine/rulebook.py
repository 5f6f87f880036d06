"""The rules of one house: the registry with the studio's own numbers in place of the defaults."""

from __future__ import annotations

import dataclasses
import difflib
import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any

from .errors import UnknownRule
from .house import House
from .margins import Margins
from .rule import COMMON, Limit, Rule, limits_of
from .rules import RULES
from .tolerances import Tolerances

#: The share of a rule in the score, or the most that it takes of it; every rule that has one takes it as a house rule
#: beside its own limits.
WEIGHT = "weight"
WEIGHT_RANGE = (0.0, 10.0)
CARE_RANGE = (0.0, 1.0)
MARGINS = "margins"
TOLERANCES = "tolerances"
#: What a house sets beside its rules: records of limits, without a weight, by name.
RECORDS: Mapping[str, type[Any]] = MappingProxyType({MARGINS: Margins, TOLERANCES: Tolerances})


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the catalogue: a rule (or the margins, or the tolerances) with its limits and weight."""

    id: str
    title: str
    kind: str
    level: str
    weight: float | None
    limits: tuple[Limit, ...]
    doc: str

    @property
    def numbers(self) -> tuple[Limit, ...]:
        """Every number that a house may set: the limits, then the weight where it has one."""
        weight = weight_limit(self)
        return (*self.limits, weight) if weight else self.limits


def catalogue() -> tuple[Entry, ...]:
    """Every rule with its limits, by id; margins and tolerances come last. Forms, API and documents read this."""
    entries = [Entry(r.id, r.title, r.kind, r.level, r.weight, limits_of(r.limits), r.doc) for r in RULES]
    margins = Entry(MARGINS, "Keep-clear margins", "margins", "stop", None, limits_of(Margins), Margins.__doc__ or "")
    hung = Entry(
        TOLERANCES, "True to plan", "tolerances", "note", None, limits_of(Tolerances), Tolerances.__doc__ or ""
    )
    return (*entries, margins, hung)


def entry_of(rule_id: str) -> Entry | None:
    """The catalogue's line of that id; None where there is none."""
    return next((entry for entry in catalogue() if entry.id == rule_id), None)


def weight_limit(entry: Entry) -> Limit | None:
    """The entry's share in the score as a number to set; None where it has none."""
    if not entry.weight:
        return None
    care = any(rule.id == entry.id and rule.care for rule in RULES)
    label = "share in the score, against the other rules"
    if care:
        label = "the most that it takes off the score"
    elif entry.kind == "arrangement":
        label = "the most that it takes off the score, in tenths of it"
    return Limit(WEIGHT, label, entry.weight, "ratio", *(CARE_RANGE if care else WEIGHT_RANGE), COMMON)


class Rulebook:
    """Every rule with its limits and weight as this house has them.

    house_rules : rule name -> limit name (or "weight") -> value in the limit's unit; only what differs

    Raises:
        UnknownRule: a rule or limit that does not exist (naming the nearest that does), a value that is no number or
            lies outside its range, or a band whose low end is above its high end. All faults are listed.
    """

    def __init__(self, house_rules: Mapping[str, Mapping[str, float]] | None = None) -> None:
        given = house_rules or {}
        self.rules: tuple[Rule, ...] = RULES
        self._by_id = {rule.id: rule for rule in RULES}
        faults: list[str] = []
        for name in given:
            if name not in self._by_id and name not in RECORDS:
                faults.append(f"there is no rule {name!r}{_nearest(name, [*self._by_id, *RECORDS])}")
        self._limits = {rule.id: _filled(rule.id, rule.limits, given.get(rule.id, {}), faults) for rule in RULES}
        self._weights = {rule.id: _weight(rule, given.get(rule.id, {}), faults) for rule in RULES}
        self.margins: Margins = _filled(MARGINS, Margins, given.get(MARGINS, {}), faults)
        self.tolerances: Tolerances = _filled(TOLERANCES, Tolerances, given.get(TOLERANCES, {}), faults)
        if faults:
            raise UnknownRule("; ".join(faults))

    @classmethod
    def for_house(cls, house: House) -> Rulebook:
        """The rulebook with the house's own rules."""
        return cls(house.house_rules)

    def rule(self, rule_id: str) -> Rule:
        """The rule of that id.

        Raises:
            UnknownRule: naming the nearest that exists.
        """
        if rule_id not in self._by_id:
            raise UnknownRule(f"there is no rule {rule_id!r}{_nearest(rule_id, [*self._by_id])}")
        return self._by_id[rule_id]

    def limits(self, rule_id: str) -> Any:
        """The rule's Limits record with this house's numbers."""
        self.rule(rule_id)
        return self._limits[rule_id]

    def weight(self, rule_id: str) -> float:
        """The rule's share in the score in this house, or the most that it takes of it, as `Rule.weight` says."""
        self.rule(rule_id)
        return self._weights[rule_id]

    def most_taken(self, rule_id: str) -> float:
        """The most that a rule that deducts takes of the score in this house, 0-1."""
        rule, weight = self.rule(rule_id), self.weight(rule_id)
        return weight if rule.care else weight / WEIGHT_RANGE[1]

    def most_lost(self, rule_id: str) -> float:
        """The most of the score that a place can lose by this rule, 0-1."""
        rule = self.rule(rule_id)
        if rule.deducts:
            return self.most_taken(rule_id)
        return self.weight(rule_id) / sum(self.weight(other.id) for other in self.rules if not other.deducts)

    @property
    def all_limits(self) -> Mapping[str, Any]:
        """Rule id -> Limits record."""
        return MappingProxyType(self._limits)

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256 over every id, limit and weight: two rulebooks with the same print judge alike."""
        content = {
            rule.id: {**dataclasses.asdict(self._limits[rule.id]), WEIGHT: self._weights[rule.id]}
            for rule in self.rules
        }
        content[MARGINS] = dataclasses.asdict(self.margins)
        content[TOLERANCES] = dataclasses.asdict(self.tolerances)
        return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def _filled(rule_id: str, record: type[Any], given: Mapping[str, Any], faults: list[str]) -> Any:
    limits = {limit.name: limit for limit in limits_of(record)}
    values: dict[str, float] = {}
    for name, value in given.items():
        if name == WEIGHT and rule_id not in RECORDS:
            continue
        if name not in limits:
            known = [*limits, WEIGHT] if rule_id not in RECORDS else [*limits]
            faults.append(f"{rule_id} has no limit {name!r}{_nearest(name, known)}")
            continue
        one = limits[name]
        if _sound(value, one.low, one.high, f"{rule_id}.{name}", one.unit, faults):
            values[name] = float(value)
    filled = record(**values)
    for name in limits:
        high = "high" + name.removeprefix("low")
        if name.startswith("low") and high in limits and getattr(filled, name) > getattr(filled, high):
            faults.append(f"{rule_id}.{name} is {getattr(filled, name):g}, above {high} {getattr(filled, high):g}")
    return filled


def _weight(rule: Rule, given: Mapping[str, Any], faults: list[str]) -> float:
    if WEIGHT not in given:
        return rule.weight
    if not rule.weight:
        faults.append(f"{rule.id} only notes or stops and has no weight to set")
        return 0.0
    allowed = CARE_RANGE if rule.care else WEIGHT_RANGE
    return float(given[WEIGHT]) if _sound(given[WEIGHT], *allowed, f"{rule.id}.weight", "", faults) else 0.0


def _sound(value: Any, low: float, high: float, name: str, unit: str, faults: list[str]) -> bool:
    number = isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
    if not number or not low <= value <= high:
        faults.append(f"{name} is {value!r}; it must be a number from {low:g} to {high:g} {unit}".rstrip())
        return False
    return True


def _nearest(name: str, known: list[str]) -> str:
    close = difflib.get_close_matches(str(name), known, n=1, cutoff=0.0)
    return f"; the nearest is {close[0]!r}" if close else ""
