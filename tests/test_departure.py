"""A studio takes everything with it, and leaves nothing behind."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.contrib.admin.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.urls import reverse

from placements.models import Comment, ReviewFinding
from placements.services.archive import studio_archive
from studio import belongings
from studio.belongings import NOBODYS, Belongings, is_nobodys, models_of_studios
from studio.errors import Invalid, NotAllowed
from studio.models import Artwork, Client, Project, Room, Studio, User
from studio.services.departure import studio_delete
from studio.storage import stored
from tests.factories import PASSWORD, ArtworkFactory, StudioFactory, UserFactory, make_cast
from tests.world import CANARY, PK, TOKEN, make_world, picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def store(request, settings, tmp_path):
    """A folder, or a bucket where the test asks for that."""
    if getattr(request, "param", "") == "bucket":
        request.getfixturevalue("bucket")
    else:
        settings.MEDIA_ROOT = tmp_path / "media"
    return default_storage


EITHER = pytest.mark.parametrize("store", ["folder", "bucket"], indirect=True)


@pytest.fixture
def world(store, cast):
    return make_world(cast)


def unzipped(studio, by=None):
    content = b"".join(studio_archive(studio=studio, by=by))
    archive = zipfile.ZipFile(io.BytesIO(content))
    assert archive.testzip() is None
    return {name: archive.read(name) for name in archive.namelist()}


@EITHER
def test_archive_holds_surveys_pictures_works_and_every_stored_file(world, store):
    stock = ArtworkFactory(studio=world.cast.studio, client=None, title="=1+1 of the stock", picture=picture("s.jpg"))
    found = unzipped(world.cast.studio, by=world.cast.principal)
    survey = next(name for name in found if name.endswith("survey.json"))
    assert CANARY in found[survey].decode()
    assert any(name.endswith("pictures/a1.jpg") for name in found)
    rows = list(csv.DictReader(io.StringIO(found["works.csv"].decode())))
    assert {row["title"] for row in rows} == {f"{CANARY} picture", "'=1+1 of the stock"}
    for name in stored():
        with store.open(name) as file:
            assert file.read() in found.values()
    assert stock.picture.name.rpartition("/")[2] in {name.rpartition("/")[2] for name in found}


def test_survey_of_the_archive_loads_into_another_studio(world, tmp_path):
    for name, content in unzipped(world.cast.studio).items():
        path = tmp_path / "out" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    survey = next((tmp_path / "out").rglob("survey.json"))
    call_command("load_survey", survey, studio=world.cast.other_studio.slug)
    loaded = Artwork.objects.get(studio=world.cast.other_studio)
    assert loaded.title == f"{CANARY} picture"
    assert loaded.picture


def test_archive_has_nothing_of_another_studio(world):
    ArtworkFactory(studio=world.cast.other_studio, client=None, title="Not theirs", picture=picture())
    assert b"Not theirs" not in b"".join(unzipped(world.cast.studio).values())


@pytest.mark.parametrize("role", ["designer", "coordinator", "stranger"])
def test_only_a_principal_exports_or_deletes(world, role):
    person = getattr(world.cast, role)
    with pytest.raises(NotAllowed):
        studio_archive(studio=world.cast.studio, by=person)
    with pytest.raises(NotAllowed):
        studio_delete(studio=world.cast.studio, by=person, name=world.cast.studio.name)


def test_another_name_deletes_nothing(world):
    before = world.state()
    with pytest.raises(Invalid, match="Nothing was deleted"):
        studio_delete(studio=world.cast.studio, by=world.cast.principal, name="Another")
    assert world.state() == before


def everything() -> dict[str, list[tuple]]:
    return {
        model._meta.label: list(model._base_manager.order_by("pk").values_list())
        for model in apps.get_models(include_auto_created=True)
    }


def trodden(world, client) -> None:
    """Leaves what work leaves besides rows of the studio: the record of what is gone, sign-ins, the admin's log."""
    for field in ("name", "notes"):  # and back, so that each is in the record of changes
        change(world.cast.studio.clients.first(), field)
    gone = Client.objects.create(studio=world.cast.studio, name=f"{CANARY} who left")
    house = Project.objects.create(client=gone, name=f"{CANARY} house, sold")
    Room.objects.create(project=house, code="r9", name=CANARY)
    gone.projects.all().delete()
    gone.delete()
    assert Room.history.filter(code="r9").count() == 2
    Artwork.objects.get(pk=PK).apart.add(ArtworkFactory(studio=world.cast.studio, client=None))
    ReviewFinding.objects.get(pk=PK).artworks.add(PK)
    Comment.objects.get(pk=PK).mentions.add(world.cast.designer)
    kind = ContentType.objects.get_for_model(Artwork)
    LogEntry.objects.create(user=UserFactory(), content_type=kind, object_id=PK, object_repr=CANARY, action_flag=2)
    client.post(reverse("account_login"), {"login": world.cast.principal.email, "password": "not it"})
    client.post(reverse("account_login"), {"login": world.cast.principal.email, "password": PASSWORD})
    client.get(reverse("work_picture", args=[PK, "strip"]))


