"""A list of art from its file to the inventory: sent, read in the background, mended on the page, stored."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from studio import access
from studio.background import Failure, Failures, Hold, Impossible, WorkKind
from studio.errors import Invalid, Missing
from studio.models import ArtList, Client, ListState, Project, Studio, User
from studio.services.art import artworks_store

from .columns import BY_NAME, guess
from .headings import heading_at, headings_of
from .preview import Plan, Preview, preview
from .tables import MAX_CELL, read_sheets

#: A list that nobody has touched for so long is forgotten, and so are a sender's lists beyond the newest few.
KEPT_FOR = timedelta(days=14)
KEPT = 10
_AGAIN = "Send it again; if it fails again, tell whoever runs the site."
LISTS = WorkKind(
    ArtList,
    wake="studio.tasks.list_wake",
    lease="RUN_LEASE_SECONDS",
    failures=Failures(
        full_disk=Failure("The disk of the site is full.", "Free some space, then send the list again."),
        no_storage=Failure("The file store did not answer.", "Send the list again in a while."),
        broken=Failure("Something went wrong while reading the list.", _AGAIN),
        slow=Failure("Reading the list took too long, so it was stopped.", "Save it as CSV, then send that."),
        died=Failure("The worker stopped {count} times while reading this list.", _AGAIN),
    ),
)


@transaction.atomic
def list_send(
    *,
    by: User,
    studio: Studio,
    name: str,
    content: bytes,
    unit: str,
    order: str,
    client: Client | None = None,
    project: Project | None = None,
) -> ArtList:
    """Keep a file and have it read in the background.

    Raises:
        Invalid: the project is another client's.
    """
    access.require(by=by, studio=studio, roles=access.EVERYONE, to="add art")
    if project is not None and client is not None and project.client_id != client.pk:
        detail = "This project is another client's."
        raise Invalid(detail, faults=[{"where": "project", "detail": detail}])
    row = ArtList(
        studio=studio, sent_by=by, client=client or (project.client if project else None), project=project,
        name=name[-120:] or "list", content=content, unit=unit, order=order,
    )  # fmt: skip
    LISTS.queue(row)
    old = ArtList.objects.filter(sent_by=by).order_by("-pk").values_list("pk", flat=True)[KEPT:]
    ArtList.objects.filter(pk__in=list(old)).delete()
    return row


def read(row: ArtList, hold: Hold[ArtList]) -> None:
    """Read a claimed list, and find its headings.

    Raises:
        Impossible: it is no list. Lost: another worker has it.
    """
    try:
        sheets = read_sheets(bytes(row.content), lambda share: hold.progress(0.9 * share))
    except Invalid as refusal:
        raise Impossible(refusal.detail) from refusal
    kept = [{"name": sheet.name, "rows": sheet.rows} for sheet in sheets]
    best = max(range(len(kept)), key=lambda number: _promise(kept[number]["rows"]))
    hold.finish(sheets=kept, choice=choice_of(kept, best), content=b"")


def _promise(rows: Any) -> tuple[int, int]:
    """How much a sheet looks like the list: columns that are known, then rows."""
    at = heading_at(rows)
    return len({name for name in guess(headings_of(rows, at)).values() if name in BY_NAME}), len(rows)


def choice_of(sheets: Any, number: int, at: int | None = None) -> dict[str, Any]:
    """How a sheet would be read: its headings in row `at` or where they seem to be, its columns by them."""
    rows = sheets[number]["rows"]
    at = heading_at(rows) if at is None else at
    mapping = guess(headings_of(rows, at), rows[at + 1 :])
    return {"sheet": number, "heading": at, "mapping": {str(index): name for index, name in mapping.items()}}


def list_choose(*, row: ArtList, sheet: int, heading: int) -> None:
    """Read another sheet, or take another row for its headings; columns are guessed anew.

    Raises:
        Invalid: there is no such sheet or row.
    """
    if not 0 <= sheet < len(row.sheets):
        raise Invalid("There is no such sheet in this file.")
    other = sheet != row.choice["sheet"]
    if not other and not 0 <= heading < len(row.sheets[sheet]["rows"]):
        raise Invalid("There is no such row in this sheet.")
    row.choice = choice_of(row.sheets, sheet, None if other else heading)
    row.mended, row.taken, row.done = {}, [], []
    row.save()


def list_map(*, row: ArtList, mapping: Mapping[int, str]) -> None:
    """Say which column holds what."""
    row.choice = {**row.choice, "mapping": {str(index): name for index, name in mapping.items()}}
    row.save()


def list_mend(*, row: ArtList, cells: Mapping[tuple[int, str], str], taken: int | None = None) -> None:
    """Note cells that were mended on the page, by row and field, and a row that is a piece after all.

    Raises:
        Invalid: a field that a list has not.
    """
    mended = {number: dict(cells) for number, cells in row.mended.items()}
    for (number, name), text in cells.items():
        if name not in BY_NAME:
            raise Invalid("There is no such column.")
        mended.setdefault(str(number), {})[name] = text[:MAX_CELL]
    row.mended = mended
    if taken is not None:
        row.taken = sorted({*row.taken, taken})
    row.save()


def plan_of(row: ArtList) -> Plan:
    """How the list is read, as chosen.

    Raises:
        Missing: it is not read yet.
    """
    if row.state != ListState.READY:
        raise Missing("This list is not read yet.")
    choice = row.choice
    return Plan(
        studio=row.studio,
        rows=row.sheets[choice["sheet"]]["rows"],
        heading=choice["heading"],
        mapping={int(index): name for index, name in choice["mapping"].items() if name},
        unit=row.unit,
        order="width_first" if row.order == "width_first" else "height_first",
        client=row.client,
        project=row.project,
        mended={int(number): cells for number, cells in row.mended.items()},
        taken=frozenset(row.taken),
        done=frozenset(row.done),
    )


@transaction.atomic
def list_store(*, by: User, row: ArtList, leave: frozenset[int], only_good: bool = False) -> Preview:
    """Store the list's pieces: all that are not left out, or with `only_good` those without faults, all or none.

    What is stored is done: it stands no longer among the list's rows. Where faults hold it back nothing is stored.
    """
    locked = (
        ArtList.objects.select_for_update(of=("self",))
        .select_related("studio", "client", "project__client")
        .get(pk=row.pk)
    )
    found = preview(plan_of(locked), lock=True)
    wanted = [one for one in found.rows if one.number not in leave]
    if not only_good and any(one.faults for one in wanted):
        return found
    good = [one for one in wanted if one.artwork is not None and not one.faults]
    artworks_store(
        by=by,
        added=[one.artwork for one in good if one.artwork and not one.there],
        changed=[one.artwork for one in good if one.artwork and one.there and one.changes],
    )
    found.stored = good
    locked.done = sorted({*locked.done, *(one.number for one in good), *leave})
    if all(one.number in locked.done for one in found.rows):
        locked.delete()
    else:
        locked.save()
    return found


def forget_old() -> None:
    ArtList.objects.filter(updated_at__lt=timezone.now() - KEPT_FOR).delete()
