"""What is due when: over all projects, of one project, and as a calendar reads it."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from placements import access
from placements.contexts.dates import by_week, calendar_of, load_drawing
from placements.forms.dates import DatesForm, DatesQuery, MetForm
from placements.models import CalendarAddress
from placements.selectors import dates as select
from placements.selectors.projects import projects_of
from placements.services import dates as services
from studio.access import SignedRequest, acting_studio
from studio.forms import attempt, given

WEEKS = 8
_REMEMBERED = "dates"


@login_required
@require_safe
def dates(request: SignedRequest) -> HttpResponse:
    """All dates of the studio, week by week; what was chosen to be shown is remembered."""
    studio = acting_studio(request)
    if request.GET:
        request.session[_REMEMBERED] = {name: request.GET.get(name, "") for name in DatesQuery.base_fields}
    query = DatesQuery(request.session.get(_REMEMBERED, {}), studio=studio)
    chosen = query.cleaned_data if query.is_valid() else {}
    rows = select.dates_of(request.user).filter(project__client__studio=studio)
    if chosen.get("designer"):
        rows = rows.filter(project__designer=chosen["designer"])
    if chosen.get("client"):
        rows = rows.filter(project__client=chosen["client"])
    if chosen.get("kind"):
        rows = rows.filter(kind=chosen["kind"])
    today = select.today_of(request.user)
    found = select.as_due(rows, today)
    still = [due for due in found if due.met is None]
    context = {
        "here": "dates",
        "query": query,
        "late": [due for due in still if due.late],
        "weeks": by_week(found if chosen.get("met") else [due for due in still if not due.late]),
        "loads": [
            (title, load_drawing(load, today, title))
            for title, load in (
                ("Dates to meet", select.load_by_week(still, today, WEEKS)),
                ("Pieces to hang", select.hanging_by_week(still, today, WEEKS)),
            )
            if load
        ],
        "address": request.user.calendar_addresses.filter(studio=studio, project=None).first(),
    }
    return render(request, "placements/dates.html", context)


@login_required
@require_http_methods(["GET", "POST"])
def project_dates(request: SignedRequest, pk: int) -> HttpResponse:
    """One project's dates, to set and to tick off."""
    project = access.get(request.user, projects_of(request.user), pk)
    due = select.due_of(project, select.today_of(request.user))
    form = DatesForm(request.POST or None, initial={one.date.kind: one.date.day for one in due})
    if request.method == "POST" and form.is_valid():
        done = attempt(form, lambda: services.dates_set(by=request.user, project=project, days=form.days()))
        if done is not None:
            messages.success(request, "The dates are set.")
            return redirect("project_dates", pk=pk)
    context = {
        "here": "projects",
        "project": project,
        "form": form,
        "due": due,
        "address": request.user.calendar_addresses.filter(project=project).first(),
    }
    return render(request, "placements/project_dates.html", context, status=422 if form.errors else 200)


@login_required
@require_POST
def date_tick(request: SignedRequest, pk: int) -> HttpResponse:
    due = access.get(request.user, select.dates_of(request.user), pk)
    services.date_tick(by=request.user, due=due, met=given(MetForm(request.POST))["met"])
    return redirect("project_dates", pk=due.project_id)


@login_required
@require_POST
def address_make(request: SignedRequest) -> HttpResponse:
    """A secret address of one's own dates; shown once."""
    return _address(request, services.address_make(by=request.user, studio=acting_studio(request)))


@login_required
@require_POST
def project_address_make(request: SignedRequest, pk: int) -> HttpResponse:
    project = access.get(request.user, projects_of(request.user), pk)
    token = services.address_make(by=request.user, studio=project.client.studio, project=project)
    return _address(request, token)


@login_required
@require_POST
def address_end(request: SignedRequest, pk: int) -> HttpResponse:
    address = access.get(request.user, CalendarAddress.objects.select_related("studio"), pk)
    services.address_end(by=request.user, address=address)
    messages.success(request, "That address shows nothing any more.")
    return redirect("dates")


@never_cache
@require_safe
def calendar(request: HttpRequest, token: str) -> HttpResponse:
    """The dates for a calendar program, without an account (iCalendar)."""
    address = services.address_by_token(token)
    content = calendar_of(select.calendar_dates(address), str(address.project or address.studio))
    answer = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'inline; filename="dates.ics"'
    return answer


def _address(request: SignedRequest, token: str) -> HttpResponse:
    there = request.build_absolute_uri(reverse("calendar", args=[token]))
    answer = render(request, "placements/calendar_address.html", {"here": "dates", "there": there})
    answer["Cache-Control"] = "no-store"
    return answer
