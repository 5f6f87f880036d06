"""What measured photographs are good for: a survey, an audit, a layout taken to the wall, the client's own photo."""

from __future__ import annotations

import dataclasses
import uuid
from collections.abc import Sequence

import cv2
import numpy as np
import numpy.typing as npt
from django.core.files.base import ContentFile
from django.db import transaction

from placements import access, scenes
from placements.drawings.art import FRAMED_FORMS, OTHER_FRAME, frame_colour
from placements.engine.facade import GroupLimits, from_corners, pairing, regularise, sequence, wall_spaces
from placements.engine.house import House, Work
from placements.engine.results import Hanging, Space
from placements.engine.rulebook import Rulebook
from placements.models import MarkState, Photo, PhotoMark, Placement, Revision
from placements.photogrammetry.composite import Face, Placed, hang_in_photo
from placements.photogrammetry.errors import PhotoError
from placements.selectors.photos.composites import facts_shown
from placements.selectors.photos.measured import (
    Measured,
    cards_on_wall,
    fit_on_wall,
    measured_marks,
    on_wall,
    pixels_of,
)
from placements.selectors.photos.uses import planned_for
from placements.selectors.walls import WallInHand, group_in, hanging_in
from studio.errors import Invalid
from studio.models import Artwork, User, WallItem
from studio.services.art import artwork_update
from studio.services.rooms import item_create
from studio.units import Units

from ..moves import arrangement_replace
from ..walls import Edit
from .checks import words_for

#: A moulding that nobody measured [mm].
FRAME_MM = 20.0
#: A mark that reaches this far over the wall's edge is taken to end there [mm].
OVER_EDGE_MM = 25.0


@transaction.atomic
def survey_take(*, by: User, photo: Photo, version: int | None) -> list[WallItem]:
    """Put every accepted mark that is an item on the wall, at its measured place and size.

    Raises:
        Invalid: nothing to take, or nobody said where the wall is. Conflict: the wall changed meanwhile.
    """
    marks = [measured for measured in _on_wall(photo, by) if measured.mark.kind != "work"]
    if not marks:
        raise Invalid("There is nothing to take over: accept or draw the wall's openings and furniture first.")
    wall, items = photo.wall, []
    for measured in marks:
        left, bottom = max(measured.rect.left, 0.0), max(measured.rect.bottom, 0.0)
        item = item_create(
            by=by,
            wall=wall,
            version=version,
            kind=measured.mark.kind,
            left_mm=round(left, 1),
            bottom_mm=round(bottom, 1),
            width_mm=round(_within(measured.rect.right, wall.length_mm) - left, 1),
            height_mm=round(_within(measured.rect.top, wall.height_mm) - bottom, 1),
        )
        version = None if version is None else version + 1
        items.append(item)
    _taken(photo, [measured.mark for measured in marks])
    return items


@transaction.atomic
def hung_take(*, by: User, photo: Photo) -> list[Artwork]:
    """Note where the accepted works hang today, so that the wall is audited as it is."""
    marks = [
        (measured, measured.mark.artwork)
        for measured in _on_wall(photo, by)
        if measured.mark.kind == "work" and measured.mark.artwork
    ]
    if not marks:
        raise Invalid("There is nothing to note: accept the frames and say which works they are first.")
    works = []
    for measured, artwork in marks:
        works.append(
            artwork_update(
                by=by,
                artwork=artwork,
                version=artwork.version,
                hung_wall=photo.wall,
                hung_left_mm=round(measured.rect.centre_x - artwork.width_mm / 2, 1),
                hung_bottom_mm=round(measured.rect.centre_y - artwork.height_mm / 2, 1),
            )
        )
    _taken(photo, [measured.mark for measured, _ in marks])
    return works


@transaction.atomic
def floor_take(
    *, by: User, photo: Photo, revision: Revision | None, version: int | None, space_id: str, words: Units
) -> None:
    """Take the layout on the floor to the wall: straightened, its gaps evened, centred in a space, in hanging order.

    What hangs elsewhere on the wall stays, unless it is one of the laid-out works or hangs in the same space.

    Raises:
        Invalid: fewer than two works accepted, or an unknown space. Conflict: the wall changed meanwhile.
    """
    marks = list(photo.marks.filter(state=MarkState.ACCEPTED, kind="work", artwork__isnull=False))
    if len(marks) < 2:
        raise Invalid("A layout needs at least two accepted works: say which work each frame is.")
    ids = [mark.artwork_id for mark in marks if mark.artwork_id is not None]
    scene = scenes.scene_of(photo.wall.room.project, works=Artwork.objects.filter(pk__in=ids))
    wall = scene.house.wall_by_id[scene.wall_code[photo.wall_id]]
    rulebook = Rulebook.for_house(scene.house)
    space = next((space for space in wall_spaces(scene.house, wall, rulebook, words) if space.id == space_id), None)
    if space is None:
        raise Invalid("There is no such space on this wall any more. Choose another.")
    works = [scene.house.work_by_id[scene.work_code[one]] for one in ids]
    boxes = regularise(*_laid_out(marks, works), GroupLimits.of(rulebook))
    hangings = _centred(scene.house, space, works, boxes, rulebook, words)
    order = {step.work: step.order for step in sequence(hangings, scene.house.work_by_id)}
    pieces = [
        scene.piece(
            hanging,
            order=order[hanging.work],
            space=space.id,
            group=group_in(space.id),
            why="As laid out on the floor.",
        )
        for hanging in hangings
    ]
    hand = WallInHand(photo.wall.room.project, photo.wall, revision)
    goes = {*ids, *hanging_in(hand, {space.id})}
    arrangement_replace(
        edit=Edit(by, version),
        hand=hand,
        pieces=[*hand.besides(goes), *pieces],
        bares=hand.bares_besides({space.id}).items(),
    )
    _taken(photo, marks)


