"""A plan from draft to close-out through the pages, in the three roles, and the principal's queue by keys alone."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from placements.models import Decision, Revision, SignOff
from placements.services import moves, plans, review
from placements.services.walls import Edit
from placements.snapshots import verify
from studio.models import WallItem
from tests.browsing import barriers, opened, too_wide
from tests.factories import INCH, ArtworkFactory, ItemFactory, ProjectFactory, RoomFactory, WallFactory
from tests.placements import reviewing, stub_engine
from tests.placements.hands import in_hand, taken_up

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def plan(cast):
    """Ten sofa walls, each with a painting 12 in above the sofa where 6 to 10 in belong: ten exceptions."""
    project = ProjectFactory(client__studio=cast.studio, designer=cast.designer, name="Ten walls")
    revision = plans.revision_open(by=cast.designer, project=project)
    for index in range(10):
        # A room each: two focal sofas in one room would be findings of their own.
        wall = WallFactory(room=RoomFactory(project=project, name=f"Room {index + 1}"), name=f"Wall {index + 1}")
        ItemFactory(wall=wall)
        moves.placement_place(
            edit=Edit(cast.designer),
            hand=in_hand(revision, wall),
            artwork=ArtworkFactory(client=project.client, title=f"Study {index + 1}"),
            left_mm=56 * INCH,
            bottom_mm=46 * INCH,
        )
    return revision


def test_a_plan_walks_from_draft_to_close_out_in_three_roles(plan, cast, new_page):
    designer = new_page(cast.designer)
    designer.goto(reverse("plan_review", args=[plan.pk]))
    designer.get_by_role("link", name="Send to review").click()
    questions = designer.locator(".questions li")
    expect(questions).to_have_count(10)
    designer.get_by_role("button", name="Send to review").click()
    designer.get_by_text("Give a reason.").nth(9).wait_for()
    questions.nth(0).locator("textarea").fill("The mantel's line carries on here.")
    designer.get_by_label("The same reason for all that are left empty").fill("The client sits tall.")
    designer.get_by_role("button", name="Send to review").click()
    designer.get_by_text("Sent. The principal has it now.").wait_for()

    principal = new_page(cast.principal)
    principal.goto("/")
    principal.get_by_role("link", name=re.compile("For review")).click()
    principal.wait_for_load_state()  # keys are heard from here on
    principal.get_by_text("0 of 10 decided").wait_for()
    principal.get_by_text("The mantel's line carries on here.").wait_for()
    principal.locator(".measure-gauge").wait_for()
    for done in range(1, 9):
        principal.keyboard.press("a")
        principal.get_by_text(f"{done} of 10 decided").wait_for()
    principal.keyboard.press("r")
    principal.keyboard.type("Lower it to nine inches.")
    principal.keyboard.press("Enter")
    principal.get_by_text("9 of 10 decided").wait_for()
    principal.keyboard.press("a")
    principal.get_by_text("goes back to its designer").wait_for()
    principal.keyboard.press("s")
    principal.get_by_text("is now draft").wait_for()

    designer.goto("/inbox/")
    designer.get_by_role("button", name=re.compile("sent Ten walls back")).click()
    designer.get_by_text("Lower it to nine inches.").wait_for()
    returned = Decision.objects.get(verdict="return")
    placement = plan.placements.get(wall=returned.finding.wall)
    moves.placement_move(
        edit=Edit(cast.designer), **taken_up(placement), left_mm=placement.left_mm, bottom_mm=43 * INCH
    )
    designer.get_by_role("link", name="Send to review").click()
    expect(questions).to_have_count(9)
    designer.get_by_role("button", name="Send to review").click()
    designer.get_by_text("Sent. The principal has it now.").wait_for()

    principal.goto("/review/")
    principal.get_by_text("9 of 9 decided").wait_for()
    principal.keyboard.press("s")
    expect(principal.get_by_role("button", name=re.compile("Sign as"))).to_be_focused()
    principal.keyboard.press("Enter")
    principal.get_by_text("is what was signed").wait_for()
    assert SignOff.objects.get().by == cast.principal
    assert verify(Revision.objects.get(pk=plan.pk)).holds

    coordinator = new_page(cast.coordinator)
    coordinator.goto(reverse("plan_review", args=[plan.pk]))
    coordinator.get_by_role("link", name="Issue to a hanger").click()
    coordinator.get_by_label("Who hangs it").fill("Pim")
    coordinator.get_by_role("button", name="Issue the job").click()
    coordinator.wait_for_url("**/issue/")
    assert Revision.objects.get(pk=plan.pk).state == "issued"
    coordinator.goto(reverse("plan_review", args=[plan.pk]))
    coordinator.get_by_role("button", name="Mark as hung").click()
    coordinator.get_by_role("button", name="Close the plan").click()
    coordinator.get_by_text("is now closed").wait_for()
    states = list(Revision.objects.get(pk=plan.pk).transitions.values_list("to_state", flat=True))
    assert states == ["draft", "in_review", "draft", "in_review", "signed", "issued", "hung", "closed"]

    principal.goto(reverse("audit_trail", args=[plan.plan.project_id]))
    expect(principal.get_by_text("sent revision 1 for review")).to_have_count(2)
    expect(principal.get_by_text("took revision 1 back to draft")).to_have_count(1)


def test_forty_exceptions_take_forty_two_keystrokes(cast, new_page, monkeypatch):
    """One key each, one to go to the signature, one to sign; none of them is a mouse."""
    stub_engine.install(monkeypatch)
    job = reviewing.make_job(cast, *[600.0 + index for index in range(40)])
    job.send()
    page = new_page(cast.principal)
    page.goto("/review/")
    page.get_by_text("0 of 40 decided").wait_for()
    strokes = 0

    def press(key: str) -> None:
        nonlocal strokes
        page.keyboard.press(key)
        strokes += 1

    for done in range(1, 41):
        press("a")
        page.locator(".progress").get_by_text(f"{done} of 40 decided").wait_for()
    press("s")
    expect(page.get_by_role("button", name=re.compile("Sign as"))).to_be_focused()
    press("Enter")
    page.get_by_text("is what was signed").wait_for()
    assert strokes == 42
    assert Decision.objects.filter(verdict="accept", by=cast.principal).count() == 40


def test_twenty_five_exceptions_are_decided_in_one_sitting_with_a_key_for_each_piece(cast, new_page):
    """Ten pieces hang too high; five more are too narrow and too square for their sofas, too. The three exceptions of
    one piece are one matter and take one key; then one to go to the signature, and one to sign."""
    project = ProjectFactory(client__studio=cast.studio, designer=cast.designer, name="Fifteen walls")
    revision = plans.revision_open(by=cast.designer, project=project)
    for index, width in enumerate([30 * INCH] * 5 + [56 * INCH] * 10):
        wall = WallFactory(room=RoomFactory(project=project, name=f"Room {index + 1}"), name=f"Wall {index + 1}")
        ItemFactory(wall=wall)
        moves.placement_place(
            edit=Edit(cast.designer),
            hand=in_hand(revision, wall),
            artwork=ArtworkFactory(client=project.client, title=f"Study {index + 1}", width_mm=width),
            left_mm=84 * INCH - width / 2,
            bottom_mm=46 * INCH,
        )
    reasons = {one.found.key: "The client sits tall." for one in review.review_questions(revision=revision)}
    review.review_submit(by=cast.designer, revision=revision, justifications=reasons, note="")
    page = new_page(cast.principal)
    page.goto("/review/")
    page.wait_for_load_state()
    page.get_by_text("0 of 25 decided").wait_for()
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.url) if one.method == "POST" else None)
    strokes, done = 0, 0

    def press(key: str) -> None:
        nonlocal strokes
        page.keyboard.press(key)
        strokes += 1

    for many in [3] * 5 + [1] * 10:
        expect(page.locator("#said > li")).to_have_count(many)
        press("a")
        done += many
        page.locator(".progress").get_by_text(f"{done} of 25 decided").wait_for()
    assert len(asked) == 15
    press("s")
    expect(page.get_by_role("button", name=re.compile("Sign as"))).to_be_focused()
    press("Enter")
    page.get_by_text("is what was signed").wait_for()
    assert strokes == 17
    assert Decision.objects.filter(verdict="accept", by=cast.principal).count() == 25
    assert verify(Revision.objects.get(pk=revision.pk)).holds


def test_keys_do_nothing_while_one_types_and_escape_closes(cast, new_page, monkeypatch):
    stub_engine.install(monkeypatch)
    job = reviewing.make_job(cast, 600.0, 700.0)
    job.send()
    page = new_page(cast.principal)
    page.goto("/review/")
    page.keyboard.press("r")
    page.keyboard.type("a japanese screen")
    expect(page.get_by_label("What should change?")).to_have_value("a japanese screen")
    page.keyboard.press("Escape")
    page.get_by_label("What should change?").wait_for(state="hidden")
    assert not Decision.objects.exists()
    page.keyboard.press("j")
    page.locator("#queue:not(.htmx-request) .finding-head .pennant", has_text="2").wait_for()
    page.wait_for_function("document.activeElement.matches('[data-focus]')")
    page.keyboard.press("a")
    page.get_by_text("1 of 2 decided").wait_for()
    page.keyboard.press("j")
    page.get_by_role("button", name=re.compile("Take back")).wait_for()
    page.keyboard.press("u")
    page.get_by_text("0 of 2 decided").wait_for()


def test_the_queue_fits_a_phone_and_the_night_sheet(cast, new_page, monkeypatch):
    stub_engine.install(monkeypatch)
    job = reviewing.make_job(cast, 600.0)
    WallItem.objects.create(
        wall=job.walls[0], code="s", kind="sofa", left_mm=500, bottom_mm=0, width_mm=2000, height_mm=850
    )
    job.send()
    page = new_page(cast.principal, viewport={"width": 360, "height": 740}, color_scheme="dark")
    for name, arguments in (
        ("review_queue", []),
        ("plan_review", [job.revision.pk]),
        ("sign_off", [job.revision.pk]),
        ("inbox", []),
        ("comments", [job.project.pk]),
        ("audit_trail", [job.project.pk]),
        ("learning", []),
    ):
        assert too_wide(opened(page, reverse(name, args=arguments))) <= 0, name


@pytest.mark.parametrize("sheet", ["light", "dark"])
def test_assistive_technology_finds_nothing_serious(cast, new_page, monkeypatch, sheet):
    """Checked against WCAG 2.2 AA by axe."""
    engine = stub_engine.install(monkeypatch)
    job = reviewing.make_job(cast, 600.0, 700.0)
    job.send()
    engine.stop = 1650.0
    review.review_refresh(revision=job.revision)
    page = new_page(cast.principal, color_scheme=sheet)
    faults = []
    for name, arguments in (
        ("review_queue", []),
        ("plan_review", [job.revision.pk]),
        ("sign_off", [job.revision.pk]),
        ("inbox", []),
        ("comments", [job.project.pk]),
        ("audit_trail", [job.project.pk]),
        ("learning", []),
    ):
        faults += [f"{name}: {barrier}" for barrier in barriers(opened(page, reverse(name, args=arguments)))]
    assert faults == []
