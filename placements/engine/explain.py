"""From verdicts to findings: words worked out on demand from the measured quantities, so text cannot contradict score.

Here the levels are settled too: an exception becomes a note where `precedence.GIVES_WAY` says that the rule gives way
and the rule it gives way to holds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from .arrangement import Arranged
from .bands import within
from .geometry import from_edges
from .house import Rect
from .names import small
from .precedence import GIVES_WAY, gives_way
from .results import Finding, Level, Words
from .rule import Remark, Rule, Verdict, at
from .rulebook import Rulebook
from .scene import Pairs

LEVELS: tuple[Level, ...] = ("stop", "exception", "note")
#: A piece counts as centred in its panel within this distance [mm].
CENTRED_MM = 25.4


@dataclass(frozen=True)
class Judged:
    """A finished arrangement, judged.

    score : 0-100
    terms : rule id -> 0-1, the rules that apply
    findings : stops first, then exceptions, then notes
    gave_way : the rules that miss their band because a stronger one holds
    holds : rule id -> the sentence of a rule that holds, the weightiest first; rules of care give no reasons
    """

    score: float
    terms: Mapping[str, float]
    findings: tuple[Finding, ...]
    gave_way: tuple[str, ...] = ()
    holds: Mapping[str, str] = field(default_factory=dict)

    @property
    def stopped(self) -> bool:
        """True where the arrangement cannot hang like this."""
        return any(finding.level == "stop" for finding in self.findings)


@dataclass(frozen=True)
class _Ruling:
    """One rule's verdict on one piece, on the outline or on the whole arrangement."""

    rule: Rule
    verdict: Verdict
    pairs: Pairs | Arranged
    i: int
    works: tuple[str, ...]
    rect: Rect

    @property
    def term(self) -> float:
        return at(self.verdict.score, self.i, 0)

    @property
    def scored(self) -> bool:
        return bool(at(self.verdict.applies, self.i, 0))

    @property
    def value(self) -> float:
        return at(self.verdict.value, self.i, 0)

    @property
    def side(self) -> str | None:
        """Where the measure lies: low or high of its band, or None inside it."""
        low, high = at(self.verdict.low, self.i, 0), at(self.verdict.high, self.i, 0)
        if within(self.value, low, high, self.verdict.slack):
            return None
        return "low" if self.value < low else "high"


def judged_from(group: Arranged, outline: Pairs, pieces: Pairs, rulebook: Rulebook, words: Words) -> Judged:
    """Run every rule over a placed arrangement.

    group : the k pieces among themselves
    outline : 1 x 1, the arrangement as one piece
    pieces : k x 1, each piece by itself
    """
    rulings = [*_rulings(group, outline, pieces, rulebook)]
    by_rule: dict[str, list[_Ruling]] = {}
    for ruling in rulings:
        by_rule.setdefault(ruling.rule.id, []).append(ruling)
    scored = {rule_id: [ruling.term for ruling in all_of if ruling.scored] for rule_id, all_of in by_rule.items()}
    terms = {rule_id: min(found) for rule_id, found in scored.items() if found}
    holding = {rule_id for rule_id, all_of in by_rule.items() if all(ruling.side is None for ruling in all_of)}
    if _centred(group):
        holding.add("centred")
    terms = {rule_id: _forgiven(by_rule[rule_id][0], term, terms, group) for rule_id, term in terms.items()}
    weights = {rule_id: rulebook.weight(rule_id) for rule_id in terms}
    findings: list[Finding] = []
    holds: dict[str, str] = {}
    gave_way: list[str] = []
    for ruling in rulings:
        remark = ruling.rule.explain(ruling.pairs, ruling.verdict, ruling.i, 0, rulebook.limits(ruling.rule.id), words)
        if remark.level is None:
            if weights.get(ruling.rule.id) and not ruling.rule.care:
                holds[ruling.rule.id] = remark.text
            continue
        level, text = remark.level, remark.text
        for entry in gives_way(ruling.rule.id, group.space.kind):
            if level == "exception" and entry.to in holding and entry.side in ("both", ruling.side):
                level, text = "note", f"{text} ({entry.why})"
                gave_way.append(ruling.rule.id)
        findings.append(_finding(ruling, remark, level, text, group))
    shown = {rule_id: term for rule_id, term in terms.items() if weights[rule_id]}
    findings.sort(key=lambda finding: (LEVELS.index(finding.level), finding.rule, finding.works))
    by_weight = sorted(holds, key=lambda rule_id: (-weights[rule_id] * terms[rule_id], rule_id))
    return Judged(
        _score(terms, rulebook),
        dict(sorted(shown.items())),
        tuple(findings),
        tuple(gave_way),
        {rule_id: holds[rule_id] for rule_id in by_weight},
    )


