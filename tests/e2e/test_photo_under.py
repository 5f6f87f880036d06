"""The photograph under the drawing in a browser: where its corners are on the screen, and that the choice is kept."""

from __future__ import annotations

import io
import re

import numpy as np
import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import expect

from tests.browsing import opened, shot
from tests.factories import make_cast
from tests.placements.selectors.photos.test_under import edge_at
from tests.placements.services.photos import walls
from tests.placements.services.photos.walls import levelled, mark_over

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WHERE = """([x, y]) => {
    const svg = document.querySelector('svg.elevation'), d = svg.dataset;
    const at = new DOMPoint(Number(d.originX) + x * d.scale, Number(d.originY) - y * d.scale);
    const seen = at.matrixTransform(svg.getScreenCTM());
    return [seen.x, seen.y];
}"""
ANY = re.compile(".")
UNDER = ".elevation .under"
#: The photograph is there, and as strong as it is to be.
SHOWN = """async (image) => {
    await image.decode();
    await Promise.all(image.getAnimations().map((one) => one.finished));
}"""


@pytest.fixture
def site():
    snap = walls.snapshot()
    measuring = walls.make_measuring(make_cast())
    photo = levelled(measuring, measuring.measure(snap.jpeg), snap)
    return measuring, photo, snap


def test_a_known_corner_stands_on_the_drawing_where_the_wall_has_it(new_page, site):
    for name in ("wall", "wall_survey"):
        for width, height in ((1440, 950), (390, 844)):  # at a desk, on a phone
            stands(new_page, site, name, width, height)


def stands(new_page, site, name, width, height):
    measuring, photo, snap = site
    page = new_page(measuring.by, viewport={"width": width, "height": height}, has_touch=width < 500)
    opened(page, reverse(name, args=[measuring.wall.room.project_id, measuring.wall.pk]))
    expect(page.locator(UNDER)).not_to_have_attribute("href", ANY)
    page.get_by_text("Strong", exact=True).click()
    expect(page.locator(UNDER)).to_have_attribute("href", ANY)
    page.locator(UNDER).evaluate(SHOWN)
    if width < 500:
        assert page.locator("label", has_text="Strong").bounding_box()["height"] >= 44
    page.locator("svg.elevation").first.scroll_into_view_if_needed()
    image = np.asarray(Image.open(io.BytesIO(page.screenshot())).convert("L"))
    shot(page, f"under-{name}-{width}")
    piece = snap.pieces[0]
    stated = mark_over(photo, snap, piece).wall_error_mm
    left, top = piece.x - piece.width / 2, piece.y + piece.height / 2
    (x, y), (to_x, to_y) = page.evaluate(WHERE, [left, top]), page.evaluate(WHERE, [piece.x, piece.y])
    reach = int(min(30, to_x - x, to_y - y))  # one print's width of screen at most
    row, column = image[round(to_y)], image[:, round(to_x)]
    scale = (to_x - x) / (piece.x - left)
    seen = edge_near(row, x, reach), edge_near(column, y, reach)
    off = np.hypot(seen[0] - x, seen[1] - y)
    assert off <= stated * scale + 1, f"{name}, {width} px wide: {off:.2f} px; stated {stated * scale:.2f} px"


def edge_near(line, near, reach):
    part = line[max(0, round(near) - reach) : round(near) + reach + 1]
    padded = np.pad(part, (max(0, 30 - reach), max(0, 30 - reach)), mode="edge")
    return edge_at(padded, 30) - 30 + round(near)


def test_the_strength_is_kept_for_the_next_page_and_after_a_change(new_page, site):
    measuring, _, _ = site
    page = new_page(measuring.by, viewport={"width": 1440, "height": 950})
    ids = [measuring.wall.room.project_id, measuring.wall.pk]
    page.goto(reverse("wall_survey", args=ids))
    page.get_by_text("Faint", exact=True).click()
    page.get_by_label("What").select_option("sofa")
    page.get_by_label("From there").fill("40")
    page.get_by_role("button", name="Add it to the wall").click()
    page.locator(".elevation .item").first.wait_for()
    expect(page.locator(UNDER)).to_have_attribute("href", ANY)
    expect(page.get_by_role("radio", name="Faint")).to_be_checked()
    page.goto(reverse("wall", args=ids))
    expect(page.locator(UNDER)).to_have_attribute("href", ANY)
    expect(page.get_by_role("radio", name="Faint")).to_be_checked()
    page.get_by_text("Off", exact=True).click()
    expect(page.locator(UNDER)).to_have_css("display", "none")
