"""The year's direct sun against yearly budgets: CIE 157:2004 (from memory), restated in CEN/TS 16163:2014."""

from __future__ import annotations

import pytest

from placements.engine.rules.pairing.light import Limits
from tests import scenes
from tests.scenes import hang, judged, level, said, work


@pytest.mark.parametrize(
    ("kind", "at_80", "at_100"),
    # At 80 to 100 klux of sun the budgets are gone in 9 to 11 minutes, 1.5 to 1.9 hours, 6 to 7.5 hours.
    [("high", 11.25 / 60, 9 / 60), ("medium", 1.875, 1.5), ("low", 7.5, 6.0)],
)
def test_the_budgets_are_gone_in_the_published_time(kind: str, at_80: float, at_100: float) -> None:
    budget = getattr(Limits(), f"budget_{kind}")
    assert budget / 80_000 == pytest.approx(at_80)
    assert budget / 100_000 == pytest.approx(at_100)


def test_reciprocity_holds_as_in_the_published_example() -> None:
    """300 lx x 8 h x 6 d x 12 weeks = 172,800 lx h (Conservation DistList 2004): between two budgets."""
    dose = 300 * 8 * 6 * 12
    assert Limits().budget_medium < dose < Limits().budget_low


def facing(window_faces: float, *, light: str, latitude: float | None = 40.7, share: float = 0.6, form="painting"):
    """A piece on a wall that looks at a glazed wall across the room, or whose sun is not known."""
    piece = work("a", 60, 40, light=light, form=form)
    target = scenes.wall(length=144, faces_deg=(window_faces + 180) % 360)
    glass = scenes.wall(scenes.item("window", 20, 20, 104, 80), id="g", length=144, faces_deg=window_faces)
    side = scenes.wall(id="e", length=120, faces_deg=(window_faces + 90) % 360)
    house = scenes.house(piece, walls=(target, glass, side), latitude=latitude, longitude=-74.0)
    where = house, scenes.space("open_wall", scenes.rect(20, 10, 104, 84))
    return judged(where, hang(piece, 42, 43), light={"clear_share": share})


def test_a_watercolour_opposite_a_west_window_is_an_exception_and_a_north_window_brings_none() -> None:
    west = said(facing(90.0, light="sensitive"), "light")  # the window wall's face looks east, its window west
    assert west is not None
    assert west.level == "exception"
    assert "of high responsivity tolerates 15,000" in west.text
    assert level(facing(180.0, light="sensitive"), "light") is None  # a window to the north


def test_a_clearer_sky_never_raises_the_score() -> None:
    terms = [facing(90.0, light="robust", share=share).terms["light"] for share in (0.05, 0.3, 0.6, 1.0)]
    assert terms == sorted(terms, reverse=True)


def test_without_a_latitude_there_is_no_claim() -> None:
    found = facing(90.0, light="sensitive", latitude=None)
    assert "light" not in found.terms
    assert said(found, "light") is None


def test_without_a_latitude_a_window_beside_the_piece_is_a_note_that_says_so() -> None:
    piece = work("a", 60, 40, light="sensitive")
    house = scenes.house(piece, walls=(scenes.wall(scenes.item("window", 4, 30, 30, 54)),))
    found = judged((house, scenes.space("open_wall", scenes.rect(40, 10, 110, 84))), hang(piece, 65, 43))
    finding = said(found, "light")
    assert finding is not None
    assert finding.level == "note"
    assert "not calculated" in finding.text
    assert "light" not in found.terms


def test_an_assumed_depth_is_said() -> None:
    piece = work("a", 60, 40, light="sensitive")
    target = scenes.wall(length=144, faces_deg=270.0)
    glass = scenes.wall(scenes.item("window", 20, 20, 104, 80), id="g", length=144, faces_deg=90.0)
    house = scenes.house(piece, walls=(target, glass), latitude=40.7)
    where = house, scenes.space("open_wall", scenes.rect(20, 10, 104, 84))
    finding = said(judged(where, hang(piece, 42, 43)), "light")
    assert finding is not None
    assert "depth being assumed" in finding.text


@pytest.mark.parametrize(
    ("form", "light", "budget"),
    [
        # CIE 157: fugitive colorants and most photographs high; textiles, fibre medium; oil low; metal, glass none.
        ("photograph", "sensitive", 15_000),
        ("basket", "moderate", 150_000),
        ("painting", "moderate", 600_000),
        ("textile", "robust", 600_000),
        ("mirror", "robust", None),
    ],
)
def test_class_and_form_decide_the_budget(form: str, light: str, budget: float | None) -> None:
    found = facing(90.0, light=light, form=form, share=1.0)
    finding = said(found, "light")
    assert (finding.high if finding else None) == budget
    assert (found.terms["light"] < 1) == (budget is not None)
