"""What is on record: the signed document, what a revision changed, the trail, what the studio learns."""

from __future__ import annotations

import csv
import datetime as dt
import json

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from placements import access
from placements.contexts import trail
from placements.contexts.learning import PERIODS, learned
from placements.contexts.review import difference_drawing
from placements.contexts.rules import said
from placements.differences import difference
from placements.forms.lookups import LearningQuery, TrailQuery
from placements.models import Revision
from placements.selectors.audit import TrailEntry, audit_trail
from placements.selectors.learning import RuleRecord, Suggestion, rule_records
from placements.services.house_rules import house_rule_set, house_rules_preview, studio_numbers
from placements.snapshots import signed
from studio.access import SignedRequest, acting_studio
from studio.errors import Missing, WrongState
from studio.forms import given
from studio.imports.tables import guarded
from studio.inputs import read_whole
from studio.models import Project, Studio
from studio.reader import units_for, zone_for

from .rules import limit_of

PAGE = 60


def _revisions() -> QuerySet[Revision]:
    return Revision.objects.select_related("plan__project__client__studio", "based_on", "sign_off")


@login_required
@require_GET
def signed_record(request: SignedRequest, pk: int) -> HttpResponse:
    """The signed document, byte for byte, after it was verified."""
    revision = access.get(request.user, _revisions(), pk)
    if not revision.is_frozen:
        raise WrongState("This revision is not signed: there is no record yet.")
    signed(revision)
    response = HttpResponse(revision.snapshot.encode(), content_type="application/json")
    response["Content-Disposition"] = f'attachment; filename="plan-{revision.plan_id}-r{revision.number}.json"'
    response["Digest-SHA-256"] = revision.sha256
    return response


@login_required
@require_GET
def plan_difference(request: SignedRequest, pk: int) -> HttpResponse:
    """What a revision changes against another one of its plan: `from` names it, else the one it starts from."""
    new = access.get(request.user, _revisions(), pk)
    asked = request.GET.get("from")
    others = new.plan.revisions.exclude(pk=new.pk)
    if asked:
        old = others.filter(number=read_whole(asked, where="from")).first()
    else:
        old = new.based_on or others.filter(number__lt=new.number).first()
    if old is None:
        raise WrongState("There is no other revision of this plan to compare this one with.")
    units = units_for(request.user, new.plan.project)
    found = difference(old, new)
    return render(
        request,
        "placements/plan_difference.html",
        {
            "here": "projects",
            "project": new.plan.project,
            "difference": found,
            "others": others,
            "walls": [
                {
                    "wall": difference.wall,
                    "drawing": difference_drawing(difference, units),
                    "texts": [change.text(units) for change in difference.changes],
                    "bares": difference.bares,
                }
                for difference in found.walls
            ],
        },
    )


@login_required
@require_GET
def audit(request: SignedRequest, pk: int) -> HttpResponse:
    """Who changed what, when, from what to what; as a page, as CSV or as JSON."""
    project = access.get(request.user, Project.objects.select_related("client__studio"), pk)
    zone = zone_for(request.user)
    asked = given(TrailQuery(request.GET))
    since, until = _starts(asked["since"], zone), _starts(asked["until"], zone)
    every = audit_trail(project, since=since, until=until + dt.timedelta(days=1) if until else None)
    entries = trail.chosen(every, who=asked["who"], kind=asked["kind"])
    match request.GET.get("as"):
        case "csv":
            return _csv(project, entries)
        case "json":
            return _json(project, entries)
    page = Paginator(trail.bundles(entries), PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "placements/audit_trail.html",
        {
            "here": "projects",
            "project": project,
            "page": page,
            "days": trail.days(page.object_list, units_for(request.user, project), zone),
            "people": sorted({entry.who for entry in every if entry.who}),
            "kinds": [(name, title) for name, (title, _) in trail.KINDS.items()],
            "asked": {name: str(value or "") for name, value in asked.items()},
            "count": len(entries),
        },
    )


def _starts(day: dt.date | None, zone: dt.tzinfo) -> dt.datetime | None:
    return dt.datetime.combine(day, dt.time(), zone) if day else None


