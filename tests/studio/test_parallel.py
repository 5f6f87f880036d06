"""Two people at once, in real transactions: one wins, the other is told, nothing is half done."""

import pytest
from django.db import connection

from studio.errors import Conflict, Missing, WrongState
from studio.models import Invitation, Membership, User
from studio.services import art, people, rooms
from tests.factories import ArtworkFactory, ClientFactory, ProjectFactory, RoomFactory, WallFactory, make_cast
from tests.parallel import at_once

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def real_transactions(transactional_db):
    if connection.vendor == "sqlite":
        pytest.skip("SQLite lets one transaction write at a time")


def kinds(outcomes):
    return sorted(type(one).__name__ for one in outcomes)


def test_of_two_edits_of_one_wall_one_is_told():
    cast = make_cast()
    wall = WallFactory(room=RoomFactory(project=ProjectFactory(client=ClientFactory(studio=cast.studio))))
    outcomes = at_once(
        lambda: rooms.wall_update(by=cast.designer, wall=wall, version=1, length_mm=5000.0),
        lambda: rooms.wall_update(by=cast.principal, wall=wall, version=1, length_mm=6000.0),
    )
    assert kinds(outcomes) == ["Conflict", "Wall"]
    wall.refresh_from_db()
    (told,) = (one for one in outcomes if isinstance(one, Conflict))
    assert wall.version == 2
    assert told.extra["current"]["length_mm"] == wall.length_mm


def test_of_two_edits_of_one_piece_one_is_told():
    cast = make_cast()
    piece = ArtworkFactory(client=ClientFactory(studio=cast.studio))
    outcomes = at_once(
        lambda: art.artwork_update(by=cast.designer, artwork=piece, version=1, title="Mine"),
        lambda: art.artwork_update(by=cast.principal, artwork=piece, version=1, title="Hers"),
    )
    assert kinds(outcomes) == ["Artwork", "Conflict"]
    piece.refresh_from_db()
    assert piece.version == 2


def test_an_invitation_lets_one_person_in_once():
    cast = make_cast()
    token = people._invite(cast.studio, "new@example.test", "designer", cast.principal).rpartition("/")[2]

    def come():
        return people.invitation_accept(token=token, name="New", password="a-long-and-quiet-password")

    outcomes = at_once(come, come)
    assert sum(isinstance(one, User) for one in outcomes) == 1
    assert any(isinstance(one, Missing | WrongState) for one in outcomes), outcomes
    assert Membership.objects.filter(user__email="new@example.test").count() == 1
    assert Invitation.objects.get().accepted_at is not None


def test_a_studio_keeps_a_principal_when_two_leave_at_once():
    cast = make_cast()
    second = Membership.objects.get(user=cast.designer)
    people.membership_role(by=cast.principal, membership=second, role="principal")
    first = Membership.objects.get(user=cast.principal)
    outcomes = at_once(
        lambda: people.membership_end(by=cast.principal, membership=first),
        lambda: people.membership_end(by=cast.designer, membership=Membership.objects.get(pk=second.pk)),
    )
    assert "WrongState" in kinds(outcomes)
    assert Membership.objects.filter(studio=cast.studio, role="principal").count() == 1