def show_plan(*, by: User, photo: Photo) -> Photo:
    """Set the works that the plan hangs on this wall into the photograph: see `show_make`."""
    revision = planned_for(photo)
    placed = revision.placements.filter(wall=photo.wall).select_related("artwork") if revision else ()
    return show_make(by=by, photo=photo, placements=list(placed))


@transaction.atomic
def show_make(*, by: User, photo: Photo, placements: Sequence[Placement]) -> Photo:
    """Set planned works into the photograph, where they will hang; today's accepted frames and the card go.

    Raises:
        Invalid: nothing hangs on the wall in the plan, or nobody said where the wall is.
    """
    access.require(
        by=by, studio=photo.wall.room.project.client.studio, roles=access.EVERYONE, to="show works in a photograph"
    )
    if not placements:
        raise Invalid("Nothing hangs on this wall in the plan: there is nothing to show.")
    words = words_for(by, photo)
    try:
        fit = fit_on_wall(photo)
        away = cards_on_wall(photo) + [
            on_wall(photo, np.array(mark.corners_mm, float))
            for mark in photo.marks.filter(kind="work", state__in=(MarkState.ACCEPTED, MarkState.TAKEN))
        ]
        shown = hang_in_photo(pixels_of(photo), fit, [placed(placement) for placement in placements], away)
    except PhotoError as refusal:
        raise Invalid(refusal.worded(words)) from refusal
    coded = cv2.imencode(".jpg", shown, [cv2.IMWRITE_JPEG_QUALITY, 92])[1]
    old = photo.shown.name
    photo.shown.save(f"{uuid.uuid4().hex}.jpg", ContentFile(coded.tobytes()), save=False)
    photo.shown_facts = facts_shown(photo, placements)
    photo.save(update_fields=["shown", "shown_facts", "updated_at"])
    if old:
        transaction.on_commit(lambda: photo.shown.storage.delete(old))
    return photo


def _on_wall(photo: Photo, by: User) -> list[Measured]:
    try:
        return measured_marks(photo)
    except PhotoError as refusal:
        raise Invalid(refusal.worded(words_for(by, photo))) from refusal


def _taken(photo: Photo, marks: Sequence[PhotoMark]) -> None:
    photo.marks.filter(pk__in=[mark.pk for mark in marks]).update(state=MarkState.TAKEN)


def _within(value: float, end: float) -> float:
    return end if end < value < end + OVER_EDGE_MM else value


def _laid_out(
    marks: Sequence[PhotoMark], works: Sequence[Work]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Middles and true sizes of the works, the whole layout turned upright by its pieces' median tilt."""
    # corners_mm run from the top left clockwise; `from_corners` takes them from the lower left anticlockwise.
    corners = np.array([mark.corners_mm for mark in marks], float)[:, [3, 2, 1, 0]]
    middles, _, tilts = from_corners(corners)
    turn = np.radians(np.median(tilts))
    cos, sin = np.cos(turn), np.sin(turn)
    return middles @ np.array([[cos, -sin], [sin, cos]]), np.array([(work.width, work.height) for work in works])


def _centred(
    house: House,
    space: Space,
    works: Sequence[Work],
    boxes: npt.NDArray[np.float64],
    rulebook: Rulebook,
    words: Units,
) -> list[Hanging]:
    """The group moved to where its outline hangs best in the space."""
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    whole = dataclasses.replace(works[0], width=float(high[0] - low[0]), height=float(high[1] - low[1]))
    best = pairing(dataclasses.replace(house, works=(whole,)), space, whole, rulebook, words)
    shift = np.array([best.left, best.bottom]) - low
    return [
        Hanging(work.id, space.wall, float(box[0] + shift[0]), float(box[1] + shift[1]))
        for work, box in zip(works, boxes, strict=True)
    ]


def placed(placement: Placement) -> Placed:
    """A placement as the photograph takes it; a work without a picture shows its leading colour."""
    artwork = placement.artwork
    picture = np.full((8, 8, 3), (196, 204, 208), np.uint8)
    if artwork.picture:
        with artwork.picture.open("rb") as file:
            decoded = cv2.imdecode(np.frombuffer(file.read(), np.uint8), cv2.IMREAD_COLOR)
        picture = picture if decoded is None else np.asarray(decoded)
    colour = frame_colour(artwork.frame) if artwork.form in FRAMED_FORMS else None
    red, green, blue = bytes.fromhex((colour or OTHER_FRAME).lstrip("#"))
    width = artwork.frame_width_mm if artwork.frame_width_mm is not None else FRAME_MM
    face = Face(
        picture,
        artwork.width_mm,
        artwork.height_mm,
        frame_mm=width if colour else 0.0,
        mat_mm=artwork.mat_width_mm or 0.0,
        frame_bgr=(blue, green, red),
    )
    return Placed(face, placement.left_mm, placement.bottom_mm)
