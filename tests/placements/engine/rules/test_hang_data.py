"""Unmeasured hanging hardware is noted and does not change the score."""

from __future__ import annotations

from placements.engine.house import Hardware
from tests.scenes import hang, judged, over_sofa, said, work


def test_a_piece_without_hardware_gets_a_note_and_the_same_score() -> None:
    bare = work("a", 56, 34, title="Low tide")
    ready = work("a", 56, 34, title="Low tide", hang=Hardware("sawtooth", below_top=20.0))
    without, having = (judged(over_sofa(piece), hang(piece, 56, 43)) for piece in (bare, ready))
    finding = said(without, "hang-data")
    assert finding is not None
    assert finding.level == "note"
    assert finding.text == "The hanging hardware of Low tide is not measured: measure before drilling"
    assert said(having, "hang-data") is None
    assert without.score == having.score
