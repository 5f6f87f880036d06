"""Taking photographs in, measuring them in the background, and correcting what was found."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from placements.models import MarkState, Photo, PhotoMark, RunState
from placements.selectors.photos.measured import depths_of_rivals, measured, measured_marks
from placements.services.photos import marks, measuring
from placements.services.photos import photo as services
from placements.services.photos.measuring import PHOTOGRAPHS, photo_work
from studio import background
from studio.errors import Invalid, NotAllowed, WrongState
from tests.factories import ArtworkFactory
from tests.placements.services.photos import walls
from tests.placements.services.photos.walls import levelled, mark_over

pytestmark = pytest.mark.django_db


@pytest.fixture
def site(cast):
    return walls.make_measuring(cast)


@pytest.fixture
def sent(monkeypatch, django_capture_on_commit_callbacks):
    """Names and arguments of the tasks that were queued."""
    found = []
    monkeypatch.setattr(background, "send_after_commit", lambda name, *args, **_: found.append((name, *args)))
    return found


@pytest.fixture
def photo(site):
    return site.measure(walls.snapshot().jpeg)


def test_photo_is_stored_without_its_metadata_and_queued(site, sent):
    exif = Image.Exif()
    exif[0x010F] = "Maker of telephones"
    exif[0x8825] = {1: "N", 2: (38.0, 43.0, 0.0), 3: "W", 4: (9.0, 8.0, 0.0)}
    exif.get_ifd(0x8769)[0xA405] = 27
    out = io.BytesIO()
    Image.open(io.BytesIO(walls.snapshot().jpeg)).save(out, "JPEG", exif=exif.tobytes(), comment=b"at the Marlows'")
    photo = site.add(out.getvalue())
    with photo.picture.open("rb") as file:
        stored = file.read()
    assert not Image.open(io.BytesIO(stored)).getexif()
    for secret in (b"Maker of telephones", b"GPS", b"Exif", b"at the Marlows"):
        assert secret not in stored
    assert photo.focal_ratio == pytest.approx(27 / 36)  # a 35 mm frame is 36 mm long
    assert sent == [("placements.tasks.photo_wake",)]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        pytest.param(b"<svg xmlns='http://www.w3.org/2000/svg'/>", "SVG", id="svg"),
        pytest.param(b"%PDF-1.7 not a picture", "not a picture", id="wrong type"),
        pytest.param(walls.snapshot().jpeg[:40_000], "broken or cut short", id="truncated"),
        pytest.param(b"", "not a picture", id="empty"),
    ],
)
def test_hostile_files_are_refused_and_nothing_is_kept(site, content, says):
    with pytest.raises(Invalid, match=says):
        site.add(content)
    assert not Photo.objects.exists()


def test_bomb_is_refused_before_it_is_decoded(site):
    from tests.studio.test_pictures import huge_png

    with pytest.raises(Invalid, match="pixels"):
        site.add(huge_png(60_000, 60_000))


def test_small_copy_is_refused(site):
    out = io.BytesIO()
    Image.new("RGB", (500, 400)).save(out, "JPEG")
    with pytest.raises(Invalid, match="too small"):
        site.add(out.getvalue())


def test_stranger_adds_nothing(site, cast):
    with pytest.raises(NotAllowed):
        services.photo_add(by=cast.stranger, wall=site.wall, purpose="survey", content=walls.snapshot().jpeg)


@pytest.mark.parametrize("ruler_mm", [60.0, 140.0])
def test_ruler_that_is_no_print_is_refused(site, ruler_mm):
    with pytest.raises(Invalid, match="actual size"):
        site.add(walls.snapshot().jpeg, ruler_mm=ruler_mm)


def test_frames_are_found_matched_and_wait_for_a_yes(site, photo):
    snap = walls.snapshot()
    assert {mark.state for mark in photo.marks.all()} == {MarkState.OFFERED}
    for piece, work in zip(snap.pieces, site.works, strict=False):
        mark = mark_over(photo, snap, piece)
        assert np.abs(np.array(mark.corners_px) - snap.corners(piece)).max() < 3
        assert mark.artwork == work
        assert 0 < mark.error_mm < 20


def test_places_on_the_wall_are_right_within_the_stated_error(site, photo):
    snap = walls.snapshot()
    levelled(site, photo, snap)
    for piece in snap.pieces:
        mark = mark_over(photo, snap, piece)
        found = measured(photo, mark)
        truth = piece.corners()
        off = np.hypot(found.rect.left - truth[3][0], found.rect.bottom - truth[3][1])
        assert off <= found.error_mm
        if mark.artwork:  # of the chest nobody knows how deep it is
            assert off < 6.35  # a quarter inch
        assert found.rect.width == pytest.approx(piece.width, abs=found.error_mm)
        assert found.rect.height == pytest.approx(piece.height, abs=found.error_mm)


def test_level_by_the_cards_place(site, photo):
    snap = walls.snapshot()
    services.photo_level_by_card(by=site.by, photo=photo, left_mm=walls.CARD_LEFT_MM, bottom_mm=walls.CARD_BOTTOM_MM)
    found = measured(photo, mark_over(photo, snap, snap.pieces[0]))
    assert found.rect.left == pytest.approx(snap.pieces[0].corners()[3][0], abs=6.35)
    assert (
        found.error_mm > mark_over(photo, snap, snap.pieces[0]).error_mm
    )  # a card hangs no more level than a level says


def test_without_a_card_nothing_is_offered_and_it_says_what_to_do(site):
    photo = photo_work(photo_id=site.add(walls.snapshot(card=False).jpeg).pk)
    assert photo.state == RunState.FAILED
    assert "card cannot be read" in photo.error
    assert "take the picture again" in photo.error
    assert not photo.marks.exists()
    assert photo.camera is None


def test_without_a_card_something_of_known_size_will_do(site, sent):
    snap = walls.snapshot(card=False)
    photo = photo_work(photo_id=site.add(snap.jpeg).pk)
    chest = snap.pieces[2]
    services.photo_reference(
        by=site.by, photo=photo, corners_px=snap.corners(chest), width_mm=chest.width, height_mm=chest.height
    )
    assert sent[-1] == ("placements.tasks.photo_wake",)
    photo = photo_work(photo_id=photo.pk)
    assert photo.state == RunState.READY, photo.error
    levelled(site, photo, snap)
    found = measured(photo, mark_over(photo, snap, snap.pieces[0]))
    assert found.rect.width == pytest.approx(snap.pieces[0].width, abs=found.error_mm)


def test_unchecked_print_states_a_wider_error(site):
    snap = walls.snapshot()
    checked = mark_over(site.measure(snap.jpeg), snap, snap.pieces[1])
    unchecked = mark_over(site.measure(snap.jpeg, ruler_mm=None), snap, snap.pieces[1])
    assert unchecked.error_mm > 1.5 * checked.error_mm


def test_taped_ruler_scales_everything(site, photo):
    snap = walls.snapshot()
    before = np.array(mark_over(photo, snap, snap.pieces[0]).corners_mm)
    services.photo_ruler(by=site.by, photo=photo, ruler_mm=97.0)
    photo = photo_work(photo_id=photo.pk)
    after = np.array(mark_over(photo, snap, snap.pieces[0]).corners_mm)
    assert np.hypot(*(after[1] - after[0])) == pytest.approx(0.97 * np.hypot(*(before[1] - before[0])), rel=0.003)


def test_taped_size_measures_the_rest_anew(site):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg, ruler_mm=None)
    chest, other = mark_over(photo, snap, snap.pieces[2]), mark_over(photo, snap, snap.pieces[1])
    was = other.error_mm
    width, height = snap.pieces[2].width, snap.pieces[2].height
    changed = marks.mark_change(by=site.by, mark=chest, kind="console", taped_width_mm=width, taped_height_mm=height)
    other.refresh_from_db()
    assert changed.state == MarkState.ACCEPTED
    assert other.error_mm < was


def test_corner_dragged_askew_does_not_blur_the_rest(site, photo):
    snap = walls.snapshot()
    dragged, other = (mark_over(photo, snap, piece) for piece in snap.pieces[:2])
    was = other.error_mm
    corners = [list(corner) for corner in dragged.corners_px]
    corners[1][0] += 40
    marks.mark_change(by=site.by, mark=dragged, corners_px=corners)
    other.refresh_from_db()
    assert other.error_mm < 2 * was


def test_drawn_rectangle_is_measured_and_accepted(site, photo):
    snap = walls.snapshot()
    mark = marks.mark_draw(
        by=site.by, photo=photo, kind="sconce", corners_px=snap.at((400, 1300), (480, 1300), (480, 1200), (400, 1200))
    )
    levelled(site, photo, snap)
    mark.refresh_from_db()
    found = measured(photo, mark)
    assert mark.state == MarkState.ACCEPTED
    assert (found.rect.left, found.rect.bottom) == pytest.approx((400, 1200), abs=found.error_mm)


@pytest.mark.parametrize(
    "corners",
    [
        pytest.param([[0, 0], [10, 0]], id="two corners"),
        pytest.param([[0, 0], [100, 100], [100, 0], [0, 100]], id="crossed"),
        pytest.param([[0, 0], [100, 0], [100, 100], [0, float("nan")]], id="not a number"),
        pytest.param([[0, 0], [9_000, 0], [9_000, 100], [0, 100]], id="outside"),
        pytest.param("corners", id="words"),
    ],
)
def test_senseless_corners_are_refused(site, photo, corners):
    with pytest.raises(Invalid, match="inside the picture"):
        marks.mark_draw(by=site.by, photo=photo, kind="window", corners_px=corners)


def test_one_work_is_marked_once(site, photo):
    snap = walls.snapshot()
    first, second = (mark_over(photo, snap, piece) for piece in snap.pieces[:2])
    marks.mark_answer(by=site.by, mark=first, accept=True, artwork=site.works[0])
    with pytest.raises(Invalid, match="marked in this photograph already"):
        marks.mark_answer(by=site.by, mark=second, accept=True, artwork=site.works[0])


def test_yes_to_all_takes_only_what_a_work_was_matched_to(site, photo):
    snap = walls.snapshot()
    mark = mark_over(photo, snap, snap.pieces[0])
    PhotoMark.objects.filter(pk=mark.pk).update(artwork=None, rivals=[])
    matched = [one for one in photo.marks.all() if one.kind != "work" or (one.artwork_id and not one.rivals)]
    assert mark not in matched
    assert marks.marks_accept(by=site.by, photo=photo) == len(matched) > 0
    mark.refresh_from_db()
    assert mark.state == MarkState.OFFERED


def test_how_far_frames_stand_off_is_one_query_for_all_of_them(site, photo, django_assert_num_queries):
    work = site.works[0]
    PhotoMark.objects.filter(photo=photo).update(rivals=[work.pk], kind="work")
    some = list(photo.marks.all())
    assert len(some) > 1
    with django_assert_num_queries(1):
        assert depths_of_rivals(some) == {work.pk: work.depth_mm}
    with django_assert_num_queries(0):
        assert depths_of_rivals([]) == {}


def test_two_works_of_a_size_are_left_to_a_person(site):
    first = site.works[0]
    twin = ArtworkFactory(client=first.client, width_mm=first.width_mm, height_mm=first.height_mm, hang_kind="")
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    mark = mark_over(photo, snap, snap.pieces[0])
    assert {mark.artwork_id, *mark.rivals} == {first.pk, twin.pk}
    matched = [one for one in photo.marks.all() if one.kind != "work" or (one.artwork_id and not one.rivals)]
    assert marks.marks_accept(by=site.by, photo=photo) == len(matched) < photo.marks.count()
    mark.refresh_from_db()
    assert mark.state == MarkState.OFFERED
    answered = marks.mark_answer(by=site.by, mark=mark, accept=True, artwork=twin)
    assert (answered.artwork, answered.rivals) == (twin, [])


def test_only_what_was_accepted_counts(site, photo):
    snap = walls.snapshot()
    levelled(site, photo, snap)
    assert measured_marks(photo) == []
    marks.mark_answer(by=site.by, mark=mark_over(photo, snap, snap.pieces[0]), accept=True, artwork=site.works[0])
    marks.mark_answer(by=site.by, mark=mark_over(photo, snap, snap.pieces[1]), accept=False)
    assert [mark.mark.artwork for mark in measured_marks(photo)] == [site.works[0]]


def test_what_people_answered_survives_measuring_again(site, photo):
    snap = walls.snapshot()
    kept = mark_over(photo, snap, snap.pieces[0])
    marks.mark_answer(by=site.by, mark=kept, accept=True, artwork=site.works[0])
    services.photo_ruler(by=site.by, photo=photo, ruler_mm=100.0)
    photo = photo_work(photo_id=photo.pk)
    assert photo.marks.filter(artwork=site.works[0], state=MarkState.ACCEPTED).get() == kept


def test_nothing_is_marked_before_it_is_measured(site):
    photo = site.add(walls.snapshot().jpeg)
    with pytest.raises(WrongState, match="nothing to measure in yet"):
        marks.mark_draw(by=site.by, photo=photo, kind="window", corners_px=[[0, 0], [99, 0], [99, 99], [0, 99]])


def test_claimed_once(site):
    photo = site.add(walls.snapshot().jpeg)
    assert PHOTOGRAPHS.claim(photo.pk).attempts == 1
    assert photo_work(photo_id=photo.pk) is None


def test_worker_that_lost_its_lease_stores_nothing(site, monkeypatch):
    photo = site.add(walls.snapshot().jpeg)
    real = measuring.read_photo

    def slow(*args, **options):
        reading = real(*args, **options)
        Photo.objects.filter(pk=photo.pk).update(lease_owner="another")
        return reading

    monkeypatch.setattr(measuring, "read_photo", slow)
    assert photo_work(photo_id=photo.pk) is None
    photo.refresh_from_db()
    assert photo.state == RunState.RUNNING
    assert photo.camera is None
    assert not PhotoMark.objects.exists()


def test_deleted_with_its_files(site, django_capture_on_commit_callbacks):
    photo = site.add(walls.snapshot().jpeg)
    storage, name = photo.picture.storage, photo.picture.name
    with django_capture_on_commit_callbacks(execute=True):
        services.photo_delete(by=site.by, photo=photo)
    assert not storage.exists(name)
