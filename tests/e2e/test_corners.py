"""A piece's corners marked in its photograph, by mouse, finger and arrows; what is seen is what is kept."""

from __future__ import annotations

import base64
import io
import re

import cv2
import numpy as np
import pytest
from django.urls import reverse
from PIL import Image

from tests.browsing import barriers, framed, shot, too_wide
from tests.factories import ArtworkFactory, ClientFactory, make_cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1360, "height": 900}
PHONE = {"width": 390, "height": 844}
WIDE, HIGH = 1200, 1600
#: Where the painting's own corners are in the photograph [px].
SEEN = ((150, 450), (1040, 520), (1090, 1050), (110, 1180))
NAMES = ("Top left", "Top right", "Bottom right", "Bottom left")


def painting() -> np.ndarray:
    """400 × 320: four quarters of different tone, red at the upper left."""
    image = np.empty((320, 400, 3), np.uint8)
    for rows, columns, tone in (
        (slice(0, 160), slice(0, 200), (190, 40, 40)),
        (slice(0, 160), slice(200, 400), (40, 120, 60)),
        (slice(160, 320), slice(0, 200), (240, 220, 120)),
        (slice(160, 320), slice(200, 400), (40, 60, 150)),
    ):
        image[rows, columns] = tone
    return image


def photographed() -> bytes:
    edge = np.float32([(0, 0), (400, 0), (400, 320), (0, 320)])
    matrix = cv2.getPerspectiveTransform(edge, np.float32(SEEN))
    ground = np.full((HIGH, WIDE, 3), (200, 196, 188), np.uint8)
    seen = cv2.warpPerspective(painting(), matrix, (WIDE, HIGH), ground, borderMode=cv2.BORDER_TRANSPARENT)
    out = io.BytesIO()
    Image.fromarray(seen).save(out, "JPEG", quality=92)
    return out.getvalue()


@pytest.fixture
def piece():
    cast = make_cast()
    piece = ArtworkFactory(client=ClientFactory(studio=cast.studio), title="Four fields", width_mm=500, height_mm=400)
    return cast, piece


def opened(new_page, piece, **options):
    cast, work = piece
    page = new_page(cast.designer, **options)
    page.goto(reverse("work_picture_edit", args=[work.pk]))
    page.get_by_label("Photograph or scan").set_input_files(
        {"name": "p.jpg", "mimeType": "image/jpeg", "buffer": photographed()}
    )
    page.locator("[data-stage]").wait_for()
    return framed(page)


def handle(page, name):
    return page.get_by_role("button", name=re.compile(f"^{name} corner"))


def middle(box):
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def on_stage(page, point):
    box = page.locator(".photograph").bounding_box()
    return box["x"] + point[0] / WIDE * box["width"], box["y"] + point[1] / HIGH * box["height"]


def drag_by_mouse(page, name, to):
    x, y = middle(handle(page, name).bounding_box())
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(*to, steps=4)
    page.mouse.up()


def drag_by_finger(page, name, to):
    """A finger that lands off the middle of the target, and carries the corner without a jump."""
    hand = page.context.new_cdp_session(page)
    x, y = middle(handle(page, name).bounding_box())
    off = (15, -13)
    for kind, at in (("touchStart", (x, y)), ("touchMove", ((x + to[0]) / 2, (y + to[1]) / 2)), ("touchMove", to)):
        points = [{"x": at[0] + off[0], "y": at[1] + off[1]}]
        hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    hand.detach()


def result(page):
    data = framed(page).evaluate("() => document.querySelector('[data-result] canvas').toDataURL('image/png')")
    return np.asarray(Image.open(io.BytesIO(base64.b64decode(data.partition(",")[2]))).convert("RGB"), float)


