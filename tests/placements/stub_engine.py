"""An engine that finds exactly what a test asks for: services are tested on it, the real one has its own tests."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from placements.engine.house import House, Rect
from placements.engine.results import (
    Arrangement,
    Assessment,
    Finding,
    Hanging,
    Optimality,
    PlainWords,
    Proposal,
    Remedy,
    Unplaced,
)
from placements.selectors import assessments, proposals


@dataclass
class StubEngine:
    """A piece breaks eye-line where its left edge plus a metre is under `low`; further left than `stop` it is a stop.

    The measure is a place on the wall: simple to reason about, and it moves when the piece does.
    """

    low: float = 2000.0
    stop: float = 1100.0
    plan: list[Hanging] = field(default_factory=list)
    unplaced: list[Unplaced] = field(default_factory=list)
    calls: int = 0

    def assess_wall(self, house: House, wall_id: str, hangings, *, words=None, **given) -> Assessment:
        self.calls += 1
        words = words or PlainWords()
        low = house.house_rules.get("eye-line", {}).get("low", self.low)
        here = [hanging for hanging in hangings if hanging.wall == wall_id]
        findings = []
        for one in here:
            work = house.work_by_id[one.work]
            measured = one.left + 1000.0
            if measured < low:
                findings.append(
                    Finding(
                        rule="eye-line",
                        level="stop" if measured < self.stop else "exception",
                        text=f"{work.title} hangs {words.length(measured)} along; {words.length(low)} at least.",
                        wall=wall_id,
                        works=(one.work,),
                        space=f"{wall_id}-open",
                        measured=measured,
                        low=low,
                        high=None,
                        unit="mm",
                        limit="low",
                        where=Rect(one.left, one.bottom, work.width, work.height),
                    )
                )
        remedy = Remedy("move", "Move it right.", here[0].work, (here[0],), gain=4.0) if here else None
        arrangement = Arrangement(
            f"{wall_id}-open",
            wall_id,
            "single" if here else "bare",
            tuple(here),
            80.0,
            remedies=(remedy,) if remedy else (),
        )
        return Assessment(wall_id, (), (arrangement,), tuple(findings))

    def propose(self, house: House, words=None, *, progress=None, **given) -> Proposal:
        assert house.walls()
        if progress:
            progress(0.5, "assigning")
        plan = [
            Arrangement(f"{one.wall}-open", one.wall, "single", (one,), 90.0, why="It suits the wall.")
            for one in self.plan
        ]
        return Proposal((), (), tuple(plan), (), tuple(self.unplaced), Optimality(90.0, 90.0, 0.0, 0.01))


def install(monkeypatch: pytest.MonkeyPatch, engine: StubEngine | None = None) -> StubEngine:
    engine = engine or StubEngine()
    monkeypatch.setattr(assessments, "assess_wall", engine.assess_wall)
    monkeypatch.setattr(proposals, "propose", engine.propose)
    return engine
