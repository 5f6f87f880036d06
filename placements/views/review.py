"""The principal's queue, and a plan's way through review."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from placements import access
from placements.contexts.drawn import sheet_rooms
from placements.contexts.gauges import ruler
from placements.contexts.review import HIGH, WIDE, matter_in_full, stages, verdict_marks
from placements.forms.lookups import QueueQuery
from placements.forms.review import WHY, ChangeRuleForm, DecideForm, SendForm, SignForm, StepForm
from placements.models import Decision, ReviewFinding, Revision, RevisionState
from placements.selectors.decisions import live_findings, standing_decisions
from placements.selectors.delegations import delegations_to, may_review, may_sign
from placements.selectors.queue import Matter, PlanInReview, plan_in_review, plans_in_review
from placements.services import lifecycle, review, signoff
from placements.services.delegations import signing_for
from placements.snapshots import verify
from studio.access import SignedRequest
from studio.errors import Invalid, ServiceError
from studio.forms import given
from studio.models import Artwork, Wall
from studio.problems import problem
from studio.reader import units_for
from studio.weighty import weighty

from .rules import limit_of, value_of


def _revisions() -> QuerySet[Revision]:
    return Revision.objects.select_related(
        "plan__project__client__studio", "plan__project__designer", "opened_by", "sign_off__by", "based_on"
    )


def _findings() -> QuerySet[ReviewFinding]:
    return ReviewFinding.objects.select_related("revision__plan__project__client__studio", "wall__room")


@login_required
@require_GET
def queue(request: SignedRequest) -> HttpResponse:
    """One piece's exceptions at a time in full, all others as a numbered margin."""
    return _queue(request, asked=given(QueueQuery(request.GET))["finding"])


@login_required
@require_POST
def decide(request: SignedRequest, pk: int) -> HttpResponse:
    """Accept, accept for the project, return: one exception, or those that are ticked; the answer is the next one."""
    finding = access.get(request.user, _findings(), pk)
    try:
        asked = given(DecideForm(request.POST))
        ticked = finding.revision.findings.filter(pk__in=asked["finding"] or [pk])
        seen = dict(Decision.objects.filter(pk__in=asked["seen"], finding__in=ticked).values_list("finding", "pk"))
        review.findings_decide(
            by=request.user, seen={one: seen.get(one.pk) for one in ticked}, answer=DecideForm.answer(asked)
        )
    except ServiceError as error:
        return _queue(request, asked=pk, error=error)
    return _onward(request, finding)


@login_required
@require_POST
def change_rule(request: SignedRequest, pk: int) -> HttpResponse:
    """Answer an exception by changing the number behind it."""
    finding = access.get(request.user, _findings(), pk, roles=access.PRINCIPAL, to="change a house rule")
    try:
        change = given(ChangeRuleForm(request.POST))
        units = units_for(request.user, finding.revision.plan.project)
        value = value_of(change["value"], limit_of(finding.rule, change["limit"]), units)
        review.finding_change_rule(
            by=request.user,
            finding=finding,
            limit=change["limit"],
            value=value,
            whole_studio=change["reach"] == "studio",
            reason=change["reason"],
            replaces=change["replaces"],
        )
    except ServiceError as error:
        return _queue(request, asked=pk, error=error)
    return _onward(request, finding)


@login_required
@require_POST
def withdraw(request: SignedRequest, pk: int) -> HttpResponse:
    """Take a decision back."""
    decision = access.get(
        request.user,
        Decision.objects.select_related("finding__revision__plan__project__client__studio"),
        pk,
    )
    try:
        review.decision_withdraw(by=request.user, decision=decision)
    except ServiceError as error:
        return _queue(request, asked=decision.finding_id, error=error)
    if request.htmx:
        return _queue(request, asked=decision.finding_id)
    return redirect(f"{reverse('review_queue')}?finding={decision.finding_id}")


def _onward(request: SignedRequest, finding: ReviewFinding) -> HttpResponse:
    """On to the next that is undecided, of the same plan first."""
    if request.htmx:
        return _queue(request, after=finding)
    return redirect(f"{reverse('review_queue')}?after={finding.pk}")


