"""The designer's pages by finger on a phone: lettering that reads, pieces dragged and nudged, groups arranged, walls
drawn on; and two ways to hang a wall compared, at a desk and in the hand."""

from __future__ import annotations

import re
from contextlib import contextmanager

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from placements.models import Placement, RevisionState
from studio.models import WallItem
from tests.browsing import opened, shifted, still, until
from tests.e2e.designer import finger, furnished

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1440, "height": 900}
INCH = 25.4


@pytest.fixture
def house(cast):
    return furnished(cast)


@pytest.fixture
def phone(request):
    """A phone, as narrow as they come unless the test says how wide [px]."""
    return {"viewport": {"width": getattr(request, "param", 360), "height": 844}, "has_touch": True, "is_mobile": True}


narrow_and_wide = pytest.mark.parametrize("phone", [360, 430], indirect=True)


def at(house, name="wall"):
    return reverse(name, args=[house.project.pk, house.wall.pk])


def middle(locator):
    box = locator.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


LETTERING = """() => [...document.querySelectorAll("svg.elevation text")]
  .filter((one) => one.getBoundingClientRect().width > 0 && getComputedStyle(one).display !== "none")
  .map((one) => parseFloat(getComputedStyle(one).fontSize) * one.ownerSVGElement.getScreenCTM().a)"""


@narrow_and_wide
@pytest.mark.parametrize("name", ["wall", "wall_survey", "wall_compare"])
def test_lettering_on_a_drawing_is_at_least_12_px(new_page, cast, house, phone, name):
    page = new_page(cast.designer, **phone)
    opened(page, reverse("projects"))
    sizes = opened(page, at(house, name)).evaluate(LETTERING)
    assert all(size >= 12 for size in sizes)
    assert sizes or name == "wall_survey"


@narrow_and_wide
def test_drawing_made_for_a_desk_is_made_again_for_the_phone(new_page, cast, house, phone):
    page = new_page(cast.designer, **phone)
    page.goto(at(house))
    page.locator("svg.elevation.hand").wait_for()
    assert all(size >= 12 for size in page.evaluate(LETTERING))


@narrow_and_wide
def test_title_stands_first_and_the_thumb_reaches_what_it_needs(new_page, cast, house, phone):
    page = opened(new_page(cast.designer, **phone), at(house))
    heading = page.get_by_role("heading", name="North wall").bounding_box()
    assert heading["y"] < page.locator("#wall-sheet svg.elevation").bounding_box()["y"]
    for name in ("Left", "Right", "Up", "Down", "Step: 1 in", "Undo", "Redo"):
        box = page.get_by_role("button", name=name, exact=True).bounding_box()
        assert box["width"] >= 44 or name in ("Undo", "Redo")
        assert box["height"] >= 44
        assert box["y"] > 844 * 0.85, f"{name} is out of the thumb's reach"
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= phone["viewport"]["width"]


def test_piece_is_dragged_by_a_finger(new_page, cast, house, phone):
    page = opened(new_page(cast.designer, **phone), at(house))
    page.locator("svg.elevation.hand").wait_for()
    before = Placement.objects.get()
    x, y = middle(page.locator(".piece[tabindex]").first)
    with page.expect_response(re.compile("/edit/move")):
        finger(page, (x, y), (x + 30, y - 20))
    after = Placement.objects.get()
    assert after.left_mm > before.left_mm + 100
    assert after.bottom_mm > before.bottom_mm + 50
    page.locator("[data-undo]:enabled").wait_for()


def test_nudge_buttons_move_by_an_inch_and_an_eighth(new_page, cast, house, phone):
    page = opened(new_page(cast.designer, **phone), at(house))
    page.locator("svg.elevation.hand").wait_for()
    wanted = pytest.approx(Placement.objects.get().left_mm + 1.125 * INCH, abs=0.01)
    page.get_by_role("button", name="Right", exact=True).tap()
    page.get_by_role("button", name="Step: 1 in").tap()
    page.get_by_role("button", name="Right", exact=True).tap()
    # One move, or two where the taps come slowly.
    until(page, lambda: Placement.objects.get().left_mm == wanted)


