"""Problems are solved with a word, conditions noted, works handed over; the record says as hung of measures alone."""

from __future__ import annotations

import io
import uuid

import pypdf
import pytest
from django.urls import reverse

from reports.contexts.handover import signature_path
from reports.models import JobAction, Report
from reports.producing import produce
from reports.selectors import job_board, job_for_phone, jobs_of
from reports.services.jobs import job_issue
from reports.services.sheets import report_request
from studio.errors import Invalid
from tests.factories import INCH, Placement, RevisionFactory
from tests.pictures import jpeg
from tests.reports.sheets import structure
from tests.reports.signing import sign

pytestmark = pytest.mark.django_db
STROKES = [[[100, 200], [300, 120], [480, 260]], [[700, 200]]]


@pytest.fixture
def over(house):
    """What a phone sends when somebody takes over what hangs."""
    return {
        "name": "A. Alder",
        "sha256": house.revision.sha256,
        "walls": ["sitting/north", "north", "east", *(wall.code for wall in house.walls)],
        "strokes": STROKES,
        "note": "The lamp comes on Monday.",
    }


def record_of(cast, house, issued) -> str:
    report = report_request(by=cast.coordinator, revision=house.revision, kind="close_out", job=issued.job)
    pdf = produce(Report.objects.get(pk=report.pk))
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf.content)).pages).split())


def test_a_problem_is_solved_with_a_word_and_stays_in_the_record(cast, client_of, send, house, issued):
    of_piece = send("problem", house.placements[0], {"what": "no_stud"}).action
    of_job = send("problem", None, {"what": "other", "note": "No lift."}).action
    for placement, payload, where in (
        (house.placements[0], {"problem": str(of_piece.uuid)}, "payload.note"),
        (house.placements[1], {"problem": str(of_piece.uuid), "note": "Done"}, "payload.problem"),
        (None, {"problem": "none", "note": "Done"}, "payload.problem"),
        (None, {"problem": str(uuid.uuid4()), "note": "Done"}, "payload.problem"),
    ):
        with pytest.raises(Invalid) as refusal:
            send("solved", placement, payload)
        assert refusal.value.faults[0]["where"] == where
    assert job_board(issued.job).problem_count == jobs_of(cast.studio)[0].problem_count == 2
    send("solved", house.placements[0], {"problem": str(of_piece.uuid), "note": "Two toggles instead."})
    send("solved", None, {"problem": str(of_job.uuid), "note": "Carried up."})
    again = send("solved", None, {"problem": str(of_job.uuid), "note": "Stairs."}, device="phone-two").action
    assert again.conflict == "It had been solved before: Carried up."
    assert job_board(issued.job).problem_count == jobs_of(cast.studio)[0].problem_count == 0
    page = client_of(cast.coordinator).get(reverse("job", args=[issued.job.pk])).content.decode()
    record = record_of(cast, house, issued)
    phone = job_for_phone(issued.job)
    assert phone["job_problems"][0]["solved"] == "Carried up."
    assert phone["pieces"][0]["state"]["problems"][0]["solved"] == "Two toggles instead."
    for said in ("No stud here", "Two toggles instead.", "No lift.", "Carried up."):
        assert said in page
        assert said in record


@pytest.mark.parametrize(
    ("spoilt", "where"),
    [
        ({"name": "  "}, "payload.name"),
        ({"sha256": "0" * 64}, "payload.sha256"),
        ({"walls": ["north"]}, "payload.walls"),
        ({"walls": None}, "payload.walls"),
        ({"strokes": []}, "payload.strokes"),
        ({"strokes": [[]]}, "payload.strokes"),
        ({"strokes": [[[1001, 3]]]}, "payload.strokes"),
        ({"strokes": [["ab"]]}, "payload.strokes"),
        ({"strokes": [[[1, 2, 3]]]}, "payload.strokes"),
        ({"strokes": [[[1, 2]] * 6001]}, "payload.strokes"),
    ],
)
def test_a_signature_that_is_none_is_refused(send, over, spoilt, where):
    with pytest.raises(Invalid) as refusal:
        send("handed_over", None, over | spoilt)
    assert refusal.value.faults[0]["where"] == where
    assert not JobAction.objects.exists()


def test_a_hand_over_says_who_when_which_record_and_how_the_job_stood(cast, client_of, send, house, issued, over):
    send("up", house.placements[0])
    send("problem", None, {"what": "other"})
    stored = send("handed_over", None, over).action
    assert (stored.payload["up"], stored.payload["count"], stored.payload["unsolved"]) == (1, 4, 1)
    page = client_of(cast.coordinator).get(reverse("job", args=[issued.job.pk])).content.decode()
    assert f'd="{signature_path(STROKES)}"' in page
    assert "Handed over to A. Alder" in " ".join(page.replace("<b>", "").replace("</b>", "").split())
    record = record_of(cast, house, issued)
    assert "A. Alder" in record
    assert house.revision.sha256 in record.replace(" ", "")
    assert "1 of 4 pieces up, 1 problem to solve. The lamp comes on Monday." in record
    assert cast.coordinator.notices.filter(text__endswith="handed over to A. Alder").exists()
    (said,) = job_for_phone(issued.job)["handed_over"]
    assert (said["name"], said["up"]) == ("A. Alder", 1)


def test_strokes_are_drawn_as_they_were_made():
    assert signature_path(STROKES) == "M100 200L300 120L480 260M700 200L700 200"


