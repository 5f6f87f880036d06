"""The reference card's page, to print."""

from __future__ import annotations

from functools import cache

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_GET

from placements.photogrammetry.card import CARDS_A_PAPER, Card
from studio.access import SignedRequest
from studio.forms import given

from .contexts.card import card_page
from .forms import CardQuery
from .pdf import render


@login_required
@require_GET
def photo_card(request: SignedRequest) -> HttpResponse:
    """One numbered card, or all of a paper's: each has markers of its own, so that several may lie in one picture."""
    asked = given(CardQuery(request.GET))
    paper, number = asked["paper"] or "letter", asked["number"]
    response = HttpResponse(_printed(paper, number), content_type="application/pdf")
    name = f"reference card{f' {number}' if number else 's'} {paper}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


@cache
def _printed(paper: str, number: int | None) -> bytes:
    """The PDF: the same for everybody, and slow to lay out."""
    pages = [card_page(Card(paper, one)) for one in range(1, CARDS_A_PAPER + 1) if number in (None, one)]
    html = render_to_string("reports/card.html", {"pages": pages, "css": paper, "paper": pages[0].paper})
    return render(html).content
