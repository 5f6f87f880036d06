"""Deputies as people read them: what each may decide, in a sentence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from placements.engine.rulebook import entry_of
from placements.models import Delegation
from studio.units import Units


@dataclass(frozen=True, slots=True)
class DeputyLine:
    delegation: Delegation
    reach: str
    state: str


def deputy_lines(delegations: Iterable[Delegation], units: Units, today: dt.date) -> list[DeputyLine]:
    return [DeputyLine(one, _reach(one, units), _state(one, today)) for one in delegations]


def _reach(delegation: Delegation, units: Units) -> str:
    titles = [entry.title.lower() for name in delegation.rules if (entry := entry_of(name))]
    parts = [f"only {', '.join(titles)}" if titles else "all rules"]
    if delegation.most_mm is not None:
        parts.append(f"lengths up to {units.length(delegation.most_mm)} out")
    if delegation.most_share is not None:
        parts.append(f"shares up to {delegation.most_share:.0%} out")
    parts.append("may sign" if delegation.may_sign else "may not sign")
    return "; ".join(parts)


def _state(delegation: Delegation, today: dt.date) -> str:
    if delegation.ended_at is not None or delegation.last_day < today:
        return "ended"
    return "in force" if delegation.first_day <= today else "to come"
