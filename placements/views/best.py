"""Where would it look best: a work tried in every space of its client's walls, or of every project for stock."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from placements import access
from placements.contexts.best import place_notes
from placements.selectors.best import best_places
from studio.models import Artwork
from studio.units import Units


@login_required
@require_GET
def work_best(request: HttpRequest, pk: int) -> HttpResponse:
    work = access.get(request.user, Artwork.objects.select_related("studio", "client"), pk)
    style = request.user.unit_style or (work.client.unit_style if work.client else "") or work.studio.unit_style
    units = Units(style)
    places = place_notes(work, best_places(work, units), units)
    return render(
        request, "placements/work_best.html", {"here": "works", "work": work, "places": places, "units": units}
    )
