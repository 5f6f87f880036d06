"""From a survey to what the engine would hang where, through the engine's public way in alone."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from placements.engine.facade import propose
from placements.engine.house import House
from placements.engine.results import Hanging, Proposal
from placements.survey import read_survey

#: Millimetres in an inch.
INCH = 25.4


@dataclass(frozen=True)
class Proposed:
    """A house, what the engine plans for it, and the processor time that it took [s]."""

    house: House
    proposal: Proposal
    seconds: float

    @property
    def hangings(self) -> tuple[Hanging, ...]:
        return hangings_of(self.proposal)


def house_of(survey: Mapping[str, Any] | Path) -> House:
    """The house of a survey, given as a document or as a file. Raises SurveyError with every fault of it."""
    return read_survey(survey).house


def hangings_of(proposal: Proposal) -> tuple[Hanging, ...]:
    """Every piece that a plan hangs, from whichever arrangement."""
    return tuple(piece for arrangement in proposal.plan for piece in arrangement.pieces)


def planned(house: House) -> Proposal:
    """The plan alone: no other plans beside it, nothing of pairs, nothing of what would mend it."""
    return propose(house, alternatives=0, pairings=False, remedies=False)


def proposed(house: House) -> Proposed:
    """What the engine plans for a house, with the time of all its threads."""
    start = time.process_time()
    proposal = planned(house)
    return Proposed(house, proposal, time.process_time() - start)
