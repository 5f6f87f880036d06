"""Where would it look best: a work tried in every space of its client's walls, or of every project for stock."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from placements import access
from placements.contexts.best import place_notes
from placements.selectors.best import best_places
from studio.access import SignedRequest
from studio.models import Artwork
from studio.reader import units_for


@login_required
@require_GET
def work_best(request: SignedRequest, pk: int) -> HttpResponse:
    work = access.get(request.user, Artwork.objects.select_related("studio", "client"), pk)
    units = units_for(request.user, work.client, work.studio)
    places = place_notes(work, best_places(work, units), units)
    return render(
        request, "placements/work_best.html", {"here": "works", "work": work, "places": places, "units": units}
    )
