"""Everything that a studio owns, as files that others can read: survey files, pictures, a list of works."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator
from itertools import islice

from django.core import serializers
from django.core.files.storage import default_storage
from django.db.models import Model, QuerySet
from django.utils import timezone
from django.utils.text import slugify

from placements import access
from placements.models import Revision
from placements.scenes import picture_name, scene_of, survey_of
from placements.survey import as_text, write_survey
from studio.belongings import Belongings, models_of_studios
from studio.imports.tables import guarded
from studio.models import Artwork, Project, Studio, User
from studio.storage import stored

CHUNK = 1 << 16
BATCH = 500
READ_ME = """Everything that {studio} keeps in Overmantel, as of {day}.

projects/*/survey.json   one job each, with its pictures beside it; `load_survey` reads it back
projects/*/signed/       signed plans, byte for byte as they were signed; the name holds the SHA-256
works.csv                every piece of art, the studio's own stock included; millimetres and kilograms
files/                   everything else that was stored: sheets, photographs from jobs, pictures of the stock
records/                 every row there is, a file for each kind and a line for each row (JSON): comments, decisions,
                         house rules, what was changed and when, what came from the phones; links by number
people.csv               who is in the studio; the numbers are those in records
"""
#: What would let somebody in, or is of no use elsewhere.
SECRET = {"token_sha256", "lease_owner", "lease_until"}
COLUMNS = (
    "code", "title", "maker", "form", "client__name", "project__name", "width_mm", "height_mm", "depth_mm", "weight_kg",
    "frame", "glazed", "light", "hang_kind", "set_name", "storage", "picture",
)  # fmt: skip


def studio_archive(*, studio: Studio, by: User | None) -> Iterator[bytes]:
    """The archive as the bytes of a zip file, made as it is read: neither memory nor disk holds all of it.

    Raises:
        NotAllowed: by anybody but a principal.
    """
    if by is not None:
        access.require(by=by, studio=studio, roles=access.PRINCIPAL, to="export the studio")
    return _archive(studio)


def _archive(studio: Studio) -> Iterator[bytes]:
    sink = _Sink()
    with zipfile.ZipFile(sink, "w") as archive:
        for name, content in _members(studio):
            with archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as out:
                for chunk in content:
                    out.write(chunk)
                    yield sink.take()
    yield sink.take()


def _members(studio: Studio) -> Iterator[tuple[str, Iterator[bytes]]]:
    yield "README.txt", _text(READ_ME.format(studio=studio.name, day=timezone.localdate()))
    yield "works.csv", _works(studio)
    shown: set[str] = set()
    for project in Project.objects.of_studio(studio).select_related("client__studio").order_by("pk").iterator():
        folder = f"projects/{project.pk}-{slugify(project.name) or 'project'}"
        scene = scene_of(project)
        survey = survey_of(project, scene=scene, with_pictures=True)
        yield f"{folder}/survey.json", _text(as_text(write_survey(survey)))
        for code in scene.work_pk:
            work = scene.artwork(code)
            if kept := work.picture.name:
                shown.add(kept)
                yield f"{folder}/{picture_name(code)}", _file(kept)
        for revision in Revision.objects.filter(plan__project=project).exclude(snapshot="").order_by("number"):
            yield f"{folder}/signed/revision-{revision.number}-{revision.sha256}.json", _text(revision.snapshot)
    home = f"studios/{studio.pk}"
    for path in [*stored(home), *filter(None, [studio.logo.name])]:
        if path not in shown:
            yield f"files/{path.removeprefix(home + '/')}", _file(path)
    yield "people.csv", _people(studio)
    theirs = Belongings(studio)
    for model in models_of_studios():
        yield f"records/{model._meta.label_lower}.jsonl", _rows(theirs.rows(model))


def _rows(rows: QuerySet[Model]) -> Iterator[bytes]:
    fields = [field.name for field in rows.model._meta.local_concrete_fields if field.name not in SECRET]
    found = rows.iterator(chunk_size=BATCH)
    while batch := list(islice(found, BATCH)):
        yield serializers.serialize("jsonl", batch, fields=fields).encode()


def _people(studio: Studio) -> Iterator[bytes]:
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["number", "name", "email", "role"])
    for one in studio.memberships.select_related("user").order_by("pk"):
        writer.writerow([one.user_id, guarded(one.user.name), guarded(one.user.email), one.role])
    yield out.getvalue().encode()


def _works(studio: Studio) -> Iterator[bytes]:
    """One row a piece; text that a spreadsheet would run as a formula is quoted first."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([column.replace("__name", "") for column in COLUMNS])
    for row in Artwork.objects.filter(studio=studio).order_by("pk").values_list(*COLUMNS).iterator():
        writer.writerow([guarded(value) for value in row])
        if out.tell() > CHUNK:
            yield out.getvalue().encode()
            out.seek(0)
            out.truncate()
    yield out.getvalue().encode()


def _text(text: str) -> Iterator[bytes]:
    yield text.encode()


def _file(path: str) -> Iterator[bytes]:
    with default_storage.open(path, "rb") as file:
        while chunk := file.read(CHUNK):
            yield chunk


class _Sink:
    """Where the zip file writes to: what was written since it was last emptied."""

    def __init__(self) -> None:
        self._parts: list[bytes] = []
        self._position = 0

    def write(self, data: bytes, /) -> int:
        self._parts.append(bytes(data))
        self._position += len(data)
        return len(data)

    def tell(self) -> int:
        return self._position

    def flush(self) -> None:
        pass

    def close(self) -> None:
        pass

    def take(self) -> bytes:
        data = b"".join(self._parts)
        self._parts.clear()
        return data
