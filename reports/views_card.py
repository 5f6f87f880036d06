"""The reference card's page, to print."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_GET

from placements.photogrammetry.card import CARDS_A_PAPER, PAPERS, Card
from studio.errors import Invalid

from .contexts.card import card_page
from .pdf import render


@login_required
@require_GET
def photo_card(request: HttpRequest) -> HttpResponse:
    """One numbered card, or all of a paper's: each has markers of its own, so that several may lie in one picture."""
    paper, number = request.GET.get("paper", "letter"), request.GET.get("number", "")
    if paper not in PAPERS:
        raise Invalid(f"A card is printed on one of: {', '.join(PAPERS)}.")
    numbers = [str(one) for one in range(1, CARDS_A_PAPER + 1)]
    if number and number not in numbers:
        raise Invalid(f"Cards are numbered 1 to {CARDS_A_PAPER}.")
    pages = [card_page(Card(paper, int(one))) for one in numbers if number in ("", one)]
    html = render_to_string("reports/card.html", {"pages": pages, "css": paper, "paper": pages[0].paper})
    response = HttpResponse(render(html).content, content_type="application/pdf")
    name = f"reference card{f' {number}' if number else 's'} {paper}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
