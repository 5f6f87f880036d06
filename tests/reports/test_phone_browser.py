"""The hanger's phone in a real browser: the whole job with no signal, and every action sent once when it returns."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from placements.models import Placement
from reports.models import JobAction
from reports.services.jobs import job_issue, link_add, link_revoke
from tests.browsing import barriers, shot, too_wide, until
from tests.factories import RevisionFactory
from tests.pictures import jpeg
from tests.reports.signing import sign, signed_house
from tests.web import run_production

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
PHOTO = {"name": "p.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}


@pytest.fixture
def issued(cast):
    return job_issue(
        by=cast.coordinator,
        revision=signed_house(cast).revision,
        hanger_name="H. Ladder",
        note="Dust sheets in the hall.",
    )


def opened(page, issued):
    page.goto(f"/h/#{issued.token}")
    page.get_by_role("heading", name="Marlow house").wait_for()
    return page


def kept_on_the_phone(page):
    """The worker is in charge and every picture is stored."""
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    page.wait_for_function(
        """() => new Promise((resolve) => {
          const open = indexedDB.open("hanging");
          open.onsuccess = () => {
            const all = open.result.transaction("pictures").objectStore("pictures").count();
            all.onsuccess = () => { resolve(all.result === 4); open.result.close(); };
          };
        })"""
    )


def test_the_page_that_production_serves_needs_no_signal(process_env, tmp_path, new_page, issued, browser_faults):
    """Its scripts and styles bear the names of their content, and the worker keeps them by those."""
    with run_production(process_env, tmp_path, processes=1) as web:
        page = new_page(**PHONE)
        page.goto(f"{web.url}/h/#{issued.token}")
        page.get_by_role("heading", name="Marlow house").wait_for()
        kept_on_the_phone(page)
    page.context.set_offline(True)
    page.reload()
    page.get_by_role("heading", name="Marlow house").wait_for()
    page.get_by_role("button", name="Go to piece 1").click()
    page.get_by_role("button", name="It is up").click()
    page.get_by_text("1 to send, waiting for a signal.").wait_for()
    browser_faults.clear()  # requests that failed for want of a signal


def test_the_whole_job_works_without_a_signal(new_page, issued, browser_faults):
    page = opened(new_page(**PHONE), issued)
    kept_on_the_phone(page)
    page.context.set_offline(True)
    page.reload()
    page.get_by_role("heading", name="Marlow house").wait_for()
    page.get_by_role("button", name="Go to piece 1").click()
    # The same numbers as on paper, worked by hand in test_install_pdf.
    expect(page.locator(".numbers td")).to_have_text(["5′ 11½″", "6′ 2⅜″", "8′ 0½″", "6′ 2⅜″"])
    assert page.locator(".which img").evaluate("(image) => image.decode().then(() => image.naturalWidth)") == 600
    page.get_by_role("button", name="It is up").click()
    page.get_by_text("1 to send, waiting for a signal.").wait_for()
    page.get_by_role("heading", name="Quarry, study").wait_for()
    page.get_by_text("Report a problem").click()
    page.get_by_label("Pipe or cable").check()
    page.get_by_label("Describe it").fill("Cable behind, 2 in deep")
    page.get_by_label("With a photo", exact=True).set_input_files(PHOTO)
    page.get_by_role("button", name="Report it").click()
    page.get_by_text("2 to send, waiting for a signal.").wait_for()
    page.reload()
    page.get_by_text("2 to send, waiting for a signal.").wait_for()
    assert JobAction.objects.count() == 0
    page.context.set_offline(False)
    page.get_by_text("All sent.").wait_for()
    first, second = JobAction.objects.order_by("pk")
    assert (first.kind, first.sequence, second.kind, second.sequence) == ("up", 1, "problem", 2)
    assert second.payload == {"what": "pipe", "note": "Cable behind, 2 in deep"}
    assert second.photo
    browser_faults.clear()  # requests that failed for want of a signal


def test_a_measured_drop_is_said_back_then_gives_the_hook_points_and_can_be_corrected(new_page, issued):
    page = opened(new_page(**PHONE), issued)
    page.get_by_role("button", name="Three terraces").click()
    # All of its name: the overview has a row of that piece, which says so, too.
    expect(page.get_by_role("button", name="Measure first", exact=True)).to_be_disabled()
    drop = page.get_by_label("Drop from the top edge")
    expect(page.locator(".typed", has=drop)).to_have_text("in")
    drop.fill("21")
    expect(page.locator(".echo").first).to_have_text("Read as 1′ 9″")
    page.get_by_role("button", name="Show the hook points").click()  # the piece is 16 in high
    assert drop.evaluate("(field) => field.validationMessage").startswith("1′ 9″ is not possible")
    drop.fill('2 1/2"')
    page.get_by_role("button", name="Show the hook points").click()
    page.get_by_text("You measured 2½″ from the top edge down to the hook. One hook, at the middle").wait_for()
    shot(page, "drop-said-back")
    expect(page.locator(".numbers")).to_have_count(0)
    page.get_by_role("button", name="Yes, that is what I measured").click()
    # Middle at 103 + 10 = 113 in; top at 50 + 16 = 66 in, less 2 1/2 in.
    expect(page.locator(".numbers td")).to_have_text(["9′ 5″", "5′ 3½″"])
    page.get_by_role("button", name="It is up").wait_for()
    page.get_by_text("All sent.").wait_for()
    assert JobAction.objects.get().payload == {"drop_mm": 63.5, "apart_mm": 0.0}
    page.get_by_text("The drop is different").click()
    page.get_by_label("Drop from the top edge").fill("3 1/2")
    page.get_by_label("Between two hooks").fill("8")
    page.get_by_role("button", name="Show the hook points").click()
    page.get_by_role("button", name="Yes, that is what I measured").click()
    expect(page.locator(".numbers td")).to_have_text(["9′ 1″", "5′ 2½″", "9′ 9″", "5′ 2½″"])
    page.get_by_text("All sent.").wait_for()
    expect(page.locator(".drawing .marks circle")).to_have_count(2)
    shot(page, "drop-corrected")


def test_as_hung_measures_are_judged_at_once(new_page, issued):
    page = opened(new_page(**PHONE), issued)
    page.get_by_role("button", name="Marram").click()
    page.get_by_text("Measure as hung").click()
    page.get_by_label("Left edge from the wall's left end", exact=True).fill("58 1/2")
    page.get_by_label("Top left corner from the floor").fill("5' 6\"")
    page.get_by_label("Top right corner from the floor").fill("5' 6 3/8\"")
    page.get_by_role("button", name="Save as hung").click()
    page.get_by_text("As hung: move left by ½″; level it: the right corner is ⅜″ high.").wait_for()
    page.get_by_text("All sent.").wait_for()


def test_a_length_that_is_none_is_said_in_place(new_page, issued):
    page = opened(new_page(**PHONE), issued)
    page.get_by_role("button", name="Three terraces").click()
    page.get_by_label("Drop from the top edge").fill("two inches")
    page.get_by_role("button", name="Show the hook points").click()
    said = page.get_by_label("Drop from the top edge").evaluate("(field) => field.validationMessage")
    assert said.startswith("This is not a length.")
    assert JobAction.objects.count() == 0


def test_what_is_typed_stays_whatever_happens_around_it(new_page, issued, browser_faults):
    page = opened(new_page(**PHONE), issued)
    page.get_by_role("button", name="Marram").click()
    page.get_by_text("Report a problem").click()
    page.get_by_label("Pipe or cable").check()
    page.get_by_label("Describe it").fill("Cable behind, 2 in deep")
    page.get_by_label("With a photo", exact=True).set_input_files(PHOTO)
    page.get_by_label("Describe it").blur()  # the keyboard is put away to look at the drawing

    def kept():
        expect(page.get_by_label("Describe it")).to_have_value("Cable behind, 2 in deep")
        expect(page.get_by_label("Pipe or cable")).to_be_checked()
        expect(page.get_by_text("With the photo that you took")).to_be_visible()

    page.context.set_offline(True)
    page.get_by_text("No signal: everything is on this phone.").wait_for()
    page.context.set_offline(False)
    page.get_by_text("No signal: everything is on this phone.").wait_for(state="hidden")
    page.get_by_role("button", name="Change the light").click()
    page.get_by_text("Light: dark").wait_for()
    kept()
    # Another form of the same screen is recorded.
    page.get_by_text("Measure as hung").click()
    page.get_by_label("Left edge from the wall's left end", exact=True).fill("58")
    page.get_by_label("Top left corner from the floor").fill("5' 6\"")
    page.get_by_role("button", name="Save as hung").click()
    page.get_by_text("As hung: within tolerance.").wait_for()
    kept()
    # The phone is locked and the page loaded anew.
    page.get_by_label("Top left corner from the floor").fill("5' 6")
    page.reload()
    page.get_by_role("button", name="Marram").click()
    kept()
    expect(page.get_by_label("Top left corner from the floor")).to_have_value("5' 6")
    page.get_by_role("button", name="Report it").click()
    until(page, lambda: JobAction.objects.count() == 2)
    assert JobAction.objects.latest("pk").payload == {"what": "pipe", "note": "Cable behind, 2 in deep"}
    assert JobAction.objects.latest("pk").photo
    browser_faults.clear()  # requests that failed for want of a signal


def test_what_the_office_refuses_stays_on_the_phone_with_its_reason(new_page, issued, browser_faults):
    page = opened(new_page(**PHONE), issued)
    refusing = [413, 413]

    def answer(route):
        if refusing:
            route.fulfill(status=refusing.pop(0), json={"detail": "This is too large."})
        else:
            route.continue_()

    page.route("**/phone/actions/", answer)
    page.get_by_role("button", name="Marram").click()
    page.get_by_text("Report a problem").click()
    page.get_by_label("Piece damaged").check()
    page.get_by_label("Describe it").fill("A chip at the lower left")
    page.get_by_label("With a photo", exact=True).set_input_files(PHOTO)
    page.get_by_role("button", name="Report it").click()
    page.get_by_text("Not taken by the office: This is too large.").wait_for()
    expect(page.get_by_role("status").first).to_contain_text("1 not taken by the office, kept here.")
    expect(page.get_by_text("All sent.")).to_have_count(0)
    page.get_by_role("button", name="Send again").click()
    page.get_by_text("Not taken by the office: This is too large.").wait_for()
    page.get_by_role("button", name="Show to the office").click()
    page.get_by_role("heading", name="Marram: problem").wait_for()
    page.get_by_text("A chip at the lower left").wait_for()
    assert page.locator("img.whole").evaluate("(image) => image.decode().then(() => image.naturalWidth)") > 0
    shot(page, "refused-note")
    assert barriers(page) == []
    page.reload()  # nothing is lost
    page.get_by_role("button", name="Send again").click()
    page.get_by_text("All sent.").wait_for()
    stored = JobAction.objects.get()
    assert (stored.kind, stored.payload["note"]) == ("problem", "A chip at the lower left")
    assert stored.photo
    browser_faults.clear()


def test_what_waits_moves_to_the_new_link_and_the_job_is_listed_once(new_page, issued, cast, browser_faults):
    page = opened(new_page(**PHONE), issued)
    kept_on_the_phone(page)
    link_revoke(by=cast.coordinator, link=issued.link)
    page.get_by_role("button", name="Go to piece 1").click()
    page.get_by_role("button", name="It is up").click()
    page.get_by_text("This link no longer works").wait_for()
    page.get_by_text("Not sent yet.").wait_for()
    page.get_by_role("button", name="Show to the office").wait_for()
    shot(page, "withdrawn")
    newer = link_add(by=cast.coordinator, job=issued.job)
    page.goto(f"/h/#{newer.token}")
    page.get_by_text("All sent.").wait_for()
    assert JobAction.objects.get().link == newer.link
    page.goto("/h/")
    page.get_by_role("heading", name="Jobs on this phone").wait_for()
    expect(page.get_by_role("listitem")).to_have_count(1)
    browser_faults.clear()


def test_an_unknown_link_opens_nothing(page, browser_faults):
    page.goto("/h/#not-a-token")
    page.get_by_role("heading", name="This link does not open").wait_for()
    browser_faults.clear()


def test_the_token_never_reaches_an_address_or_a_referrer(new_page, issued):
    page = new_page(**PHONE)
    seen = []
    page.on("request", lambda request: seen.append((request.url.partition("#")[0], request.headers.get("referer", ""))))
    opened(page, issued)
    page.get_by_text("All sent.").wait_for()
    assert seen
    assert not [one for one in seen if issued.token in "".join(one)]


@pytest.mark.parametrize(("width", "height"), [(390, 844), (360, 640)])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_screen_fits_a_phone(new_page, issued, width, height, scheme):
    page = opened(new_page(**PHONE | {"viewport": {"width": width, "height": height}}, color_scheme=scheme), issued)
    page.get_by_text("All sent.").wait_for()
    shot(page, f"overview-{width}-{scheme}")
    for title in ("Slack water", "Three terraces"):
        page.get_by_role("button", name=title).click()
        page.get_by_role("heading", name=title).wait_for()
        shot(page, f"{title.split()[0].lower()}-{width}-{scheme}")
        assert too_wide(page) <= 0
        small = page.evaluate(
            """() => [...document.querySelectorAll("button, summary, .file, .choice, .length input, textarea")]
              .filter((one) => one.checkVisibility() && Math.min(one.offsetHeight, one.offsetWidth) < 44)
              .map((one) => one.outerHTML)"""
        )
        # 44 px: WCAG 2.2, 2.5.5 target size (enhanced).
        assert small == []
        page.get_by_role("button", name="All pieces").click()


def test_three_phones_agree_in_the_end(new_page, issued, browser_faults):
    pages = [opened(new_page(**PHONE), issued) for _ in range(3)]
    for page in pages:
        kept_on_the_phone(page)
        page.context.set_offline(True)
    for page, title in zip(pages, ("Slack water", "Slack water", "Quarry, study"), strict=True):
        page.get_by_role("button", name=title).click()
        page.get_by_role("button", name="It is up").click()
        page.get_by_text("1 to send, waiting for a signal.").wait_for()
    for page in pages:
        page.context.set_offline(False)
        page.get_by_text("All sent.").wait_for()
    pages[1].get_by_text("Another phone had already ticked it as up").wait_for()
    shot(pages[1], "conflict")
    pages[0].reload()
    pages[0].get_by_text("2 of 4").first.wait_for()
    assert JobAction.objects.count() == 3
    browser_faults.clear()


def test_a_reissued_revision_is_said_plainly(new_page, issued, cast):
    page = opened(new_page(**PHONE), issued)
    page.get_by_text("All sent.").wait_for()
    old = issued.job.revision
    newer = RevisionFactory(plan=old.plan, number=old.number + 1)
    for place in old.placements.all():
        Placement.objects.create(
            revision=newer, wall=place.wall, artwork=place.artwork, left_mm=place.left_mm + 50.8,
            bottom_mm=place.bottom_mm, order=place.order,
        )  # fmt: skip
    sign(newer, cast)
    page.reload()
    page.get_by_text("Out of date. Revision 4 is signed").wait_for()
    page.get_by_text("Marram moves 2″ right.").wait_for()
    shot(page, "outdated")


@pytest.mark.parametrize("light", ["", "night", "sun"])
def test_nothing_serious_for_axe_in_any_light(new_page, issued, light):
    page = opened(new_page(**PHONE), issued)
    page.get_by_text("All sent.").wait_for()
    page.evaluate("(light) => localStorage.setItem('light', light)", light)
    page.reload()
    page.get_by_text("All sent.").wait_for()
    faults = []
    for title in (None, "Slack water", "Three terraces"):
        if title:
            page.get_by_role("button", name=title).click()
            page.get_by_role("heading", name=title).wait_for()
            shot(page, f"light-{light or 'phone'}-{title.split()[0].lower()}")
        faults += barriers(page)
        if title:
            page.get_by_role("button", name="All pieces").click()
    assert faults == []
