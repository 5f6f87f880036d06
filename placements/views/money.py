"""The studio's prices, estimates of a plan, and what a client says to one."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from placements import access
from placements.contexts import money as contexts
from placements.estimating.lines import Framed, Purchase
from placements.estimating.prices import Prices
from placements.forms.money import EstimateAnswerForm, EstimateForm, FileQuery, PaceForm, PricesForm
from placements.models import Estimate, Revision
from placements.selectors import estimates as select
from placements.selectors.projects import current_revision, projects_of
from placements.services import client_links
from placements.services import money as services
from studio.access import OFFICE, SignedRequest, acting_studio, role_in
from studio.errors import Missing
from studio.forms import attempt, given
from studio.models import Artwork

FILES = {
    "csv": ("text/csv; charset=utf-8", contexts.as_csv),
    "xlsx": ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", contexts.as_xlsx),
    "json": ("application/json", contexts.as_json),
}


@login_required
@require_http_methods(["GET", "POST"])
def prices(request: SignedRequest) -> HttpResponse:
    """The price list, to read and, for the office, to change."""
    studio = acting_studio(request)
    now, version = select.prices_of(studio)
    may_change = role_in(user=request.user, studio=studio) in OFFICE
    form = PricesForm(request.POST or None, prices=now, version=version)
    if request.method == "POST" and form.is_valid():
        told, seen = form.prices(), form.cleaned_data["version"]
        made = attempt(
            form, lambda: services.price_list_save(by=request.user, studio=studio, prices=told, based_on=seen)
        )
        if made is not None:
            messages.success(request, f"Stored as version {made.version}. Estimates made before keep their prices.")
            return redirect("prices")
    context = {
        "here": "settings",
        "form": form,
        "version": version,
        "row": select.price_list_of(studio),
        "may_change": may_change,
        "pace": select.pace_of(studio),
        "pace_now": now.rate("pace"),
    }
    return render(request, "placements/prices.html", context, status=422 if form.errors else 200)


@login_required
@require_POST
def pace_take(request: SignedRequest) -> HttpResponse:
    """Take the pace that the studio's jobs show into the price list."""
    studio = acting_studio(request)
    pace, (now, _) = select.pace_of(studio), select.prices_of(studio)
    if pace is None:
        raise Missing("There are too few finished jobs to learn a pace from.")
    rates = {**now.rates, "pace": round_pace(pace.middle)}
    services.price_list_save(
        by=request.user,
        studio=studio,
        prices=Prices(now.currency, now.framed_by, rates, now.mouldings),
        based_on=given(PaceForm(request.POST))["version"] or 0,
    )
    messages.success(request, "Hours are reckoned by your own jobs from now on.")
    return redirect("prices")


def round_pace(pace: float) -> Decimal:
    """A pace to a twentieth."""
    return (Decimal(str(pace)) * 20).quantize(Decimal(1)) / 20


@login_required
@require_http_methods(["GET", "POST"])
def estimates(request: SignedRequest, pk: int) -> HttpResponse:
    """All estimates of a project, and a new one of its plan as it stands."""
    project = access.get(request.user, projects_of(request.user), pk)
    revision = current_revision(project)
    now, version = select.prices_of(project.client.studio)
    works = list(_works(revision)) if revision else []
    wanted: dict[str, Any] = dict(_USUAL)
    for work in filter(select.wants_frame, works):
        wanted |= {f"moulding_{work.pk}": next(iter(now.mouldings)), f"glazing_{work.pk}": True}
    form = EstimateForm(request.POST or None, works=works, mouldings=list(now.mouldings), initial=wanted)
    if request.method == "POST" and form.is_valid() and revision:
        told = form.cleaned_data
        made = attempt(
            form,
            lambda: services.estimate_make(
                by=request.user,
                revision=revision,
                framed=form.framed(),
                purchases=form.bought(),
                visits=told["visits"],
                note=told["note"],
                line_prices=told["line_prices"],
            ),
        )
        if made is not None:
            return redirect("estimate", pk=made.pk)
    rows = list(select.estimates_of(request.user).filter(revision__plan__project=project))
    context = {
        "here": "projects",
        "project": project,
        "revision": revision,
        "form": form if works else None,
        "price_version": version,
        "rows": [(one, contexts.money(one.total, one.currency)) for one in rows],
    }
    return render(request, "placements/estimates.html", context, status=422 if form.errors else 200)


_USUAL = {"visits": 1, "line_prices": True}


def _works(revision: Revision) -> list[Artwork]:
    return list(Artwork.objects.filter(pk__in=revision.placements.values("artwork")).order_by("title", "pk"))


@login_required
@require_safe
def estimate(request: SignedRequest, pk: int) -> HttpResponse:
    """One estimate as it was frozen, and what the plan of today would do to it."""
    row = access.get(request.user, select.estimates_of(request.user), pk)
    told = row.told
    project = row.revision.plan.project
    context = {
        "here": "projects",
        "project": project,
        "estimate": row,
        "shown": contexts.shown(told),
        "whole": services.is_whole(row),
        "change": contexts.against(told, _today(row, told)),
    }
    return render(request, "placements/estimate.html", context)


def _today(row: Estimate, told: dict[str, Any]) -> dict[str, Any]:
    """The same estimate made anew of the plan and the prices as they stand."""
    project = row.revision.plan.project
    now, _ = select.prices_of(project.client.studio)
    revision = current_revision(project) or row.revision
    hung = set(revision.placements.values_list("artwork", flat=True))
    framed = {
        int(pk): Framed(moulding, mat, glazing)
        for pk, (moulding, mat, glazing) in told["framed"].items()
        if int(pk) in hung and moulding in now.mouldings
    }
    bought = tuple(Purchase(text, Decimal(amount)) for text, amount in told["purchases"])
    return select.reckoned(revision, now, framed, bought, told["visits"]).as_json()


@login_required
@require_POST
def estimate_show(request: SignedRequest, pk: int) -> HttpResponse:
    row = access.get(request.user, select.estimates_of(request.user), pk)
    services.estimate_show(by=request.user, estimate=row)
    messages.success(request, "It is shown at the client’s links from now on.")
    return redirect("estimate", pk=pk)


@login_required
@require_safe
def estimate_file(request: SignedRequest, pk: int) -> HttpResponse:
    """The lines as CSV, XLSX or JSON."""
    row = access.get(request.user, select.estimates_of(request.user), pk)
    kind = given(FileQuery(request.GET))["as"] or "csv"
    content_type, write = FILES[kind]
    answer = HttpResponse(write(row), content_type=content_type)
    answer["Content-Disposition"] = f'attachment; filename="estimate-{row.version}.{kind}"'
    return answer


@require_POST
def estimate_answer(request: HttpRequest, token: str, pk: int) -> HttpResponse:
    """The client approves an estimate by name, or asks for a change. No account."""
    link = client_links.client_link_by_token(token)
    row = Estimate.objects.filter(revision__plan__project=link.project, pk=pk).exclude(sent_at=None).first()
    if row is None:
        raise Missing("This estimate is not shown here any more. Load the page again.")
    told = given(EstimateAnswerForm(request.POST))
    services.estimate_answer(
        link=link, estimate=row, name=told["name"], approved=told["answer"] == "approve", text=told["text"]
    )
    return redirect(reverse("client_view", args=[token]) + "#estimate")