def test_drawing_is_enlarged_and_fitted_again(new_page, cast, house, phone):
    page = opened(new_page(cast.designer, **phone), at(house))
    page.locator("svg.elevation.hand").wait_for()
    page.get_by_role("button", name="Enlarge").tap()
    page.locator(".enlarged svg.elevation").wait_for()
    sizes = page.evaluate("[...document.querySelectorAll('.enlarged, .enlarged svg')].map((one) => one.scrollWidth)")
    assert sizes[0] > phone["viewport"]["width"] * 1.8
    assert page.evaluate("document.documentElement.scrollWidth") <= phone["viewport"]["width"]
    page.get_by_role("button", name="Fit to the page").tap()
    page.locator("svg.elevation.hand").wait_for()


def test_rectangle_is_drawn_by_a_finger_then_mended_at_a_corner(new_page, cast, house, phone):
    page = new_page(cast.designer, **phone)
    opened(page, reverse("projects"))
    opened(page, at(house, "wall_survey"))
    scrolled = page.evaluate("scrollY")
    face = page.locator("svg.elevation .wall").bounding_box()
    start = face["x"] + face["width"] * 0.35, face["y"] + face["height"] * 0.35
    end = face["x"] + face["width"] * 0.6, face["y"] + face["height"] * 0.1
    finger(page, start, end)
    width = page.locator("#item-form [name=width]")
    drawn = float(width.input_value().removesuffix('"'))
    assert drawn == pytest.approx(0.25 * 168, abs=4)
    assert page.evaluate("scrollY") == scrolled, "the page scrolled instead"
    assert all(box["width"] >= 44 for box in (grip.bounding_box() for grip in page.locator(".grip").all()))
    grip = middle(page.locator('.grip[data-corner="right top"]'))
    finger(page, grip, (grip[0] + face["width"] * 0.1, grip[1]))
    assert float(width.input_value().removesuffix('"')) == pytest.approx(drawn + 0.1 * 168, abs=4)
    page.get_by_label("What").select_option("niche")
    with page.expect_response(re.compile("/survey/item")):
        page.get_by_role("button", name="Add it to the wall").click()
    assert WallItem.objects.get(wall=house.wall, kind="niche").width_mm > drawn * INCH


def test_rectangle_can_be_dropped_and_what_was_typed_comes_back(new_page, cast, house, phone):
    page = new_page(cast.designer, **phone)
    opened(page, reverse("projects"))  # the browser says how large its window is
    opened(page, at(house, "wall_survey"))
    page.locator("#item-form [name=width]").fill("161cm")
    page.locator("svg.elevation").evaluate("(one) => one.scrollIntoView({ block: 'center', behavior: 'instant' })")
    face = page.locator("svg.elevation .wall").bounding_box()
    finger(page, (face["x"] + 90, face["y"] + 20), (face["x"] + 150, face["y"] + 60))
    expect(page.locator("#item-form [name=width]")).not_to_have_value("161cm")
    page.get_by_role("button", name="Discard the rectangle").click()
    expect(page.locator("#item-form [name=width]")).to_have_value("161cm")
    expect(page.locator("svg .frame")).to_have_count(0)


@pytest.mark.parametrize(("text", "inches"), [("5' 3 1/2\"", 63.5), ("63.5", 63.5), ("161cm", 161 / 2.54)])
def test_lengths_are_typed_as_people_write_them(new_page, cast, house, phone, text, inches):
    page = opened(new_page(cast.designer, **phone), at(house, "wall_survey"))
    page.get_by_label("What").select_option("bench")
    form = page.locator("#item-form")
    for name, value in (("left", "2' 1"), ("bottom", "0"), ("width", text), ("height", "waist high")):
        form.locator(f"[name={name}]").fill(value)
    page.get_by_role("button", name="Add it to the wall").tap()
    form.locator("[name=height][aria-invalid=true]").wait_for()
    fault = form.locator(".field:has([name=height]) .fault, .field:has([name=height]) .errorlist")
    expect(fault).to_contain_text("waist high")
    expect(form.locator("[name=width]"), "what was typed stays").to_have_value(text)
    form.locator("[name=height]").fill("18")
    with page.expect_response(re.compile("/survey/item")):
        page.get_by_role("button", name="Add it to the wall").tap()
    assert WallItem.objects.get(wall=house.wall, kind="bench").width_mm == pytest.approx(inches * INCH)