def change(row, field) -> None:
    setattr(row, field, f"{getattr(row, field)} {CANARY}")
    row.save()


@EITHER
def test_deleted_studio_leaves_no_row_no_record_no_file(store, client, django_capture_on_commit_callbacks):
    other = ArtworkFactory(client=None, picture=picture("other.jpg"))
    staff = UserFactory()
    ContentType.objects.get_for_model(Artwork)
    before, files = everything(), set(stored())
    cast = make_cast()
    world = make_world(cast)
    cast.studio.logo.save("logo.jpg", picture())
    trodden(world, client)
    LogEntry.objects.update(user=staff)
    assert len(set(stored()) - files) >= 6
    with django_capture_on_commit_callbacks(execute=True):
        gone = studio_delete(studio=cast.studio, by=cast.principal, name=cast.studio.name)
        studio_delete(studio=cast.other_studio, by=None, name=cast.other_studio.name)
    assert gone["artworks"] == 2
    User.objects.exclude(pk__in=[row[0] for row in before["studio.User"]]).delete()  # who wrote in the admin
    after = everything()
    kept = {label: [row for row in rows if row not in before[label]] for label, rows in after.items()}
    # The library's own log of who signed in when has no name in it once the person is gone.
    assert {label: rows for label, rows in kept.items() if rows} == {}
    assert set(stored()) == files == {other.picture.name}


def test_each_model_has_its_place():
    """A new model is a studio's, or somebody says why not: here a decision for each, and none for what is not there."""
    theirs, known = Belongings(StudioFactory()), set()
    for model in apps.get_models(include_auto_created=True):
        known |= {model._meta.label_lower, model._meta.app_label}
        if not is_nobodys(model):
            list(theirs.rows(model))
    assert set(NOBODYS) <= known
    undecided = SimpleNamespace(
        _base_manager=User._base_manager, _meta=SimpleNamespace(auto_created=False, label="x.Y")
    )
    with pytest.raises(belongings.Undecided):
        theirs.rows(type("Y", (), vars(undecided)))


def test_archive_holds_every_row_that_the_deletion_takes(world, client):
    trodden(world, client)
    found, theirs = unzipped(world.cast.studio), Belongings(world.cast.studio)
    for model in models_of_studios():
        lines = [json.loads(line) for line in found[f"records/{model._meta.label_lower}.jsonl"].splitlines()]
        assert [line["pk"] for line in lines] == list(theirs.rows(model).values_list("pk", flat=True)), model
        assert lines, f"the world of these tests has no {model._meta.label}"
    everything = b"".join(found.values()).decode(errors="replace")
    assert hashlib.sha256(TOKEN.encode()).hexdigest() not in everything
    assert world.cast.stranger.email not in everything


def test_commands(store, tmp_path, capsys):
    cast = make_cast()
    make_world(cast)
    path = tmp_path / "studio.zip"
    call_command("export_studio", cast.studio.slug, path)
    assert zipfile.is_zipfile(path)
    with pytest.raises(CommandError, match="Nothing was deleted"):
        call_command("delete_studio", cast.studio.slug, name="Another")
    call_command("delete_studio", cast.studio.slug, name=cast.studio.name)
    assert list(Studio.objects.all()) == [cast.other_studio]


def test_principal_exports_and_ends_the_studio_by_the_page(world, client):
    client.post(reverse("account_login"), {"login": world.cast.principal.email, "password": PASSWORD})
    answer = client.post(reverse("studio_export"))
    assert zipfile.is_zipfile(io.BytesIO(b"".join(answer.streaming_content)))
    wrong = client.post(reverse("studio_data"), {"name": "Another"})
    assert wrong.status_code == 422
    assert "as it is written" in wrong.content.decode()
    assert client.post(reverse("studio_data"), {"name": world.cast.studio.name}).status_code == 302
    assert list(Studio.objects.all()) == [world.cast.other_studio]
    assert "_auth_user_id" not in client.session
