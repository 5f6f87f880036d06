"""A sheet's file as pages and the API send it."""

from __future__ import annotations

import hashlib

from django.http import FileResponse

from studio.errors import Missing, ServiceError

from .models import Report, ReportState


class SheetLost(ServiceError):
    """A ready sheet whose file is missing or damaged."""

    status = 410
    code = "sheet-lost"
    title = "This sheet's file is lost"


def sheet_file(report: Report) -> FileResponse:
    """The PDF of a ready report, once it has been compared with its hash.

    Raises:
        Missing: it is not ready.
        SheetLost: the file is not what was stored.
    """
    if report.state != ReportState.READY or not report.file:
        raise Missing("This sheet is not ready yet.")
    try:
        with report.file.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        digest = ""
    if digest != report.file_sha256:
        raise SheetLost("The stored file is missing or damaged. Ask for the sheet again on its page: it is drawn anew.")
    revision = report.revision
    name = f"{revision.plan.project.name} r{revision.number} {report.kind.replace('_', '-')} {report.paper}.pdf"
    return FileResponse(report.file.open("rb"), filename=name, content_type="application/pdf", as_attachment=True)
