"""From a report's row to its PDF: gathers what the sheet shows, sets the template, renders."""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import segno
from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from placements.models import Revision
from placements.selectors.photos.hung import hung_readings
from placements.snapshots import BrokenRecord
from studio.background import Impossible
from studio.reader import zone_of
from studio.tokens import new_token, token_hash

from .access import link_address
from .contexts.closing import closing_record
from .contexts.documents import document
from .contexts.drawing import Place
from .contexts.progress import piece_states
from .contexts.sheet import Heading, install_sheets
from .contexts.template import paper_template, wall_template
from .models import Job, JobLink, Report, ReportKind
from .pdf import Pdf, render, rooms
from .pictures import Shelf, shelf_of, small_jpeg
from .selectors import SignedJob, actions_of, by_placement, carried, measured_job, signed_job

#: Counts changes of what the sheets look like: sheets made before are asked for anew.
SHEET_VERSION = 4


class Unprintable(Impossible):
    """This sheet can never be drawn as it was asked for. The message says why and what to do."""


def fingerprint(
    revision: Revision, *, kind: str, paper: str, wall: int | None, artwork: int | None, job: Job | None
) -> str:
    """SHA-256 of what decides how a sheet looks. A close-out record is of one moment and never the same twice."""
    facts = [SHEET_VERSION, revision.sha256, kind, paper, wall, artwork, job.pk if job else None]
    if kind == ReportKind.CLOSE_OUT:
        facts.append(secrets.token_hex(8))
    return hashlib.sha256(json.dumps(facts).encode()).hexdigest()


def produce(report: Report) -> Pdf:
    """The PDF of a claimed report.

    Raises:
        Unprintable: with the reason in words.
    """
    if report.estimate is not None:
        return _rendered("reports/document.html", document(report.estimate, report.kind, report.paper), Shelf())
    try:
        job = signed_job(report.revision, to_studs=report.job is not None and report.job.to_studs)
    except BrokenRecord as broken:
        raise Unprintable(f"Nothing is printed from a record that is not what was signed. {broken}") from broken
    match report.kind:
        case ReportKind.INSTALL:
            return _install(report, job)
        case ReportKind.TEMPLATE:
            return _template(report, job)
        case ReportKind.CLOSE_OUT:
            return _close_out(report, job)
    raise Unprintable(f"There is no sheet of the kind {report.kind!r}.")


def _install(report: Report, job: SignedJob) -> Pdf:
    shelf = shelf_of(job.artworks)
    heading = _heading(report, job)
    former = _former(report.job, job) if report.job else None

    def drawn(places: Mapping[str, Place] | None) -> dict[str, object]:
        sheets = install_sheets(
            heading=heading,
            house=job.signed.house,
            pieces=job.pieces,
            units=job.units,
            tolerances=job.tolerances,
            paper=report.paper,
            storage=job.storage,
            pictures=shelf.keys(),
            unreadable=shelf.unreadable,
            only_wall=job.wall_code(report.wall),
            places=places,
            carried=former,
        )
        if not sheets.walls:
            raise Unprintable("Nothing hangs here in this revision, so there is no sheet to draw.")
        opens = "the job in the office" if heading.link_needs_account else "the job on a phone"
        return {"sheets": sheets, "paper": report.paper, "qr": qr_svg(heading.link, opens)}

    return laid_out(drawn, shelf.jpegs)


def _former(issued: Job, job: SignedJob) -> dict[str, object] | None:
    """What the job takes over from the one that it follows, and what changes."""
    pieces = by_placement(job)
    return carried(issued, pieces, piece_states(pieces, actions_of(issued), job.units, job.tolerances), job.units)


def laid_out(drawn: Callable[[Mapping[str, Place] | None], dict[str, object]], jpegs: Mapping[str, bytes]) -> Pdf:
    """The install sheets, laid out once without drawings to see what room they leave, and then with them."""
    blank = render_to_string("reports/install.html", drawn(None))
    places = {wall: Place(room.depth, room.free) for wall, room in rooms(blank, jpegs).items()}
    return render(render_to_string("reports/install.html", drawn(places)), jpegs)


