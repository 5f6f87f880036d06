"""Sending a plan to review and deciding its exceptions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F
from django.urls import reverse
from django.utils import timezone

from placements import access
from placements.models import Decision, HouseRule, ReviewFinding, Revision, RevisionState, Verdict
from placements.selectors.assessments import KeyedFinding, plan_found
from placements.selectors.decisions import ASKING, AnsweredFinding, live_findings
from placements.selectors.delegations import delegations_to, may_review
from studio.errors import Conflict, Invalid, WrongState
from studio.models import Project, Role, Studio, User
from studio.reader import units_of

from .delegations import speaking_for
from .findings import findings_refresh
from .house_rules import house_rule_set
from .lifecycle import revision_lock, step_begin, step_end, step_take
from .notices import notice_send, people_with

LONGEST_REASON = 4000


@dataclass(frozen=True, slots=True)
class Asked:
    """One finding that the designer is asked about before the plan is sent: why they want it so."""

    found: KeyedFinding
    justification: str

    @property
    def must_answer(self) -> bool:
        return self.found.finding.level == "exception"


def review_questions(*, revision: Revision) -> list[Asked]:
    """The exceptions and stops of a plan as it is now, each with the reason given before."""
    found = [
        finding for finding in plan_found(revision=revision, words=units_of(revision.plan.project)) if finding.asks
    ]
    return [Asked(finding, justification) for finding, justification in _justified(revision, found)]


@transaction.atomic
def review_submit(
    *, by: User, revision: Revision, justifications: Mapping[str, str] | None = None, note: str = ""
) -> Revision:
    """Send a draft to the principal, with a reason for every exception, by its key.

    What was said of the same finding before is kept where nothing new is given.

    Raises:
        Invalid: something cannot hang as it does, or an exception has no justification; every one is named.
        WrongState: the plan is not a draft.
    """
    locked = revision_lock(revision_id=revision.pk)
    project = locked.plan.project
    step = step_begin(revision=locked, name="send", by=by)
    given = {key: text.strip() for key, text in (justifications or {}).items() if text.strip()}
    found = plan_found(revision=locked, words=units_of(project), with_remedies=True)
    asking = [finding for finding in found if finding.asks]
    stops = [
        {"where": finding.key, "detail": f"Correct it first: {finding.finding.text}"}
        for finding in asking
        if finding.finding.level == "stop"
    ]
    if stops:
        raise Invalid(
            f"{_count(len(stops), 'stop')} in this plan: what cannot hang must be corrected before it is sent.",
            faults=stops,
        )
    said = {finding.key: given.get(finding.key) or before for finding, before in _justified(locked, asking)}
    faults = [
        {"where": finding.key, "detail": f"Say why: {finding.finding.text}"}
        for finding in asking
        if finding.finding.level == "exception" and not said[finding.key]
    ] + [
        {"where": key, "detail": f"At most {LONGEST_REASON} characters; this has {len(text)}."}
        for key, text in given.items()
        if len(text) > LONGEST_REASON
    ]
    if faults:
        raise Invalid("The principal will ask why. Give a reason for each exception.", faults=faults)
    live = findings_refresh(revision=locked, found=found, justifications=said)
    locked.note = note.strip()
    step_end(revision=locked, step=step, by=by, note=note)
    count = sum(1 for finding in live if finding.level in ASKING and finding.verdict is None)
    notice_send(
        studio=project.client.studio,
        to=people_with(studio=project.client.studio, roles=[Role.PRINCIPAL]),
        by=by,
        text=f"{by} sent {project} to review: {_count(count, 'exception')} to decide.",
        url=reverse("plan_review", args=[locked.pk]),
    )
    return locked


@transaction.atomic
def review_take_back(*, by: User, revision: Revision, note: str = "") -> Revision:
    """Take a plan out of review to change it; what was decided stays decided where nothing changes."""
    locked = revision_lock(revision_id=revision.pk)
    step_take(revision=locked, name="take_back", by=by, note=note)
    return locked


@dataclass(frozen=True, slots=True)
class Answer:
    """What the principal says of exceptions: `wanted` is what would be accepted of one that is returned.

    Raises:
        Invalid: no such verdict, a return without a note, or more text than fits.
    """

    verdict: str
    reason: str = ""
    wanted: str = ""

    def __post_init__(self) -> None:
        if self.verdict not in (Verdict.ACCEPT, Verdict.ACCEPT_PROJECT, Verdict.RETURN):
            raise Invalid(f"“{self.verdict}” is no decision; choose accept, accept_project or return.")
        if self.verdict == Verdict.RETURN and not self.reason.strip():
            raise Invalid("Say what to change.", faults=[{"where": "reason", "detail": "Say what to change."}])
        if len(self.reason) > LONGEST_REASON:
            raise Invalid(f"At most {LONGEST_REASON} characters fit; this has {len(self.reason)}.")


@transaction.atomic
def findings_decide(*, by: User, seen: Mapping[ReviewFinding, int | None], answer: Answer) -> list[Decision]:
    """Give exceptions of one plan the same answer: all of them, or none.

    `seen` maps each to the decision that the principal saw on it, None where it was undecided.

    Raises:
        Conflict: somebody decided one of them meanwhile.
        Invalid: none at all, findings of several plans, or an acceptance of a stop.
        NotAllowed: by role, or beyond a deputy's limits.
    """
    if len({finding.revision_id for finding in seen}) != 1:
        raise Invalid("Choose at least one exception, all of the same plan.")
    locked, current = _reviewing(findings=tuple(seen))
    principal = speaking_for(by=by, project=locked.plan.project, findings=current, verdict=answer.verdict)
    for finding in current:
        if finding.level == "stop" and answer.verdict != Verdict.RETURN:
            raise Invalid(
                "This cannot hang as it is. A stop must be corrected and cannot be accepted: return it with a note."
            )
        if finding.level == "note":
            raise Invalid("A note asks for no decision.")
        _expect_unchanged(finding, seen[finding])
    said = {"verdict": answer.verdict, "reason": answer.reason.strip(), "by": by, "in_name_of": principal}
    if answer.verdict == Verdict.RETURN:
        said["wanted"] = answer.wanted.strip()
    decisions = Decision.objects.bulk_create(Decision(finding=finding, **said) for finding in current)
    if answer.verdict == Verdict.ACCEPT_PROJECT:
        findings_refresh(revision=locked)
    return decisions


def finding_decide(
    *, by: User, finding: ReviewFinding, verdict: str, reason: str = "", wanted: str = "", replaces: int | None = None
) -> Decision:
    """`findings_decide` for one exception."""
    answer = Answer(verdict, reason, wanted)
    return findings_decide(by=by, seen={finding: replaces}, answer=answer)[0]


@transaction.atomic
def decision_withdraw(*, by: User, decision: Decision) -> Decision:
    """Take a decision back: its finding is undecided again, and a decision for the whole project ends.

    What already followed from it in signed revisions stays; what followed in the plan under review falls with it.
    """
    finding = ReviewFinding.objects.select_related("revision__plan__project__client__studio").get(
        pk=decision.finding_id
    )
    project = finding.revision.plan.project
    if decision.by_id != by.pk or not may_review(by, project):
        access.require(by=by, studio=project.client.studio, roles=access.PRINCIPAL, to="take a decision back")
    if finding.revision.is_frozen and decision.verdict != Verdict.ACCEPT_PROJECT:
        raise WrongState(
            f"Revision {finding.revision.number} is signed: its decisions stay. Decide anew in the next revision."
        )
    open_revision = project.plan.revisions.filter(state__in=(RevisionState.DRAFT, RevisionState.IN_REVIEW)).first()
    if open_revision is not None:
        revision_lock(revision_id=open_revision.pk)
    taken = Decision.objects.select_for_update(of=("self",)).get(pk=decision.pk)
    if taken.withdrawn_at is not None:
        raise Conflict("This decision was taken back already.")
    followers = taken.followers.filter(withdrawn_at=None, finding__revision=open_revision)
    now = timezone.now()
    followers.update(withdrawn_at=now, withdrawn_by=by)
    taken.withdrawn_at, taken.withdrawn_by = now, by
    taken.save(update_fields=["withdrawn_at", "withdrawn_by", "updated_at"])
    return taken


@transaction.atomic
def finding_change_rule(
    *,
    by: User,
    finding: ReviewFinding,
    limit: str,
    value: float,
    whole_studio: bool = False,
    reason: str = "",
    replaces: int | None = None,
) -> HouseRule:
    """Answer an exception by changing the house rule behind it, for this project or for the whole studio.

    Exceptions of that rule that no longer arise are settled by the change; those that still do stay to be decided.
    """
    locked, (finding,) = _reviewing(findings=(finding,))
    access.require(by=by, studio=locked.plan.project.client.studio, roles=access.PRINCIPAL, to="change a house rule")
    _expect_unchanged(finding, replaces)
    project: Project = locked.plan.project
    studio: Studio = project.client.studio
    before = {
        row.pk
        for row in live_findings(locked)
        if row.rule == finding.rule and row.level == "exception" and row.verdict is None
    } | {finding.pk}
    row = house_rule_set(
        by=by,
        studio=studio,
        project=None if whole_studio else project,
        rule=finding.rule,
        limit=limit,
        value=value,
        reason=reason,
    )
    findings_refresh(revision=locked)
    settled = ReviewFinding.objects.filter(pk__in=before).exclude(corrected_at=None)
    where = "the whole studio" if whole_studio else "this project"
    said = reason.strip() or f"The rule’s number was changed for {where}."
    Decision.objects.bulk_create(
        Decision(finding=finding, verdict=Verdict.RULE_CHANGED, reason=said, by=by) for finding in settled
    )
    if all(one.pk != finding.pk for one in settled):
        # The whole change is undone with the transaction: it would not have answered what was asked.
        raise Invalid(
            "With this number the exception would still arise. Go further, accept it, or return it.",
            faults=[{"where": "value", "detail": "The exception would still arise."}],
        )
    return row


@transaction.atomic
def review_send_back(*, by: User, revision: Revision, note: str = "") -> Revision:
    """Give a reviewed plan back to the designer, with what was returned."""
    locked = revision_lock(revision_id=revision.pk)
    project = locked.plan.project
    step = step_begin(revision=locked, name="send_back", by=None if delegations_to(by, project) else by)
    returned = sum(1 for row in live_findings(locked) if row.level in ASKING and row.verdict == Verdict.RETURN)
    if not returned and not note.strip():
        raise Invalid("Return at least one finding, or say in a note what to change.")
    step_end(revision=locked, step=step, by=by, note=note)
    notice_send(
        studio=project.client.studio,
        to=(project.designer, locked.opened_by),
        by=by,
        text=f"{by} sent {project} back: {_count(returned, 'finding')} to correct."
        + (f" {note.strip()}" if note.strip() else ""),
        url=reverse("plan_review", args=[locked.pk]),
    )
    return locked


@transaction.atomic
def review_refresh(*, revision: Revision) -> list[AnsweredFinding]:
    """Bring the findings of a plan in review up to date after the survey or a house rule changed."""
    locked = revision_lock(revision_id=revision.pk)
    if locked.state != RevisionState.IN_REVIEW:
        return []
    return findings_refresh(revision=locked)


def reviews_refresh(*, studio: Studio, project: Project | None = None) -> int:
    """`review_refresh` for every plan in review of a studio, or of one project; each in its own transaction."""
    revisions = Revision.objects.filter(state=RevisionState.IN_REVIEW, plan__project__client__studio=studio).order_by(
        "pk"
    )
    if project is not None:
        revisions = revisions.filter(plan__project=project)
    for revision in revisions:
        review_refresh(revision=revision)
    return len(revisions)


def _reviewing(*, findings: Sequence[ReviewFinding]) -> tuple[Revision, tuple[AnsweredFinding, ...]]:
    """The findings' one revision, locked and in review, and the findings as they are now."""
    locked = revision_lock(revision_id=findings[0].revision_id)
    if locked.state != RevisionState.IN_REVIEW:
        raise WrongState(
            f"Revision {locked.number} is {locked.get_state_display().lower()}, no longer in review.",
            extra={"state": locked.state},
        )
    current = tuple(live_findings(locked).filter(pk__in=[finding.pk for finding in findings]))
    if len(current) != len(findings):
        raise Conflict("This finding no longer arises: the plan, the survey or a house rule changed.")
    return locked, current


