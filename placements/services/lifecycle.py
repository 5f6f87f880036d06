"""A revision's way from draft to closed, each step by the right role, and the steps back."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from placements import access
from placements.models import Revision, RevisionState, Transition
from studio.errors import Invalid, WrongState
from studio.models import Role, User

State = RevisionState


@dataclass(frozen=True, slots=True)
class Step:
    """One permitted step: `words` completes "Only a … can …"."""

    name: str
    start: RevisionState
    end: RevisionState
    roles: tuple[Role, ...]
    words: str
    needs_note: bool = False


#: Every step there is. Nothing leaves `signed` for `draft`: a change opens a new revision instead.
STEPS: dict[str, Step] = {
    step.name: step
    for step in (
        Step("send", State.DRAFT, State.IN_REVIEW, access.DESIGN, "send a plan to review"),
        Step("take_back", State.IN_REVIEW, State.DRAFT, access.DESIGN, "take a plan back from review"),
        Step("send_back", State.IN_REVIEW, State.DRAFT, access.PRINCIPAL, "send a plan back"),
        Step("sign", State.IN_REVIEW, State.SIGNED, access.PRINCIPAL, "sign a plan"),
        Step("issue", State.SIGNED, State.ISSUED, access.OFFICE, "issue a plan to a hanger"),
        Step("recall", State.ISSUED, State.SIGNED, access.OFFICE, "recall a plan from the hanger", needs_note=True),
        Step("hung", State.ISSUED, State.HUNG, access.EVERYONE, "mark a plan as hung"),
        Step("rehang", State.HUNG, State.ISSUED, access.EVERYONE, "put a plan back to hanging", needs_note=True),
        Step("close", State.HUNG, State.CLOSED, access.OFFICE, "close a plan"),
        Step("reopen", State.CLOSED, State.HUNG, access.PRINCIPAL, "reopen a closed plan", needs_note=True),
    )
}


def revision_lock(*, revision_id: int) -> Revision:
    """The revision, locked until the transaction ends: edits, decisions and signing of a plan queue up here."""
    return (
        Revision.objects.select_for_update(of=("self",))
        .select_related("plan__project__client__studio", "opened_by")
        .get(pk=revision_id)
    )


def last_step(revision: Revision) -> Transition | None:
    return revision.transitions.select_related("by").order_by("-created_at", "-pk").first()


def step_begin(*, revision: Revision, name: str, by: User | None, note: str = "") -> Step:
    """The step, if it may be taken with a revision that the caller has locked: the one place that asks.

    `by` is None for whose right was asked before: a hanger's link, a principal's deputy.

    Raises:
        NotAllowed: by role.
        WrongState: the revision is in another state than the step starts from.
        Invalid: the step asks for a note.
    """
    step = STEPS[name]
    if by is not None:
        access.require(by=by, studio=revision.plan.project.client.studio, roles=step.roles, to=step.words)
    if revision.state != step.start:
        last = last_step(revision)
        who = f" by {last.by}" if last and last.by else ""
        raise WrongState(
            f"Revision {revision.number} of {revision.plan.project} is {revision.get_state_display().lower()}{who}; "
            f"to {step.words} it must be {step.start.label.lower()}.",
            extra={"state": revision.state},
        )
    if step.needs_note and not note.strip():
        raise Invalid(f"To {step.words}, say why.", faults=[{"where": "note", "detail": "Say why."}])
    return step


def step_end(*, revision: Revision, step: Step, by: User | None, note: str = "") -> Transition:
    """Store a step that was begun."""
    revision.state = step.end
    revision.save(update_fields=["state", "snapshot", "sha256", "rules_fingerprint", "note", "updated_at"])
    return Transition.objects.create(
        revision=revision, from_state=step.start, to_state=step.end, by=by, note=note.strip()
    )


def step_take(*, revision: Revision, name: str, by: User | None, note: str = "") -> Transition:
    """Begin and end one step with a revision that the caller has locked."""
    return step_end(
        revision=revision, step=step_begin(revision=revision, name=name, by=by, note=note), by=by, note=note
    )


@transaction.atomic
def revision_step(*, by: User | None, revision: Revision, name: str, note: str = "") -> Revision:
    """Issue, recall, hung, rehang, close, reopen: the steps that change nothing but the state."""
    if name in ("send", "sign", "send_back"):
        raise ValueError(f"{name} has a service of its own")
    locked = revision_lock(revision_id=revision.pk)
    if name == "issue":
        _expect_newest(locked)
    step_take(revision=locked, name=name, by=by, note=note)
    return locked


def _expect_newest(revision: Revision) -> None:
    newer = (
        revision.plan.revisions.filter(number__gt=revision.number)
        .exclude(state__in=(State.DRAFT, State.IN_REVIEW))
        .order_by("-number")
        .first()
    )
    if newer is not None:
        raise WrongState(
            f"Revision {newer.number} was signed after revision {revision.number}: issue that one.",
            extra={"newer": newer.number},
        )
