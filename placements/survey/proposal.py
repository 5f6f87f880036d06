"""A proposal as the document of the survey format's output: lengths in the file's units, the order stable."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from placements.engine.hanging.points import hook_points
from placements.engine.house import Rect
from placements.engine.results import (
    Arrangement,
    Audit,
    Brief,
    Finding,
    Hanging,
    Ideal,
    Pairing,
    Proposal,
    Remedy,
    Space,
    Words,
)
from studio.units import MM_PER_UNIT

from .model import FileUnits, Survey

FORMAT = "overmantel-proposal"
VERSION = 1
#: Finer than any tape: 1/10,000 in, 1/1,000 cm, 1/100 mm.
_DECIMALS: Mapping[str, int] = {"in": 4, "cm": 3, "mm": 2}


def proposal_to_json(
    proposal: Proposal, survey: Survey, *, words: Words | None = None, with_seconds: bool = True
) -> dict[str, Any]:
    """The proposal for a survey. All but `optimality.seconds` is the same, byte for byte, for the same survey.

    Numbers of a finding are in the file's units where the rule measures a length, else in the finding's own `unit`.
    """
    return _Writer(survey, words).document(proposal, with_seconds=with_seconds)


class _Writer:
    def __init__(self, survey: Survey, words: Words | None) -> None:
        self.house = survey.house
        self.words = words
        self.units: FileUnits = survey.units

    def document(self, proposal: Proposal, *, with_seconds: bool) -> dict[str, Any]:
        best = proposal.optimality
        return {
            "format": FORMAT,
            "version": VERSION,
            "units": self.units,
            "spaces": [self.space(space, proposal.briefs.get(space.id)) for space in proposal.spaces],
            "pairings": [self.pairing(pairing) for pairing in proposal.pairings],
            "plan": [self.arrangement(arrangement) for arrangement in proposal.plan],
            "audit": [self.audit(audit) for audit in proposal.audit],
            "unplaced": [{"art": one.work, "why": one.why} for one in proposal.unplaced],
            "optimality": {
                "objective": _round(best.objective, 4),
                "bound": _round(best.bound, 4),
                "gap": _round(best.gap, 6),
                **({"seconds": _round(best.seconds, 3)} if with_seconds else {}),
            },
        }

    def length(self, mm: float) -> float | int:
        return _round(mm / float(MM_PER_UNIT[self.units]), _DECIMALS[self.units])

    def space(self, space: Space, brief: Brief | None) -> dict[str, Any]:
        return {
            "id": space.id,
            "name": space.name,
            "room": space.room,
            "wall": space.wall,
            "kind": space.kind,
            "over": space.over,
            **self.rect(space.rect),
            **({"reach": self.rect(space.reach)} if space.beyond else {}),
            "shape": space.shape,
            "advice": space.advice,
            "reasons": [{"rule": reason.rule, "text": reason.text} for reason in space.reasons],
            "ideal": self.ideal(space.ideal),
            **({"brief": self.brief(brief)} if brief else {}),
        }

    def rect(self, rect: Rect) -> dict[str, float | int]:
        sides = {"left": rect.left, "bottom": rect.bottom, "width": rect.width, "height": rect.height}
        return {name: self.length(mm) for name, mm in sides.items()}

    def ideal(self, ideal: Ideal | Brief) -> dict[str, Any]:
        return {
            "width": [self.length(one) for one in ideal.width],
            "height": [self.length(one) for one in ideal.height],
            "shape": ideal.shape,
        }

    def brief(self, brief: Brief) -> dict[str, Any]:
        return {**self.ideal(brief), "character": brief.character, "text": brief.text}

    def pairing(self, pairing: Pairing) -> dict[str, Any]:
        return {
            "space": pairing.space,
            "art": pairing.work,
            "fits": pairing.fits,
            "score": _round(pairing.score, 2),
            "terms": _terms(pairing.terms),
            "left": self.length(pairing.left),
            "bottom": self.length(pairing.bottom),
            "centre_height": self.length(pairing.centre_height),
            "clearance": None if pairing.clearance is None else self.length(pairing.clearance),
            "gave_way": list(pairing.gave_way),
            "findings": [self.finding(finding) for finding in pairing.findings],
            "why": pairing.why,
        }

    def finding(self, finding: Finding) -> dict[str, Any]:
        low, high = self.number(finding.low, finding.unit), self.number(finding.high, finding.unit)
        return {
            "rule": finding.rule,
            "level": finding.level,
            "art": list(finding.works),
            "measured": self.number(finding.measured, finding.unit),
            "allowed": None if low is None and high is None else [low, high],
            "unit": self.units if finding.unit == "mm" else finding.unit,
            "text": finding.text,
        }

    def number(self, value: float | None, unit: str) -> float | int | None:
        if value is None:
            return None
        return self.length(value) if unit == "mm" else _round(value, 4)

    def arrangement(self, arrangement: Arrangement) -> dict[str, Any]:
        return {
            "space": arrangement.space,
            "wall": arrangement.wall,
            "kind": arrangement.kind,
            "pieces": [self.piece(hanging) for hanging in arrangement.pieces],
            "score": _round(arrangement.score, 2),
            "terms": _terms(arrangement.terms),
            "findings": [self.finding(finding) for finding in arrangement.findings],
            "remedies": [self.remedy(remedy) for remedy in arrangement.remedies],
            "why": arrangement.why,
        }

    def piece(self, hanging: Hanging) -> dict[str, Any]:
        work, wall = self.house.work_by_id[hanging.work], self.house.wall_by_id[hanging.wall]
        hooks = hook_points(work, hanging.left, hanging.bottom, wall=wall, words=self.words)
        return {
            "art": hanging.work,
            "left": self.length(hanging.left),
            "bottom": self.length(hanging.bottom),
            "order": hanging.order,
            "hooks": [{"left": self.length(point.left), "height": self.length(point.height)} for point in hooks.points],
        }

    def remedy(self, remedy: Remedy) -> dict[str, Any]:
        return {
            "kind": remedy.kind,
            "text": remedy.text,
            "art": remedy.work,
            "gain": _round(remedy.gain, 2),
            **({"moves_to": remedy.moves_to} if remedy.moves_to else {}),
            **({"pieces": [self.piece(hanging) for hanging in remedy.hangings]} if remedy.hangings else {}),
            **({"brief": self.brief(remedy.brief)} if remedy.brief else {}),
        }

    def audit(self, audit: Audit) -> dict[str, Any]:
        return {
            "art": audit.work,
            "wall": audit.wall,
            "score": _round(audit.score, 2),
            "findings": [self.finding(finding) for finding in audit.findings],
            "remedies": [self.remedy(remedy) for remedy in audit.remedies],
        }


def _round(value: float, decimals: int) -> float | int:
    """A plain number: whole ones without a point, no negative nought."""
    rounded = round(float(value), decimals) + 0.0
    return int(rounded) if rounded.is_integer() else rounded


def _terms(terms: Mapping[str, float]) -> dict[str, float | int]:
    return {rule: _round(score, 4) for rule, score in sorted(terms.items())}
