import io
import re

import pytest
from django.urls import reverse
from PIL import Image

from studio.models import Artwork, Membership, User
from tests.factories import ArtworkFactory, ClientFactory, PlacementFactory, ProjectFactory, WallFactory
from tests.pictures import picture_file

pytestmark = pytest.mark.django_db


def piece_form(**changes):
    blank = {"form": "painting", "light": "moderate", "title": "Slack water", "width_mm": "56", "height_mm": "3' 4\""}
    return blank | changes


def test_the_shelf_and_the_table_show_what_was_looked_for(designer, client_row):
    ArtworkFactory(client=client_row, title="Slack water", width_mm=1422.4)
    ArtworkFactory(client=client_row, title="Marram", width_mm=1016.0)
    ArtworkFactory(title="Another studio's")
    for shown in ("", "table"):
        page = designer.get(reverse("works"), {"q": "slack", "as": shown}).content.decode()
        assert "Slack water" in page
        assert "Marram" not in page
    page = designer.get(reverse("works"), {"width_min": "50"}).content.decode()  # inches: the studio's units
    assert "Slack water" in page
    assert "Marram" not in page
    assert "56 × 34″" in page
    assert "Another studio" not in designer.get(reverse("works")).content.decode()
    assert designer.get(reverse("works"), {"width_min": "wide"}).status_code == 200


def test_a_piece_is_added_in_the_readers_units_and_shown_with_everything(cast, designer, client_row):
    answer = designer.post(
        reverse("work_new"), piece_form(client=client_row.pk, weight_kg="21 lb", themes="coast, dusk")
    )
    piece = Artwork.objects.get()
    assert answer.url == reverse("work_picture_edit", args=[piece.pk])
    assert (piece.width_mm, piece.height_mm, piece.themes) == (1422.4, 1016.0, ["coast", "dusk"])
    page = designer.get(reverse("work", args=[piece.pk])).content.decode()
    assert "56 × 40″" in page
    assert "21 lb" in page
    assert "not measured" in page


def test_faults_stand_beside_their_fields(designer):
    answer = designer.post(reverse("work_new"), piece_form(width_mm="wide", height_mm="-3"))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Expected a length such as 63" in page
    assert "found “wide”" in page
    answer = designer.post(reverse("work_new"), piece_form(hang_kind="wire", hang_below_top_mm="9"))
    assert "is needed to know where a wire on two rings hangs" in answer.content.decode()
    assert not Artwork.objects.exists()


def test_what_was_not_touched_is_not_changed_and_the_later_of_two_editors_is_told(cast, designer, client_row):
    piece = ArtworkFactory(client=client_row, width_mm=1422.37, weight_kg=None)
    page = designer.get(reverse("work_edit", args=[piece.pk])).content.decode()
    given = dict(re.findall(r'name="(\w+)"[^>]*? value="([^"]*)"', page))
    form = {name: value.replace("&quot;", '"').replace("&#x27;", "'") for name, value in given.items()}
    form |= {"form": "painting", "light": "moderate", "client": client_row.pk, "hang_kind": "wire", "title": "Renamed"}
    answer = designer.post(reverse("work_edit", args=[piece.pk]), form)
    assert answer.status_code == 302, answer.content.decode()
    piece.refresh_from_db()
    assert (piece.title, piece.width_mm, piece.version) == ("Renamed", 1422.37, 2)
    late = designer.post(reverse("work_edit", args=[piece.pk]), form | {"title": "Mine"})
    assert late.status_code == 422
    assert "changed “Renamed” after you opened it" in late.content.decode()


def test_a_picture_is_sent_straightened_and_removed(designer, client_row, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    piece = ArtworkFactory(client=client_row)
    address = reverse("work_picture_edit", args=[piece.pk])
    assert designer.post(address, {"picture": picture_file()}).status_code == 302
    left_cut = {"quarters": "1", "top_left_across": "50", "bottom_left_across": "50", "to_piece": "no"}
    assert designer.post(address, left_cut).status_code == 302
    piece.refresh_from_db()
    with Image.open(piece.picture.path) as stored:
        assert stored.size == (100, 300)
    page = designer.get(address).content.decode()
    assert 'name="top_left_across" value="50.0"' in page
    assert '<option value="1" selected>A quarter to the right' in page
    # Another photograph: the numbers were the former one's.
    assert designer.post(address, left_cut | {"picture": picture_file(), "next": "corners"})["Location"] == address
    piece.refresh_from_db()
    with Image.open(piece.picture.path) as stored:
        assert stored.size == (300, 200)
    svg = io.BytesIO(b"<svg xmlns='http://www.w3.org/2000/svg'/>")
    svg.name = "x.jpg"
    answer = designer.post(address, {"picture": svg})
    assert answer.status_code == 422
    assert "SVG" in answer.content.decode()
    crossed = designer.post(address, {"top_left_across": "60", "bottom_left_across": "60", "top_right_across": "20"})
    assert crossed.status_code == 422
    assert "The corners are crossed" in crossed.content.decode()
    outside = designer.post(address, {"top_left_across": "-1"})
    assert "greater than or equal to 0" in outside.content.decode()
    designer.post(reverse("work_picture_remove", args=[piece.pk]))
    piece.refresh_from_db()
    assert not piece.picture


def test_many_pieces_change_together(designer, client_row):
    pieces = [ArtworkFactory(client=client_row) for _ in range(3)]
    ticked = [piece.pk for piece in pieces[:2]]
    page = designer.post(reverse("works_bulk"), {"work": ticked}).content.decode()
    assert "Change 2 pieces" in page
    assert designer.post(reverse("works_bulk"), {"work": ticked, "change": "yes"}).status_code == 422
    change = {"work": ticked, "change": "yes", "set_frame": "on", "frame": "oak"}
    assert designer.post(reverse("works_bulk"), change).status_code == 302
    assert [Artwork.objects.get(pk=piece.pk).frame for piece in pieces] == ["oak", "oak", ""]
    assert designer.post(reverse("works_bulk"), {}).status_code == 302


def test_a_piece_in_a_plan_says_so_instead_of_going(designer, client_row):
    piece = PlacementFactory(
        revision__plan__project=ProjectFactory(client=client_row), artwork=ArtworkFactory(client=client_row)
    ).artwork
    answer = designer.post(reverse("work_delete", args=[piece.pk]))
    assert answer.status_code == 409
    assert "hangs in a plan" in answer.content.decode()


def test_the_pages_ask_the_same_number_of_questions_however_much_there_is(
    cast, designer, client_row, django_assert_num_queries, django_assert_max_num_queries
):
    piece = ArtworkFactory(client=client_row, hung_wall=WallFactory(room__project=ProjectFactory(client=client_row)))
    addresses = [reverse("works"), reverse("works") + "?as=table", reverse("clients"), reverse("people")]
    addresses += [reverse("client", args=[client_row.pk]), reverse("work", args=[piece.pk]), reverse("works_export")]

    def ask(address):
        answer = designer.get(address)
        return b"".join(answer.streaming_content) if answer.streaming else answer.content

    counts = {}
    for address in addresses:
        ask(address)
        with django_assert_max_num_queries(30) as small:
            ask(address)
        counts[address] = len(small.captured_queries)
    for _ in range(8):
        ArtworkFactory(client=client_row, hung_wall=WallFactory(room__project=ProjectFactory(client=client_row)))
        ClientFactory(studio=cast.studio)
        Membership.objects.create(
            studio=cast.studio, role="designer", user=User.objects.create_user(f"x{User.objects.count()}@example.test")
        )
    for address in addresses:
        with django_assert_num_queries(counts[address]):
            ask(address)
