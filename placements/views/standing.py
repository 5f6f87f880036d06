"""What holds beyond one exception: decisions for whole projects, and who decides in a principal's place."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from placements import access
from placements.contexts.standing import deputy_lines
from placements.forms.deputies import DeputyForm
from placements.models import Delegation
from placements.selectors.decisions import standing_in
from placements.selectors.delegations import delegations_of
from placements.services.delegations import delegation_end, delegation_make
from studio.access import SignedRequest, acting_studio
from studio.forms import attempt
from studio.reader import units_for
from studio.weighty import weighty


def names_deputy(request: HttpRequest) -> bool:
    return request.method == "POST"


@login_required
@weighty(when=names_deputy)
@require_http_methods(["GET", "POST"])
def standing(request: SignedRequest) -> HttpResponse:
    """What was accepted for whole projects, and the deputies; a principal names one here."""
    studio = acting_studio(request)
    units = units_for(request.user, studio)
    form = DeputyForm(request.POST or None, studio=studio, units=units, initial={"first_day": timezone.localdate()})
    if request.method == "POST" and form.is_valid():
        made = attempt(form, lambda: delegation_make(by=request.user, studio=studio, **form.cleaned_data))
        if made is not None:
            messages.success(request, f"{made.deputy} decides in your place until {made.last_day:%-d %B}.")
            return redirect("standing")
    context = {
        "here": "review",
        "form": form,
        "decisions": standing_in(studio),
        "deputies": deputy_lines(delegations_of(studio), units, timezone.localdate()),
        "is_principal": access.role_in(user=request.user, studio=studio) in access.PRINCIPAL,
    }
    return render(request, "placements/standing.html", context, status=422 if form.errors else 200)


@login_required
@require_POST
def deputy_end(request: SignedRequest, pk: int) -> HttpResponse:
    delegation = access.get(request.user, Delegation.objects.select_related("studio"), pk)
    ended = delegation_end(by=request.user, delegation=delegation)
    messages.success(request, f"{ended.deputy} no longer decides in {ended.principal}’s place.")
    return redirect("standing")