def _queue(
    request: SignedRequest,
    *,
    asked: int | None = None,
    after: ReviewFinding | None = None,
    error: ServiceError | None = None,
) -> HttpResponse:
    plans = plans_in_review(request.user)
    follows = after.pk if after else given(QueueQuery(request.GET))["after"]
    plan, matter = _current(plans, asked, follows)
    page: dict[str, Any] = {
        "here": "review",
        "plans": plans,
        "plan": plan,
        "problem": problem(error) if error else None,
    }
    if plan is not None:
        page |= {
            "project": plan.revision.plan.project,
            "may_decide": may_review(request.user, plan.revision.plan.project),
            "may_sign": may_sign(request.user, plan.revision.plan.project),
            "deputy_of": delegations_to(request.user, plan.revision.plan.project),
            "done": len(plan.findings) - len(plan.undecided),
        }
    if plan is not None and matter is not None:
        project = plan.revision.plan.project
        before, following = _neighbours(plans, matter)
        page |= {
            "matter": matter,
            "full": matter_in_full(
                plan,
                matter,
                units_for(request.user, project),
                sheet_rooms(request.COOKIES, lambda _: WIDE, high=HIGH),
            ),
            "ruler": ruler(verdict_marks(plan), plan.findings.index(matter.first)),
            "before": before,
            "following": following,
        }
    elif plan is not None:
        page |= {"ruler": ruler(verdict_marks(plan), None)}
    template = "placements/_queue.html" if request.htmx else "placements/queue.html"
    response = render(request, template, page, status=error.status if error else 200)
    if request.htmx and matter is not None:
        response["HX-Push-Url"] = f"{reverse('review_queue')}?finding={matter.first.pk}"
    elif request.htmx:
        response["HX-Push-Url"] = reverse("review_queue")
    return response


def _current(
    plans: list[PlanInReview], asked: int | None, follows: int | None
) -> tuple[PlanInReview | None, Matter | None]:
    """The matter asked for; else the next undecided after the one just decided; else the first undecided.

    A plan whose last exception was just decided is shown without one: it waits for its signature.
    """
    pairs = [(plan, matter) for plan in plans for matter in plan.matters]
    by_pk = {finding.pk: (plan, matter) for plan, matter in pairs for finding in matter.findings}
    if asked is not None and asked in by_pk:
        return by_pk[asked]
    if follows is not None and follows in by_pk:
        plan, matter = by_pk[follows]
        place = plan.matters.index(matter)
        for other in plan.matters[place:] + plan.matters[:place]:
            if not other.is_decided:
                return plan, other
        return plan, None
    for plan, matter in pairs:
        if not matter.is_decided:
            return plan, matter
    return (plans[0], None) if plans else (None, None)


def _neighbours(plans: list[PlanInReview], matter: Matter) -> tuple[Matter | None, Matter | None]:
    row = [matter for plan in plans for matter in plan.matters]
    place = row.index(matter)
    return (row[place - 1] if place else None), (row[place + 1] if place + 1 < len(row) else None)


@login_required
@require_GET
def plan_review(request: SignedRequest, pk: int) -> HttpResponse:
    """A revision's way, its findings with what was said and decided, and what can be done with it now."""
    revision = access.get(request.user, _revisions(), pk)
    project = revision.plan.project
    role = access.role_in(user=request.user, studio=project.client.studio)
    steps = list(revision.transitions.select_related("by"))
    findings = list(live_findings(revision).prefetch_related("artworks", "decisions__by", "decisions__in_name_of"))
    for finding in findings:
        finding.newest = next(  # type: ignore[attr-defined]
            (d for d in finding.decisions.all() if d.withdrawn_at is None), None
        )
    asking = [finding for finding in findings if finding.level != "note"]
    return render(
        request,
        "placements/plan_review.html",
        {
            "here": "projects",
            "revision": revision,
            "project": project,
            "stages": stages(revision, steps),
            "steps": steps,
            "plan": plan_in_review(revision),
            "asking": asking,
            "notes": [finding for finding in findings if finding.level == "note"],
            "corrected": revision.findings.exclude(corrected_at=None).select_related("wall"),
            "standing": standing_decisions(project),
            "can": [
                name for name, step in lifecycle.STEPS.items() if step.start == revision.state and role in step.roles
            ],
            "may_review": may_review(request.user, project),
            "is_principal": role == "principal",
            "verification": verify(revision) if revision.is_frozen else None,
            "units": units_for(request.user, project),
            "others": revision.plan.revisions.exclude(pk=revision.pk),
        },
    )


