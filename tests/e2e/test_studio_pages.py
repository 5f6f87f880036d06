"""The studio's own pages in a real browser: walked as their users would, at desk and on a phone, and read by axe."""

from __future__ import annotations

import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import expect

from studio.imports import lists
from studio.models import Artwork
from studio.services.pictures import picture_save
from tests.browsing import barriers, opened, too_wide
from tests.factories import ArtworkFactory, ClientFactory, ProjectFactory, make_cast
from tests.pictures import jpeg

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1360, "height": 900}
PHONE = {"width": 360, "height": 740}


@pytest.fixture
def studio():
    cast = make_cast()
    client = ClientFactory(studio=cast.studio, name="Ines Marlow")
    ProjectFactory(client=client)
    piece = ArtworkFactory(client=client, title="Slack water", frame="oak", mat_width_mm=76, frame_width_mm=19)
    picture_save(artwork=piece, content=jpeg(size=(300, 200)))
    ArtworkFactory(client=client, title="Marram", weight_kg=None, hang_kind="")
    return cast, client, piece


@pytest.mark.parametrize("sheet", ["paper", "night"])
@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_every_page_reads_well(studio, new_page, size, sheet):
    cast, client, piece = studio
    page = new_page(cast.principal, viewport=size, color_scheme="dark" if sheet == "night" else "light")
    addresses = [
        *(reverse(name) for name in ("works", "work_new", "works_import", "clients", "client_new", "people")),
        *(reverse(name) for name in ("project_new", "studio_settings", "my_settings")),
        reverse("works") + "?as=table&width_min=10",
        *(reverse(name, args=[piece.pk]) for name in ("work", "work_edit", "work_picture_edit")),
        reverse("client", args=[client.pk]),
    ]
    faults = []
    for address in addresses:
        if (wide := too_wide(opened(page, address))) > 0:
            faults.append(f"{address} is {wide} px wider than the screen")
        faults += [f"{address}: {barrier}" for barrier in barriers(page)]
    assert not faults, "\n".join(faults)


def test_a_piece_is_added_with_the_keyboard_and_gets_its_picture(studio, new_page):
    cast, _, _ = studio
    page = new_page(cast.designer)
    page.goto(reverse("work_new"))
    page.get_by_label("Title").fill("Headland")
    page.get_by_label("Belongs to").select_option(label="Ines Marlow")
    page.get_by_label("Width", exact=True).fill("5' 3 1/2\"")
    page.get_by_label("Height", exact=True).fill("wide")
    page.get_by_label("Title").press("Enter")
    page.get_by_text("found “wide”").wait_for()
    page.get_by_label("Height", exact=True).fill("101.6 cm")
    page.get_by_label("Hangs by").select_option("sawtooth")
    page.get_by_label("Below the top edge").wait_for()
    page.get_by_label("Length of the wire").wait_for(state="hidden")
    page.get_by_label("Below the top edge").fill("3/4")
    page.get_by_role("button", name="Save").press("Enter")
    page.get_by_label("Photograph or scan").set_input_files(
        {"name": "p.jpg", "mimeType": "image/jpeg", "buffer": jpeg(size=(300, 200))}
    )
    page.get_by_role("button", name="Quarter turn right").click()
    page.get_by_text("By numbers").click()
    page.get_by_label("Top left, across (%)").fill("50")
    page.get_by_label("Bottom left, across (%)").fill("50")
    page.get_by_label("Proportions").select_option(label="As the corners lie")
    page.get_by_role("button", name="Save this picture").click()
    page.wait_for_url("**/works/*/")
    piece = Artwork.objects.get(title="Headland")
    assert (piece.width_mm, piece.height_mm, piece.hang_below_top_mm) == (1612.9, 1016.0, 19.05)
    with Image.open(piece.picture.path) as stored:
        assert stored.size == (100, 300)


def test_pieces_are_ticked_and_changed_together(studio, new_page):
    cast, _, _ = studio
    page = new_page(cast.designer)
    page.goto(reverse("works"))
    page.get_by_label("All on this page").check()
    page.get_by_text("2 ticked").wait_for()
    page.get_by_role("button", name="Change the ticked pieces").click()
    page.get_by_label("Change “Frame”").check()
    page.get_by_label("Frame", exact=True).fill("gilt")
    page.get_by_role("button", name="Change them").click()
    page.get_by_text("2 pieces are changed").wait_for()
    assert set(Artwork.objects.values_list("frame", flat=True)) == {"gilt"}


def test_a_list_is_imported_step_by_step(studio, new_page):
    cast, _, _ = studio
    page = new_page(cast.coordinator)
    page.goto(reverse("works"))
    page.get_by_role("link", name="Import").click()
    text = "Title,Dimensions\nBrook,30 x 40 in\nHill,variable\n"
    page.get_by_label("The list").set_input_files({"name": "l.csv", "mimeType": "text/csv", "buffer": text.encode()})
    page.get_by_role("button", name="Read the list").click()
    page.get_by_text("Waiting to be read").wait_for()
    lists.LISTS.work(lists.read)  # as a worker does; the page goes on by itself
    page.get_by_role("button", name="Check it").click()
    page.get_by_role("heading", name="2 rows, 1 to correct").wait_for()
    with page.expect_navigation():
        page.get_by_role("button", name="Save all").click()
    assert Artwork.objects.count() == 2
    page.get_by_label("Leave out row 3").check()
    page.get_by_role("button", name="Save all").click()
    page.get_by_text("1 piece is added").wait_for()
    assert Artwork.objects.get(title="Brook").width_mm == 1016.0


def test_a_title_is_only_ever_text(studio, new_page):
    cast, client, _ = studio
    nasty = "<img src=x onerror=\"document.body.dataset.ran='1'\">"
    piece = ArtworkFactory(
        client=client, title=nasty, maker=nasty, frame=nasty[:40], themes=[nasty[:30]], storage=nasty
    )
    page = new_page(cast.designer)
    for address in (reverse("works"), reverse("work", args=[piece.pk]), reverse("work_edit", args=[piece.pk])):
        page.goto(address)
        expect(page.locator("body")).not_to_have_attribute("data-ran", "1")
    page.goto(reverse("work", args=[piece.pk]))
    page.get_by_role("heading", name=nasty).wait_for()
