"""Photographs in a real browser: added, watched, marked by hand, held against the plan; at desk and on a phone."""

from __future__ import annotations

import itertools
import re

import numpy as np
import pytest
from django.urls import reverse
from playwright.sync_api import expect

from placements.models import MarkState, Photo
from placements.services.photos import marks, uses
from placements.services.photos import photo as services
from placements.services.photos.measuring import photo_work
from tests.browsing import barriers, opened, shot, still, too_wide, until
from tests.factories import PlacementFactory, PlanFactory, RevisionFactory, make_cast
from tests.placements.services.photos import walls
from tests.placements.services.photos.walls import levelled, mark_over

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1360, "height": 900}
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def site():
    return walls.make_measuring(make_cast())


def on_screen(page, point):
    """Where a point of the photograph is on the screen."""
    return page.evaluate(
        """([x, y]) => {
            const svg = document.querySelector('.photo-drawing');
            const at = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM());
            return [at.x, at.y];
        }""",
        point,
    )


def test_a_photograph_is_added_and_measured_without_a_reload(site, new_page, tmp_path):
    file = tmp_path / "wall.jpg"
    file.write_bytes(walls.snapshot().jpeg)
    page = new_page(site.by, viewport=DESK)
    page.goto(reverse("wall", args=[site.wall.room.project_id, site.wall.pk]))
    page.get_by_role("link", name="Photographs").click()
    shot(page, "photos-list")
    page.get_by_label("The photograph").set_input_files(str(file))
    page.get_by_label("ruler").fill("100")
    page.get_by_role("button", name="Measure it").click()
    page.get_by_text("Waiting in the queue").wait_for()
    page.evaluate("() => { window.stayed = true }")
    shot(page, "photo-waiting")
    photo_work(photo_id=Photo.objects.get().pk)
    page.get_by_role("heading", name=re.compile("Marks")).wait_for()
    expect(page.locator("a.mark.offered")).to_have_count(Photo.objects.get().marks.count())
    assert page.evaluate("() => window.stayed")
    shot(page, "photo-measured")


def test_marks_are_answered_dragged_and_drawn_by_hand(site, new_page):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    page = new_page(site.by, viewport=DESK)
    opened(page, reverse("photo", args=[photo.pk]))
    mark = mark_over(photo, snap, snap.pieces[0])
    page.locator(f'a.mark[data-mark="{mark.pk}"]').click(position={"x": 40, "y": 60})
    page.get_by_role("button", name="Confirm", exact=True).click()
    page.get_by_role("button", name="Save", exact=True).wait_for()
    page.locator(".handle").nth(3).wait_for()
    mark.refresh_from_db()
    assert mark.state == MarkState.ACCEPTED
    # A corner is dragged ten pixels to the right on the screen; everything is measured anew.
    before = np.array(mark.corners_px)
    x, y = on_screen(page, mark.corners_px[1])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 10, y, steps=4)
    with page.expect_response(lambda answer: "/edit/change" in answer.url):
        page.mouse.up()
    still(page)
    mark.refresh_from_db()
    after = np.array(mark.corners_px)
    moved = after - before
    assert moved[1][0] > 5
    assert np.abs(moved[[0, 2, 3]]).max() < 0.01
    shot(page, "photo-dragged")
    # By the keyboard it goes back a little.
    handle = page.get_by_role("button", name=re.compile("top right"))
    handle.focus()
    with page.expect_response(lambda answer: "/edit/change" in answer.url):
        handle.press("ArrowLeft")
    still(page)
    mark.refresh_from_db()
    assert mark.corners_px[1][0] == pytest.approx(after[1][0] - 5, abs=0.01)
    # Where the wall is: the two points are dragged to its corners.
    page.locator("summary", has_text="Wall position").click()
    for name, corner in (("left corner", (0, 0)), ("right corner", (walls.LENGTH_MM, 0))):
        point = page.get_by_role("button", name=re.compile(name))
        box = point.bounding_box()
        to = on_screen(page, snap.at(corner)[0])
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.down()
        page.mouse.move(*to, steps=4)
        page.mouse.up()
    shot(page, "photo-level")
    page.get_by_role("button", name="Set the wall’s corners").click()
    page.get_by_text("By its two lower corners.").wait_for()
    # Something that was not found is drawn.
    page.locator("summary", has_text="Draw a rectangle").click()
    page.locator("#draw-kind").select_option("outlet")
    page.get_by_role("button", name="Measure it").click()
    page.get_by_role("heading", name=re.compile("Outlet")).wait_for()
    shot(page, "photo-drawn")
    assert photo.marks.get(kind="outlet").state == MarkState.ACCEPTED