@login_required
@require_http_methods(["GET", "POST"])
def plan_send(request: SignedRequest, pk: int) -> HttpResponse:
    """Asks the designer why, for every exception, and sends the plan to the principal."""
    revision = access.get(request.user, _revisions(), pk, roles=access.DESIGN, to="send a plan to review")
    error = None
    form = SendForm(request.POST)
    if request.method == "POST":
        try:
            said = given(form)
            review.review_submit(
                by=request.user, revision=revision, justifications=form.reasons(said), note=said["note"]
            )
        except Invalid as caught:
            error = caught
        else:
            messages.success(request, "Sent. The principal has it now.")
            return redirect("plan_review", pk=revision.pk)
    elif revision.state != RevisionState.DRAFT:
        return redirect("plan_review", pk=revision.pk)
    asked = review.review_questions(revision=revision)
    faults = {fault["where"] for fault in error.faults} if error else set()
    walls = {wall.pk: wall for wall in _walls_of(revision)}
    works = Artwork.objects.in_bulk({pk for question in asked for pk in question.found.works})
    questions = [
        {
            "key": question.found.key,
            "wall": walls.get(question.found.wall),
            "works": [works[pk] for pk in question.found.works],
            "finding": question.found.finding,
            "text": request.POST.get(f"{WHY}{question.found.key}") or question.justification,
            "is_stop": not question.must_answer,
            "fault": not faults.isdisjoint((question.found.key, f"{WHY}{question.found.key}")),
        }
        for question in asked
    ]
    return render(
        request,
        "placements/plan_send.html",
        {
            "here": "projects",
            "revision": revision,
            "project": revision.plan.project,
            "questions": [question for question in questions if not question["is_stop"]],
            "stops": [question for question in questions if question["is_stop"]],
            "problem": problem(error) if error else None,
            "note": request.POST.get("note", revision.note),
            "common": request.POST.get("common", ""),
        },
        status=error.status if error else 200,
    )


def _walls_of(revision: Revision) -> QuerySet[Wall]:
    return Wall.objects.filter(room__project=revision.plan.project_id).select_related("room")


@login_required
@require_POST
def plan_step(request: SignedRequest, pk: int) -> HttpResponse:
    """Take back, send back, recall, hung, close, reopen."""
    revision = access.get(request.user, _revisions(), pk)
    asked = given(StepForm(request.POST))
    name, note = asked["step"], asked["note"]
    if name == "send_back":
        review.review_send_back(by=request.user, revision=revision, note=note)
    elif name == "take_back":
        review.review_take_back(by=request.user, revision=revision, note=note)
    else:
        lifecycle.revision_step(by=request.user, revision=revision, name=name, note=note)
    revision.refresh_from_db()
    messages.success(request, f"Revision {revision.number} is now {revision.get_state_display().lower()}.")
    onward = "review_queue" if name == "send_back" else None
    return redirect(onward) if onward else redirect("plan_review", pk=pk)


@login_required
@weighty
@require_http_methods(["GET", "POST"])
def sign_off(request: SignedRequest, pk: int) -> HttpResponse:
    """The signature under a decided plan."""
    revision = access.get(request.user, _revisions(), pk)
    principal = signing_for(by=request.user, project=revision.plan.project)
    error = None
    if request.method == "POST":
        try:
            signoff.sign_off(by=request.user, revision=revision, **given(SignForm(request.POST)))
        except ServiceError as caught:
            error = caught
        else:
            messages.success(request, f"Signed. Revision {revision.number} of {revision.plan.project} is frozen.")
            return redirect("plan_review", pk=revision.pk)
    elif revision.state != RevisionState.IN_REVIEW:
        return redirect("plan_review", pk=revision.pk)
    plan = plan_in_review(revision)
    placed = revision.placements.values("wall").distinct().count()
    return render(
        request,
        "placements/sign_off.html",
        {
            "here": "review",
            "revision": revision,
            "project": revision.plan.project,
            "plan": plan,
            "pieces": revision.placements.count(),
            "walls": placed,
            "problem": problem(error) if error else None,
            "statement": request.POST.get("statement", ""),
            "in_name_of": principal,
        },
        status=error.status if error else 200,
    )
