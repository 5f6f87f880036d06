"""Reads: what sheets and jobs are made of, with their select and prefetch decisions."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import Count, F, Max, OuterRef, Q, QuerySet, Subquery
from django.db.models.fields.files import FieldFile
from django.db.models.fields.json import KT
from django.db.models.functions import Coalesce

from placements.differences import difference
from placements.engine.rulebook import Rulebook
from placements.engine.tolerances import Tolerances
from placements.models import Estimate, Placement, Revision
from placements.selectors.photos.hung import HungReading, hung_readings
from placements.snapshots import Signed, signed
from studio.models import Artwork, Studio, Wall
from studio.reader import units_of
from studio.units import Units

from .contexts.drops import as_measured
from .contexts.handover import HandOver, hand_overs
from .contexts.phone import phone_job
from .contexts.pieces import JobPiece, job_pieces
from .contexts.progress import PieceState, Problem, is_beyond, job_problems, piece_states
from .models import ActionKind, Job, JobAction, Report


@dataclass(frozen=True)
class SignedJob:
    """A signed revision with the rows behind its ids. `placements` are the revision's own, by work id."""

    revision: Revision
    signed: Signed
    units: Units
    pieces: tuple[JobPiece, ...]
    placements: dict[str, Placement]

    @property
    def artworks(self) -> dict[str, Artwork]:
        return {work: placement.artwork for work, placement in self.placements.items()}

    @cached_property
    def tolerances(self) -> Tolerances:
        """How true the pieces are to hang, by the house rules that were signed."""
        return Rulebook.for_house(self.signed.house).tolerances

    @property
    def storage(self) -> dict[str, str]:
        return {work: artwork.storage for work, artwork in self.artworks.items()}

    def wall_code(self, wall: Wall | None) -> str | None:
        """The engine's id of a wall on which something hangs."""
        if wall is None:
            return None
        rows = self.signed.of_works("wall_row")
        return next((hanging.wall for hanging in self.signed.hangings if rows[hanging.work] == wall.pk), wall.code)

    def piece_of(self, placement_id: int | None) -> JobPiece | None:
        return next((piece for piece in self.pieces if self.placements[piece.work.id].pk == placement_id), None)


def signed_job(revision: Revision, *, to_studs: bool = False) -> SignedJob:
    """Everything about a frozen revision that paper and phone show: two queries, whatever its size. Where it was asked
    for, hooks move to studs within the tolerance that was signed.
    """
    units = units_of(revision.plan.project)
    document = signed(revision)
    work_of = {row: work for work, row in document.of_works("artwork").items()}
    placements = {
        work_of[placement.artwork_id]: placement
        for placement in Placement.objects.filter(revision=revision).select_related("artwork", "wall")
    }
    reach = Rulebook.for_house(document.house).tolerances.place if to_studs else 0.0
    pieces = job_pieces(document.house, document.hangings, units, document.of_works("space"), reach)
    return SignedJob(revision, document, units, pieces, placements)


def newest_signed(revision: Revision) -> Revision | None:
    """The newest frozen revision of the same plan, when it is newer than this one."""
    return (
        revision.plan.revisions.exclude(sha256="")
        .exclude(state__in=("draft", "in_review"))
        .filter(number__gt=revision.number)
        .order_by("-number")
        .first()
    )


def documents_of(estimate: Estimate) -> QuerySet[Report]:
    """The documents of an estimate, the newest first."""
    return Report.objects.filter(estimate=estimate).select_related("requested_by", "wall", "artwork").order_by("-pk")


def reports_of(revision: Revision) -> QuerySet[Report]:
    """The sheets of a revision, the newest first; documents of its estimates are theirs."""
    sheets = revision.reports.filter(estimate=None).select_related("wall", "artwork", "requested_by")
    return sheets.order_by("-created_at", "-pk")


def actions_of(job: Job) -> list[JobAction]:
    """What was done on a job, in the order in which it was done."""
    return list(job.actions.select_related("placement__artwork").order_by("created_at", "pk"))


def by_placement(signed: SignedJob) -> dict[int, JobPiece]:
    """The pieces in order of hanging, by the row of their placement."""
    return {signed.placements[piece.work.id].pk: piece for piece in signed.pieces if piece.work.id in signed.placements}


def measured_job(signed: SignedJob, states: Mapping[int, PieceState]) -> SignedJob:
    """The job with the hooks that follow from the drops that were measured on site; `states` by placement."""
    by_number = {piece.number: states[placement] for placement, piece in by_placement(signed).items()}
    return dataclasses.replace(signed, pieces=as_measured(signed.pieces, by_number, signed.units))


