"""Rows for tests: believable defaults, every relation made to match, nothing random that a test could trip over."""

from __future__ import annotations

from dataclasses import dataclass

import factory
from factory.django import DjangoModelFactory

from placements.models import Placement, Plan, Revision
from studio.models import (
    Artwork,
    Client,
    Membership,
    Project,
    Role,
    Room,
    Studio,
    User,
    Wall,
    WallItem,
)

INCH = 25.4
PASSWORD = "paper-ink-and-bole"


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    email = factory.Sequence(lambda n: f"person{n}@example.test")
    name = factory.Sequence(lambda n: f"Person {n}")

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        password = kwargs.pop("password", PASSWORD)
        return model_class.objects.create_user(*args, password=password, **kwargs)


class StudioFactory(DjangoModelFactory):
    class Meta:
        model = Studio

    name = factory.Sequence(lambda n: f"Studio {n}")
    slug = factory.Sequence(lambda n: f"studio-{n}")


class MembershipFactory(DjangoModelFactory):
    class Meta:
        model = Membership

    studio = factory.SubFactory(StudioFactory)
    user = factory.SubFactory(UserFactory)
    role = Role.DESIGNER


class ClientFactory(DjangoModelFactory):
    class Meta:
        model = Client

    studio = factory.SubFactory(StudioFactory)
    name = factory.Sequence(lambda n: f"Client {n}")


class ProjectFactory(DjangoModelFactory):
    class Meta:
        model = Project

    client = factory.SubFactory(ClientFactory)
    name = factory.Sequence(lambda n: f"House {n}")


class RoomFactory(DjangoModelFactory):
    class Meta:
        model = Room

    project = factory.SubFactory(ProjectFactory)
    code = factory.Sequence(lambda n: f"room-{n}")
    name = "Sitting room"
    use = "living"
    position = factory.Sequence(int)


class WallFactory(DjangoModelFactory):
    """A wall 14 ft long and 9 ft high."""

    class Meta:
        model = Wall

    room = factory.SubFactory(RoomFactory)
    code = factory.Sequence(lambda n: f"wall-{n}")
    name = "North wall"
    position = factory.Sequence(int)
    length_mm = 168 * INCH
    height_mm = 108 * INCH


class ItemFactory(DjangoModelFactory):
    """A sofa 7 ft long in the middle of a 14 ft wall."""

    class Meta:
        model = WallItem

    wall = factory.SubFactory(WallFactory)
    code = factory.Sequence(lambda n: f"item-{n}")
    kind = "sofa"
    left_mm = 42 * INCH
    bottom_mm = 0.0
    width_mm = 84 * INCH
    height_mm = 34 * INCH
    depth_mm = 36 * INCH


class ArtworkFactory(DjangoModelFactory):
    """A framed painting of 56 by 34 in that belongs to a client. For studio stock: `client=None, studio=…`."""

    class Meta:
        model = Artwork

    client = factory.SubFactory(ClientFactory)
    studio = factory.LazyAttribute(lambda row: row.client.studio if row.client else StudioFactory())
    code = factory.Sequence(lambda n: f"a{n}")
    title = factory.Sequence(lambda n: f"Work {n}")
    width_mm = 56 * INCH
    height_mm = 34 * INCH
    depth_mm = 1.5 * INCH
    weight_kg = 6.35
    hang_kind = "wire"
    hang_below_top_mm = 9 * INCH
    hang_inset_mm = 3 * INCH
    hang_length_mm = 54 * INCH


class PlanFactory(DjangoModelFactory):
    class Meta:
        model = Plan

    project = factory.SubFactory(ProjectFactory)


class RevisionFactory(DjangoModelFactory):
    class Meta:
        model = Revision

    plan = factory.SubFactory(PlanFactory)
    number = factory.Sequence(lambda n: n + 1)


class PlacementFactory(DjangoModelFactory):
    """The default painting, centred over the default sofa, 8 in above it."""

    class Meta:
        model = Placement

    revision = factory.SubFactory(RevisionFactory)
    wall = factory.SubFactory(WallFactory, room__project=factory.SelfAttribute("...revision.plan.project"))
    artwork = factory.SubFactory(ArtworkFactory, client=factory.SelfAttribute("..revision.plan.project.client"))
    left_mm = 56 * INCH
    bottom_mm = 42 * INCH


@dataclass(frozen=True)
class Cast:
    """The people whom every permission test knows: one of each role, and somebody of another studio."""

    studio: Studio
    principal: User
    designer: User
    coordinator: User
    other_studio: Studio
    stranger: User

    @property
    def members(self) -> tuple[User, User, User]:
        return self.principal, self.designer, self.coordinator


def make_cast() -> Cast:
    studio, other = StudioFactory(), StudioFactory()
    people = {role.value: UserFactory(name=f"{role.label} of {studio.name}") for role in Role}
    for role, user in people.items():
        MembershipFactory(studio=studio, user=user, role=role)
    stranger = UserFactory(name="Stranger")
    MembershipFactory(studio=other, user=stranger, role=Role.PRINCIPAL)
    return Cast(studio, people["principal"], people["designer"], people["coordinator"], other, stranger)
