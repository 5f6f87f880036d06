"""The designer's pages in a real browser, as their users walk them: at a desk, on a phone, by day and by night."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse
from playwright.sync_api import expect

from placements.models import Placement
from studio.models import WallItem
from tests.browsing import barriers, opened, shifted, too_wide, until
from tests.e2e.designer import furnished
from tests.factories import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def house(cast):
    return furnished(cast)


def addresses(house) -> dict[str, str]:
    project, wall = house.project.pk, house.wall.pk
    return {
        "projects": reverse("projects"),
        "project": reverse("project", args=[project]),
        "wall": reverse("wall", args=[project, wall]),
        "compare": reverse("wall_compare", args=[project, wall]),
        "survey": reverse("wall_survey", args=[project, wall]),
        "new wall": reverse("wall_new", args=[project]),
        "groups": reverse("wall_groups", args=[project, wall]),
        "best place": reverse("work_best", args=[Placement.objects.first().artwork_id]),
        "client links": reverse("client_links", args=[project]),
        "client": reverse("client_view", args=[house.token]),
    }


def test_sign_in_leads_to_the_projects(new_page, cast, house):
    page = new_page(viewport=DESK)
    page.goto("/")
    page.get_by_label("E-mail").or_(page.get_by_label("Email")).fill(cast.designer.email)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_role("link", name=house.project.name).click()
    page.get_by_role("link", name="North wall").first.click()
    page.get_by_role("heading", name="North wall").wait_for()


def test_dragging_changes_findings_at_once_and_is_stored_on_release(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), addresses(house)["wall"])
    before, stored = page.locator("#wall-findings").inner_text(), Placement.objects.get().bottom_mm
    piece = page.locator(".piece[tabindex]").first
    box = piece.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 70, steps=6)
    page.wait_for_function("before => document.getElementById('wall-findings').innerText !== before", arg=before)
    assert Placement.objects.get().bottom_mm == stored
    with page.expect_response(re.compile("/edit/move")):
        page.mouse.up()
    assert Placement.objects.get().bottom_mm > stored + 100


def test_arrow_keys_nudge_by_an_inch_and_an_eighth(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), addresses(house)["wall"])
    wanted = pytest.approx(Placement.objects.get().left_mm + 25.4 + 3.175, abs=0.01)
    page.locator(".piece[tabindex]").first.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowRight")
    until(page, lambda: Placement.objects.get().left_mm == wanted)
    page.locator(".piece:focus").wait_for()


def test_typed_measure_moves_and_undo_brings_back(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), addresses(house)["wall"])
    start = Placement.objects.get().left_mm
    box = page.get_by_label("from left")
    box.fill("5' 3 1/2\"")
    with page.expect_response(re.compile("/edit/move")):
        box.press("Enter")
    page.locator("[data-undo]:enabled").wait_for()
    assert Placement.objects.get().left_mm == pytest.approx(63.5 * 25.4)
    with page.expect_response(re.compile("/edit/undo")):
        page.get_by_role("button", name="Undo").click()
    assert Placement.objects.get().left_mm == pytest.approx(start)


def test_wrong_measure_is_said_in_place(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), addresses(house)["wall"])
    bottom = page.get_by_role("textbox", name="bottom")
    bottom.fill("waist high")
    bottom.press("Enter")
    page.locator("#f-bottom").wait_for()
    expect(bottom).to_have_value("waist high")


def test_ranked_work_is_hung_with_one_click(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), addresses(house)["wall"])
    page.locator(".ranked li").nth(1).wait_for()
    title = page.locator(".ranked li:has(button) strong").first.inner_text()
    with page.expect_response(re.compile("/edit/hang")):
        page.locator(".ranked li:has(button) button").first.click()
    page.wait_for_function("title => document.querySelector('.ranked .here strong')?.innerText === title", arg=title)
    assert Placement.objects.get(wall=house.wall).artwork.title == title


def test_two_people_on_one_wall(new_page, cast, house):
    first = opened(new_page(cast.designer, viewport=DESK), addresses(house)["wall"])
    second = opened(new_page(cast.principal, viewport=DESK), addresses(house)["wall"])
    first.get_by_label("from left").fill("48")
    with first.expect_response(re.compile("/edit/move")):
        first.get_by_label("from left").press("Enter")
    second.get_by_label("from left").fill("60")
    second.get_by_label("from left").press("Enter")
    second.get_by_role("button", name="Make my change on this wall").wait_for()
    assert Placement.objects.get().left_mm == pytest.approx(48 * 25.4)
    with second.expect_response(re.compile("/edit/move")):
        second.get_by_role("button", name="Make my change on this wall").click()
    assert Placement.objects.get().left_mm == pytest.approx(60 * 25.4)


def test_wall_is_surveyed_on_a_phone_with_quick_keys(new_page, cast, house):
    page, held = new_page(cast.designer, viewport=PHONE, has_touch=True), []

    def hold(route):
        held.append(route) if route.request.headers.get("hx-request") else route.continue_()

    # The drawing that fits a phone comes late: what was typed before it stands.
    page.route(re.compile("/survey$"), hold)
    page.context.clear_cookies(name="window")
    page.goto(addresses(house)["survey"])
    page.locator("#item-form [name=left]").fill("12")
    until(page, lambda: held)
    held[0].continue_()
    page.locator("#survey svg.elevation.hand").wait_for()
    expect(page.locator("#item-form [name=left]")).to_have_value("12")
    count = WallItem.objects.filter(wall=house.wall).count()
    page.get_by_label("What").select_option("chest")
    expect(page.get_by_label("Height", exact=True).first).not_to_have_value("")
    left = page.locator("#item-form [name=left]")
    left.fill("1")
    page.locator("#item-form").get_by_role("button", name="feet").click()
    left.press_sequentially("6")
    page.locator("#item-form").get_by_role("button", name="½").click()
    expect(left).to_have_value("1' 6 1/2")
    with page.expect_response(re.compile("/survey/item")):
        page.get_by_role("button", name="Add it to the wall").click()
    assert WallItem.objects.filter(wall=house.wall).count() == count + 1
    assert WallItem.objects.get(wall=house.wall, kind="chest").left_mm == pytest.approx(18.5 * 25.4)


def test_rectangle_drawn_on_the_elevation_fills_the_numbers(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), addresses(house)["survey"])
    face = page.locator("svg.elevation .wall").bounding_box()
    page.mouse.move(face["x"] + face["width"] * 0.45, face["y"] + face["height"] * 0.1)
    page.mouse.down()
    page.mouse.move(face["x"] + face["width"] * 0.6, face["y"] + face["height"] * 0.3, steps=4)
    page.mouse.up()
    expect(page.locator("#item-form [name=width]")).to_have_value(re.compile(r"^[\d.]+\"$"))


def test_group_is_composed_and_hung(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), addresses(house)["groups"])
    page.get_by_role("button", name="Compose").click()
    page.get_by_role("button", name="Arrange it by hand").first.click()
    page.get_by_role("button", name="Mirror").click()
    page.locator("#group-form [value=undo]:enabled").wait_for()
    page.get_by_role("button", name="Hang this group").click()
    page.wait_for_url(f"**{addresses(house)['wall']}*")
    assert Placement.objects.filter(wall=house.wall).count() >= 2


def test_client_approves_a_wall_without_an_account(new_page, house):
    page = opened(new_page(viewport=PHONE), addresses(house)["client"])
    page.get_by_label("Comment on this wall").first.fill("Lovely.")
    page.get_by_role("button", name="Approve this wall").first.click()
    page.get_by_text("You approved this wall").wait_for()


def test_night_sheet_is_kept_from_page_to_page(new_page, cast, house):
    page = opened(new_page(cast.designer, viewport=DESK), addresses(house)["projects"])
    page.locator("details.who summary").click()
    page.get_by_role("button", name="Light or dark").click()
    expect(page.locator("html")).to_have_attribute("data-sheet", "night")
    page.goto(addresses(house)["wall"])
    expect(page.locator("html")).to_have_attribute("data-sheet", "night")


@pytest.mark.parametrize(("size", "scheme"), [(DESK, "light"), (PHONE, "dark")], ids=["desk-day", "phone-night"])
def test_nothing_serious_for_assistive_technology(new_page, cast, house, size, scheme):
    page = new_page(cast.principal, viewport=size, color_scheme=scheme)
    faults = []
    for name, url in (addresses(house) | {"house rules": reverse("house_rules")}).items():
        faults += [f"{name}: {barrier}" for barrier in barriers(opened(page, url))]
    assert faults == []


def test_pages_fit_every_width_and_do_not_shift(new_page, cast, house):
    faults = []
    for width in (360, 1024, 2560):
        page = new_page(cast.designer, viewport={"width": width, "height": 900})
        for name, url in addresses(house).items():
            if too_wide(opened(page, url)) > 0:
                faults.append(f"{name} is wider than {width}")
            if (shift := shifted(page)) > 0.1:
                faults.append(f"{name} shifts by {shift:.3f} at {width}")
    assert faults == []


def test_no_page_carries_more_than_150_kb_of_our_own_styles_and_scripts(new_page, cast, house):
    page = new_page(cast.principal, viewport=DESK)
    for name, url in (addresses(house) | {"house rules": reverse("house_rules")}).items():
        opened(page, url)
        names = page.evaluate(
            "[...document.querySelectorAll('link[rel=stylesheet], script[src]')].map((one) => one.href || one.src)"
        )
        own = [one.split("/static/")[1] for one in names if "django_htmx" not in one]
        weight = sum(len(gzip.compress(Path(finders.find(one)).read_bytes())) for one in own)
        assert weight < 150_000, name
