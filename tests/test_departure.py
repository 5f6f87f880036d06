"""A studio takes everything with it, and leaves nothing behind."""

from __future__ import annotations

import csv
import io
import zipfile

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.urls import reverse

from placements.services.archive import studio_archive
from studio.errors import Invalid, NotAllowed
from studio.models import Artwork, Studio, User
from studio.services.departure import studio_delete
from studio.storage import stored
from tests.factories import PASSWORD, ArtworkFactory, make_cast
from tests.world import CANARY, PK, make_world, picture, scoped_models

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


@EITHER
def test_deleted_studio_leaves_no_row_no_record_no_file(world, store, django_capture_on_commit_callbacks):
    other = ArtworkFactory(studio=world.cast.other_studio, client=None, picture=picture("other.jpg"))
    home = f"studios/{world.cast.studio.pk}"
    assert len(list(stored(home))) == 5
    with django_capture_on_commit_callbacks(execute=True):
        gone = studio_delete(studio=world.cast.studio, by=world.cast.principal, name=world.cast.studio.name)
    assert gone["artworks"] == 1
    for model in scoped_models():
        assert not model.objects.filter(pk=PK).exists(), model
    for model in apps.get_models():
        text = [field.name for field in model._meta.fields if field.get_internal_type() in ("CharField", "TextField")]
        for field in text:
            assert not model._base_manager.filter(**{f"{field}__contains": CANARY}).exists(), (model, field)
    assert list(stored()) == [other.picture.name]
    assert list(Studio.objects.all()) == [world.cast.other_studio]
    assert list(User.objects.all()) == [world.cast.stranger]


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