def _score(terms: Mapping[str, float], rulebook: Rulebook) -> float:
    """0-100: the weighted mean of the terms of the rules that wish, less what each rule that deducts takes.

    The rules that wish judge a piece, or a group by its outline as one piece (`blocks` does the same for many pairs);
    what a group's pieces do among themselves can only take from that.
    """
    deducting = [rule_id for rule_id in terms if rulebook.rule(rule_id).deducts]
    wished = {rule_id: rulebook.weight(rule_id) for rule_id in terms if rule_id not in deducting}
    whole = sum(wished.values())
    score = 100 * sum(weight * terms[rule_id] for rule_id, weight in wished.items()) / whole if whole else 0.0
    for rule_id in deducting:
        score *= 1 - rulebook.most_taken(rule_id) * (1 - terms[rule_id])
    return score


def why(judged: Judged, most: int = 3) -> str:
    """The strongest reasons for an arrangement, and what speaks against it."""
    said = [*judged.holds.values()][:most]
    against = [finding.text for finding in judged.findings if finding.level != "note"]
    if against:
        said.append(f"but {small(against[0])}")
    return "; ".join(said)


def _rulings(group: Arranged, outline: Pairs, pieces: Pairs, rulebook: Rulebook) -> Iterator[_Ruling]:
    names = tuple(work.id for work in group.works)
    frame = from_edges(*group.outline)
    for rule in rulebook.rules:
        limits = rulebook.limits(rule.id)
        if rule.kind == "arrangement":
            verdict = rule.evaluate(group, limits)
            if at(verdict.applies, 0, 0) or at(verdict.notes, 0, 0):
                yield _Ruling(rule, verdict, group, 0, names, frame)
            continue
        pairs = outline if rule.scope == "outline" else pieces
        if rule.concerns is not None and not rule.concerns(pairs.scene, limits)[0]:
            continue
        with np.errstate(invalid="ignore"):
            verdict = rule.evaluate(pairs, limits)
        for i in range(pairs.scene.size[0]):
            if at(verdict.applies, i, 0) or at(verdict.notes, i, 0):
                single = rule.scope == "piece"
                rect = Rect(*(float(one[i]) for one in (group.left, group.bottom, group.width, group.height)))
                yield _Ruling(rule, verdict, pairs, i, (names[i],) if single else names, rect if single else frame)


def _forgiven(ruling: _Ruling, term: float, terms: Mapping[str, float], group: Arranged) -> float:
    for entry in GIVES_WAY:
        here = entry.rule == ruling.rule.id and group.space.kind in entry.kinds and entry.side in ("both", ruling.side)
        if here and entry.to in terms:
            term += (1 - term) * entry.share * terms[entry.to]
    return term


def _centred(group: Arranged) -> bool:
    outline, space = from_edges(*group.outline), group.space.rect
    across, upward = outline.centre_x - space.centre_x, outline.centre_y - space.centre_y
    return max(abs(across), abs(upward)) < CENTRED_MM


def _finding(ruling: _Ruling, remark: Remark, level: Level, text: str, group: Arranged) -> Finding:
    return Finding(
        rule=ruling.rule.id,
        level=level,
        text=text,
        wall=group.wall.id,
        works=ruling.works,
        space=group.space.id,
        measured=remark.measured,
        low=remark.low,
        high=remark.high,
        unit=remark.unit,
        where=remark.where or ruling.rect,
        limit=remark.limit,
    )