@pytest.mark.parametrize("size", [DESK, {"width": 390, "height": 844}], ids=["desk", "phone"])
def test_two_ways_are_compared_and_one_is_taken(new_page, cast, house, size):
    page = opened(new_page(cast.designer, viewport=size), at(house))
    before = Placement.objects.get()
    page.get_by_role("link", name="Compare ways to hang it").click()
    page.locator(".way").nth(2).wait_for()
    with page.expect_navigation():
        page.locator(".way:has-text('Left bare') a:has-text('Second')").click()
    still(page)
    boxes = [one.bounding_box() for one in page.locator(".compare .elevation").all()]
    if size is DESK:
        assert boxes[0]["y"] == pytest.approx(boxes[1]["y"], abs=2)
    else:
        assert boxes[1]["y"] > boxes[0]["y"] + boxes[0]["height"]
    assert boxes[0]["width"] == pytest.approx(boxes[1]["width"], abs=1)
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    page.get_by_label("Why does it stay bare?").fill("The sofa is the picture.")
    page.get_by_role("button", name="Use this one").click()
    page.get_by_text("The sofa is the picture.").first.wait_for()
    assert not Placement.objects.exists()
    with page.expect_response(re.compile("/edit/undo")):
        page.get_by_role("button", name="Undo").click()
    assert Placement.objects.get().artwork_id == before.artwork_id


@narrow_and_wide
def test_first_page_on_a_phone_is_loaded_once_and_drawn_for_the_hand(new_page, cast, house, phone):
    page = new_page(cast.designer, **phone)
    page.context.clear_cookies(name="window")
    asked = []
    page.on("request", lambda request: asked.append(request.url) if request.is_navigation_request() else None)
    opened(page, at(house, "wall_compare"))
    assert len(asked) == 1
    expect(page.locator(".compare .elevation:visible")).to_have_count(2)
    expect(page.locator(".compare .elevation.hand:visible")).to_have_count(2)
    sizes = page.evaluate(LETTERING)
    assert sizes
    assert all(size >= 12 for size in sizes)
    assert shifted(page) < 0.02


def test_option_is_kept_by_name_and_found_on_the_shelf(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), at(house, "wall_compare"))
    page.locator("details.keep summary").nth(1).click()
    page.get_by_role("button", name="Save", exact=True).last.click()
    page.locator(".way:has-text('Option A')").wait_for()
    page.get_by_role("heading", name="Option A").wait_for()


def test_drag_of_a_plan_in_review_takes_it_back(new_page, cast, house):
    house.revision.state = RevisionState.IN_REVIEW
    house.revision.save()
    page = opened(new_page(cast.designer, viewport=DESK), at(house))
    x, y = middle(page.locator(".piece[tabindex]").first)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 60, steps=5)
    with page.expect_response(re.compile("/edit/move")) as answered:
        page.mouse.up()
    assert answered.value.status == 200
    house.revision.refresh_from_db()
    assert house.revision.state == RevisionState.DRAFT


@pytest.fixture
def group(new_page, cast, house, phone):
    """A group arranged by hand on a phone."""
    page = new_page(cast.designer, **phone)
    opened(page, reverse("projects"))
    opened(page, at(house, "wall_groups") + "?compose=1&least=4&most=6")
    page.get_by_role("button", name="Arrange it by hand").first.tap()
    page.locator("#group .on-floor svg.elevation").wait_for()
    return page


def places(page):
    pieces = page.evaluate("JSON.parse(document.querySelector('#group-form [name=state]').value).pieces")
    return {str(pk): (left, bottom) for pk, left, bottom in pieces}


@contextmanager
def answered(page):
    """What is done within is answered, and the answer drawn, when it ends."""
    with page.expect_response(lambda answer: answer.url.endswith("/group") and answer.request.method == "POST"):
        yield
    still(page)


#: What the page shows as chosen in the very moment that an answer is put into it, before anything else happens.
AT_ONCE = """() => document.addEventListener("htmx:afterSwap", () => {
  window.atOnce = [...document.querySelectorAll("#group .piece.selected")].map((one) => one.dataset.id);
}, { once: true })"""


