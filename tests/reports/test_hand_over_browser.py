"""On the phone, without a signal: problems solved, conditions marked, pieces off the van, and the works handed over."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from reports.models import JobAction
from reports.services.jobs import job_issue
from tests.browsing import barriers, shot, too_wide, until
from tests.pictures import jpeg
from tests.reports.signing import signed_house
from tests.reports.test_phone_browser import PHONE, kept_on_the_phone, opened

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def issued(cast):
    return job_issue(by=cast.coordinator, revision=signed_house(cast).revision, hanger_name="H. Ladder")


def draw_a_name(page):
    """Two strokes of a finger in the box."""
    pad = page.get_by_role("img", name="Box for the signature")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    for start, end in (((0.1, 0.6), (0.5, 0.3)), ((0.6, 0.4), (0.9, 0.7))):
        page.mouse.move(box["x"] + start[0] * box["width"], box["y"] + start[1] * box["height"])
        page.mouse.down()
        page.mouse.move(box["x"] + end[0] * box["width"], box["y"] + end[1] * box["height"], steps=8)
        page.mouse.up()


def test_the_works_are_handed_over_without_a_signal(new_page, issued, browser_faults):
    page = opened(new_page(**PHONE), issued)
    page.get_by_text("All sent.").wait_for()
    kept_on_the_phone(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Hand over").click()
    page.get_by_role("heading", name="Hand over").wait_for()
    page.get_by_role("button", name="Sign for it").click()  # nothing is looked at, so nothing is signed
    looked = page.get_by_label("I have looked at this wall")
    expect(looked).to_have_count(2)
    for number in range(2):
        looked.nth(number).check()
    page.get_by_label("Your name").fill("A. Alder")
    page.get_by_role("button", name="Sign for it").click()
    expect(page.get_by_text("Sign with a finger in the box first.")).to_be_visible()
    draw_a_name(page)
    shot(page, "hand-over")
    assert too_wide(page) <= 0
    assert barriers(page) == []
    page.reload()  # what is looked at, typed and drawn stays
    page.get_by_role("button", name="Hand over").click()
    expect(page.get_by_label("Your name")).to_have_value("A. Alder")
    assert len(page.locator(".signing path").get_attribute("d")) > 40
    page.get_by_role("button", name="Sign for it").click()
    page.get_by_text("Signed by A. Alder").wait_for()
    page.context.set_offline(False)
    page.get_by_text("Handed over to A. Alder").wait_for()
    action = JobAction.objects.get()
    assert (action.kind, action.placement_id) == ("handed_over", None)
    assert action.payload["sha256"] == issued.job.revision.sha256
    assert len(action.payload["strokes"]) == 2
    assert min(map(len, action.payload["strokes"])) > 3
    browser_faults.clear()


def test_what_is_found_is_noted_and_what_was_wrong_is_solved(new_page, issued):
    page = opened(new_page(**PHONE), issued)
    page.get_by_text("All sent.").wait_for()
    kept_on_the_phone(page)
    page.get_by_text("Off the van", exact=True).click()
    page.get_by_label("Who takes them off the van").fill("Odd Hand")
    page.get_by_label("1, Slack water").check()
    page.get_by_role("button", name="They are off the van").click()
    page.get_by_text("taken off by Odd Hand").wait_for()
    page.get_by_role("button", name="Slack water").click()
    page.get_by_text("Condition", exact=True).click()
    page.get_by_label("A mark or damage").check()
    page.get_by_label("In words").fill("Corner rubbed")
    box = page.get_by_alt_text("The piece, to be marked").bounding_box()
    page.mouse.click(box["x"] + box["width"] * 0.25, box["y"] + box["height"] * 0.75)
    shot(page, "condition")
    page.get_by_role("button", name="Note the condition").click()
    page.get_by_text("At unpacking: a mark or damage (Corner rubbed), 1 marked on the picture.").wait_for()
    page.get_by_text("Report a problem").click()
    page.get_by_label("No stud here").check()
    page.get_by_role("button", name="Report it").click()
    solve = page.locator(".notice summary", has_text="It is solved")
    solve.click()
    page.get_by_label("How was it solved?").fill("Two toggles.")
    page.get_by_role("button", name="It is solved").click()
    page.get_by_text("No stud here. Solved: Two toggles.").wait_for()
    files = [{"name": f"{n}.jpg", "mimeType": "image/jpeg", "buffer": jpeg()} for n in range(3)]
    page.get_by_label("From the gallery").set_input_files(files)
    page.get_by_role("heading", name="Photos: 3").wait_for()
    shot(page, "noted")
    page.get_by_text("All sent.").wait_for()
    until(page, lambda: JobAction.objects.count() == 7)
    kinds = list(JobAction.objects.order_by("sequence").values_list("kind", flat=True))
    assert kinds == ["unloaded", "condition", "problem", "solved", "photo", "photo", "photo"]
    (mark,) = JobAction.objects.get(kind="condition").payload["marks"]
    assert abs(mark[0] - 250) <= 10
    assert abs(mark[1] - 750) <= 10
    assert {one.payload["when"] for one in JobAction.objects.filter(kind="photo")} == {"before"}


def test_times_are_by_the_clock_of_the_place(new_page, issued):
    """A phone that is set to another zone shows when it was hung there."""
    project = issued.job.revision.plan.project
    project.time_zone = "Pacific/Auckland"
    project.save()
    page = opened(new_page(**PHONE, timezone_id="America/Los_Angeles"), issued)
    page.get_by_text("All sent.").wait_for()
    shown, there = page.evaluate(
        """() => [document.querySelector(".signal").textContent, new Date().toLocaleTimeString(
          [], { hour: "2-digit", minute: "2-digit", timeZone: "Pacific/Auckland" }).slice(0, 2)]"""
    )
    assert f"Job fetched {there}" in shown


def test_a_drawing_is_enlarged_by_two_fingers_and_by_a_button(new_page, issued):
    page = opened(new_page(**PHONE), issued)
    page.get_by_role("button", name="Slack water").click()
    drawing = page.locator(".drawing svg").first
    whole = drawing.get_attribute("viewBox")
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    middle, down = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    touch = page.context.new_cdp_session(page)

    def fingers(kind, apart):
        points = [{"x": middle - apart, "y": down, "id": 1}, {"x": middle + apart, "y": down, "id": 2}]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points if apart else []})

    fingers("touchStart", 20)
    for apart in (30, 45, 60):
        fingers("touchMove", apart)
    fingers("touchEnd", 0)
    wide = float(drawing.get_attribute("viewBox").split()[2])
    assert wide < float(whole.split()[2]) / 2
    shot(page, "enlarged")
    page.get_by_role("button", name="Whole wall").click()
    assert [float(one) for one in drawing.get_attribute("viewBox").split()] == [float(one) for one in whole.split()]
    page.get_by_role("button", name="Enlarge").click()
    assert float(drawing.get_attribute("viewBox").split()[2]) == pytest.approx(float(whole.split()[2]) / 2)


def test_the_next_measure_is_read_aloud_where_it_was_asked_for(new_page, issued):
    page = new_page(**PHONE)
    page.add_init_script(
        """window.said = [];
        const speech = { cancel() {}, speak: (one) => said.push(one.text) };
        Object.defineProperty(window, "speechSynthesis", { value: speech });"""
    )
    opened(page, issued)
    page.get_by_role("button", name="Slack water").click()
    assert page.evaluate("said") == []
    page.get_by_role("button", name="All pieces").click()
    page.get_by_role("button", name="Reading measures aloud: off").click()
    page.get_by_role("button", name="Slack water").click()
    page.get_by_role("button", name="Say it again").click()
    first, again = page.evaluate("said")
    assert first == again
    assert first.startswith("Piece 1. Hook 1 a.")
    assert "inches from the left end" in first
