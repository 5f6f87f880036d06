"""A group of studios as large as the service is meant to carry, for measuring: seeded, the same every time."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, TypeVar

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.db.models import Model

from placements.models import Placement, Plan, ReviewFinding, Revision, RevisionWall
from studio.models import Artwork, Client, Form, Membership, Project, Role, Room, RoomUse, Studio, User, Wall, WallItem

Row = TypeVar("Row", bound=Model)
BATCH = 1000
IN = 25.4
ADJECTIVES = ("amber", "birch", "coastal", "dappled", "eastern", "gilded", "hazel", "juniper", "mossy", "ochre")
NOUNS = ("harbour", "orchard", "window", "river", "meadow", "study", "ladder", "garden", "terrace", "bridge")
WALLS_A_ROOM = 4


@dataclass(frozen=True)
class Size:
    """How much of each: projects a studio, walls and works a project."""

    projects: int = 25
    walls: int = 12
    works: int = 60


class Command(BaseCommand):
    help = "Adds a group of invented studios for measuring. The defaults: 5,000 projects, 60,000 walls, 300,000 works."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--studios", type=int, default=200)
        parser.add_argument("--projects", type=int, default=Size.projects, help="a studio")
        parser.add_argument("--walls", type=int, default=Size.walls, help="a project")
        parser.add_argument("--works", type=int, default=Size.works, help="a project")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--password", default="measure-twice-hang-once", help="of everybody in it")

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError("Invented studios do not belong among real ones: not in production.")
        if Studio.objects.filter(slug__startswith="scale-").exists():
            raise CommandError("The group is here already.")
        size = Size(options["projects"], options["walls"], options["works"])
        started = time.perf_counter()
        password = make_password(options["password"])
        for number in range(options["studios"]):
            studio_add(number, size, seed=options["seed"], password=password)
            if (number + 1) % 20 == 0:
                self.stderr.write(f"{number + 1} studios, {time.perf_counter() - started:.0f} s")
        count = options["studios"] * size.projects
        seconds = time.perf_counter() - started
        self.stdout.write(
            f"{options['studios']} studios, {count} projects, {count * size.walls} walls, {count * size.works} works "
            f"in {seconds:.0f} s. Sign in as principal-0@scale.example."
        )


@transaction.atomic
def studio_add(number: int, size: Size, *, seed: int, password: str) -> Studio:
    """One studio of the group with its people; what is in it depends on `seed` and `number` alone."""
    studio = Studio.objects.create(name=f"Measured studio {number}", slug=f"scale-{number}")
    for role in Role:
        user = User(email=f"{role.value}-{number}@scale.example", name=f"{role.label} {number}", password=password)
        user.save()
        Membership.objects.create(studio=studio, user=user, role=role)
    studio_fill(studio, size, chance=random.Random(f"{seed}:{number}"))
    return studio


def studio_fill(studio: Studio, size: Size, *, chance: random.Random) -> None:
    """Clients, projects, rooms, walls, furniture, works, and a draft with placements and findings for each project."""

    def each(owners: list[Any], count: int, make: Callable[[Any, int], Row]) -> Iterator[Row]:
        return (make(owner, index) for owner in owners for index in range(count))

    clients = _store(
        each([studio], -(-size.projects // 2), lambda owner, n: Client(studio=owner, name=f"Client {n:04}"))
    )
    projects = _store(
        Project(client=clients[n // 2], name=f"{_title(chance)} house {n:04}") for n in range(size.projects)
    )
    rooms = _store(each(projects, -(-size.walls // WALLS_A_ROOM), _room))
    walls = _store(
        _wall(room, n)
        for project, of_project in _grouped(rooms, projects)
        for n, room in enumerate((of_project * WALLS_A_ROOM)[: size.walls])
    )
    _store(each(walls, 2, _item))
    works = _store(each(projects, size.works, lambda project, n: _work(studio, project, n, chance)))
    _draft(projects, walls, works, size)


def _draft(projects: list[Project], walls: list[Wall], works: list[Artwork], size: Size) -> None:
    plans = _store(Plan(project=project) for project in projects)
    revisions = _store(Revision(plan=plan, number=1) for plan in plans)
    on_wall = [(revisions[n // size.walls], wall, works[n // size.walls * size.works + n % size.walls])
               for n, wall in enumerate(walls) if n % size.walls < size.works]  # fmt: skip
    _store(RevisionWall(revision=revision, wall=wall) for revision, wall, _ in on_wall)
    _store(
        Placement(revision=revision, wall=wall, artwork=work, left_mm=56 * IN, bottom_mm=44 * IN)
        for revision, wall, work in on_wall
    )
    _store(
        ReviewFinding(
            revision=revision, wall=wall, key=f"{wall.pk}", rule="clearance", level="exception",
            text="Bottom edge is 10 in above the sofa; 6–8 in keeps them together.",
            measured=254.0, low=152.4, high=203.2,
        )
        for revision, wall, _ in on_wall[::3]
    )  # fmt: skip


def _store(rows: Iterable[Row]) -> list[Row]:
    made = list(rows)
    return type(made[0])._default_manager.bulk_create(made, batch_size=BATCH) if made else made


def _grouped(rooms: list[Room], projects: list[Project]) -> Iterator[tuple[Project, list[Room]]]:
    a_project = len(rooms) // max(1, len(projects))
    for n, project in enumerate(projects):
        yield project, rooms[n * a_project : (n + 1) * a_project]


def _title(chance: random.Random) -> str:
    return f"{chance.choice(ADJECTIVES)} {chance.choice(NOUNS)}".capitalize()


def _room(project: Project, n: int) -> Room:
    return Room(project=project, code=f"r{n}", name=f"Room {n + 1}", use=RoomUse.LIVING, position=n)


def _wall(room: Room, n: int) -> Wall:
    return Wall(room=room, code=f"w{n}", name=f"Wall {n + 1}", position=n, length_mm=168 * IN, height_mm=108 * IN)


def _item(wall: Wall, n: int) -> WallItem:
    kind, left, bottom, width, height = (("sofa", 42, 0, 84, 34), ("window", 132, 30, 30, 54))[n]
    return WallItem(
        wall=wall, code=kind, kind=kind, left_mm=left * IN, bottom_mm=bottom * IN, width_mm=width * IN,
        height_mm=height * IN, depth_mm=36 * IN * (kind == "sofa"),
    )  # fmt: skip


def _work(studio: Studio, project: Project, n: int, chance: random.Random) -> Artwork:
    return Artwork(
        studio=studio, client_id=project.client_id, project=project, code=f"p{project.pk}-a{n}", title=_title(chance),
        form=chance.choice(Form.values), width_mm=chance.randrange(8, 64) * IN, height_mm=chance.randrange(8, 48) * IN,
        depth_mm=1.5 * IN, weight_kg=round(chance.uniform(0.5, 14), 2), frame=chance.choice(("black", "oak", "gilt")),
    )  # fmt: skip
