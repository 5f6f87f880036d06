"""A hanger's photograph with the card in it: measured by itself against the plan, shown on phone and in office."""

from __future__ import annotations

import io
import uuid
from functools import cache

import cv2
import numpy as np
import pypdf
import pytest
from django.utils import timezone

from placements.models import MarkState, Photo, RunState
from placements.photogrammetry.camera import View
from placements.photogrammetry.card import Card
from placements.services.photos import marks
from placements.services.photos.measuring import photo_work
from reports.models import JobAction
from reports.producing import produce
from reports.selectors import job_board, job_for_phone
from reports.services.actions import action_store
from reports.services.jobs import job_issue
from reports.services.sheets import report_request
from studio.errors import Invalid
from studio.models import Artwork
from tests.factories import INCH
from tests.placements.photogrammetry.synthetic import Piece, camera_at, render
from tests.reports.signing import signed_house

pytestmark = pytest.mark.django_db

VIEW = View(2800, 2100)
#: The card's lower left corner on the wall [mm], under the pieces.
CARD_AT = (1700.0, 900.0)
RAISED_MM = 16.0


@cache
def photograph(*, card: bool = True, pieces: bool = True, reach: float = 620.0) -> bytes:
    """Two of the east wall's three pieces: Marram hangs 16 mm high, the study beside it as planned."""
    rng = np.random.default_rng(3)
    middles = ((68 * INCH, 58 * INCH + RAISED_MM), (90.5 * INCH, 58 * INCH))
    camera = camera_at(rng, VIEW, (1950.0, 1290.0), reach, tilt_deg=10, distortion=0.03)
    shot = render(
        rng,
        VIEW,
        camera,
        window=(300, -300, 3900, 2700),
        pieces=[Piece(x, y, 20 * INCH, 16 * INCH, picture=(90, 120, 70)) for x, y in middles] if pieces else [],
        cards=[(Card("letter", 1), *CARD_AT, 0.0)] if card else [],
        resolution=1.2,
    )
    return cv2.imencode(".jpg", shot.pixels, [cv2.IMWRITE_JPEG_QUALITY, 90])[1].tobytes()


@pytest.fixture
def house(cast):
    house = signed_house(cast, pictures=False)
    # The picture shows them painted on the wall, as thin as paper.
    Artwork.objects.filter(pk__in=[work.pk for work in house.works]).update(depth_mm=0.2)
    return house


@pytest.fixture
def issued(cast, house):
    return job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")


@pytest.fixture
def marram(house):
    return house.placements[2]


@pytest.fixture
def send(issued, marram):
    def store(content, *, identity=None, **payload):
        return action_store(
            link=issued.link,
            identity=identity or uuid.uuid4(),
            device="phone-one",
            sequence=JobAction.objects.count() + 1,
            kind="photo",
            placement_id=marram.pk,
            payload={"card_left_mm": CARD_AT[0], "card_bottom_mm": CARD_AT[1], "ruler_mm": 100} | payload,
            done_at=timezone.now(),
            photo=content,
        )

    return store


def row_of(issued, placement):
    return next(row for row in job_board(issued.job).rows if row.piece.work.title == placement.artwork.title)


def on_phone(issued, placement):
    return next(one["by_photo"] for one in job_for_phone(issued.job)["pieces"] if one["placement"] == placement.pk)


def test_piece_that_hangs_high_is_flagged_with_direction_and_amount(send, issued, marram, house, cast):
    send(photograph())
    photo = Photo.objects.get()
    assert (photo.purpose, photo.placement, photo.wall) == ("as_hung", marram, marram.wall)
    assert on_phone(issued, marram) == {"text": "being measured", "conclusive": False, "off": False, "waiting": True}
    assert job_board(issued.job).beyond == 0

    assert photo_work(photo_id=photo.pk).state == RunState.READY, Photo.objects.get().error
    reading = row_of(issued, marram).by_photo
    assert reading.off
    assert reading.text.startswith("lower by ")
    assert job_board(issued.job).beyond == 1
    assert on_phone(issued, marram)["text"] == reading.text
    told = cast.designer.notices.get().text
    assert told == f"Marlow house: Marram hangs off its plan by photograph: {reading.text}"

    # The piece beside it is recognised by its place, twin though it is, and still waits for somebody's yes.
    study = house.placements[1]
    beside = photo.marks.get(artwork=study.artwork)
    assert (beside.state, row_of(issued, study).by_photo) == (MarkState.OFFERED, None)
    marks.mark_answer(by=cast.designer, mark=beside, accept=True, artwork=study.artwork)
    assert not row_of(issued, study).by_photo.off


def test_the_close_out_record_tells_what_photographs_told(send, issued, marram, cast):
    send(photograph())
    photo_work(photo_id=Photo.objects.get().pk)
    report = report_request(by=cast.coordinator, revision=marram.revision, kind="close_out", job=issued.job)
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(produce(report).content)).pages)
    said = " ".join(text.split())
    assert "0 measured by tape, 1 read from photographs, 1 beyond tolerance" in said
    assert row_of(issued, marram).by_photo.text.partition(";")[0] in said


def test_sent_twice_is_measured_once(send, issued):
    identity = uuid.uuid4()
    assert not send(photograph(), identity=identity).already
    assert send(photograph(), identity=identity).already
    photo = Photo.objects.get()
    assert photo_work(photo_id=photo.pk)
    assert photo_work(photo_id=photo.pk) is None  # the second message finds nothing to do
    photo.refresh_from_db()
    assert photo.attempts == 1


def test_photograph_without_the_card_says_what_to_do(send, issued, marram):
    send(photograph(card=False))
    photo_work(photo_id=Photo.objects.get().pk)
    for text in (row_of(issued, marram).by_photo.text, on_phone(issued, marram)["text"]):
        assert text.startswith("not measured. The reference card cannot be read")
        assert "take the picture again" in text
    assert job_board(issued.job).beyond == 0


def test_photograph_from_too_far_says_that_it_cannot_tell(send, issued, marram, cast):
    send(photograph(reach=1300.0), ruler_mm=None)
    photo_work(photo_id=Photo.objects.get().pk)
    reading = row_of(issued, marram).by_photo
    assert (reading.conclusive, reading.off) == (False, False)
    assert "too coarse" in reading.text
    assert not cast.designer.notices.exists()


def test_photograph_without_the_piece_says_so(send, issued, marram):
    send(photograph(pieces=False))
    photo_work(photo_id=Photo.objects.get().pk)
    assert "frame was not found" in row_of(issued, marram).by_photo.text


@pytest.mark.parametrize(
    ("payload", "where"),
    [
        pytest.param({"card_left_mm": None}, "payload.card_left_mm", id="half a place"),
        pytest.param({"card_bottom_mm": 9000}, "payload.card_bottom_mm", id="above the wall"),
        pytest.param({"ruler_mm": 60}, "payload.ruler_mm", id="no print"),
    ],
)
def test_card_that_cannot_be_there_is_refused_and_nothing_is_kept(send, payload, where):
    with pytest.raises(Invalid) as refusal:
        send(photograph(), **payload)
    assert refusal.value.faults[0]["where"] == where
    assert not Photo.objects.exists()
    assert not JobAction.objects.exists()


def test_ordinary_photo_is_only_kept(send):
    send(photograph(), card_left_mm=None, card_bottom_mm=None)
    assert JobAction.objects.get().photo
    assert not Photo.objects.exists()
