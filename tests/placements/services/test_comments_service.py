import pytest

from placements.models import Notice
from placements.services import comments, notices
from studio.errors import Invalid, Missing, NotAllowed
from tests.factories import ArtworkFactory, MembershipFactory, ProjectFactory, UserFactory, WallFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def project(cast):
    return ProjectFactory(client__studio=cast.studio, designer=cast.designer)


def write(cast, project, text, **fields):
    return comments.comment_write(**{"by": cast.designer, "project": project, "text": text, **fields})


def test_a_mention_finds_the_person_by_full_name(cast, project):
    comment = write(cast, project, f"@{cast.principal.name}, is this too low?")
    assert list(comment.mentions.all()) == [cast.principal]
    (notice,) = Notice.objects.all()
    assert notice.user == cast.principal
    assert "too low" in notice.text
    assert f"#comment-{comment.pk}" in notice.url


def test_two_mentions_in_one_line(cast):
    ann, bob = UserFactory(name="Ann Oak"), UserFactory(name="Bob Elm")
    said = "@Ann Oak and @bob: look at a@b.test, @Annabel"
    assert comments.mentioned(text=said, people=[ann, bob]) == [ann, bob]


def test_a_first_name_that_two_people_have_mentions_nobody():
    people = [UserFactory(name="Ann Oak"), UserFactory(name="Ann Elm")]
    assert comments.mentioned(text="@Ann, look", people=people) == []
    assert comments.mentioned(text="@Ann Elm, look", people=people) == [people[1]]


def test_nobody_is_told_of_their_own_words_and_the_designer_is_told_of_others(cast, project):
    write(cast, project, "Done.")
    assert not Notice.objects.exists()
    write(cast, project, "Good.", by=cast.principal)
    assert [one.user for one in Notice.objects.all()] == [cast.designer]


def test_who_spoke_there_before_is_told(cast, project):
    wall = WallFactory(room__project=project)
    write(cast, project, "First.", by=cast.coordinator, wall=wall)
    Notice.objects.all().delete()
    write(cast, project, "Second.", wall=wall)
    assert [one.user for one in Notice.objects.all()] == [cast.coordinator]


@pytest.mark.parametrize("text", ["", "   ", "x" * 4001], ids=["empty", "blank", "long"])
def test_a_comment_says_something_and_not_too_much(cast, project, text):
    with pytest.raises(Invalid):
        write(cast, project, text)


def test_strangers_do_not_comment(cast, project):
    with pytest.raises(NotAllowed):
        write(cast, project, "Hello.", by=cast.stranger)


def test_a_wall_or_a_work_of_elsewhere_is_missing(cast, project):
    with pytest.raises(Missing):
        write(cast, project, "Hello.", wall=WallFactory())
    with pytest.raises(Missing):
        write(cast, project, "Hello.", artwork=ArtworkFactory())


def test_people_of_another_studio_are_never_mentioned(cast, project):
    other = MembershipFactory(studio=cast.other_studio, user=UserFactory(name="Zoe Fir")).user
    comment = write(cast, project, "@Zoe Fir look")
    assert not comment.mentions.exists()
    assert not Notice.objects.filter(user=other).exists()


def test_reading_marks_only_ones_own(cast, project):
    write(cast, project, f"@{cast.principal.name} and @{cast.coordinator.name}")
    assert notices.notices_read(user=cast.principal) == 1
    assert Notice.objects.filter(user=cast.coordinator, read_at=None).count() == 1
