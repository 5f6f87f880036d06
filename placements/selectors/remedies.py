"""The remedies for a wall's findings, each under a name that finds it again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from placements.engine.results import Arrangement, Assessment, Remedy
from studio.words import sentence


@dataclass(frozen=True, slots=True)
class Offer:
    """A remedy for what hangs in one space; `id` is empty where it only advises."""

    id: str
    arrangement: Arrangement
    remedy: Remedy

    @property
    def text(self) -> str:
        return sentence(self.remedy.text)


def offers(assessment: Assessment) -> Iterator[Offer]:
    """Every remedy of a wall that was assessed with remedies, space by space."""
    for i, arrangement in enumerate(assessment.arrangements):
        for j, remedy in enumerate(arrangement.remedies):
            yield Offer(f"{i}.{j}" if remedy.hangings or remedy.kind == "leave_bare" else "", arrangement, remedy)


def offer_of(assessment: Assessment, offered: str, text: str) -> Offer | None:
    """The offer that was shown under that name with that text, None where it is not made any more."""
    return next(
        (offer for offer in offers(assessment) if offer.id and offer.id == offered and offer.text == text), None
    )