@narrow_and_wide
def test_piece_of_a_group_is_chosen_by_its_small_picture_and_stepped(group):
    picks = group.locator(".pick")
    assert picks.count() >= 4
    assert all(box["width"] >= 44 and box["height"] >= 44 for box in (one.bounding_box() for one in picks.all()))
    chosen = picks.last.locator("input").get_attribute("value")
    group.evaluate(AT_ONCE)
    with answered(group):
        picks.last.tap()
    group.get_by_role("group", name="Move ").wait_for()
    expect(group.locator("#group")).to_have_attribute("data-selected", chosen)
    selected = group.locator(f'#group .piece.selected[data-id="{chosen}"]')
    expect(selected, "on the floor and on the wall").to_have_count(2)
    assert group.evaluate("window.atOnce") == [chosen, chosen], "a step at once would go to another piece"
    before = places(group)[chosen]
    group.get_by_role("button", name="Up", exact=True).tap()
    group.get_by_role("button", name="Up", exact=True).tap()
    # One move, or two where the taps come slowly.
    until(group, lambda: places(group)[chosen][1] == pytest.approx(before[1] + 2 * INCH, abs=0.5))
    for name in ("Left", "Right", "Up", "Down", "Undo"):
        box = group.get_by_role("button", name=name, exact=True).bounding_box()
        assert box["height"] >= 44
        assert box["y"] > 844 * 0.85, f"{name} is out of the thumb's reach"


def test_finger_takes_only_the_chosen_piece_of_a_group(group):
    first = group.locator("#group .floor .piece[tabindex]").first
    before, asked = places(group), []
    group.on("request", lambda request: asked.append(request.url))
    x, y = middle(first)
    finger(group, (x, y), (x + 60, y))
    assert places(still(group)) == before
    assert asked == []
    with answered(group):
        first.tap()
    expect(group.locator("#group")).to_have_attribute("data-selected", first.get_attribute("data-id"))
    x, y = middle(first)
    with answered(group):
        finger(group, (x, y), (x + 60, y + 10))
    group.locator("#group-form [value=undo]:enabled").wait_for()
    assert places(group) != before


def test_touch_beside_a_small_piece_chooses_it(group):
    box = group.locator("#group .floor .piece[tabindex]").last.bounding_box()
    drawing = group.locator("#group .on-floor svg.elevation").bounding_box()
    name = group.locator("#group .floor .piece[tabindex]").last.get_attribute("data-id")
    boxes = [one.bounding_box() for one in group.locator("#group .floor .piece[tabindex]").all()]
    free = next(
        (x, y)
        for x, y in (
            (box["x"] + box["width"] / 2, box["y"] + box["height"] + 9),
            (box["x"] + box["width"] / 2, box["y"] - 9),
            (box["x"] + box["width"] + 9, box["y"] + box["height"] / 2),
            (box["x"] - 9, box["y"] + box["height"] / 2),
        )
        if not any(b["x"] - 9 < x < b["x"] + b["width"] + 9 and b["y"] - 9 < y < b["y"] + b["height"] + 9
                   for b in boxes if b != box)
        and drawing["y"] < y < drawing["y"] + drawing["height"]
    )  # fmt: skip
    with answered(group):
        group.touchscreen.tap(*free)
    expect(group.locator("#group")).to_have_attribute("data-selected", name)


def test_drawings_of_a_group_are_enlarged_about_the_chosen_piece(group, phone):
    with answered(group):
        group.locator(".pick").last.tap()
    group.get_by_role("group", name="Move ").wait_for()
    group.get_by_role("button", name="Enlarge").tap()
    group.locator(".on-floor .enlarged").wait_for()
    around = group.locator(".on-floor .enlarged").bounding_box()
    x, y = middle(group.locator(".on-floor .piece.selected"))
    assert around["x"] < x < around["x"] + around["width"]
    assert around["y"] < y < around["y"] + around["height"]
    assert group.evaluate("document.documentElement.scrollWidth") <= phone["viewport"]["width"]
    group.get_by_role("button", name="Fit to the page").tap()
    group.locator(".on-floor .drawing:not(.enlarged)").wait_for()


def test_group_in_hand_keeps_its_steps_while_one_is_away(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), at(house, "wall_groups"))
    page.get_by_role("button", name="Compose").click()
    page.get_by_role("button", name="Arrange it by hand").first.click()
    page.get_by_role("button", name="Mirror").click()
    page.locator("#group-form [value=undo]:enabled").wait_for()
    opened(page, at(house))
    opened(page, at(house, "wall_groups"))
    page.get_by_role("link", name="Continue your group").click()
    page.locator("#group-form [value=undo]:enabled").click()
    page.locator("#group-form [value=redo]:enabled").wait_for()
