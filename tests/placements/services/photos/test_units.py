"""What a photograph's refusals and readings quote is in the units of whoever reads it."""

from __future__ import annotations

import pytest
from django.urls import reverse

from placements.models import Photo, RunState
from placements.photogrammetry.errors import NotMeasurable, reworded
from placements.services.photos import checks, marks, measuring
from placements.services.photos import photo as services
from placements.services.photos.measuring import photo_work
from studio.errors import Invalid
from studio.units import Units
from tests.placements.services.photos import walls
from tests.placements.services.photos.walls import mark_over

pytestmark = pytest.mark.django_db


@pytest.fixture
def site(cast):
    return walls.make_measuring(cast)


def reads_in(person, style):
    person.unit_style = style
    person.save(update_fields=["unit_style"])


def test_refusal_is_worded_for_its_reader_then_or_later():
    refusal = NotMeasurable("{true} by tape, {seen} in the photograph.", true=1613.0, seen=1574.8)
    assert str(refusal) == "1613 mm by tape, 1575 mm in the photograph."
    assert refusal.worded(Units("in")) == "63½″ by tape, 62″ in the photograph."
    assert reworded(refusal.kept(), Units("cm")) == "161.3 cm by tape, 157.5 cm in the photograph."
    assert reworded(refusal.kept(), Units("ft_in")) == "5′ 3½″ by tape, 5′ 2″ in the photograph."


def test_message_without_lengths_keeps_its_braces():
    assert str(NotMeasurable("a {brace}")) == NotMeasurable("a {brace}").kept() == "a {brace}"


@pytest.mark.parametrize(
    ("style", "size", "ruler"),
    [
        pytest.param("in", "between 0¹³⁄₁₆″ and 3937″", "60 mm (2⅜″)", id="inches"),
        pytest.param("cm", "between 2 cm and 10000 cm", "60 mm is no print", id="metric"),
    ],
)
def test_sizes_and_rulers_are_refused_in_the_readers_units(style, size, ruler):
    with pytest.raises(Invalid) as refused:
        checks.expect_size("width_mm", 1.0, Units(style))
    assert size.replace("0¹³", "¹³") in refused.value.detail
    with pytest.raises(Invalid) as refused:
        checks.expect_ruler(60.0, Units(style))
    assert ruler in refused.value.detail


def test_slip_of_the_tape_is_told_in_the_readers_units(site):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    chest = mark_over(photo, snap, snap.pieces[2])
    slip = {"taped_width_mm": 2000.0, "taped_height_mm": 600.0}
    for style, says in (("in", "78¾″ by tape"), ("cm", "200 cm by tape")):
        reads_in(site.by, style)
        with pytest.raises(Invalid, match=says):
            marks.mark_change(by=site.by, mark=photo.marks.get(pk=chest.pk), **slip)


def test_refusal_of_the_background_is_told_to_each_reader_in_theirs(site, client_of, monkeypatch):
    photo = site.add(walls.snapshot().jpeg)

    def contradicts(*args, **options):
        raise NotMeasurable("The door is {true} by tape.", true=2032.0)

    monkeypatch.setattr(measuring, "read_photo", contradicts)
    assert photo_work(photo_id=photo.pk).state == RunState.FAILED
    for style, says in (("in", "The door is 80″ by tape."), ("mm", "The door is 2032 mm by tape.")):
        reads_in(site.by, style)
        assert says in client_of(site.by).get(reverse("photo", args=[photo.pk])).content.decode()


def test_wall_that_contradicts_when_measured_again_is_told_not_crashed(site):
    """The wall's length is taped, too: a new ruler that contradicts it is a refusal to read, not a fault of ours."""
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    left, right = snap.at((0, 0), (walls.LENGTH_MM, 0))
    services.photo_level(by=site.by, photo=photo, left_px=left, right_px=right)
    services.photo_ruler(by=site.by, photo=photo, ruler_mm=88.0)
    photo = photo_work(photo_id=photo.pk)
    assert photo.state == RunState.FAILED
    assert "The wall between its corners is {3000.0 mm} by tape" in Photo.objects.get().error
