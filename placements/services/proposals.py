"""Asking the engine for a whole plan, in the background, and taking over what it proposes.

How a run is claimed, held, tried again and given up is in `studio.background`.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from placements import access
from placements.engine.errors import EngineError
from placements.models import Placement, ProposalRun, Revision, RunState
from placements.pieces import Piece, same_places
from placements.selectors.projects import hanging_by_wall
from placements.selectors.proposals import propose_for
from placements.selectors.walls import WallInHand
from studio.background import Failure, Failures, Hold, Impossible, WorkKind
from studio.errors import Invalid, WrongState
from studio.models import Artwork, Project, User, Wall

from .moves import arrangement_replace, available_works
from .plans import plan_open, revision_open
from .walls import Edit

log = logging.getLogger(__name__)

ACTIVE = (RunState.QUEUED, RunState.RUNNING)

_AGAIN = "Ask again; if it fails again, tell whoever runs the site."
PROPOSALS = WorkKind(
    ProposalRun,
    wake="placements.tasks.proposal_wake",
    lease="RUN_LEASE_SECONDS",
    related=("project__client__studio", "requested_by"),
    failures=Failures(
        full_disk=Failure("The disk of the site is full.", "Free some space, then ask again."),
        no_storage=Failure("The file store for pictures did not answer.", "Ask again in a while."),
        broken=Failure("Something went wrong while working out the plan.", _AGAIN),
        slow=Failure("Working out the plan took too long, so it was stopped.", _AGAIN),
        died=Failure("The worker stopped {count} times while working out this plan.", _AGAIN),
    ),
)
CONTRADICTORY = (
    "The records of this project contradict one another, so no plan can be worked out from them. Check the house rules "
    "and what was changed last in its rooms, walls and works, then ask again."
)


@dataclass(frozen=True, slots=True)
class Accepted:
    """What accepting did, by walls' ids: those taken over, those of them that hung otherwise before, and those left
    alone because they changed since the proposal was asked for."""

    taken: tuple[int, ...]
    changed: tuple[int, ...]
    changed_since: tuple[int, ...]


@transaction.atomic
def proposal_request(*, by: User, project: Project, as_usual: bool = True) -> ProposalRun:
    """Ask for a proposal for a project; a run that is still under way is given back instead of a second one.

    The versions of the walls are written down, so that accepting can tell which were changed meanwhile. `as_usual`:
    what the studio usually hangs shifts the ranking.
    """
    access.require(by=by, studio=project.client.studio, roles=access.DESIGN, to="ask for a proposal")
    plan_open(project=project)  # locks: two who press at once get one run
    active = ProposalRun.objects.filter(project=project, state__in=ACTIVE).first()
    if active is not None:
        return active
    revision = revision_open(by=by, project=project)
    run = ProposalRun(
        project=project,
        requested_by=by,
        options={"as_usual": as_usual, "revision": revision.pk, "versions": _versions(revision)},
    )
    PROPOSALS.queue(run)
    return run


@transaction.atomic
def proposal_cancel(*, by: User, run: ProposalRun) -> ProposalRun:
    """Stop a run that is queued or under way."""
    access.require(by=by, studio=run.project.client.studio, roles=access.DESIGN, to="cancel a proposal")
    now = timezone.now()
    if not ProposalRun.objects.filter(pk=run.pk, state__in=ACTIVE).update(
        state=RunState.CANCELLED, finished_at=now, updated_at=now, lease_owner="", lease_until=None
    ):
        run.refresh_from_db()
        raise WrongState(f"This proposal is {run.get_state_display().lower()} already.", extra={"state": run.state})
    run.refresh_from_db()
    return run


def proposal_work(*, run_id: int | None = None) -> ProposalRun | None:
    """Work out this run, or the one that is due next; None when none is due, or it was taken away meanwhile."""
    return PROPOSALS.work(propose, run_id)


def propose(run: ProposalRun, hold: Hold[ProposalRun]) -> None:
    """Let the engine work on a claimed run, and store what it proposes.

    Raises:
        Impossible: the project's records cannot be planned with. Lost: the run was cancelled, or another worker has it.
    """
    try:
        result = propose_for(run=run, progress=lambda share, _doing: hold.progress(share))
    except EngineError as error:
        log.exception("the engine refused a project", extra={"row": run.pk})
        raise Impossible(CONTRADICTORY) from error
    hold.finish(result=result)


@transaction.atomic
def proposal_accept(
    *,
    by: User,
    run: ProposalRun,
    walls: Iterable[int] | None = None,
    even_changed: bool = False,
    alternative: int | None = None,
) -> Accepted:
    """Hang what a run proposes: on every wall, or on those named; its best plan, or one of its alternatives.

    A wall that was edited after the proposal was asked for is left alone and named, unless `even_changed`.
    """
    if run.state != RunState.READY or not run.result:
        raise WrongState(f"This proposal is {run.get_state_display().lower()}: there is nothing to accept.")
    proposed = {wall["wall"]: wall for wall in proposed_walls(run, alternative)}
    chosen = list(proposed) if walls is None else list(walls)
    if unknown := [one for one in chosen if one not in proposed]:
        raise Invalid(f"The proposal does not cover wall {', '.join(map(str, unknown))}.")
    revision = revision_open(by=by, project=run.project)
    same_revision = revision.pk == run.options.get("revision")
    then, now = run.options.get("versions", {}), _versions(revision)
    untouched = [one for one in proposed if same_revision and now.get(str(one), 1) == then.get(str(one), 1)]
    taken = chosen if even_changed else [one for one in chosen if one in untouched]
    rows = Wall.objects.select_related("room").in_bulk(taken)
    locked = {
        placement.artwork_id: placement
        for placement in revision.placements.filter(locked=True).select_related("artwork")
    }
    ids = [one["artwork"] for pk in taken for one in proposed[pk]["pieces"] if one["artwork"] not in locked]
    works = available_works(project=revision.plan.project, artwork_ids=ids)
    before, changed = hanging_by_wall(revision), []
    for pk in taken:
        if pk in rows:
            pieces = _pieces(proposed[pk], works, locked, pk)
            if not same_places([Piece.of(placement) for placement in before.get(pk, ())], pieces):
                changed.append(pk)
            arrangement_replace(
                edit=Edit(by),
                hand=WallInHand(run.project, rows[pk], revision),
                pieces=pieces,
                bares=[(one["space"], one["reason"]) for one in proposed[pk]["bares"]],
            )
    # What accepting changed, here and on the walls that a piece left, must not count as somebody's edit later.
    known = _versions(revision)
    versions = then | {str(one): known.get(str(one), 1) for one in {*untouched, *taken}}
    run.options = {**run.options, "revision": revision.pk, "versions": versions}
    run.save(update_fields=["options", "updated_at"])
    return Accepted(tuple(taken), tuple(changed), tuple(one for one in chosen if one not in taken))


def proposed_walls(run: ProposalRun, alternative: int | None = None) -> list[dict[str, Any]]:
    """The walls of a ready run's best plan, or of one of its alternatives, counted from nought."""
    result: dict[str, Any] = run.result or {"walls": []}
    if alternative is None:
        best: list[dict[str, Any]] = result["walls"]
        return best
    others: list[list[dict[str, Any]]] = result.get("alternatives", [])
    if not 0 <= alternative < len(others):
        raise Invalid(f"This proposal has {len(others)} alternatives; there is no number {alternative}.")
    return others[alternative]


def _pieces(
    proposed: dict[str, Any], works: dict[int, Artwork], locked: dict[int, Placement], wall: int
) -> list[Piece]:
    """The proposed pieces, but for those that the designer fixed: they stay exactly where they are."""
    pieces = [Piece.read(one, works) for one in proposed["pieces"] if one["artwork"] not in locked]
    fixed = [Piece.of(placement) for placement in locked.values() if placement.wall_id == wall]
    return fixed + pieces


def _versions(revision: Revision) -> dict[str, int]:
    return {str(edit.wall_id): edit.version for edit in revision.walls.all()}
