"""Asking the engine for a whole plan, in the background, and taking over what it proposes.

How a run is claimed, held and found again is in `runs`.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from placements import access
from placements.models import Placement, ProposalRun, Revision, RunState
from placements.pieces import Piece
from placements.selectors.proposals import propose_for
from placements.selectors.walls import WallInHand
from studio.errors import Invalid, WrongState
from studio.models import Artwork, Project, User, Wall
from studio.queue import send_after_commit

from . import runs
from .moves import arrangement_replace, available_works
from .plans import plan_open, revision_open

ACTIVE = (RunState.QUEUED, RunState.RUNNING)


class LostRun(Exception):
    """The run was cancelled, or another worker has it: stop and write nothing."""


@dataclass(frozen=True, slots=True)
class Accepted:
    """What accepting did: walls taken over, and walls left alone because they changed since, by id."""

    taken: tuple[int, ...]
    changed_since: tuple[int, ...]


@transaction.atomic
def proposal_request(*, by: User, project: Project, options: dict[str, Any] | None = None) -> ProposalRun:
    """Ask for a proposal for a project; a run that is still under way is given back instead of a second one.

    The versions of the walls are written down, so that accepting can tell which were changed meanwhile.
    """
    access.require(by=by, studio=project.client.studio, roles=access.DESIGN, to="ask for a proposal")
    plan_open(project=project)  # locks: two who press at once get one run
    active = ProposalRun.objects.filter(project=project, state__in=ACTIVE).first()
    if active is not None:
        return active
    revision = revision_open(by=by, project=project)
    run = ProposalRun.objects.create(
        project=project,
        requested_by=by,
        options={**(options or {}), "revision": revision.pk, "versions": _versions(revision)},
    )
    send_after_commit("placements.tasks.proposal_run", run.pk)
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


def proposal_claim(*, run_id: int, owner: str) -> ProposalRun | None:
    """Take a run that is due; None when somebody else has it or it is done."""
    if not runs.claim(ProposalRun, run_id, owner):
        return None
    return ProposalRun.objects.select_related("project__client__studio", "requested_by").get(pk=run_id)


def proposal_work(*, run_id: int, owner: str | None = None) -> ProposalRun | None:
    """Claim a run, let the engine work, and store what it proposes or why it could not."""
    owner = owner or uuid.uuid4().hex
    run = proposal_claim(run_id=run_id, owner=owner)
    if run is None:
        return None
    if run.attempts > runs.MOST_ATTEMPTS:
        runs.finish(run, owner, state=RunState.FAILED, error=f"Its worker died {runs.MOST_ATTEMPTS} times. Ask again.")
        return run
    try:
        with runs.renewal(run, owner):
            result = propose_for(run=run, progress=_reporter(run.pk, owner))
        runs.finish(run, owner, state=RunState.READY, result=result, progress=1.0)
    except LostRun:
        return None
    except Exception as error:
        # Whatever stopped the engine, the person who asked reads it; the task fails with it too.
        runs.finish(run, owner, state=RunState.FAILED, error=f"The engine stopped: {error}")
        raise
    return run


def proposal_work_in_turn() -> ProposalRun | None:
    """Work on the run that is due next, whichever it is: a message on the queue only wakes somebody."""
    for pk in runs.due(ProposalRun):
        if run := proposal_work(run_id=pk):
            return run
    return None


def proposals_sweep() -> int:
    """Queue again the runs that a dead worker or broker lost."""
    return runs.requeue_lost(ProposalRun, "placements.tasks.proposal_run")


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
    proposed = {one["wall"]: one for one in proposed_walls(run, alternative)}
    chosen = list(proposed) if walls is None else list(walls)
    if unknown := [one for one in chosen if one not in proposed]:
        raise Invalid(f"The proposal says nothing of wall {', '.join(map(str, unknown))}.")
    revision = revision_open(by=by, project=run.project)
    same_revision = revision.pk == run.options.get("revision")
    then, now = run.options.get("versions", {}), _versions(revision)
    untouched = [one for one in proposed if same_revision and now.get(str(one), 1) == then.get(str(one), 1)]
    taken = chosen if even_changed else [one for one in chosen if one in untouched]
    rows = Wall.objects.select_related("room").in_bulk(taken)
    locked = {one.artwork_id: one for one in revision.placements.filter(locked=True).select_related("artwork")}
    ids = [one["artwork"] for pk in taken for one in proposed[pk]["pieces"] if one["artwork"] not in locked]
    works = available_works(revision=revision, artwork_ids=ids)
    for pk in taken:
        if pk in rows:
            arrangement_replace(
                by=by,
                hand=WallInHand(run.project, rows[pk], revision),
                version=None,
                pieces=_pieces(proposed[pk], works, locked, pk),
                bares=[(one["space"], one["reason"]) for one in proposed[pk]["bares"]],
            )
    # What accepting changed, here and on the walls that a piece left, must not count as somebody's edit later.
    known = _versions(revision)
    versions = then | {str(one): known.get(str(one), 1) for one in {*untouched, *taken}}
    run.options = {**run.options, "revision": revision.pk, "versions": versions}
    run.save(update_fields=["options", "updated_at"])
    return Accepted(tuple(taken), tuple(one for one in chosen if one not in taken))


def proposed_walls(run: ProposalRun, alternative: int | None = None) -> list[dict[str, Any]]:
    """The walls of a ready run's best plan, or of one of its alternatives, counted from nought."""
    result = run.result or {"walls": []}
    if alternative is None:
        return result["walls"]  # type: ignore[no-any-return]
    others = result.get("alternatives", [])
    if not 0 <= alternative < len(others):
        raise Invalid(f"This proposal has {len(others)} alternatives; there is no number {alternative}.")
    return others[alternative]  # type: ignore[no-any-return]


def _pieces(
    proposed: dict[str, Any], works: dict[int, Artwork], locked: dict[int, Placement], wall: int
) -> list[Piece]:
    """The proposed pieces, but for those that the designer fixed: they stay exactly where they are."""
    pieces = [Piece.read(one, works) for one in proposed["pieces"] if one["artwork"] not in locked]
    fixed = [Piece.of(one) for one in locked.values() if one.wall_id == wall]
    return fixed + pieces


def _versions(revision: Revision) -> dict[str, int]:
    return {str(one.wall_id): one.version for one in revision.walls.all()}


def _reporter(run_id: int, owner: str) -> Callable[[float, str], None]:
    def report(share: float, _doing: str = "") -> None:
        if not runs.renew(ProposalRun, run_id, owner, progress=min(max(share, 0.0), 1.0)):
            raise LostRun

    return report
