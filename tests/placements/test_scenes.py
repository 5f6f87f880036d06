from dataclasses import replace

import pytest
from django.core.management import CommandError, call_command

from placements.models import HouseRule
from placements.scenes import hangings_of, scene_of, survey_of, works_for
from placements.services.surveys import survey_load
from placements.survey import as_text, read_survey, write_survey
from studio.errors import Invalid, NotAllowed
from studio.models import Artwork, Client, Project, Room, Wall
from tests.factories import (
    ArtworkFactory,
    ItemFactory,
    PlacementFactory,
    ProjectFactory,
    RoomFactory,
    StudioFactory,
    WallFactory,
    make_cast,
)
from tests.pictures import jpeg
from tests.placements.surveys import survey_document

pytestmark = pytest.mark.django_db


def survey_without_picture():
    document = survey_document()
    del document["art"][0]["picture"]
    return document


def load(document=None, **kwargs):
    kwargs.setdefault("studio", StudioFactory())
    kwargs.setdefault("by", None)
    return survey_load(survey=read_survey(document or survey_without_picture()), **kwargs)


def test_a_survey_stored_and_exported_is_the_survey_that_was_read():
    project = load()
    assert survey_of(project) == read_survey(survey_without_picture())


def test_a_survey_with_pictures_comes_back_with_them_and_with_its_own_palettes():
    document = survey_document()
    project = load(document, pictures={"pictures/a1.jpg": jpeg()})
    assert project.client.studio.artworks.get(code="a1").picture
    assert survey_of(project, with_pictures=True) == read_survey(document)


def test_the_exported_file_is_the_same_bytes_as_the_file_written_without_a_database():
    project = load()
    assert as_text(write_survey(survey_of(project))) == as_text(write_survey(read_survey(survey_without_picture())))


@pytest.mark.parametrize(
    ("written_in", "studio_reads", "client_reads"),
    [("in", "ft_in", ""), ("cm", "ft_in", "cm"), ("mm", "cm", ""), ("in", "mm", "in")],
)
def test_a_new_client_reads_the_units_of_the_survey(written_in, studio_reads, client_reads):
    survey = replace(read_survey(survey_without_picture()), units=written_in)
    project = survey_load(survey=survey, studio=StudioFactory(unit_style=studio_reads), by=None)
    assert project.client.unit_style == client_reads


def test_house_rules_of_the_project_go_over_those_of_the_studio():
    project = ProjectFactory()
    studio = project.client.studio
    HouseRule.objects.create(studio=studio, rule="two-thirds", limit="low", value=0.55)
    HouseRule.objects.create(studio=studio, rule="two-thirds", limit="high", value=0.8)
    HouseRule.objects.create(studio=studio, project=project, rule="two-thirds", limit="low", value=0.6)
    HouseRule.objects.create(studio=studio, project=ProjectFactory(client=project.client), rule="x", limit="y", value=1)
    assert scene_of(project).house.house_rules == {"two-thirds": {"low": 0.6, "high": 0.8}}


def test_what_may_hang_is_the_projects_own_its_clients_free_works_and_what_is_planned():
    project = ProjectFactory()
    other = ProjectFactory(client=project.client)
    own = ArtworkFactory(client=project.client, project=project)
    free = ArtworkFactory(client=project.client)
    here = ArtworkFactory(client=project.client, hung_wall=WallFactory(room__project=project))
    ArtworkFactory(client=project.client, project=other)
    ArtworkFactory(client=project.client, hung_wall=WallFactory(room__project=other))
    ArtworkFactory()
    stock = ArtworkFactory(client=None, studio=project.client.studio)
    assert set(works_for(project)) == {own, free, here}
    PlacementFactory(revision__plan__project=project, artwork=stock)
    assert set(works_for(project)) == {own, free, here, stock}


def test_works_and_walls_with_one_code_keep_apart():
    project = ProjectFactory()
    client_work = ArtworkFactory(client=project.client, code="a1", title="Client's")
    own = ArtworkFactory(client=project.client, project=project, code="a1", title="Project's")
    first = WallFactory(room=RoomFactory(project=project), code="w1")
    second = WallFactory(room=RoomFactory(project=project), code="w1")
    scene = scene_of(project)
    assert scene.work_pk == {"a1": own.pk, f"a1-{client_work.pk}": client_work.pk}
    assert scene.wall_pk == {"w1": first.pk, f"w1-{second.pk}": second.pk}
    scene.house.validate()