def _template(report: Report, job: SignedJob) -> Pdf:
    if report.artwork is None:
        return _wall_template(report, job)
    work = next((work for work, row in job.placements.items() if row.artwork_id == report.artwork_id), None)
    piece = next((piece for piece in job.pieces if piece.work.id == work), None)
    if piece is None:
        raise Unprintable("This piece does not hang in this revision.")
    if piece.stands:
        raise Unprintable(f"It stands {piece.stands}: no hook is to be marked.")
    if not piece.points:
        raise Unprintable("Its hanging hardware is not measured, so there is nothing to print at full size.")
    template = paper_template(piece, job.units, report.paper, _heading(report, job))
    return _rendered("reports/template.html", {"template": template}, Shelf())


def _wall_template(report: Report, job: SignedJob) -> Pdf:
    wall = job.wall_code(report.wall)
    pieces = [piece for piece in job.pieces if piece.wall.id == wall and piece.points]
    if not pieces:
        raise Unprintable("Nothing hangs here on measured hardware, so there is nothing to print at full size.")
    template = wall_template(pieces, job.units, report.paper, _heading(report, job))
    return _rendered("reports/template.html", {"template": template}, Shelf())


def _close_out(report: Report, job: SignedJob) -> Pdf:
    if report.job is None:
        raise Unprintable("A close-out record belongs to a job; this one names none.")
    actions = actions_of(report.job)
    states = piece_states(by_placement(job), actions, job.units, job.tolerances)
    shelf = shelf_of(job.artworks)
    for action in actions:
        if action.photo and (jpeg := small_jpeg(action.photo)) is not None:
            shelf.jpegs[f"photo-{action.pk}"] = jpeg
    record = closing_record(
        report.job,
        job.signed.house,
        by_placement(measured_job(job, states)),
        job.units,
        job.tolerances,
        actions,
        hung_readings(report.revision, job.units),
        _heading(report, job),
        report.paper,
        shelf.keys(),
        zone_of(report.revision.plan.project),
    )
    return _rendered("reports/close_out.html", {"record": record, "paper": report.paper}, shelf)


def _rendered(template: str, page: dict[str, object], shelf: Shelf) -> Pdf:
    return render(render_to_string(template, page), shelf.jpegs)


def qr_svg(address: str, opens: str = "the job on a phone") -> str:
    """The code of an address, which says to whoever cannot see it what it opens."""
    code = segno.make(address, error="m", micro=False)
    return str(code.svg_inline(border=2, omitsize=True, title=f"QR code that opens {opens}"))


def _heading(report: Report, job: SignedJob) -> Heading:
    revision, signed = report.revision, job.signed
    issued = report.job
    return Heading(
        studio=revision.plan.project.client.studio.name,
        project=signed.project["name"],
        client=signed.project["client"],
        address=signed.project["address_note"],
        revision=signed.revision_number,
        sha256=signed.sha256,
        signed_by=signed.signed_by,
        signed_on=_date(datetime.fromisoformat(signed.signed_at), zone_of(report.revision.plan.project)),
        issued_to=issued.hanger_name if issued else "",
        note=issued.note if issued else "",
        printed_on=_date(timezone.now(), zone_of(report.revision.plan.project)),
        link=_link(report),
        link_needs_account=issued is None,
    )


def _date(moment: datetime, zone: ZoneInfo) -> str:
    here = moment.astimezone(zone)
    return f"{here.day} {here:%b %Y}"


def _link(report: Report) -> str:
    """The address for the QR code: a link made for these sheets where a job is issued, else the office's page.

    The token is known to the paper alone. A sheet that is drawn again gets a new one, and the one before is withdrawn.
    """
    if report.job is None:
        return settings.BASE_URL + reverse("sheets", args=[report.revision_id])
    token = new_token()
    now = timezone.now()
    JobLink.objects.filter(report=report, revoked_at=None).update(revoked_at=now)
    JobLink.objects.create(
        job=report.job,
        report=report,
        token_sha256=token_hash(token),
        created_by=report.requested_by,
        expires_at=now + timedelta(days=settings.JOB_LINK_DAYS),
    )
    return link_address(token)