def test_corner_is_stepped_on_while_an_answer_is_on_its_way(site, new_page):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    page = new_page(site.by, viewport=DESK)
    mark = mark_over(photo, snap, snap.pieces[0])
    opened(page, f"{reverse('photo', args=[photo.pk])}?mark={mark.pk}")
    x, y = mark.corners_px[1]
    held = []
    page.route("**/edit/change", lambda route: held.append(route))
    corner = page.get_by_role("button", name=re.compile("top right"))
    corner.press("ArrowLeft")
    until(page, lambda: held)
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowDown")
    stepped = corner.bounding_box()
    held.pop().continue_()
    page.unroute("**/edit/change")

    def there():
        mark.refresh_from_db()
        return mark.corners_px[1] == pytest.approx([x - 10, y + 5], abs=0.01)

    until(page, there)
    still(page)
    page.locator(".handle[data-index='1']:focus").wait_for()
    assert corner.bounding_box() == pytest.approx(stepped, abs=1)


def prepared(site, purpose, near=False):
    """A photograph with everything said, ready for its purpose."""
    snap = walls.snapshot(near=near)
    photo = site.measure(snap.jpeg, purpose)
    if near:
        place = {"left_mm": walls.CARD_LEFT_MM, "bottom_mm": walls.CARD_BOTTOM_MM}
        services.photo_level_by_card(by=site.by, photo=photo, **place)
    else:
        levelled(site, photo, snap)
    for piece, work in list(zip(snap.pieces, site.works, strict=False))[: 1 if near else 2]:
        mark = mark_over(photo, snap, piece)
        marks.mark_answer(by=site.by, mark=mark, accept=True, artwork=work)
    photo.refresh_from_db()
    return photo


def test_every_purpose_reads_well(site, new_page):
    """At a desk and on a phone, by day and by night."""
    plan = RevisionFactory(plan=PlanFactory(project=site.wall.room.project), number=1)
    for work, (x, y, width, height) in zip(site.works, walls.PRINTS, strict=True):
        PlacementFactory(
            revision=plan, wall=site.wall, artwork=work, left_mm=x - width / 2, bottom_mm=y - height / 2 - 16
        )
    photos = {purpose: prepared(site, purpose) for purpose in ("hung", "show")}
    photos["as_hung"] = prepared(site, "as_hung", near=True)
    uses.hung_take(by=site.by, photo=photos["hung"])
    uses.show_make(by=site.by, photo=photos["show"], placements=list(plan.placements.select_related("artwork")))
    photos["failed"] = photo_work(photo_id=site.add(walls.snapshot(card=False).jpeg, "floor").pk)
    addresses = {"list": reverse("photos", args=[site.wall.room.project_id, site.wall.pk])}
    addresses |= {name: reverse("photo", args=[photo.pk]) for name, photo in photos.items()}
    faults = []
    for size, scheme in itertools.product((DESK, PHONE), ("light", "dark")):
        page = new_page(site.by, viewport=size, color_scheme=scheme)
        for name, address in addresses.items():
            seen = f"{name}-{size['width']}-{scheme}"
            shot(opened(page, address), f"photo-{seen}")
            if (wide := too_wide(page)) > 0:
                faults.append(f"{seen} is {wide} px wider than the screen")
            faults += [f"{seen}: {barrier}" for barrier in barriers(page)]
    assert not faults, "\n".join(faults)
