"""House rules: read by everyone, changed by the principal after seeing what a change does to open projects."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from placements import access
from placements.contexts.rules import Given, Typed, picture_of, read, rule_groups, rule_note, said
from placements.engine.rule import Limit
from placements.engine.rulebook import Entry, Rulebook, catalogue, entry_of
from placements.forms.rules import WAS, ForForm, NumbersForm, PictureForm, ResetForm
from placements.models import HouseRule
from placements.selectors.projects import projects_of
from placements.services import house_rules as services
from studio.access import SignedRequest, acting_studio
from studio.errors import Invalid, Missing
from studio.forms import given
from studio.models import Project, Studio
from studio.reader import units_for
from studio.units import Units


def _where(request: SignedRequest, data: QueryDict) -> tuple[Studio, Project | None, Units]:
    """The studio, or one project of it, whose numbers are meant; and the reader's units."""
    if pk := given(ForForm(data))["project"]:
        project = access.get(request.user, projects_of(request.user), pk)
        studio = project.client.studio
    else:
        project, studio = None, acting_studio(request)
    return studio, project, units_for(request.user, studio)


@login_required
@require_GET
def house_rules(request: SignedRequest) -> HttpResponse:
    """Every rule in a line; its numbers come when it is seen, or all at once with `whole`."""
    studio, project, units = _where(request, request.GET)
    return _page(request, studio, project, units, whole="whole" in request.GET)


@login_required
@require_GET
def house_rule(request: SignedRequest, rule: str) -> HttpResponse:
    """One rule's numbers, with their pictures."""
    studio, project, units = _where(request, request.GET)
    now = services.numbers(studio, project)
    note = rule_note(_entry(rule), now, Rulebook(now), _own(studio, project), units)
    context = {"rule": note, "project": project, "can_edit": _may(request, studio)}
    return render(request, "placements/_rule_body.html", context)


def _own(studio: Studio, project: Project | None) -> dict[tuple[str, str], HouseRule]:
    own = HouseRule.objects.filter(studio=studio, project=project).select_related("changed_by")
    return {(row.rule, row.limit): row for row in own}


def _may(request: SignedRequest, studio: Studio) -> bool:
    return access.role_in(user=request.user, studio=studio) in access.PRINCIPAL


def _page(
    request: SignedRequest,
    studio: Studio,
    project: Project | None,
    units: Units,
    *,
    status: int = 200,
    whole: bool = True,
    **more: Any,
) -> HttpResponse:
    rows = _own(studio, project)
    groups = rule_groups(services.numbers(studio, project), rows, units, more.get("typed"), whole=whole)
    context = {
        "here": "rules",
        "whole": whole,
        "groups": groups,
        "project": project,
        "projects": projects_of(request.user).filter(client__studio=studio),
        "units": units,
        "changed": [rule for group in groups for rule in group.rules if rule.changed],
        "count": len(rows),
        "can_edit": _may(request, studio),
    }
    return render(request, "placements/house_rules.html", context | more, status=status)


@login_required
@require_POST
def house_rule_picture(request: SignedRequest) -> HttpResponse:
    """A rule's picture with the numbers as they stand in the boxes; nothing is stored."""
    studio, project, units = _where(request, request.POST)
    entry = _entry(given(PictureForm(request.POST))["picture"])
    now, faults = services.numbers(studio, project), []
    try:
        only = {entry.id: dict(now.get(entry.id, {}))}
        for (_, name), (_, value) in _changes(request, units, now, rule=entry.id).items():
            only[entry.id][name] = value
        book = Rulebook(only)
    except Invalid as fault:
        faults, book = [one["detail"] for one in fault.faults], Rulebook(now)
    context = {"picture": picture_of(entry, book, units), "faults": faults}
    return render(request, "placements/_rule_picture.html", context)


@login_required
@require_POST
def house_rule_try(request: SignedRequest) -> HttpResponse:
    """What changed numbers would do to every open project; nothing is stored."""
    studio, project, units = _where(request, request.POST)
    try:
        found = _changes(request, units, services.numbers(studio, project))
        changes = {name: value for name, (_, value) in found.items()}
        effects = services.house_rules_preview(studio=studio, changes=changes, project=project) if changes else []
    except Invalid as fault:
        return render(request, "placements/_rule_effect.html", {"fault": fault}, status=422)
    context: dict[str, Any] = {
        "changes": [(limit, said(value, limit, units)) for limit, value in found.values()],
        "effects": effects,
        "touched": [effect for effect in effects if effect.before != effect.after],
    }
    if request.htmx:
        return render(request, "placements/_rule_effect.html", context)
    return _page(request, studio, project, units, typed=Typed(_texts(request), {}), **context)


