import io

import pytest
from PIL import Image

from studio.models import Artwork, Client, Membership, Wall
from tests.factories import (
    ArtworkFactory,
    ClientFactory,
    ItemFactory,
    PlacementFactory,
    ProjectFactory,
    RoomFactory,
    WallFactory,
)

pytestmark = pytest.mark.django_db
JSON = "application/json"


@pytest.fixture
def api(cast, client_of):
    return client_of(cast.designer)


@pytest.fixture
def project(cast):
    return ProjectFactory(client=ClientFactory(studio=cast.studio))


def test_a_whole_survey_is_entered_in_the_units_of_whoever_writes(cast, api):
    client = api.post("/api/v1/clients", {"name": "Ines Marlow"}, JSON).json()
    project = api.post("/api/v1/projects", {"client": client["id"], "name": "Marlow house"}, JSON).json()
    room = api.post("/api/v1/rooms", {"project": project["id"], "name": "Sitting room", "use": "living"}, JSON).json()
    wall = api.post(
        "/api/v1/walls", {"room": room["id"], "name": "North", "length_mm": "14'", "height_mm": 2743.2}, JSON
    ).json()
    assert wall["length_mm"] == 4267.2
    item = api.post(
        "/api/v1/items",
        {
            "wall": wall["id"],
            "wall_version": 1,
            "kind": "sofa",
            "left_mm": "42 in",
            "bottom_mm": 0,
            "width_mm": "7'",
            "height_mm": "34 in",
        },
        JSON,
    )
    assert item.status_code == 201, item.content
    shown = api.get(f"/api/v1/walls/{wall['id']}").json()
    assert shown["version"] == 2
    assert shown["items"][0]["width_mm"] == 2133.6
    piece = api.post(
        "/api/v1/artworks",
        {
            "client": client["id"],
            "title": "Slack water",
            "width_mm": "56 in",
            "height_mm": "40 in",
            "weight_kg": "21 lb",
        },
        JSON,
    )
    assert piece.status_code == 201, piece.content
    assert piece.json()["weight_kg"] == pytest.approx(9.525, abs=0.001)
    assert Artwork.objects.get().studio == cast.studio


def test_faults_come_as_one_problem_document(api, project):
    answer = api.post("/api/v1/walls", {"room": RoomFactory(project=project).pk, "name": "", "length_mm": "long"}, JSON)
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    assert {fault["where"] for fault in answer.json()["faults"]} == {"name", "length_mm", "height_mm"}


def test_an_edit_of_an_older_version_is_refused_with_the_newer_state(api, project):
    wall = WallFactory(room__project=project)
    address = f"/api/v1/walls/{wall.pk}"
    assert api.patch(address, {"version": 1, "length_mm": 5000}, JSON).json()["version"] == 2
    late = api.patch(address, {"version": 1, "height_mm": 2500}, JSON)
    assert late.status_code == 409
    assert late.json()["current"]["length_mm"] == 5000


@pytest.mark.parametrize("kind", ["clients", "projects", "rooms", "walls", "items", "artworks", "memberships"])
def test_another_studio_does_not_exist(api, cast, kind):
    item = ItemFactory()
    client = item.wall.room.project.client
    foreign = {
        "clients": client,
        "projects": item.wall.room.project,
        "rooms": item.wall.room,
        "walls": item.wall,
        "items": item,
        "artworks": ArtworkFactory(client=client),
        "memberships": Membership.objects.get(user=cast.stranger),
    }[kind]
    address = f"/api/v1/{kind}/{foreign.pk}"
    assert api.get(address).status_code == 404
    assert api.patch(address, {}, JSON).status_code == 404
    if kind != "projects":
        assert api.delete(address).status_code == 404
    assert foreign.pk not in {row["id"] for row in api.get(f"/api/v1/{kind}").json()["results"]}


def test_nothing_is_put_into_another_studio(api, cast):
    client = ClientFactory(studio=cast.other_studio)
    assert api.post("/api/v1/projects", {"client": client.pk, "name": "Mine"}, JSON).status_code == 400
    piece = {"client": client.pk, "title": "x", "width_mm": 1, "height_mm": 1}
    assert api.post("/api/v1/artworks", piece, JSON).status_code == 400
    studio = {"studio": cast.other_studio.pk, "name": "x"}
    assert api.post("/api/v1/clients", studio, JSON).status_code == 400


def test_roles_are_kept(cast, client_of, project):
    coordinator = client_of(cast.coordinator)
    assert coordinator.post("/api/v1/rooms", {"project": project.pk, "name": "x"}, JSON).status_code == 403
    membership = Membership.objects.get(user=cast.designer)
    address = f"/api/v1/memberships/{membership.pk}"
    assert coordinator.patch(address, {"role": "principal"}, JSON).status_code == 403
    assert client_of(cast.principal).patch(address, {"role": "coordinator"}, JSON).json()["role"] == "coordinator"


def test_nobody_signed_in_is_refused(client):
    assert client.get("/api/v1/clients").status_code == 401


