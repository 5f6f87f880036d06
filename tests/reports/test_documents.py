"""Documents of an estimate: asked for once, drawn by the queue of sheets, readable as PDF/UA text."""

from __future__ import annotations

import datetime as dt
import io
from decimal import Decimal

import pytest
from django.urls import reverse
from pypdf import PdfReader

from placements.estimating.lines import Framed, Purchase
from placements.models import DueDate
from placements.services.money import estimate_make
from reports.models import Report
from reports.producing import produce
from reports.selectors import documents_of, reports_of
from reports.services.documents import document_request
from studio.errors import Invalid
from tests.factories import ItemFactory, PlacementFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def made(cast):
    placement = PlacementFactory(revision__plan__project__client__studio=cast.studio, artwork__title="Slack water")
    ItemFactory(wall=placement.wall)
    framed = {placement.artwork_id: Framed("Plain moulding", mat=True)}
    bought = [Purchase("A vase for the mantel", Decimal(120))]
    DueDate.objects.create(project=placement.revision.plan.project, kind="frames", day=dt.date(2027, 3, 4))
    return estimate_make(by=cast.designer, revision=placement.revision, framed=framed, purchases=bought)


def read(report: Report) -> str:
    pdf = produce(report)
    found = PdfReader(io.BytesIO(pdf.content))
    assert "/MarkInfo" in found.trailer["/Root"]
    return " ".join(" ".join(page.extract_text().split()) for page in found.pages)


def test_the_estimate_on_paper_has_its_lines_its_total_and_its_hash(cast, made):
    text = read(document_request(by=cast.designer, estimate=made, kind="estimate"))
    assert "Hardware: Slack water: wire" in text
    assert "A vase for the mantel" in text
    assert f"{made.currency} {made.total:,.2f}" in text
    assert made.sha256 in text.replace(" ", "")


def test_the_framer_reads_size_moulding_mat_and_day_and_no_price(cast, made):
    text = read(document_request(by=cast.designer, estimate=made, kind="order"))
    for said in ("Slack water", "56 × 34", "Plain moulding", "with mat", "4 Mar 2027"):
        assert said in text
    assert made.currency not in text


def test_the_shopping_list_counts_hardware_and_purchases(cast, made):
    text = read(document_request(by=cast.designer, estimate=made, kind="shopping"))
    for said in ("1 Wire", "Hooks or screws", "A vase for the mantel"):
        assert said in text


def test_asking_twice_is_one_row_and_sheets_are_not_among_them(cast, made, client_of):
    first = document_request(by=cast.designer, estimate=made, kind="estimate", paper="a4")
    assert document_request(by=cast.designer, estimate=made, kind="estimate", paper="a4") == first
    assert list(documents_of(made)) == [first]
    assert list(reports_of(made.revision)) == []
    client, there = client_of(cast.designer), reverse("estimate_documents", args=[made.pk])
    assert client.post(there, {"kind": "shopping", "paper": "letter"}).status_code == 302
    assert "Hardware and purchases" in client.get(there).content.decode()
    assert client_of(cast.stranger).get(there).status_code == 404


def test_an_order_without_a_frame_and_an_unknown_paper_are_refused(cast, made):
    bare = estimate_make(by=cast.designer, revision=made.revision)
    for kind, paper in (("order", ""), ("estimate", "foolscap"), ("install", "")):
        with pytest.raises(Invalid):
            document_request(by=cast.designer, estimate=bare, kind=kind, paper=paper)
    assert not Report.objects.exists()
