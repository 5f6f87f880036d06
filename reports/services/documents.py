"""Writes: ask for a document of an estimate."""

from __future__ import annotations

import hashlib
import json

from django.db import transaction

from placements.models import Estimate
from studio.access import EVERYONE, require, studio_of
from studio.errors import Invalid
from studio.models import User
from studio.reader import paper_for

from ..models import OF_AN_ESTIMATE, Report, ReportState
from ..producing import SHEET_VERSION
from ..rendering import SHEETS
from .sheets import PAPERS, report_retry


@transaction.atomic
def document_request(*, by: User, estimate: Estimate, kind: str, paper: str = "") -> Report:
    """Ask for a document of an estimate. Asking twice for the same one gives the same row.

    Raises:
        Invalid: no such document, no such paper, or an order without a frame.
    """
    studio = studio_of(estimate.revision)
    require(by=by, studio=studio, roles=EVERYONE, to="ask for documents")
    paper, faults = paper_for(studio, paper), []
    if kind not in OF_AN_ESTIMATE:
        faults.append({"where": "kind", "detail": f"There is no document of the kind {kind!r}."})
    if paper not in PAPERS:
        faults.append({"where": "paper", "detail": f"Paper is one of {', '.join(PAPERS)}; this is {paper!r}."})
    if kind == "order" and not estimate.told["framed"]:
        faults.append({"where": "kind", "detail": "Nothing is framed in this estimate, so there is nothing to order."})
    if faults:
        raise Invalid("The document was not asked for. Correct what is named.", faults=faults)
    Estimate.objects.select_for_update(of=("self",)).get(pk=estimate.pk)
    same = hashlib.sha256(json.dumps([SHEET_VERSION, estimate.sha256, estimate.pk, kind, paper]).encode()).hexdigest()
    found = Report.objects.filter(estimate=estimate, fingerprint=same).order_by("-pk").first()
    if found is not None:
        return report_retry(by=by, report=found) if found.state == ReportState.FAILED else found
    report = Report(
        revision=estimate.revision, estimate=estimate, kind=kind, paper=paper, requested_by=by, fingerprint=same
    )
    SHEETS.queue(report)
    return report