def test_placements_become_hangings_by_the_engines_ids():
    placement = PlacementFactory()
    project = placement.revision.plan.project
    scene = scene_of(project)
    (hanging,) = hangings_of(placement.revision, scene)
    assert scene.work_pk[hanging.work] == placement.artwork_id
    assert scene.wall_pk[hanging.wall] == placement.wall_id
    assert (hanging.left, hanging.bottom) == (placement.left_mm, placement.bottom_mm)
    elsewhere = WallFactory(room__project=project)
    assert hangings_of(placement.revision, scene, wall=elsewhere) == ()


def test_one_wall_alone():
    project = load()
    wall = Wall.objects.get(code="flight")
    house = scene_of(project, wall=wall, works=Artwork.objects.none()).house
    assert [one.id for _, one in house.walls()] == ["flight"]
    assert house.works == ()
    house.validate()


def test_the_number_of_queries_does_not_grow(django_assert_max_num_queries, django_assert_num_queries):
    project = ProjectFactory()

    def grow(count):
        for _ in range(count):
            room = RoomFactory(project=project)
            for _ in range(2):
                ItemFactory(wall=WallFactory(room=room))
            ArtworkFactory(client=project.client).apart.add(ArtworkFactory(client=project.client))

    grow(1)
    with django_assert_max_num_queries(6) as small:
        scene_of(project)
    grow(5)
    with django_assert_num_queries(len(small.captured_queries)):
        scene_of(project)


def test_a_second_project_of_that_name_is_refused_and_nothing_is_stored():
    studio = StudioFactory()
    load(studio=studio)
    before = [model.objects.count() for model in (Client, Project, Room, Wall, Artwork)]
    with pytest.raises(Invalid, match="has a project “Marlow house” already"):
        load(studio=studio)
    assert [model.objects.count() for model in (Client, Project, Room, Wall, Artwork)] == before


def test_a_missing_picture_is_refused_and_nothing_is_stored():
    with pytest.raises(Invalid) as caught:
        load(survey_document())
    assert caught.value.faults == [{"where": "picture of a1", "detail": "there is no file pictures/a1.jpg"}]
    assert not Project.objects.exists()


def test_only_designers_and_principals_load_a_survey():
    cast = make_cast()
    load(studio=cast.studio, by=cast.designer)
    for person in (cast.coordinator, cast.stranger):
        with pytest.raises(NotAllowed):
            load(studio=cast.studio, by=person)


def test_commands_load_and_export_a_survey(tmp_path, capsys):
    studio = StudioFactory(slug="north-light")
    path = tmp_path / "survey.json"
    path.write_text(as_text(survey_without_picture()))
    call_command("load_survey", str(path), studio="north-light")
    project = Project.objects.get(client__studio=studio)
    out = tmp_path / "again.json"
    call_command("export_survey", str(project.pk), out=out)
    assert read_survey(out) == read_survey(path)


def test_a_faulty_file_is_refused_whole_with_every_fault(tmp_path):
    StudioFactory(slug="north-light")
    document = survey_without_picture()
    document["rooms"][0]["walls"][0]["length"] = -1
    document["art"][2]["width"] = "wide"
    path = tmp_path / "survey.json"
    path.write_text(as_text(document))
    with pytest.raises(CommandError) as caught:
        call_command("load_survey", str(path), studio="north-light")
    assert caught.value.returncode == 2
    assert "rooms[0].walls[0].length: found -1" in str(caught.value)
    assert "art[2].width: found" in str(caught.value)
    assert not Project.objects.exists()


def test_an_unknown_studio_is_named_with_those_there_are(tmp_path):
    StudioFactory(slug="north-light")
    with pytest.raises(CommandError, match=r"no studio “nroth”\. There are: north-light"):
        call_command("load_survey", str(tmp_path / "x.json"), studio="nroth")
