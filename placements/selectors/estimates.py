"""What estimates are made of: a studio's prices, the pieces of a plan, and how long jobs really took."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from placements import access
from placements.engine.facade import standing
from placements.engine.hanging.fasten import fasten
from placements.engine.hanging.points import hook_points
from placements.engine.house import Rect
from placements.engine.results import Hanging, PlainWords
from placements.estimating import hours
from placements.estimating.lines import Estimate as Sums
from placements.estimating.lines import Framed, Purchase, estimate
from placements.estimating.pieces import Piece
from placements.estimating.prices import Prices
from placements.models import Estimate, PriceList, Revision
from placements.pieces import Piece as Hung
from placements.scenes import ProjectScene, hangings_of, placed_scene
from studio.models import Artwork, Project, Studio, User
from studio.reader import units_of

from .walls import WallInHand

#: Fixings that are priced as heavy: what needs a drill or a specialist.
HEAVY = frozenset({"toggle", "stud-lag", "sleeve-anchor", "plug-8", "tile-plug-6"})
#: Forms on paper, which want a frame where they have none.
ON_PAPER = frozenset({"print", "drawing", "photograph"})
#: Jobs from which a pace is learned, at the least and at the most; hours that a job may have taken.
FEWEST, NEWEST, SOUND_HOURS = 3, 40, (0.25, 60.0)


def price_list_of(studio: Studio) -> PriceList | None:
    """The newest version; None where the studio never set one."""
    return PriceList.objects.filter(studio=studio).select_related("made_by").order_by("-version").first()


def prices_of(studio: Studio) -> tuple[Prices, int]:
    """What the studio charges, with the version; 0 with the figures that come with us."""
    row = price_list_of(studio)
    if row is not None:
        return Prices.of_json(row.content), row.version
    metric = units_of(studio).metric
    return Prices("EUR" if metric else "USD", "metre" if metric else "united_inch"), 0


def estimates_of(user: User) -> QuerySet[Estimate]:
    return access.visible(user, Estimate).select_related("revision__plan__project__client__studio", "made_by", "link")


def estimate_shown(project: Project) -> Estimate | None:
    """What the project's client links show: the newest that was sent."""
    return (
        Estimate.objects.filter(revision__plan__project=project)
        .exclude(sent_at=None)
        .select_related("revision__plan__project__client")
        .order_by("-sent_at", "-pk")
        .first()
    )


def pieces_of(revision: Revision) -> tuple[Piece, ...]:
    """Every piece of a revision with what hanging it asks for, wall by wall."""
    scene = placed_scene(revision)
    groups = dict(revision.placements.values_list("artwork", "group"))
    return _charged(scene, hangings_of(revision, scene), groups)


def on_wall(hand: WallInHand, hung: Sequence[Hung]) -> tuple[Piece, ...]:
    """The same of one wall as pieces would hang there."""
    scene = hand.scene(whole=True)
    hangings = tuple(scene.hanging(one, hand.wall.pk) for one in hung if one.artwork.pk in scene.work_code)
    return _charged(scene, hangings, {one.artwork.pk: one.group for one in hung})


def _charged(scene: ProjectScene, hangings: Sequence[Hanging], groups: Mapping[int, str]) -> tuple[Piece, ...]:
    stands = {one.work.id for one in standing(scene.house, hangings)}
    sizes = Counter((scene.wall_pk[one.wall], groups.get(scene.work_pk[one.work], "")) for one in hangings)
    rooms = {wall.id: (room, wall) for room, wall in scene.house.walls()}
    found = []
    for one in hangings:
        room, wall = rooms[one.wall]
        work, pk = scene.house.work_by_id[one.work], scene.work_pk[one.work]
        rect = Rect(one.left, one.bottom, work.width, work.height)
        hooks = hook_points(work, rect.left, rect.bottom, wall=wall, words=PlainWords())
        fastened = () if one.work in stands else fasten(room, wall, rect, hooks).points
        points = sum(at.choice.count for at in fastened)
        heavy = sum(at.choice.count for at in fastened if at.choice.fixing.id in HEAVY)
        hardware = "" if one.work in stands else hooks.kind
        group = sizes[scene.wall_pk[one.wall], groups[pk]] if groups.get(pk) else 1
        found.append(
            Piece(
                pk, scene.art[pk].title, room.name, wall.name, work.width, work.height, work.weight_kg, hardware,
                points, heavy, rect.top, wall.build, group,
            )
        )  # fmt: skip
    order = {wall.id: at for at, (_, wall) in enumerate(scene.house.walls())}
    by_name = {(room.name, wall.name): order[wall.id] for room, wall in scene.house.walls()}
    return tuple(sorted(found, key=lambda one: (by_name[one.room, one.wall], one.group > 1, one.id)))


def wants_frame(work: Artwork) -> bool:
    """Whether a work on paper has no frame yet."""
    return work.form in ON_PAPER and work.frame.strip().lower() in ("", "none")


def reckoned(
    revision: Revision, prices: Prices, framed: dict[int, Framed], purchases: tuple[Purchase, ...], visits: int
) -> Sums:
    """What a revision costs today."""
    return estimate(pieces_of(revision), prices, framed=framed, purchases=purchases, visits=visits)


@dataclass(frozen=True, slots=True)
class Pace:
    """How long a studio's jobs took against what is reckoned: the middle of them, the quarter below and above."""

    jobs: int
    middle: float
    low: float
    high: float


def pace_of(studio: Studio) -> Pace | None:
    """Learned from the newest finished jobs; None where there are too few to say."""
    done = (
        Revision.objects.of_studio(studio)
        .filter(jobs__started_at__isnull=False, jobs__finished_at__isnull=False)
        .order_by("-jobs__finished_at")
        .values_list("pk", "jobs__started_at", "jobs__finished_at")[:NEWEST]
    )
    taken = {pk: (end - start).total_seconds() / 3600 for pk, start, end in done if start and end}
    shares = []
    for revision in Revision.objects.filter(pk__in=taken).select_related("plan__project__client__studio"):
        said = hours.of_all(pieces_of(revision)).middle
        if SOUND_HOURS[0] <= taken[revision.pk] <= SOUND_HOURS[1] and said > 0:
            shares.append(taken[revision.pk] / said)
    if len(shares) < FEWEST:
        return None
    low, middle, high = statistics.quantiles(shares, n=4, method="inclusive")
    return Pace(len(shares), middle, low, high)
