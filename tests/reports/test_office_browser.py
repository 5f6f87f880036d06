"""The office in a real browser: sheets drawn without a reload, a job issued, watched and closed."""

from __future__ import annotations

import io
import os
import uuid
from pathlib import Path

import pypdf
import pytest
from django.utils import timezone

from reports.models import Job, JobLink, Report
from reports.rendering import SHEETS, draw
from reports.services.actions import action_store
from reports.services.jobs import job_issue
from tests.browsing import barriers, opened, shot
from tests.factories import INCH
from tests.pictures import jpeg
from tests.reports.signing import signed_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_sheets_are_asked_for_watched_and_fetched(new_page, cast):
    house = signed_house(cast)
    page = new_page(cast.designer)
    page.goto(f"/revisions/{house.revision.pk}/sheets/")
    page.get_by_text("No sheets yet.").wait_for()
    page.evaluate("() => { window.stayed = true }")
    page.get_by_role("button", name="Draw the sheets").click()
    page.get_by_text("Waiting its turn…").wait_for()
    shot(page, "sheets-waiting")
    assert SHEETS.carry_out(SHEETS.claim(), draw)
    page.get_by_text("Ready").wait_for()
    assert page.evaluate("() => window.stayed")  # no reload
    shot(page, "sheets-ready")
    with page.expect_download() as download:
        page.get_by_role("link", name="Download the PDF").click()
    assert download.value.suggested_filename == "Marlow house r3 install letter.pdf"
    content = Path(download.value.path()).read_bytes()
    assert "Marlow house" in pypdf.PdfReader(io.BytesIO(content)).pages[0].extract_text()


def test_a_failed_sheet_says_why_and_is_tried_again(new_page, cast):
    house = signed_house(cast, pictures=False)
    page = new_page(cast.designer)
    page.goto(f"/revisions/{house.revision.pk}/sheets/")
    page.get_by_role("button", name="Draw the sheets").click()
    page.get_by_text("Waiting its turn…").wait_for()
    Report.objects.update(state="failed", error="The disk that keeps the sheets is full.")
    page.get_by_text("The disk that keeps the sheets is full.").wait_for()
    shot(page, "sheets-failed")
    page.get_by_role("button", name="Try again").click()
    page.get_by_text("Waiting its turn…").wait_for()
    assert Report.objects.get().state == "queued"


def test_a_job_is_issued_watched_and_closed(new_page, cast):
    house = signed_house(cast)
    page = new_page(cast.coordinator)
    page.goto(f"/revisions/{house.revision.pk}/sheets/")
    page.get_by_label("Who hangs it").fill("H. Ladder")
    page.get_by_label("Note for the hanger").fill("Dust sheets in the hall.")
    page.get_by_role("button", name="Issue the job").click()
    page.get_by_role("heading", name="The hanger's link").wait_for()
    address = page.locator(".address").inner_text()
    assert "/h/#" in address
    shot(page, "job-issued")
    job = Job.objects.get()
    page.goto(f"/jobs/{job.pk}/")
    assert address.partition("#")[2] not in page.content()  # shown once
    page.get_by_text("0 of 4").first.wait_for()
    send = sender(JobLink.objects.filter(job=job, report=None).get())
    for placement in house.placements:
        send("up", placement)
    send("measured", house.placements[2], {"left_mm": 58.5 * INCH, "top_left_mm": 66 * INCH})
    send("problem", house.placements[1], {"what": "no_stud", "note": "Plaster on brick here"}, photo=jpeg("#884422"))
    send("photo", house.placements[0], photo=jpeg("#446688"))
    page.get_by_text("Beyond tolerance:").wait_for()  # no reload: the board asks by itself
    page.get_by_text("No stud here").wait_for()
    page.get_by_text("4 of 4").first.wait_for()
    shot(page, "job-board")
    page.reload()
    page.get_by_role("button", name="Close the job").click()
    page.get_by_text("Close-out record").wait_for()
    while (report := SHEETS.claim()) is not None:
        assert SHEETS.carry_out(report, draw)
    page.get_by_role("link", name="Download the PDF").first.wait_for()
    record = Report.objects.get(kind="close_out")
    with record.file.open("rb") as file:
        content = file.read()
    if os.environ.get("SCREENSHOTS"):
        Path(os.environ["SCREENSHOTS"], "close-out.pdf").write_bytes(content)
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)
    for said in ("As hung, by tape", "4 of 4 pieces up", "move left by ½″", "Plaster on brick here", "H. Ladder"):
        assert said in text
    shot(page, "sheets-closed")


def sender(link):
    def send(kind, placement, payload=None, photo=None):
        action_store(
            link=link, identity=uuid.uuid4(), device="phone-one", sequence=link.job.actions.count() + 1, kind=kind,
            placement_id=placement.pk, payload=payload or {}, done_at=timezone.now(), photo=photo,
        )  # fmt: skip

    return send


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_serious_for_axe(new_page, cast, scheme):
    house = signed_house(cast, pictures=False)
    issued = job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")
    sender(issued.link)("problem", house.placements[1], {"what": "no_stud", "note": ""})
    page = new_page(cast.coordinator, color_scheme=scheme)
    faults = []
    for path in (f"/revisions/{house.revision.pk}/sheets/", "/jobs/", f"/jobs/{issued.job.pk}/"):
        faults += [f"{path}: {barrier}" for barrier in barriers(opened(page, path))]
    assert faults == []