def job_for_phone(job: Job) -> dict[str, Any]:
    """The whole job for a phone."""
    signed = signed_job(job.revision, to_studs=job.to_studs)
    actions = actions_of(job)
    states = piece_states(by_placement(signed), actions, signed.units, signed.tolerances)
    pieces = by_placement(measured_job(signed, states))
    sequences = job.actions.values("device").annotate(last=Max("sequence")).order_by("device")
    document = signed.signed
    return phone_job(
        facts={
            "job": job.pk,
            "project": document.project["name"],
            "client": document.project["client"],
            "address": document.project["address_note"],
            "hanger": job.hanger_name,
            "note": job.note,
            "revision": document.revision_number,
            "sha256": document.sha256,
            "signed_by": document.signed_by,
            "signed_at": document.signed_at,
            "studio": job.revision.plan.project.client.studio.name,
            "zone": job.zone.key,
        },
        walls=[(room.name, wall) for room, wall in document.house.walls()],
        pieces=pieces,
        states=states,
        units=signed.units,
        tolerances=signed.tolerances,
        storage=signed.storage,
        pictures={row.pk: picture_version(row.artwork) for row in signed.placements.values() if row.artwork.picture},
        outdated=outdated(job, signed.units),
        sequences={row["device"]: row["last"] for row in sequences},
        photographed=hung_readings(job.revision, signed.units),
        problems=job_problems(actions),
        handed_over=hand_overs(actions),
        carried=carried(job, pieces, states, signed.units),
    )


def picture_version(artwork: Artwork) -> str:
    """Changes when the picture does: pictures are stored under a name made of their content."""
    return hashlib.sha256(str(artwork.picture.name).encode()).hexdigest()[:16]


def placement_picture(job: Job, placement: int) -> FieldFile | None:
    row = job.revision.placements.filter(pk=placement).select_related("artwork").first()
    return row.artwork.picture if row and row.artwork.picture else None


def outdated(job: Job, units: Units) -> dict[str, Any] | None:
    """The newer signed revision and what it changes, when there is one."""
    newer = newest_signed(job.revision)
    return {"revision": newer.number, "walls": changes(job.revision, newer, units)} if newer else None


def carried(
    job: Job, pieces: Mapping[int, JobPiece], states: Mapping[int, PieceState], units: Units
) -> dict[str, Any] | None:
    """What a job takes over from the one that it follows, and what changes; None where it follows none."""
    if job.follows is None:
        return None
    former = job.follows.revision
    return {
        "revision": former.number,
        "numbers": [pieces[placement].number for placement, state in states.items() if state.carried is not None],
        "walls": changes(former, job.revision, units),
    }


def changes(former: Revision, newer: Revision, units: Units) -> list[dict[str, Any]]:
    """What a revision changes, wall by wall, in words."""
    return [
        {
            "wall": f"{one.wall.room.name}, {one.wall.name}",
            "changes": [*(change.text(units) for change in one.changes), *(bare.text for bare in one.bares)],
        }
        for one in difference(former, newer).walls
    ]


def jobs_of(studio: Studio) -> QuerySet[Job]:
    """A studio's jobs with how many pieces and problems to solve each has, and when its hanger was last heard of;
    unfinished ones first."""
    actions = JobAction.objects.filter(job=OuterRef("pk"), kind=ActionKind.SOLVED, late=False).order_by()
    solved = actions.values("job").annotate(count=Count(KT("payload__problem"), distinct=True)).values("count")
    return (
        Job.objects.of_studio(studio)
        .select_related("revision__plan__project__client__studio")
        .annotate(
            piece_count=Count("revision__placements", distinct=True),
            problem_count=Count(
                "actions", filter=Q(actions__kind=ActionKind.PROBLEM, actions__late=False), distinct=True
            )
            - Coalesce(Subquery(solved), 0),
            heard_at=Max("actions__created_at", filter=Q(actions__link__isnull=False)),
        )
        .order_by(F("finished_at").desc(nulls_first=True), "-created_at", "-pk")
    )


@dataclass(frozen=True, slots=True)
class BoardRow:
    piece: JobPiece
    state: PieceState
    by_photo: HungReading | None = None

    @property
    def beyond(self) -> bool:
        return is_beyond(self.state, self.by_photo)


@dataclass(frozen=True, slots=True)
class Board:
    """How a job stands, for the office. `pictured` are the actions that came with a photo."""

    rows: list[BoardRow]
    outdated: dict[str, Any] | None
    carried: dict[str, Any] | None
    job_problems: list[Problem]
    handed_over: tuple[HandOver, ...]
    late: list[JobAction]
    pictured: frozenset[int]
    job_photos: list[int]

    @property
    def up(self) -> int:
        return sum(row.state.up for row in self.rows)

    @property
    def beyond(self) -> int:
        return sum(row.beyond for row in self.rows)

    @property
    def problem_count(self) -> int:
        """How many problems nobody has solved."""
        return sum(not one.solved for one in self.job_problems) + sum(len(row.state.standing) for row in self.rows)


def job_board(job: Job) -> Board:
    """How a job stands, piece by piece: a fixed number of queries."""
    signed = signed_job(job.revision, to_studs=job.to_studs)
    pieces = by_placement(signed)
    actions = actions_of(job)
    states = piece_states(pieces, actions, signed.units, signed.tolerances)
    readings = hung_readings(job.revision, signed.units)
    return Board(
        rows=[BoardRow(piece, states[pk], readings.get(pk)) for pk, piece in pieces.items()],
        outdated=outdated(job, signed.units),
        carried=carried(job, pieces, states, signed.units),
        job_problems=job_problems(actions),
        handed_over=hand_overs(actions),
        late=[action for action in actions if action.late],
        pictured=frozenset(action.pk for action in actions if action.photo),
        job_photos=[
            one.pk for one in actions if one.kind == ActionKind.PHOTO and one.placement_id is None and not one.late
        ],
    )