def test_art_is_filtered_sorted_searched_and_paged(cast, api, project):
    client = project.client
    wide = ArtworkFactory(client=client, title="Wide", width_mm=2000, height_mm=500, themes=["coast"], hues=",blue,")
    tall = ArtworkFactory(client=client, title="Tall", width_mm=500, height_mm=2000, form="print", hang_kind="")
    ArtworkFactory(client=client, title="Square", width_mm=500, height_mm=510, maker="Ruta Okonjo")
    ArtworkFactory(client=client, title="Other", width_mm=900, height_mm=300, themes=["coastal"])
    stock = ArtworkFactory(client=None, studio=cast.studio, title="Stock")
    PlacementFactory(revision__plan__project=project, artwork=wide)

    def titles(**query):
        return [row["title"] for row in api.get("/api/v1/artworks", query).json()["results"]]

    assert titles(orientation="portrait") == ["Tall"]
    assert titles(orientation="square") == ["Square"]
    assert titles(theme="coast") == ["Wide"]
    assert titles(hue="blue") == ["Wide"]
    assert titles(form="print") == ["Tall"]
    assert titles(placed="true") == ["Wide"]
    assert "Wide" not in titles(placed="false")
    assert titles(q="okonjo") == ["Square"]
    assert titles(stock="true") == [stock.title]
    assert titles(width_min="1500", width_max="2 m") == ["Wide"]
    assert titles(unmeasured="true") == ["Tall"]
    assert titles(client=client.pk, ordering="-width_mm")[0] == "Wide"
    assert api.get("/api/v1/artworks", {"client": ClientFactory().pk}).status_code == 400
    assert api.get("/api/v1/artworks", {"width_min": "wide"}).status_code == 400
    assert api.get("/api/v1/artworks").json()["count"] == 5
    assert tall.pk


def test_a_picture_is_sent_turned_and_cut(api, project, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    piece = ArtworkFactory(client=project.client)
    out = io.BytesIO()
    Image.new("RGB", (300, 200), (120, 30, 30)).save(out, "PNG")
    out.seek(0)
    out.name = "a.png"
    from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

    half = "[[0, 0], [0.5, 0], [0.5, 1], [0, 1]]"
    body = encode_multipart(BOUNDARY, {"picture": out, "quarters": "1", "corners": half, "to_piece": "no"})
    answer = api.put(f"/api/v1/artworks/{piece.pk}/picture", body, MULTIPART_CONTENT)
    assert answer.status_code == 200, answer.content
    piece.refresh_from_db()
    with Image.open(piece.picture.path) as stored:
        assert stored.size == (100, 300)
    assert answer.json()["picture"].endswith("/picture/page.jpg")
    enormous = f"[[0, 0], [1, 0], [{10**400}, 1], [0, 1]]"
    for bad in (
        "[[0, 0], [1, 0]]",
        '[[0, 0], [1, 0], [1, "a"], [0, 1]]',
        "{}",
        "[[0, 0], [1, 0], [2, 1], [0, 1]]",
        enormous,
    ):
        out.seek(0)
        body = encode_multipart(BOUNDARY, {"picture": out, "corners": bad})
        assert api.put(f"/api/v1/artworks/{piece.pk}/picture", body, MULTIPART_CONTENT).status_code in (400, 422)


def test_many_pieces_change_together(api, project):
    pieces = [ArtworkFactory(client=project.client) for _ in range(3)]
    ids = [piece.pk for piece in pieces]
    assert api.post("/api/v1/artworks/bulk", {"ids": ids, "frame": "oak"}, JSON).json() == {"changed": 3}
    assert api.post("/api/v1/artworks/bulk", {"ids": [*ids, 10**9], "frame": "gilt"}, JSON).status_code == 404
    assert api.post("/api/v1/artworks/bulk", {"ids": ids}, JSON).status_code == 422
    assert set(Artwork.objects.values_list("frame", flat=True)) == {"oak"}


def test_what_is_deleted_is_gone_and_what_is_needed_stays(api, project):
    wall = WallFactory(room__project=project)
    item = ItemFactory(wall=wall)
    assert api.delete(f"/api/v1/items/{item.pk}").status_code == 204
    assert api.delete(f"/api/v1/walls/{wall.pk}").status_code == 204
    assert not Wall.objects.exists()
    assert api.delete(f"/api/v1/clients/{project.client.pk}").status_code == 403
    assert Client.objects.exists()


@pytest.mark.parametrize("kind", ["clients", "projects", "rooms", "walls", "items", "artworks", "memberships"])
def test_lists_ask_the_same_number_of_questions_however_long(
    api, cast, project, kind, django_assert_num_queries, django_assert_max_num_queries
):
    def grow(count):
        for _ in range(count):
            client = ClientFactory(studio=cast.studio)
            ItemFactory(wall=WallFactory(room__project=ProjectFactory(client=client)))
            ArtworkFactory(client=client)

    grow(1)
    with django_assert_max_num_queries(12) as small:
        api.get(f"/api/v1/{kind}")
    grow(6)
    with django_assert_num_queries(len(small.captured_queries)):
        api.get(f"/api/v1/{kind}")


def test_the_schema_names_every_operation(api):
    schema = api.get("/api/v1/schema", headers={"Accept": "application/vnd.oai.openapi+json"}).json()
    assert schema["openapi"].startswith("3.1")
    for kind in ("clients", "projects", "rooms", "walls", "items", "artworks", "memberships", "studios"):
        assert f"/api/v1/{kind}" in schema["paths"]
