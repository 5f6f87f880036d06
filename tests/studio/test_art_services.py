import math

import pytest

from studio.errors import Conflict, Invalid, Missing, NotAllowed, WrongState
from studio.hues import hue_of, hues_of
from studio.models import Artwork
from studio.services import art, clients
from tests.factories import ArtworkFactory, ClientFactory, PlacementFactory, ProjectFactory, WallFactory

pytestmark = pytest.mark.django_db

GOOD = {"title": "Slack water", "width_mm": 1422.4, "height_mm": 1016.0}


@pytest.fixture
def piece(client_row):
    return ArtworkFactory(client=client_row)


def where(caught):
    return {fault["where"] for fault in caught.value.faults}


def test_a_piece_is_a_clients_a_projects_or_stock(cast, client_row):
    project = ProjectFactory(client=client_row)
    owned = art.artwork_create(by=cast.designer, studio=cast.studio, client=client_row, **GOOD)
    meant = art.artwork_create(by=cast.designer, studio=cast.studio, project=project, **GOOD)
    stock = art.artwork_create(by=cast.coordinator, studio=cast.studio, **GOOD)
    assert (owned.client, owned.project, owned.code) == (client_row, None, "slack-water")
    assert (meant.client, meant.project, meant.code) == (client_row, project, "slack-water")
    assert (stock.client, stock.project) == (None, None)
    again = art.artwork_create(by=cast.designer, studio=cast.studio, client=client_row, **GOOD)
    assert again.code == "slack-water-2"


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ({"width_mm": 0}, "width_mm"),
        ({"width_mm": None}, "width_mm"),
        ({"height_mm": math.inf}, "height_mm"),
        ({"depth_mm": -1}, "depth_mm"),
        ({"weight_kg": 0}, "weight_kg"),
        ({"weight_kg": math.nan}, "weight_kg"),
        ({"title": ""}, "title"),
        ({"form": "fresco"}, "form"),
        ({"themes": "coast"}, "themes"),
        ({"themes": ["x" * 41]}, "themes"),
        ({"hang_kind": "wire", "hang_below_top_mm": 100}, "hang_length_mm"),
        ({"hang_kind": "sawtooth", "hang_below_top_mm": 2000}, "hang_below_top_mm"),
        ({"hang_kind": "two_rings", "hang_below_top_mm": 5, "hang_spacing_mm": 1500}, "hang_spacing_mm"),
        ({"frame_width_mm": 300, "mat_width_mm": 300}, "frame_width_mm"),
        ({"hung_left_mm": 10}, "hung_wall"),
    ],
    ids=str,
)
def test_a_piece_that_makes_no_sense_is_refused(cast, client_row, fields, fault):
    with pytest.raises(Invalid) as caught:
        art.artwork_create(by=cast.designer, studio=cast.studio, client=client_row, **GOOD | fields)
    assert fault in where(caught)
    assert not Artwork.objects.exists()


def test_measures_that_another_kind_of_hardware_has_are_dropped(cast, piece):
    art.artwork_update(by=cast.designer, artwork=piece, version=1, hang_kind="sawtooth", hang_below_top_mm=20.0)
    piece.refresh_from_db()
    assert (piece.hang_inset_mm, piece.hang_length_mm, piece.version) == (None, None, 2)


def test_the_second_of_two_editors_is_shown_the_newer_piece(cast, piece):
    art.artwork_update(by=cast.principal, artwork=piece, version=1, title="Renamed")
    with pytest.raises(Conflict) as caught:
        art.artwork_update(by=cast.designer, artwork=piece, version=1, title="Mine")
    assert caught.value.extra["current"]["title"] == "Renamed"


def test_nothing_of_another_studio_can_be_given_to_a_piece(cast, piece):
    stranger = ClientFactory(studio=cast.other_studio)
    for changes in (
        {"client": stranger},
        {"project": ProjectFactory(client=stranger)},
        {"hung_wall": WallFactory(), "hung_left_mm": 0.0, "hung_bottom_mm": 0.0},
    ):
        with pytest.raises((Missing, Invalid)):
            art.artwork_update(by=cast.designer, artwork=piece, version=None, **changes)
    with pytest.raises(NotAllowed):
        art.artwork_update(by=cast.stranger, artwork=piece, version=None, title="Mine")


def test_many_pieces_change_together_or_not_at_all(cast, client_row):
    pieces = [ArtworkFactory(client=client_row) for _ in range(3)]
    pks = [piece.pk for piece in pieces]
    assert art.artworks_update(by=cast.designer, studio=cast.studio, pks=pks, frame="oak", themes=["coast"]) == 3
    assert set(Artwork.objects.values_list("frame", "version")) == {("oak", 2)}
    with pytest.raises(Invalid) as caught:
        art.artworks_update(by=cast.designer, studio=cast.studio, pks=pks, form="fresco")
    assert where(caught) == {piece.title for piece in pieces}
    with pytest.raises(Missing):
        art.artworks_update(by=cast.designer, studio=cast.studio, pks=[*pks, ArtworkFactory().pk], frame="gilt")
    assert set(Artwork.objects.filter(pk__in=pks).values_list("frame", "form")) == {("oak", "painting")}
    assert pieces[0].history.count() == 2


def test_a_piece_in_a_plan_is_not_deleted(cast, client_row, piece):
    PlacementFactory(revision__plan__project=ProjectFactory(client=client_row), artwork=piece)
    with pytest.raises(WrongState):
        art.artwork_delete(by=cast.designer, artwork=piece)
    with pytest.raises(NotAllowed):
        art.artwork_delete(by=cast.coordinator, artwork=ArtworkFactory(client=client_row))


def test_clients_and_projects(cast):
    client = clients.client_create(by=cast.coordinator, studio=cast.studio, name="Ines Marlow", email="i@example.test")
    project = clients.project_create(by=cast.designer, client=client, name="Marlow house", latitude=44.8)
    assert project.designer == cast.designer
    with pytest.raises(Invalid) as caught:
        clients.client_create(by=cast.designer, studio=cast.studio, name="Ines Marlow")
    assert caught.value.faults
    with pytest.raises(Invalid) as caught:
        clients.project_update(by=cast.designer, project=project, latitude=95.0)
    assert caught.value.faults
    with pytest.raises(WrongState):
        clients.project_update(by=cast.designer, project=project, designer=cast.stranger)
    with pytest.raises(WrongState):
        clients.client_delete(by=cast.principal, client=client)


# CIELAB (D65) of sRGB colours as colour-science 0.4.7 computes them.
@pytest.mark.parametrize(
    ("lab", "name"),
    [
        ((53.23, 80.11, 67.22), "red"),
        ((87.74, -86.18, 83.19), "green"),
        ((32.30, 79.20, -107.85), "blue"),
        ((37.47, 26.45, 40.99), "brown"),
        ((55.0, -5.0, -25.0), "blue"),
        ((95.0, 0.0, 2.0), "white"),
        ((50.0, 1.0, 1.0), "grey"),
        ((12.0, 1.0, 1.0), "black"),
    ],
)
def test_colours_have_names(lab, name):
    assert hue_of(lab) == name


def test_hues_of_a_palette_stand_between_commas():
    assert hues_of([(50.0, 0.0, 0.0), (55.0, -5.0, -25.0), (51.0, 0.0, 0.0)]) == ",grey,blue,"
    assert hues_of([]) == ""
