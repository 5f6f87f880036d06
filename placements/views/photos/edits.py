"""Each way of changing a photograph: from what the form says to one call of a service."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from placements.models import Photo, PhotoMark
from placements.scenes import works_for
from placements.selectors import projects as select
from placements.services.photos import marks, uses
from placements.services.photos import photo as services
from placements.services.plans import revision_open
from studio.errors import Invalid, Missing
from studio.models import Artwork, User
from studio.units import BadMeasure, Units

#: What the form says, by field: see `PhotoEditForm`.
Given = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Done:
    """What was done, in words; where to look next, or which mark to show."""

    said: str
    onward: str = ""
    selected: int | None = None


def draw(by: User, photo: Photo, given: Given, units: Units) -> Done:
    kind = given["kind"]
    artwork = _artwork(photo, given) if kind == "work" else None
    mark = marks.mark_draw(by=by, photo=photo, kind=kind, corners_px=_points(given), artwork=artwork)
    return Done("Drawn and measured.", selected=mark.pk)


def change(by: User, photo: Photo, given: Given, units: Units) -> Done:
    mark = _mark(photo, given)
    kind = given["kind"] or None
    mark = marks.mark_change(
        by=by,
        mark=mark,
        kind=kind,
        corners_px=given["points"],
        taped_width_mm=given["taped_width"],
        taped_height_mm=given["taped_height"],
    )
    if kind == "work":
        marks.mark_answer(by=by, mark=mark, accept=True, artwork=_artwork(photo, given))
    return Done("Saved. Everything was measured again.", selected=mark.pk)


def answer(by: User, photo: Photo, given: Given, units: Units) -> Done:
    mark, yes = _mark(photo, given), given["answer"] == "yes"
    marks.mark_answer(by=by, mark=mark, accept=yes, artwork=mark.artwork if yes else None)
    return Done("Accepted." if yes else "Refused.", selected=mark.pk if yes else None)


def accept_all(by: User, photo: Photo, given: Given, units: Units) -> Done:
    count = marks.marks_accept(by=by, photo=photo)
    return Done(f"{count} accepted.")


def level(by: User, photo: Photo, given: Given, units: Units) -> Done:
    points = _points(given)
    if len(points) != 2:
        raise Invalid("Mark the wall's two lower corners, at the floor.")
    services.photo_level(by=by, photo=photo, left_px=points[0], right_px=points[1])
    return Done("The wall's place is saved.")


def card(by: User, photo: Photo, given: Given, units: Units) -> Done:
    left, bottom = given["left"], given["bottom"]
    if left is None or bottom is None:
        raise Invalid("Give both the card's distance from the left end and its height above the floor.")
    services.photo_level_by_card(by=by, photo=photo, left_mm=left, bottom_mm=bottom)
    return Done("The wall's place is saved.")


def reference(by: User, photo: Photo, given: Given, units: Units) -> Done:
    width, height = given["width"], given["height"]
    if width is None or height is None:
        raise Invalid("Give both the width and the height of what you marked.")
    services.photo_reference(by=by, photo=photo, corners_px=_points(given), width_mm=width, height_mm=height)
    return Done("Measuring from what you marked.")


def ruler(by: User, photo: Photo, given: Given, units: Units) -> Done:
    services.photo_ruler(by=by, photo=photo, ruler_mm=ruler_of(given["ruler"], units))
    return Done("Measuring again with the ruler as taped.")


def survey(by: User, photo: Photo, given: Given, units: Units) -> Done:
    items = uses.survey_take(by=by, photo=photo, version=given["version"])
    said = f"{len(items)} put on the wall as measured. Check them here."
    return Done(said, onward=reverse("wall_survey", args=[photo.wall.room.project_id, photo.wall_id]))


def hung(by: User, photo: Photo, given: Given, units: Units) -> Done:
    works = uses.hung_take(by=by, photo=photo)
    return Done(f"Noted where {len(works)} hang{'s' if len(works) == 1 else ''} today.")


def floor(by: User, photo: Photo, given: Given, units: Units) -> Done:
    project = photo.wall.room.project
    revision = select.current_revision(project)
    if not select.editable(revision):
        revision = revision_open(by=by, project=project)
    space = given["space"]
    uses.floor_take(
        by=by,
        photo=photo,
        revision=revision,
        version=given["version"],
        space_id=space,
        words=units,
    )
    wall = reverse("wall", args=[project.pk, photo.wall_id])
    return Done("The layout hangs on the wall, straightened.", onward=wall)


def show(by: User, photo: Photo, given: Given, units: Units) -> Done:
    uses.show_plan(by=by, photo=photo)
    return Done("The works hang in the photograph.")


def delete(by: User, photo: Photo, given: Given, units: Units) -> Done:
    where = reverse("photos", args=[photo.wall.room.project_id, photo.wall_id])
    services.photo_delete(by=by, photo=photo)
    return Done("The photograph and its marks are deleted.", onward=where)


ACTIONS: Mapping[str, Callable[[User, Photo, Given, Units], Done]] = {
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


def _mark(photo: Photo, given: Given) -> PhotoMark:
    mark = photo.marks.filter(pk=given["mark"]).first()
    if mark is None:
        raise Missing("This mark is not in the photograph any more.")
    return mark


def _artwork(photo: Photo, given: Given) -> Artwork | None:
    pk = given["artwork"]
    return works_for(photo.wall.room.project).filter(pk=pk).first() if pk else None


def _points(given: Given) -> list[list[float]]:
    if given["points"] is None:
        raise Invalid("Mark it on the photograph first.")
    points: list[list[float]] = given["points"]
    return points
