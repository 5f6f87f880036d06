"""A group shares a frame, a form, a theme or a palette: common practice, no source."""

from __future__ import annotations

from tests.scenes import group, level, open_wall, said, work

PLACES = [(30, 53), (48.5, 53), (67, 53)]


def test_one_frame_colour_unites_different_forms() -> None:
    forms = ("print", "painting", "photograph")
    works = [work(f"p{n}", 16, 20, form=form, frame="black") for n, form in enumerate(forms)]
    found = group(open_wall(*works), *PLACES)
    assert level(found, "unity") is None
    assert "all have black frames" in found.holds["unity"]


def test_nothing_in_common_is_an_exception() -> None:
    forms = ("print", "painting", "photograph")
    works = [
        work(f"p{n}", 16, 20, form=form, frame=frame, themes=(theme,))
        for n, (form, frame, theme) in enumerate(
            zip(forms, ("black", "gilt", "oak"), ("coast", "orchard", "city"), strict=True)
        )
    ]
    finding = said(group(open_wall(*works), *PLACES), "unity")
    assert finding is not None
    assert finding.level == "exception"
    assert "60%" in finding.text


def test_one_piece_needs_no_company() -> None:
    assert "unity" not in group(open_wall(work("a", 16, 20)), (50, 53)).terms
