"""A photograph to measure by, taken on the hanger's phone with no signal: sent whole, measured once, told there."""

from __future__ import annotations

import pytest

from placements.models import Photo
from placements.services.photos.measuring import photo_work
from reports.models import JobAction
from reports.services.jobs import job_issue
from tests.browsing import shot
from tests.reports.signing import signed_house
from tests.reports.test_measured_photos import photograph
from tests.reports.test_phone_browser import PHONE, kept_on_the_phone, opened

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def issued(cast):
    return job_issue(by=cast.coordinator, revision=signed_house(cast).revision, hanger_name="H. Ladder")


def test_photo_taken_without_a_signal_is_measured_once_when_it_returns(new_page, issued, browser_faults):
    page = opened(new_page(**PHONE), issued)
    kept_on_the_phone(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Marram").click()
    page.get_by_text("Measure by photo").click()
    page.get_by_label("Card's left edge from the wall's left end").fill("1700 mm")
    page.get_by_label("Card's lower edge from the floor").fill("900 mm")
    page.get_by_label("The card's printed ruler measures 100 mm").check()
    page.get_by_label("Take the photo").set_input_files(
        [{"name": "IMG_1.JPG", "mimeType": "image/jpeg", "buffer": photograph()}]
    )
    page.get_by_text("Photo taken. Take another").wait_for()
    shot(page, "phone-photo-form")
    page.get_by_role("button", name="Send it to be measured").click()
    page.get_by_text("By photo: waits to be sent and measured.").wait_for()
    assert not JobAction.objects.exists()

    browser_faults.clear()  # without a signal every request fails
    page.context.set_offline(False)
    page.get_by_text("By photo: being measured.").wait_for(timeout=30_000)
    photo = Photo.objects.get()
    assert (photo.width_px, photo.height_px) == (2800, 2100)  # not made small on the phone
    assert JobAction.objects.count() == 1
    photo_work(photo_id=photo.pk)
    page.reload()
    page.get_by_role("button", name="Marram").click()
    page.get_by_text("By photo: lower by").wait_for(timeout=30_000)
    shot(page, "phone-photo-told")
    assert Photo.objects.count() == 1
