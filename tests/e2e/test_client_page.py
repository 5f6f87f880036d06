"""The client's presentation in a browser: the wall with its art and as it is today, at desk and on a phone."""

from __future__ import annotations

import io
import re

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from PIL import Image
from playwright.sync_api import expect

from placements.models import ClientAnswer, ClientLink, Photo
from placements.selectors.photos.composites import facts_shown
from placements.services.client_links import client_link_create
from studio.services.pictures import picture_save
from tests.browsing import barriers, opened, shot, too_wide
from tests.factories import (
    ArtworkFactory,
    ClientFactory,
    ItemFactory,
    PlacementFactory,
    PlanFactory,
    ProjectFactory,
    RevisionFactory,
    RoomFactory,
    WallFactory,
    make_cast,
)
from tests.pictures import jpeg

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
WITH_ART, TODAY = (60, 80, 120), (210, 200, 180)


@pytest.fixture
def shown():
    cast = make_cast()
    project = ProjectFactory(client=ClientFactory(studio=cast.studio, name="Ines Marlow"), name="Marlow house")
    room = RoomFactory(project=project, name="Sitting room")
    revision = RevisionFactory(plan=PlanFactory(project=project))
    walls = [WallFactory(room=room, name=name) for name in ("North wall", "Chimney wall")]
    ItemFactory(wall=walls[0])
    for wall in walls:
        work = ArtworkFactory(client=project.client)
        picture_save(artwork=work, content=jpeg((90, 110, 70), (300, 200)))
        PlacementFactory(revision=revision, wall=wall, artwork=work)
    photo = Photo(wall=walls[0], purpose="show", width_px=1600, height_px=1200, state="ready")
    photo.shown_facts = facts_shown(photo, walls[0].placements.select_related("artwork"))
    photo.picture.save("taken.jpg", ContentFile(jpeg(TODAY, (1600, 1200))), save=False)
    photo.shown.save("shown.jpg", ContentFile(jpeg(WITH_ART, (1600, 1200))), save=False)
    photo.save()
    _, token = client_link_create(by=cast.designer, project=project, rooms=[room], label="Ines", days=30)
    return cast, project, walls, reverse("client_view", args=[token])


