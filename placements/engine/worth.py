"""What an arrangement is worth beside its score, to rank by: exceptions and bare walls."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Protocol

from .house import Work
from .results import Advice, Finding, Space

#: What a bare space is worth, on the 0-100 scale of what could hang there, by its advice. Common practice, no source.
BARE_WORTH: Mapping[Advice, float] = {"hang": 65.0, "optional": 86.0, "leave_bare": 97.0}
#: What each rule that is broken takes beside what the score already lost: the principal has to decide about it.
EXCEPTION_PRICE = 6.0
#: The same for rules that keep a piece or people from harm.
HARM_PRICE = 15.0
HARMS = frozenset({"heat", "light", "load", "moisture", "overhead", "protrusion"})


def price_of(findings: Iterable[Finding]) -> float:
    """What the exceptions among findings cost, each rule once."""
    broken = {finding.rule for finding in findings if finding.level == "exception"}
    return HARM_PRICE * len(broken & HARMS) + EXCEPTION_PRICE * len(broken - HARMS)


class Scored(Protocol):
    """What has been judged: a pairing, an arrangement."""

    @property
    def score(self) -> float: ...
    @property
    def findings(self) -> tuple[Finding, ...]: ...


def worth_of(judged: Scored) -> float:
    """The score less the price of the exceptions: what places and works are ranked by, and plans are made by."""
    return judged.score - price_of(judged.findings)


def may_hang(work: Work, space: Space) -> bool:
    """Whether the work's lock lets it hang in a space."""
    return work.locked in (None, space.id, space.wall, space.room)
