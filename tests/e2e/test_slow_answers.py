"""The hand runs ahead of slow answers: no step is lost, no piece jumps back, what was refused is drawn as it is."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from placements.models import Placement
from placements.services.moves import placement_move
from placements.services.walls import Edit
from tests.browsing import opened, still, until
from tests.e2e.designer import fingertip, furnished
from tests.placements.hands import taken_up

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1440, "height": 900}
INCH = 25.4
SETTLES_MS = 800  # longer than a step waits for the next
STEP_AND_UNDO = """() => {
  document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight", bubbles: true }));
  document.querySelector("[data-undo]").click();
}"""


@pytest.fixture
def house(cast):
    return furnished(cast)


@pytest.fixture
def page(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), reverse("wall", args=[house.project.pk, house.wall.pk]))
    page.locator(".piece[tabindex]").first.focus()
    return page


@pytest.fixture
def held(page):
    """The moves that wait for an answer."""
    waiting = []
    page.route("**/edit/move", lambda route: waiting.append(route))
    return waiting


def left():
    return Placement.objects.get().left_mm


def drawn_left(page):
    """Where the eye sees the piece begin [px]."""
    return page.locator(".piece[tabindex]").first.bounding_box()["x"]


def release(page, held):
    while held:
        held.pop().continue_()
    page.unroute("**/edit/move")


def test_steps_made_before_an_answer_are_added_to_those_on_their_way(page, held):
    wanted = pytest.approx(left() + 3 * INCH, abs=0.01)
    page.keyboard.press("ArrowRight")
    until(page, lambda: held)
    on_its_way = drawn_left(page)
    page.keyboard.press("ArrowRight")
    assert drawn_left(page) > on_its_way, "the second step begins where the first one ended"
    page.wait_for_timeout(SETTLES_MS)
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(SETTLES_MS)
    assert len(held) == 1, "a move waits for the answer to the one before"
    release(page, held)
    until(page, lambda: left() == wanted)
    page.locator(".piece:focus").wait_for()


def test_answer_leaves_a_piece_in_the_hand(page, held):
    stored = left()
    page.keyboard.press("ArrowRight")
    until(page, lambda: held)
    box = page.locator(".piece[tabindex]").first.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y, steps=4)
    carried = drawn_left(page)
    with page.expect_response(re.compile("/edit/move")):
        release(page, held)
    still(page)
    assert drawn_left(page) == pytest.approx(carried, abs=1), "the answer took the piece out of the hand"
    page.mouse.move(x + 90, y, steps=4)
    with page.expect_response(re.compile("/edit/move")):
        page.mouse.up()
    assert left() > stored + INCH + 80
    page.locator(".piece[tabindex]:not(.held)").first.wait_for()


def test_answer_leaves_a_piece_under_the_finger(new_page, cast, house):
    page = new_page(cast.designer, viewport={"width": 430, "height": 844}, has_touch=True, is_mobile=True)
    opened(page, reverse("wall", args=[house.project.pk, house.wall.pk]))
    page.locator("svg.elevation.hand").wait_for()
    held, stored = [], left()
    page.route("**/edit/move", lambda route: held.append(route))
    page.get_by_role("button", name="Right", exact=True).tap()
    until(page, lambda: held)
    box = page.locator(".piece[tabindex]").first.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    with fingertip(page) as touch:
        touch("touchStart", (x, y))
        touch("touchMove", (x + 10, y), (x + 20, y))
        with page.expect_response(re.compile("/edit/move")):
            release(page, held)
        still(page)
        touch("touchMove", (x + 30, y), (x + 40, y))
        with page.expect_response(re.compile("/edit/move")):
            touch("touchEnd")
    until(page, lambda: left() > stored + INCH + 300)
    page.locator(".piece[tabindex]:not(.held)").first.wait_for()


@pytest.mark.parametrize("status", [None, 500], ids=["no connection", "fault of the server"])
def test_move_that_is_not_stored_is_drawn_back_with_the_steps_after_it(page, held, status, browser_faults):
    stored, drawn = left(), drawn_left(page)
    page.keyboard.press("ArrowRight")
    until(page, lambda: held)
    page.keyboard.press("ArrowRight")
    lost = held.pop()
    lost.abort() if status is None else lost.fulfill(status=status, body="")
    page.unroute("**/edit/move")
    page.get_by_text("Nothing was changed").wait_for()
    page.wait_for_timeout(SETTLES_MS)
    assert left() == stored
    assert drawn_left(page) == pytest.approx(drawn, abs=0.5)
    page.keyboard.press("ArrowRight")
    until(page, lambda: left() == pytest.approx(stored + INCH, abs=0.01))
    assert browser_faults, "the console names what did not come"
    browser_faults.clear()


def test_newer_wall_is_shown_and_the_steps_made_on_the_older_one_are_not_stored(page, held, cast):
    page.keyboard.press("ArrowRight")
    until(page, lambda: held)
    page.keyboard.press("ArrowRight")
    hung = Placement.objects.get()
    placement_move(edit=Edit(cast.principal), **taken_up(hung), left_mm=hung.left_mm, bottom_mm=hung.bottom_mm + 50)
    stored = left()
    release(page, held)
    page.get_by_text("your own change was not made").wait_for()
    page.wait_for_timeout(SETTLES_MS)
    assert left() == stored
    page.get_by_text("your own change was not made").wait_for()
    with page.expect_response(re.compile("/edit/move")):
        page.get_by_role("button", name="Make my change on this wall").click()
    assert left() == pytest.approx(stored + INCH, abs=0.01)


def test_undo_of_a_step_that_is_not_yet_put_down_takes_back_that_step_alone(page):
    page.keyboard.press("ArrowRight")
    page.locator("[data-undo]:enabled").wait_for()
    stored, drawn = left(), drawn_left(page)
    page.evaluate(STEP_AND_UNDO)
    page.wait_for_timeout(SETTLES_MS)
    assert left() == stored
    assert drawn_left(page) == pytest.approx(drawn, abs=0.5)


def test_steps_of_a_group_made_before_an_answer_are_added(new_page, cast, house):
    page = new_page(cast.designer, viewport=DESK)
    opened(page, reverse("wall_groups", args=[house.project.pk, house.wall.pk]) + "?compose=1&least=4&most=6")
    page.get_by_role("button", name="Arrange it by hand").first.click()
    page.wait_for_url("**/group*")
    still(page)
    piece = page.locator("#group .on-wall .piece[tabindex]").last
    piece.press("Enter")
    page.locator("#group .on-wall .piece.selected:focus").wait_for()
    chosen = piece.get_attribute("data-id")
    bottom = f"""() => JSON.parse(document.querySelector('#group-form [name=state]').value)
        .pieces.find(([pk]) => String(pk) === "{chosen}")[2]"""
    before, held = page.evaluate(bottom), []
    page.route("**/group", lambda route: held.append(route))
    for steps in (1, 2):
        page.keyboard.press("ArrowUp")
        page.wait_for_timeout(SETTLES_MS)
        assert len(held) == 1, steps
    held.pop().continue_()
    page.unroute("**/group")
    page.wait_for_function(f"before => ({bottom})() - before > {1.5 * INCH}", arg=before)
    assert page.evaluate(bottom) == pytest.approx(before + 2 * INCH, abs=0.5)