def test_nothing_is_called_as_hung_that_was_not_measured(cast, send, house, issued):
    for placement in house.placements:
        send("up", placement)
    planned = record_of(cast, house, issued)
    assert "as hung" not in planned.lower()
    assert planned.count("as planned, not measured") == len(house.placements)
    # Its plan is left 58 in, top 66 in: half an inch to the right is beyond the house's quarter of an inch.
    send("measured", house.placements[2], {"left_mm": 58.5 * INCH, "top_left_mm": 66 * INCH})
    taped = record_of(cast, house, issued)
    assert "As hung, by tape: 3. As planned, not measured: 2 and 4." in taped
    assert "move left by ½″" in taped
    assert taped.count("as planned, not measured") == len(house.placements) - 1
    assert "As planned, not measured: 1." in taped


def test_the_record_shows_the_works_their_fixings_conditions_and_hours(cast, send, house, issued, over):
    for number, work in enumerate(house.works):
        work.picture.save(f"{number}.jpg", io.BytesIO(jpeg("#667788")))
    first = house.placements[0]
    send("unloaded", first, {"by": "Odd Hand"})
    send("condition", first, {"when": "unpacked", "found": "marked", "note": "Corner rubbed", "marks": [[20, 980]]})
    send("condition", first, {"when": "hung", "found": "sound"}, photo=jpeg())
    send("up", first)
    send("photo", None, {"when": "after"}, photo=jpeg())
    send("handed_over", None, over)
    report = report_request(by=cast.coordinator, revision=house.revision, kind="close_out", job=issued.job)
    pdf = produce(Report.objects.get(pk=report.pk))
    record = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf.content)).pages).split())
    for said in ("Odd Hand: 1", "At unpacking: a mark or damage (Corner rubbed)", "After hanging: as it should be",
                 "closed hook", "First note", "The job", "after hanging"):  # fmt: skip
        assert said in record, said
    assert "sawtooth" not in record  # of what is up alone
    alternatives = [str(node.get("/Alt", "")) for kind, node in structure(pdf.content) if kind == "/Figure"]
    assert all(alternatives)
    assert "Signature of A. Alder" in alternatives
    assert any("1 marked on its picture" in text for text in alternatives)
    for page in pypdf.PdfReader(io.BytesIO(pdf.content)).pages[1:3]:
        assert page.images  # the works as they hang


@pytest.mark.parametrize(
    ("payload", "where"),
    [
        ({"when": "later", "found": "sound"}, "payload.when"),
        ({"when": "hung", "found": "fine"}, "payload.found"),
        ({"when": "hung", "found": "marked", "marks": [[1, 1001]]}, "payload.marks"),
        ({"when": "hung", "found": "marked", "marks": [[1, 1]] * 31}, "payload.marks"),
        ({"when": "hung", "found": "marked", "marks": "here"}, "payload.marks"),
    ],
)
def test_a_condition_that_is_none_is_refused(send, house, payload, where):
    with pytest.raises(Invalid) as refusal:
        send("condition", house.placements[0], payload)
    assert refusal.value.faults[0]["where"] == where


def test_who_took_it_off_the_van_is_asked_once(send, house, issued):
    assert send("unloaded", house.placements[0], {"by": "Odd Hand"}).action.conflict == ""
    other = send("unloaded", house.placements[0], {"by": "Tall Hand"}, device="phone-two").action
    assert other.conflict == "It had been taken off the van by Odd Hand."
    with pytest.raises(Invalid):
        send("unloaded", house.placements[1], {"by": ""})


def test_a_new_revision_takes_over_what_is_up_and_right_and_says_what_changes(cast, client_of, send, house, issued):
    first, second, third, last = house.placements
    for placement in (first, second, third):
        send("up", placement)
    send("measured", second, {"left_mm": 81 * INCH, "top_left_mm": 66 * INCH})  # half an inch off the plan of 80.5
    send("drop", last, {"drop_mm": 55.0, "apart_mm": 0.0})
    newer = RevisionFactory(plan=house.revision.plan, number=4)
    for old, moved in zip(house.placements, (0, 0.5, 2, 0), strict=True):  # the second is planned where it hangs
        Placement.objects.create(
            revision=newer, wall=old.wall, artwork=old.artwork, left_mm=old.left_mm + moved * INCH,
            bottom_mm=old.bottom_mm, order=old.order,
        )  # fmt: skip
    sign(newer, cast)
    again = job_issue(by=cast.coordinator, revision=newer, hanger_name="H. Ladder")
    phone = job_for_phone(again.job)
    states = {piece["title"]: piece["state"] for piece in phone["pieces"]}
    assert {title: state["up"] for title, state in states.items()} == {
        "Slack water": True, "Quarry, study": True, "Marram": False, "Three terraces": False,
    }  # fmt: skip
    assert states["Slack water"]["carried"] == 3
    assert states["Quarry, study"]["measured"]["within"]
    assert states["Three terraces"]["drop_mm"] == 55.0
    carried = phone["carried"]
    assert (carried["revision"], len(carried["numbers"])) == (3, 2)
    assert [change for wall in carried["walls"] for change in wall["changes"]] == [
        "Quarry, study moves ½″ right.", "Marram moves 2″ right.",
    ]  # fmt: skip
    again.job.refresh_from_db()
    assert (again.job.started_at, again.job.finished_at) == (None, None)
    page = client_of(cast.coordinator).get(reverse("job", args=[again.job.pk])).content.decode()
    assert "as in revision 3" in page
    report = report_request(by=cast.coordinator, revision=newer, job=again.job)
    pdf = produce(Report.objects.get(pk=report.pk))
    cover = " ".join(pypdf.PdfReader(io.BytesIO(pdf.content)).pages[0].extract_text().split())
    assert "What changes from revision 3 Hanging right already: 1, 2." in cover
    assert "Sitting room, East wall: Quarry, study moves ½″ right. Marram moves 2″ right." in cover


def test_a_piece_that_the_job_does_not_have_has_no_problem(send):
    other = Placement(pk=987654)
    with pytest.raises(Invalid, match="not in the job"):
        send("problem", other, {"what": "other"})
