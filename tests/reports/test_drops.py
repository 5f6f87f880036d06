"""A measured drop leads to the same hooks, fixings and refusals in the office and on the phone: one table for both."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from placements.engine.house import House, Item, Room, Studs, Wall, Work
from placements.engine.results import Hanging
from reports.contexts.drawing import marks
from reports.contexts.drops import as_measured, impossible, limits, reckoning, with_drop
from reports.contexts.phone import hook_data
from reports.contexts.pieces import JobPiece, job_pieces
from reports.contexts.progress import PieceState
from studio.units import Units

TABLE = Path(__file__).with_name("drops.json")


def piece_of(case: dict[str, Any]) -> JobPiece:
    """The one piece of a case, whose hanging hardware nobody has measured."""
    given, work = case["wall"], case["work"]
    items = tuple(Item(kind, kind, *box) for kind, *box in given["items"])
    studs = given["studs"] and Studs(*given["studs"])
    wall = Wall("w", "r", "North", given["length"], given["height"], build=given["build"], items=items, studs=studs)
    house = House(rooms=(Room("r", "Sitting room", "living", walls=(wall,)),), works=(Work("a", "Marram", **work),))
    hanging = Hanging("a", "w", case["left"], case["bottom"], 1)
    (piece,) = job_pieces(house, [hanging], Units(case["style"]))
    return piece


def cases() -> list[Any]:
    return [pytest.param(case, id=case["name"]) for case in json.loads(TABLE.read_text(encoding="utf-8"))["cases"]]


@pytest.mark.parametrize("case", cases())
def test_the_office_reckons_a_drop_as_the_table_says(case):
    units, piece = Units(case["style"]), piece_of(case)
    assert json.loads(json.dumps(reckoning(piece, units))) == case["reckon"]
    measures = {"drop_mm": case["drop_mm"], "apart_mm": case["apart_mm"]}
    faults = [[name, text] for name, mm in measures.items() if (text := impossible(mm, *limits(piece)[name], units))]
    assert faults == ([case["fault"]] if "fault" in case else [])
    if faults:
        return
    measured = with_drop(piece, case["drop_mm"], case["apart_mm"], units)
    assert [[mark.x, mark.y] for mark in marks([measured])] == [pytest.approx(at, abs=1e-3) for at in case["at"]]
    assert [hook_data(hook, measured, units) for hook in measured.points] == case["hooks"]
    said = {caution.code: caution.text for caution in measured.cautions}
    assert said == {caution["code"]: caution["text"] for caution in case["cautions"]}
    (checked,) = as_measured([piece], {1: PieceState(drop_mm=case["drop_mm"], apart_mm=case["apart_mm"])}, units)
    assert (units.length(checked.check_mm) if checked.check_mm else "") == case["check"]
