"""The house rules page in a real browser: pictures that follow what is typed, and nothing stored by mistake."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from placements.models import HouseRule
from tests.browsing import barriers

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}


def box(page, field):
    """A number's box, whose rule brings it when it is seen."""
    page.locator(f"[id='{field.partition('.')[0]}']").scroll_into_view_if_needed()
    return page.locator(f"[id='{field}']")


@pytest.fixture
def page(new_page, cast):
    page = new_page(cast.principal, viewport=DESK)
    page.goto(reverse("house_rules"))
    return page


def test_typed_numbers_move_the_picture_are_tried_and_stored(page):
    band = page.locator("#clearance .stage .guide.clearance rect")
    before = float(band.get_attribute("height"))
    page.get_by_role("button", name="Save").wait_for(state="hidden")
    box(page, "clearance.high").fill("14")
    page.wait_for_function(
        "(was) => document.querySelector('#clearance .stage .guide.clearance rect').getAttribute('height') > was * 1.9",
        arg=before,
    )
    assert float(band.get_attribute("height")) == pytest.approx(before * 2, rel=0.01)  # 4 in became 8 in
    box(page, "two-thirds.low").fill("65")
    page.get_by_text("2 numbers changed").wait_for()
    box(page, "two-thirds.low").press("Enter")  # looks, and stores nothing
    page.get_by_text("No open plan is affected.").wait_for()
    assert not HouseRule.objects.exists()
    page.get_by_label("Why", exact=True).fill("High ceilings")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("2 numbers of your own").wait_for()
    assert {row.reason for row in HouseRule.objects.all()} == {"High ceilings"}
    page.locator("#clearance").get_by_role("button", name="Back to usual").click()
    page.get_by_text("1 number of your own").wait_for()


def test_take_back_gives_every_box_its_number_again(page):
    box(page, "eye-line.low").fill("58")
    page.get_by_role("button", name="Undo changes").click()
    expect(box(page, "eye-line.low")).to_have_value("5′ 0″")
    expect(page.get_by_role("button", name="Save")).to_be_hidden()


def test_a_fault_is_told_where_it_is_and_keeps_what_was_typed(page):
    box(page, "eye-line.low").fill("2'")
    box(page, "spacing.low").fill("1 1/2")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Nothing was saved").wait_for()
    expect(box(page, "eye-line.low")).to_have_attribute("aria-invalid", "true")
    expect(box(page, "spacing.low")).to_have_value("1 1/2")
    page.get_by_text("2 numbers changed").wait_for()


def test_a_phone_shows_a_list_and_opens_the_rule_that_is_tapped(new_page, cast):
    page = new_page(cast.principal, viewport=PHONE)
    page.goto(reverse("house_rules"))
    assert page.evaluate("document.documentElement.scrollHeight") < 4 * 844
    page.get_by_role("link", name="Gaps in a group").last.click()
    picture = page.locator("#spacing svg.figure")
    picture.wait_for()
    sizes = picture.evaluate(
        "(svg) => [...svg.querySelectorAll('text')].map((one) => one.getBoundingClientRect().height)"
    )
    assert min(sizes) >= 11  # lettering that can be read at arm's length
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


@pytest.mark.parametrize(("size", "scheme"), [(DESK, "dark"), (PHONE, "light")], ids=["desk-night", "phone-day"])
def test_nothing_serious_for_axe_with_a_rule_open(new_page, cast, size, scheme):
    page = new_page(cast.principal, viewport=size, color_scheme=scheme)
    page.goto(reverse("house_rules") + "#heat")
    box(page, "heat.clear").fill("8")
    page.get_by_role("button", name="See what changes").last.click()
    page.locator("#effects .effect").wait_for()
    assert barriers(page) == []