def seen(page, share):
    """The colour of the photograph, so far from its left, in the middle of its height."""
    pair = page.locator(".pair")
    pair.scroll_into_view_if_needed()
    with Image.open(io.BytesIO(pair.screenshot())) as picture:
        return picture.convert("RGB").getpixel((round(share * picture.width), picture.height // 2))


def is_near(found, tone):
    return max(abs(a - b) for a, b in zip(found, tone, strict=True)) < 12


@pytest.mark.parametrize("viewport", [DESK, PHONE], ids=["desk", "phone"])
def test_the_wall_today_slides_over_the_wall_with_its_art(new_page, shown, viewport):
    page = new_page(viewport=viewport, has_touch=viewport is PHONE)
    opened(page, shown[-1])
    assert is_near(seen(page, 0.1), WITH_ART)
    slider = page.get_by_label("How much of today’s wall is shown")
    assert slider.bounding_box()["height"] >= 44
    slider.focus()
    for _ in range(5):
        slider.press("PageUp")
    expect(slider).to_have_value(re.compile("^(4[0-9]|5[0-9]|60)$"))
    page.locator(".before img").evaluate("(image) => image.decode()")
    assert is_near(seen(page, 0.1), TODAY)
    assert is_near(seen(page, 0.9), WITH_ART)
    # On the photograph itself, by hand.
    box = page.locator(".pair").bounding_box()
    x, y = box["x"] + 0.8 * box["width"], box["y"] + box["height"] / 2
    page.mouse.click(x, y)
    expect(slider).to_have_value(re.compile("^(78|79|8[0-2])$"))
    assert is_near(seen(page, 0.7), TODAY)


def test_the_photograph_is_downloaded_in_full(new_page, shown):
    page = new_page(viewport=DESK, accept_downloads=True)
    page.goto(shown[-1])
    with page.expect_download() as started:
        page.get_by_role("link", name="Download in full size").click()
    assert started.value.suggested_filename == "sitting-room-north-wall-with-art.jpg"
    with Image.open(started.value.path()) as picture:
        assert picture.size == (1600, 1200)


def test_walls_are_approved_and_remarked_on_one_by_one(new_page, shown):
    page = new_page(viewport=PHONE)
    page.goto(shown[-1])
    north = page.get_by_role("article", name="North wall")
    chimney = page.get_by_role("article", name="Chimney wall")
    north.get_by_role("button", name="Approve this wall").click()
    page.wait_for_url("**#wall-*")
    north.get_by_text("You approved this wall").wait_for()
    with page.expect_navigation():
        chimney.get_by_role("button", name="Ask for a change").click()
    chimney.get_by_label("Comment on this wall").fill("A little lower, please.")
    chimney.get_by_role("button", name="Ask for a change").click()
    chimney.get_by_text("A little lower, please.").first.wait_for()
    page.get_by_text("You have approved 1 of 2").wait_for()
    assert ClientAnswer.objects.count() == 3


def test_a_phone_shows_one_room_a_screen_and_leads_on(new_page, shown):
    _, project, walls, there = shown
    hall = RoomFactory(project=project, name="Hall", position=9)
    PlacementFactory(revision=project.plan.revisions.get(), wall=WallFactory(room=hall, name="Long wall"))
    ClientLink.objects.get().rooms.add(hall)
    page = new_page(viewport=PHONE)
    page.goto(there)
    rooms = page.locator(".plate-room")
    expect(rooms.filter(visible=True)).to_have_count(0)
    page.get_by_role("link", name="Chimney wall").click()
    expect(rooms.filter(visible=True).get_by_role("heading", name="Sitting room")).to_be_visible()
    steps = page.get_by_role("navigation", name="Rooms in turn")
    steps.get_by_role("link", name="Hall").click()
    expect(rooms.filter(visible=True)).to_have_count(1)
    expect(page.get_by_role("heading", name="Long wall")).to_be_in_viewport()
    steps.get_by_role("link", name="Sitting room").click()
    steps.get_by_role("link", name="All rooms").click()
    expect(page.get_by_role("heading", name="Marlow house")).to_be_visible()
    # A comment brings its own room back, and on a desk all rooms are there.
    page.goto(f"{there}#wall-{walls[1].pk}")
    expect(page.get_by_role("heading", name="Chimney wall")).to_be_visible()
    page.set_viewport_size(DESK)
    expect(rooms.filter(visible=True)).to_have_count(2)


def test_without_script_both_photographs_stand_there(new_page, shown):
    page = new_page(viewport=PHONE, java_script_enabled=False)
    page.goto(shown[-1])
    before, after = (page.get_by_alt_text(words).bounding_box() for words in ("The same wall today", "Your photograph"))
    assert before["y"] >= after["y"] + after["height"]
    page.locator("input[type=range]").wait_for(state="hidden")


@pytest.mark.parametrize("sheet", ["light", "dark"])
@pytest.mark.parametrize("viewport", [DESK, PHONE], ids=["desk", "phone"])
def test_the_presentation_reads_well(new_page, shown, viewport, sheet):
    cast, project, _, link = shown
    page = new_page(cast.designer, viewport=viewport, color_scheme=sheet)
    for address in (link, reverse("client_links", args=[project.pk]), reverse("client_preview", args=[project.pk])):
        assert too_wide(opened(page, address)) <= 0, address
        assert barriers(page) == [], address
        shot(page, f"{address.strip('/').rpartition('/')[2][:8]}-{viewport['width']}-{sheet}")


def test_printed_both_photographs_stand_side_by_side(new_page, shown):
    page = new_page(viewport=DESK)
    opened(page, shown[-1])
    page.emulate_media(media="print")
    before, after = (page.get_by_alt_text(words).bounding_box() for words in ("The same wall today", "Your photograph"))
    assert before["x"] >= after["x"] + after["width"]
    page.get_by_role("button", name="Approve this wall").first.wait_for(state="hidden")