@login_required
@require_POST
def house_rule_save(request: SignedRequest) -> HttpResponse:
    """Store every number that was typed over; at fault nothing is stored and everything typed stays in its box."""
    studio, project, units = _where(request, request.POST)
    access.require(by=request.user, studio=studio, roles=access.PRINCIPAL, to="change a house rule")
    try:
        found = _changes(request, units, services.numbers(studio, project))
        if not found:
            messages.info(request, "No number was changed.")
            return _back(project, "")
        services.house_rules_set(
            by=request.user,
            studio=studio,
            changes={name: value for name, (_, value) in found.items()},
            project=project,
            reason=given(NumbersForm(request.POST))["reason"],
        )
    except Invalid as fault:
        at = {one["where"]: one["detail"] for one in fault.faults}
        return _page(
            request, studio, project, units, status=422, typed=Typed(_texts(request), at), fault=fault,
            reason=request.POST.get("reason", ""),
        )  # fmt: skip
    changes = [f"{limit.label} {said(value, limit, units)}" for limit, value in found.values()]
    messages.success(request, f"Saved: {'; '.join(changes)}.")
    return _back(project, next(iter(found))[0])


@login_required
@require_POST
def house_rule_reset(request: SignedRequest) -> HttpResponse:
    studio, project, _ = _where(request, request.POST)
    rule, _, name = given(ResetForm(request.POST))["field"].partition(".")
    limit = limit_of(rule, name)
    services.house_rule_reset(by=request.user, studio=studio, rule=rule, limit=limit.name, project=project)
    messages.success(
        request, f"{limit.label.capitalize()} is back at {'the studio’s' if project else 'its usual'} value."
    )
    return _back(project, rule)


def _back(project: Project | None, rule: str) -> HttpResponse:
    there = reverse("house_rules") + (f"?project={project.pk}" if project else "")
    return redirect(there + (f"#{rule}" if rule else ""))


def _texts(request: SignedRequest) -> dict[str, str]:
    """The text of each box, by field."""
    return {name: str(text) for name, text in request.POST.items() if f"{WAS}{name}" in request.POST}


def _changes(
    request: SignedRequest, units: Units, now: Given, rule: str = ""
) -> dict[tuple[str, str], tuple[Limit, float]]:
    """The numbers that were typed over, by rule and limit; those of `now` hold; with `rule`, of that one only.

    Raises:
        Invalid: naming each box that holds no number, one outside its range, or a low end above its high end.
    """
    found: dict[tuple[str, str], tuple[Limit, float]] = {}
    faults = []
    boxes = given(NumbersForm(request.POST))
    for field, text in boxes.items():
        if f"{WAS}{field}" not in boxes or text == boxes[f"{WAS}{field}"]:
            continue
        of, _, name = field.partition(".")
        if rule and of != rule:
            continue
        limit = limit_of(of, name)
        try:
            found[of, name] = (limit, _within(value_of(text, limit, units), limit, units))
        except Invalid as fault:
            faults.append({"where": field, "detail": f"{_entry(of).title}, {limit.label}: {fault.detail}"})
    faults += _crossed(found, now, units)
    if faults:
        raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)
    return found


def _entry(rule: str) -> Entry:
    found = entry_of(rule)
    if found is None:
        raise Missing(f"There is no rule {rule!r}.")
    return found


def limit_of(rule: str, name: str) -> Limit:
    for limit in _entry(rule).numbers:
        if limit.name == name:
            return limit
    raise Missing(f"There is no rule {rule!r} with a limit {name!r}.")


def _within(value: float, limit: Limit, units: Units) -> float:
    if not limit.low - 1e-6 <= value <= limit.high + 1e-6:
        ends = f"{said(limit.low, limit, units)} to {said(limit.high, limit, units)}"
        raise Invalid(f"{said(value, limit, units)} lies outside {ends}.")
    return min(max(value, limit.low), limit.high)


def _crossed(found: Mapping[tuple[str, str], tuple[Limit, float]], now: Given, units: Units) -> list[dict[str, str]]:
    """A fault for each band whose low end would lie above its high end."""
    faults = []
    for entry in catalogue():
        limits = {limit.name: limit for limit in entry.limits}
        for name in limits:
            ends = (name, "high" + name.removeprefix("low"))
            if not name.startswith("low") or ends[1] not in limits or not any((entry.id, end) in found for end in ends):
                continue
            low, high = (
                found[entry.id, end][1]
                if (entry.id, end) in found
                else now.get(entry.id, {}).get(end, limits[end].default)
                for end in ends
            )
            if low > high:
                at = next(end for end in ends if (entry.id, end) in found)
                words = [
                    f"{limits[end].label} {said(value, limits[end], units)}"
                    for end, value in zip(ends, (low, high), strict=True)
                ]
                faults.append(
                    {"where": f"{entry.id}.{at}", "detail": f"{entry.title}: {words[0]} is above {words[1]}."}
                )
    return faults


def value_of(text: str, limit: Limit, units: Units) -> float:
    """The number as typed, in the limit's own unit.

    Raises:
        Invalid: it cannot be read.
    """
    try:
        return read(text, limit, units)
    except ValueError as fault:
        detail = str(fault)
        raise Invalid(detail[:1].upper() + detail[1:] + ".", faults=[{"where": "value", "detail": detail}]) from None
