"""Each way of changing a photograph: from what the form says to one call of a service."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse

from placements.models import Photo, PhotoMark
from placements.scenes import works_for
from placements.selectors import projects as select
from placements.services.photos import marks, uses
from placements.services.photos import photo as services
from placements.services.plans import revision_open
from studio.errors import Invalid, Missing
from studio.models import Artwork
from studio.units import BadMeasure, Units


@dataclass(frozen=True, slots=True)
class Done:
    """What was done, in words; where to look next, or which mark to show."""

    said: str
    onward: str = ""
    selected: int | None = None


def draw(request: HttpRequest, photo: Photo, units: Units) -> Done:
    kind = request.POST.get("kind", "")
    artwork = _artwork(request, photo) if kind == "work" else None
    mark = marks.mark_draw(by=request.user, photo=photo, kind=kind, corners_px=_points(request), artwork=artwork)
    return Done("Drawn and measured.", selected=mark.pk)


def change(request: HttpRequest, photo: Photo, units: Units) -> Done:
    mark = _mark(request, photo)
    width, height = _length(request, units, "taped_width"), _length(request, units, "taped_height")
    kind = request.POST.get("kind") or None
    mark = marks.mark_change(
        by=request.user,
        mark=mark,
        kind=kind,
        corners_px=_points(request) if request.POST.get("points") else None,
        taped_width_mm=width,
        taped_height_mm=height,
    )
    if kind == "work":
        marks.mark_answer(by=request.user, mark=mark, accept=True, artwork=_artwork(request, photo))
    return Done("Stored, and everything measured anew.", selected=mark.pk)


def answer(request: HttpRequest, photo: Photo, units: Units) -> Done:
    mark, yes = _mark(request, photo), request.POST.get("answer") == "yes"
    marks.mark_answer(by=request.user, mark=mark, accept=yes, artwork=mark.artwork if yes else None)
    return Done("Accepted." if yes else "Refused.", selected=mark.pk if yes else None)


def accept_all(request: HttpRequest, photo: Photo, units: Units) -> Done:
    count = marks.marks_accept(by=request.user, photo=photo)
    return Done(f"{count} accepted.")


def level(request: HttpRequest, photo: Photo, units: Units) -> Done:
    points = _points(request)
    if len(points) != 2:
        raise Invalid("Mark the wall's two lower corners, at the floor.")
    services.photo_level(by=request.user, photo=photo, left_px=points[0], right_px=points[1])
    return Done("The wall is placed.")


def card(request: HttpRequest, photo: Photo, units: Units) -> Done:
    left, bottom = (_length(request, units, name, zero=True) for name in ("left", "bottom"))
    if left is None or bottom is None:
        raise Invalid("Give both the card's distance from the left end and its height above the floor.")
    services.photo_level_by_card(by=request.user, photo=photo, left_mm=left, bottom_mm=bottom)
    return Done("The wall is placed.")


def reference(request: HttpRequest, photo: Photo, units: Units) -> Done:
    width, height = _length(request, units, "width"), _length(request, units, "height")
    if width is None or height is None:
        raise Invalid("Give both the width and the height of what you marked.")
    services.photo_reference(
        by=request.user, photo=photo, corners_px=_points(request), width_mm=width, height_mm=height
    )
    return Done("Measuring from what you marked.")


def ruler(request: HttpRequest, photo: Photo, units: Units) -> Done:
    services.photo_ruler(by=request.user, photo=photo, ruler_mm=ruler_of(request.POST.get("ruler", ""), units))
    return Done("Measuring again by that ruler.")


def survey(request: HttpRequest, photo: Photo, units: Units) -> Done:
    items = uses.survey_take(by=request.user, photo=photo, version=_number(request, "version"))
    said = f"{len(items)} put on the wall as measured. Check them here."
    return Done(said, onward=reverse("wall_survey", args=[photo.wall.room.project_id, photo.wall_id]))


def hung(request: HttpRequest, photo: Photo, units: Units) -> Done:
    works = uses.hung_take(by=request.user, photo=photo)
    return Done(f"Noted where {len(works)} hang{'s' if len(works) == 1 else ''} today.")


def floor(request: HttpRequest, photo: Photo, units: Units) -> Done:
    project = photo.wall.room.project
    revision = select.current_revision(project)
    if not select.editable(revision):
        revision = revision_open(by=request.user, project=project)
    space = request.POST.get("space", "")
    uses.floor_take(
        by=request.user,
        photo=photo,
        revision=revision,
        version=_number(request, "version"),
        space_id=space,
        words=units,
    )
    wall = reverse("wall", args=[project.pk, photo.wall_id])
    return Done("The layout hangs on the wall, straightened.", onward=wall)


def show(request: HttpRequest, photo: Photo, units: Units) -> Done:
    uses.show_plan(by=request.user, photo=photo)
    return Done("The works hang in the photograph.")


def delete(request: HttpRequest, photo: Photo, units: Units) -> Done:
    where = reverse("photos", args=[photo.wall.room.project_id, photo.wall_id])
    services.photo_delete(by=request.user, photo=photo)
    return Done("The photograph and its marks are deleted.", onward=where)


ACTIONS: Mapping[str, Callable[[HttpRequest, Photo, Units], Done]] = {
    "draw": draw,
    "change": change,
    "answer": answer,
    "accept-all": accept_all,
    "level": level,
    "card": card,
    "reference": reference,
    "ruler": ruler,
    "survey": survey,
    "hung": hung,
    "floor": floor,
    "show": show,
    "delete": delete,
}


def ruler_of(text: str, units: Units) -> float | None:
    """The card's 100 mm ruler as taped; a bare number is millimetres, whatever the reader's units."""
    if not text.strip():
        return None
    bare = text.strip().replace(",", ".")
    try:
        return float(bare) if bare.replace(".", "", 1).isdecimal() else units.parse_length(text)
    except BadMeasure as fault:
        raise Invalid(f"The card's ruler: {fault}.") from fault


def _mark(request: HttpRequest, photo: Photo) -> PhotoMark:
    mark = photo.marks.filter(pk=_number(request, "mark") or 0).first()
    if mark is None:
        raise Missing("This mark is not in the photograph any more.")
    return mark


def _artwork(request: HttpRequest, photo: Photo) -> Artwork | None:
    pk = _number(request, "artwork")
    return works_for(photo.wall.room.project).filter(pk=pk).first() if pk else None


def _points(request: HttpRequest) -> list[list[float]]:
    """Points as the script sends them: JSON, [[x, y], …] in the photograph's pixels."""
    try:
        points = json.loads(request.POST.get("points", ""))
        return [[float(x), float(y)] for x, y in points]
    except (ValueError, TypeError):
        raise Invalid("Mark it on the photograph first.") from None


def _length(request: HttpRequest, units: Units, name: str, *, zero: bool = False) -> float | None:
    text = request.POST.get(name, "").strip()
    if not text:
        return None
    try:
        return units.parse_length(text, zero=zero)
    except BadMeasure as fault:
        raise Invalid(f"{name.replace('_', ' ').capitalize()}: {fault}.") from fault


def _number(request: HttpRequest, name: str) -> int | None:
    value = request.POST.get(name, "")
    return int(value) if value.isdecimal() and len(value) < 12 else None