def _csv(project: Project, entries: list[TrailEntry]) -> HttpResponse:
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="trail-{project.pk}.csv"'
    rows = csv.writer(response)
    rows.writerow(["at", "who", "what", "subject", "action", "before", "after", "note"])
    for entry in entries:
        cells = [entry.at.isoformat(), entry.who, entry.what, entry.subject, entry.action]
        cells += [json.dumps(entry.before, ensure_ascii=False, default=str) if entry.before else ""]
        cells += [json.dumps(entry.after, ensure_ascii=False, default=str) if entry.after else "", entry.note]
        rows.writerow([guarded(cell) for cell in cells])
    return response


def _json(project: Project, entries: list[TrailEntry]) -> HttpResponse:
    document = [
        {
            "at": entry.at.isoformat(),
            "who": entry.who,
            "what": entry.what,
            "subject": entry.subject,
            "action": entry.action,
            "before": entry.before,
            "after": entry.after,
            "note": entry.note,
        }
        for entry in entries
    ]
    response = HttpResponse(
        json.dumps(document, ensure_ascii=False, default=str, indent=1), content_type="application/json"
    )
    response["Content-Disposition"] = f'attachment; filename="trail-{project.pk}.json"'
    return response


@login_required
@require_GET
def learning(request: SignedRequest) -> HttpResponse:
    """Which rules are broken and accepted most, and what house rules that suggests."""
    studio = acting_studio(request)
    units = units_for(request.user, studio)
    back, records = _records(studio, given(LearningQuery(request.GET))["days"])
    return render(
        request,
        "placements/learning.html",
        {
            "here": "rules",
            "learned": learned(records, studio_numbers(studio), units),
            "periods": PERIODS,
            "back": back,
            "period": dict(PERIODS)[back],
            "can_edit": access.role_in(user=request.user, studio=studio) in access.PRINCIPAL,
            "studio": studio,
        },
    )


def _records(studio: Studio, days: int | None) -> tuple[int, list[RuleRecord]]:
    """How many days back is asked for, nought for all, and the records of that time."""
    back = days if days in dict(PERIODS) else 0
    return back, rule_records(studio, since=timezone.now() - dt.timedelta(days=back) if back else None)


def _suggested(records: list[RuleRecord], rule: str) -> tuple[RuleRecord, Suggestion]:
    for record in records:
        if record.rule == rule and record.suggestion:
            return record, record.suggestion
    raise Missing("There is no such suggestion any more: the studio decided otherwise meanwhile.")


@login_required
@require_POST
def learning_adopt(request: SignedRequest) -> HttpResponse:
    """Make a suggestion the studio's house rule, as it is suggested now."""
    studio = acting_studio(request)
    asked = given(LearningQuery(request.POST))
    back, records = _records(studio, asked["days"])
    record, suggestion = _suggested(records, asked["rule"])
    house_rule_set(
        by=request.user,
        studio=studio,
        rule=suggestion.rule,
        limit=suggestion.limit,
        value=suggestion.value,
        reason=f"{suggestion.accepted} exceptions accepted; {suggestion.spared} would not have arisen.",
    )
    messages.success(request, f"{record.title}: the studio's own number from now on.")
    return redirect(reverse("learning") + (f"?days={back}" if back else ""))


@login_required
@require_GET
def learning_effect(request: SignedRequest) -> HttpResponse:
    """What a suggestion would do to the plans that are open now."""
    studio = acting_studio(request)
    asked = given(LearningQuery(request.GET))
    record, suggestion = _suggested(_records(studio, asked["days"])[1], asked["rule"])
    changes = {(suggestion.rule, suggestion.limit): suggestion.value}
    effects = house_rules_preview(studio=studio, changes=changes)
    units = units_for(request.user, studio)
    limit = limit_of(record.rule, suggestion.limit)
    context = {
        "changes": [(limit, said(suggestion.value, limit, units))],
        "effects": effects,
        "touched": [effect for effect in effects if effect.before != effect.after],
    }
    return render(request, "placements/_rule_effect.html", context)
