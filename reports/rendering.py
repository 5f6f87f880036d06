"""Drawing sheets in the background: see `studio.background` for how one is claimed, held, tried again and given up."""

from __future__ import annotations

import hashlib

from django.core.files.base import ContentFile

from studio.background import Failure, Failures, Hold, Lost, WorkKind
from studio.tracing import span

from .models import Report
from .pdf import Pdf
from .producing import produce

SHEETS = WorkKind(
    Report,
    wake="reports.tasks.report_wake",
    lease="SHEET_LEASE_SECONDS",
    related=("revision__plan__project__client__studio", "wall", "artwork", "job"),
    begun=0.1,
    failures=Failures(
        full_disk=Failure("The disk for sheets is full.", "Free some space, then try again."),
        no_storage=Failure("The file store for sheets did not answer.", "Try again in a while."),
        broken=Failure("This sheet could not be drawn.", "Try again; if it fails again, tell whoever runs the site."),
        slow=Failure("This sheet took too long to draw, so it was stopped.", "Ask for one wall at a time."),
        died=Failure(
            "The worker stopped {count} times while drawing this sheet.", "Try again, or ask for one wall at a time."
        ),
    ),
)


def draw(report: Report, hold: Hold[Report]) -> None:
    """Draw a claimed report and store its file.

    Drawing twice does no harm: only the worker that still holds the row stores its file there.

    Raises:
        Unprintable: it can never be drawn as asked. Lost: another worker has it.
    """
    pdf = produce(report)
    hold.progress(0.9)
    _store(report, hold, pdf)


def _store(report: Report, hold: Hold[Report], pdf: Pdf) -> None:
    storage = report.file.storage
    claim = report.lease_owner.rpartition(":")[2]
    name = report.file.field.generate_filename(report, f"{report.kind}-{claim}.pdf")
    try:
        with span("file stored", bytes=len(pdf.content)):
            name = storage.save(name, ContentFile(pdf.content))
    except OSError:
        storage.delete(name)  # nothing half-written stays
        raise
    try:
        hold.finish(file=name, file_sha256=hashlib.sha256(pdf.content).hexdigest(), pages=pdf.pages)
    except Lost:
        storage.delete(name)
        raise
    # Files of claims that died between storing the file and noting it.
    folder, _, kept = name.rpartition("/")
    for other in storage.listdir(folder)[1]:
        if other != kept:
            storage.delete(f"{folder}/{other}")