def expect_painting(found):
    """The four quarters fill the picture to its edges, each within a few tones of the painting's."""
    high, wide = found.shape[:2]
    assert wide / high == pytest.approx(1.25, abs=0.01)
    want = np.asarray(Image.fromarray(painting()).resize((wide, high), Image.Resampling.NEAREST), float)
    off = np.abs(found - want).mean(axis=2)
    edge = max(3, round(0.02 * wide))
    off[:, wide // 2 - edge : wide // 2 + edge] = off[high // 2 - edge : high // 2 + edge] = 0
    assert off[edge:-edge, edge:-edge].max() < 40
    assert off.mean() < 6


@pytest.mark.parametrize(
    ("viewport", "drag"), [(DESK, drag_by_mouse), (PHONE, drag_by_finger)], ids=["mouse", "finger"]
)
def test_dragged_corners_are_straightened_as_seen(new_page, piece, viewport, drag):
    touch = drag is drag_by_finger
    page = opened(new_page, piece, viewport=viewport, has_touch=touch)
    for name in NAMES:
        box = handle(page, name).bounding_box()
        assert min(box["width"], box["height"]) >= 44
    page.locator("[data-stage]").scroll_into_view_if_needed()
    for name, point in zip(NAMES, SEEN, strict=True):
        drag(page, name, on_stage(page, point))
    shot(framed(page), f"corners-{'finger' if touch else 'mouse'}")
    for name, point in zip(NAMES, SEEN, strict=True):
        assert middle(handle(page, name).bounding_box()) == pytest.approx(on_stage(page, point), abs=1.5)
    expect_painting(result(page))
    assert too_wide(page) <= 0
    page.get_by_role("button", name="Save this picture").click()
    page.wait_for_url("**/works/*/")
    work = piece[1]
    work.refresh_from_db()
    with Image.open(work.picture.path) as stored:
        expect_painting(np.asarray(stored.convert("RGB"), float))
    with Image.open(work.original.path) as stored:
        assert stored.size == (WIDE, HIGH)


def test_a_crop_is_taken_up_again_and_turned(new_page, piece):
    page = opened(new_page, piece, viewport=DESK)
    for name, point in zip(NAMES, SEEN, strict=True):
        drag_by_mouse(page, name, on_stage(page, point))
    page.get_by_role("button", name="Save this picture").click()
    page.wait_for_url("**/works/*/")
    page.get_by_role("link", name="Picture", exact=True).click()
    page.locator("[data-stage]").wait_for()
    framed(page)
    for name, point in zip(NAMES, SEEN, strict=True):
        assert middle(handle(page, name).bounding_box()) == pytest.approx(on_stage(page, point), abs=2)
    # A quarter turn carries the corners with it: what was at the left is on top.
    page.get_by_role("button", name="Quarter turn right").click()
    page.get_by_text("Does it need a quarter turn?").wait_for()
    turned = result(page)
    assert turned[5, 5] == pytest.approx((240, 220, 120), abs=25)
    assert turned[5, -5] == pytest.approx((190, 40, 40), abs=25)
    page.get_by_role("button", name="Quarter turn left").click()
    expect_painting(result(page))
    page.get_by_role("button", name="Whole photograph").click()
    page.get_by_role("button", name="Save this picture").click()
    page.wait_for_url("**/works/*/")
    piece[1].refresh_from_db()
    with Image.open(piece[1].picture.path) as stored:
        assert stored.size == (WIDE, HIGH)


def test_arrows_move_a_corner_under_a_loupe(new_page, piece):
    page = opened(new_page, piece, viewport=DESK)
    corner = handle(page, "Top left")
    loupe = page.locator(".loupe")
    loupe.wait_for(state="hidden")
    corner.focus()
    loupe.wait_for()
    before = middle(corner.bounding_box())
    for _ in range(5):
        corner.press("ArrowRight")
    corner.press("ArrowDown")
    corner.press("Shift+ArrowDown")
    framed(page)
    numbers = [float(page.locator(f"[name=top_left_{way}]").input_value()) for way in ("across", "down")]
    # Sixteen pixels a step, one with Shift.
    assert numbers == pytest.approx([100 * 5 * 16 / WIDE, 100 * 17 / HIGH], abs=0.002)
    assert middle(corner.bounding_box())[0] > before[0] + 10
    assert "6.7 % across, 1.1 % down" in corner.get_attribute("aria-label")
    page.get_by_text("6.7 % across, 1.1 % down").wait_for(state="attached")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    shot(page, "corners-keys")


def test_faults_are_said_in_place_and_nothing_is_sent(new_page, piece):
    page = opened(new_page, piece, viewport=DESK)
    drag_by_mouse(page, "Top left", on_stage(page, (1000, 1100)))
    page.get_by_role("alert").get_by_text("The corners are crossed").wait_for()
    shot(page, "corners-crossed")
    page.get_by_role("button", name="Save this picture").press("Enter")
    page.get_by_text("The corners are crossed").wait_for()
    page.get_by_role("button", name="Whole photograph").click()
    page.get_by_text("The corners are crossed").wait_for(state="hidden")
    drag_by_mouse(page, "Top right", on_stage(page, (20, 0)))
    page.get_by_text("The corners are too near one another: 2").wait_for()
    piece[1].refresh_from_db()
    assert not piece[1].picture


def test_a_file_that_the_browser_cannot_show_is_stored_first(new_page, piece, browser_faults):
    cast, work = piece
    page = new_page(cast.designer, viewport=DESK)
    page.goto(reverse("work_picture_edit", args=[work.pk]))
    out = io.BytesIO()
    Image.open(io.BytesIO(photographed())).save(out, "TIFF")
    page.get_by_label("Photograph or scan").set_input_files(
        {"name": "p.tif", "mimeType": "image/tiff", "buffer": out.getvalue()}
    )
    page.get_by_role("button", name="Save it, then mark its corners").click()
    page.locator("[data-stage]").wait_for()
    page.get_by_text("Now mark the piece’s corners in it").wait_for()
    browser_faults.clear()


@pytest.mark.parametrize("sheet", ["light", "dark"])
def test_the_page_reads_well_with_a_corner_in_hand(new_page, piece, sheet):
    page = opened(new_page, piece, viewport=DESK, color_scheme=sheet)
    handle(page, "Bottom left").focus()
    assert barriers(page) == []
