"""The photograph under the drawing: a corner that is known lands where the wall has it, within the stated error."""

from __future__ import annotations

import re

import cv2
import numpy as np
import pytest
from django.urls import reverse

from placements.models import Photo
from placements.photogrammetry.camera import View
from placements.photogrammetry.errors import NotMeasurable
from placements.photogrammetry.rectify import rectified
from placements.photogrammetry.solve import Fit
from placements.selectors.photos.under import photo_under, square_view, under_version
from tests.factories import WallFactory
from tests.placements.photogrammetry.synthetic import camera_at
from tests.placements.services.photos import walls
from tests.placements.services.photos.walls import levelled, mark_over

pytestmark = pytest.mark.django_db


@pytest.fixture
def site(cast, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return walls.make_measuring(cast)


def edge_at(line, near):
    """Where a line of greys falls half way from wall to frame, nearest to `near` [px], between pixel centres."""
    start = max(0, round(near) - 30)
    part = line[start : round(near) + 31].astype(float)
    half = (np.median(part[:10]) + part.min()) / 2  # the frame is the darkest there
    first = int(np.argmax(part < half))
    share = (part[first - 1] - half) / (part[first - 1] - part[first])
    return start + first - 1 + share + 0.5  # a pixel's middle is half a pixel in


def corner_of_print(square, piece):
    """The upper left corner of a print as it appears in the square view, in wall millimetres."""
    grey = cv2.cvtColor(square[..., :3], cv2.COLOR_BGR2GRAY)
    scale = square.shape[1] / walls.LENGTH_MM
    left, top = piece.x - piece.width / 2, piece.y + piece.height / 2
    row = round((walls.HEIGHT_MM - piece.y) * scale)
    column = round(piece.x * scale)
    seen_left = edge_at(np.median(grey[row - 20 : row + 20], axis=0), left * scale)
    seen_top = edge_at(np.median(grey[:, column - 20 : column + 20], axis=1), (walls.HEIGHT_MM - top) * scale)
    return seen_left / scale - left, walls.HEIGHT_MM - seen_top / scale - top


@pytest.mark.parametrize("seed", [5, 8])
def test_known_corners_land_within_the_stated_error(site, seed):
    snap = walls.snapshot(seed=seed)
    photo = site.measure(snap.jpeg)
    photo = levelled(site, photo, snap)
    square = cv2.imdecode(np.frombuffer(square_view(photo), np.uint8), cv2.IMREAD_UNCHANGED)
    assert square.shape[:2] == (1280, 1600)  # 3000 × 2400 mm to one scale
    for piece in snap.pieces[:2]:
        stated = mark_over(photo, snap, piece).wall_error_mm
        off = corner_of_print(square, piece)
        assert np.hypot(*off) <= stated + 0.5 * 1000 / 533  # half a pixel of the view for finding the edge
        assert stated < 25


def test_what_the_photograph_does_not_show_is_clear(site):
    snap = walls.snapshot(near=True)
    photo = site.measure(snap.jpeg)
    from placements.services.photos import photo as services

    photo = services.photo_level_by_card(
        by=site.by, photo=photo, left_mm=walls.CARD_LEFT_MM, bottom_mm=walls.CARD_BOTTOM_MM
    )
    square = cv2.imdecode(np.frombuffer(square_view(photo), np.uint8), cv2.IMREAD_UNCHANGED)
    scale = square.shape[1] / walls.LENGTH_MM
    at_card = round((walls.HEIGHT_MM - walls.CARD_BOTTOM_MM) * scale), round(walls.CARD_LEFT_MM * scale)
    assert square[at_card][3] == 255
    assert square[5, -5][3] == 0
    assert square[-5, -5][3] == 0


def test_the_view_agrees_with_the_camera_at_every_pixel():
    """Worked out coarsely and filled in straight, against each pixel's own projection."""
    view = View(1200, 900)
    camera = camera_at(np.random.default_rng(2), view, (1500.0, 1150.0), 1400.0, tilt_deg=30, distortion=0.05)
    fit = Fit(view, camera, np.zeros((8, 8)), np.empty((0, 3)), 0.0)
    ramp = np.zeros((900, 1200, 3), np.uint8)
    ramp[..., 0] = np.linspace(0, 239, 1200)[None]
    ramp[..., 1] = np.linspace(0, 239, 900)[:, None]
    found = rectified(ramp, fit, 3000, 2400, 0.25)
    ys, xs = np.mgrid[0:600, 0:750]
    plane = np.column_stack([(xs.ravel() + 0.5) * 4, 2400 - (ys.ravel() + 0.5) * 4])
    seen = fit.to_pixels(plane).reshape(600, 750, 2)
    inside = (seen > 2).all(axis=2) & (seen[..., 0] < 1197) & (seen[..., 1] < 897)
    assert inside.mean() > 0.3
    assert (found[..., 3][inside] == 255).all()
    assert np.abs(found[..., 0].astype(float) - seen[..., 0] * 239 / 1199)[inside].max() < 1.2
    assert np.abs(found[..., 1].astype(float) - seen[..., 1] * 239 / 899)[inside].max() < 1.2


def test_the_newest_that_knows_where_it_is_lies_under(site):
    snap = walls.snapshot()
    first = site.measure(snap.jpeg)
    assert photo_under(site.wall) is None  # nobody said where the wall is
    with pytest.raises(NotMeasurable):
        square_view(first)
    levelled(site, first, snap)
    assert photo_under(site.wall) == first
    second = site.measure(walls.snapshot(seed=8).jpeg)
    levelled(site, second, walls.snapshot(seed=8))
    assert photo_under(site.wall) == second
    Photo.objects.filter(pk=second.pk).update(purpose="floor")
    assert photo_under(site.wall) == first
    assert photo_under(WallFactory(room=site.wall.room)) is None


def test_it_is_served_to_the_studio_alone_and_asked_for_again_cheaply(site, cast, client_of, client):
    snap = walls.snapshot()
    photo = levelled(site, site.measure(snap.jpeg), snap)
    there = reverse("photo_square", args=[photo.pk])
    answer = client_of(cast.coordinator).get(there)
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/webp")
    assert answer["Cache-Control"].startswith("private")
    again = client_of(cast.coordinator).get(there, headers={"If-None-Match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert client_of(cast.stranger).get(there).status_code == 404
    assert client.get(there).status_code == 302
    before = under_version(photo)
    photo.wall.length_mm += 10
    assert under_version(photo) != before
    unlevelled = site.measure(snap.jpeg)
    assert client_of(cast.designer).get(reverse("photo_square", args=[unlevelled.pk])).status_code == 404


@pytest.mark.parametrize("name", ["wall", "wall_survey"])
def test_pages_fetch_it_at_once_only_where_it_is_wanted(site, client_of, name):
    snap = walls.snapshot()
    photo = levelled(site, site.measure(snap.jpeg), snap)
    there = reverse(name, args=[site.wall.room.project_id, site.wall.pk])
    browser = client_of(site.by)
    source = re.escape(reverse("photo_square", args=[photo.pk]))
    assert re.search(rf'<image class="under" data-href="{source}', browser.get(there).content.decode())
    browser.cookies["under"] = "2"
    page = browser.get(there).content.decode()
    assert re.search(rf'<image class="under" href="{source}', page)
    assert 'value="2" checked' in page
    browser.cookies["under"] = "<script>"
    assert 'value="0" checked' in browser.get(there).content.decode()
    Photo.objects.all().delete()
    assert "Photo under the drawing" not in browser.get(there).content.decode()