def _expect_unchanged(finding: AnsweredFinding, replaces: int | None) -> None:
    if finding.decision_id == replaces:
        return
    rows = Decision.objects.select_related("by")
    newest = None if finding.decision_id is None else rows.filter(pk=finding.decision_id).first()
    if newest is None:
        raise Conflict("The decision that you saw was taken back meanwhile.", extra={"decision": None})
    raise Conflict(
        f"{newest.by or 'Somebody'} decided this meanwhile: {newest.get_verdict_display().lower()}.",
        extra={"decision": newest.pk, "verdict": newest.verdict},
    )


def _justified(revision: Revision, found: list[KeyedFinding]) -> list[tuple[KeyedFinding, str]]:
    """Each finding with the newest justification of the same finding, else of the same rule on the same pieces."""
    rows = (
        ReviewFinding.objects.filter(revision__plan=revision.plan)
        .exclude(justification="")
        .order_by("revision__number", F("justified_at").asc(nulls_first=True), "pk")
        .prefetch_related("artworks")
    )
    exact: dict[str, str] = {}
    alike: dict[tuple[str, int, tuple[int, ...]], str] = {}
    for row in rows:
        exact[row.key] = row.justification
        alike[row.rule, row.wall_id, tuple(sorted(artwork.pk for artwork in row.artworks.all()))] = row.justification
    return [
        (
            finding,
            exact.get(finding.key) or alike.get((finding.finding.rule, finding.wall, tuple(sorted(finding.works))), ""),
        )
        for finding in found
    ]


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
