"""The demonstration's photographs, one for each use: taken by our own camera, measured and marked as people would."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from django.utils import timezone

from placements.models import Photo, PhotoMark, PhotoPurpose, Placement, RunState
from placements.photogrammetry.camera import Array, View
from placements.photogrammetry.card import MARKER_MM, Card, marker_modules
from placements.photogrammetry.composite import Face, Placed, hang_in_photo
from placements.photogrammetry.solve import Fit
from placements.services.photos import marks, uses
from placements.services.photos import photo as services
from placements.services.photos.measuring import photo_work
from reports.models import ActionKind, JobLink
from reports.services.actions import action_store
from studio.models import Artwork, Project, Role, User, Wall

from .furniture import Standing, paint_on_wall, stand
from .room import Palette, Picture, Stance, boards, develop, paint_shell, wall_canvas

INCH = 25.4
CARD = Card("letter", 1)
#: A mark whose middle is this near to where a work is seen is that work's, and corners this far off are dragged [px].
NEAR_PX = 30.0
OFF_PX = 6.0


@dataclass(frozen=True, slots=True)
class Shot:
    """A photograph with the camera that took it, in the coordinates of the wall or floor [mm]."""

    jpeg: bytes
    view: View
    camera: Array

    def at(self, *points: tuple[float, float]) -> list[list[float]]:
        seen: list[list[float]] = self.view.project(self.camera, np.array(points, float)).tolist()
        return seen

    def corners(self, left: float, bottom: float, width: float, height: float) -> list[list[float]]:
        right, top = left + width, bottom + height
        return self.at((left, top), (right, top), (right, bottom), (left, bottom))


def add(name: str, project: Project, cast: Mapping[Role, User]) -> None:
    """The photographs of one of the demonstration's projects."""
    for one in SHOTS.get(name, ()):
        one(project, cast)


# Taking them ----------------------------------------------------------------------------------------------------------


def _room(
    wall: Wall,
    stance: Stance,
    *,
    size: tuple[int, int],
    palette: Palette,
    card_at: tuple[float, float] | None = None,
    hung: Sequence[Placed] = (),
    more: Sequence[Standing] = (),
) -> Shot:
    """The wall with what stands there by its survey, and with what hangs there."""
    rng = np.random.default_rng(wall.position + 11)
    view, camera, extent = View(*size), stance.camera(), (wall.length_mm, wall.height_mm)
    items = [
        Standing(item.kind, item.left_mm, item.bottom_mm, item.width_mm, item.height_mm, item.depth_mm)
        for item in wall.items.all()
    ]
    items += more
    canvas = wall_canvas(rng, extent, palette)
    paint_on_wall(canvas, items)
    picture = Picture(view, camera, stance.eye)
    paint_shell(picture, canvas, extent, palette, rng)
    hung = [*hung, *([Placed(_card_face(), *card_at)] if card_at else ())]
    bare = np.clip(picture.pixels, 0, 255).astype(np.uint8)
    picture.pixels[:] = hang_in_photo(bare, _fit(view, camera), hung)
    stand(picture, items)
    return Shot(develop(picture.pixels, rng), view, camera)


def _floor(laid: Sequence[tuple[Placed, float]], card_at: tuple[float, float]) -> Shot:
    """Pieces on boards, each turned a little [rad] about its middle, as one stands over them."""
    rng = np.random.default_rng(23)
    view, reach = View(1600, 1200), 3600.0
    stance = Stance((120.0, -950.0, 2150.0), (0.0, -40.0, 0.0), roll_deg=1.5)
    picture = Picture(view, stance.camera(), stance.eye)
    ground = boards(rng, (92, 128, 164), 2 * reach, 2 * reach)
    picture.plane(ground, (-reach, -reach, 0.0), np.eye(3)[0], np.eye(3)[1], (2 * reach, 2 * reach))
    pixels = np.clip(picture.pixels, 0, 255).astype(np.uint8)
    for one, turn in [*laid, (Placed(_card_face(), *card_at), 0.05)]:
        middle = np.array([one.left + one.face.width_mm / 2, one.bottom + one.face.height_mm / 2])
        own = Placed(one.face, -one.face.width_mm / 2, -one.face.height_mm / 2)
        pixels = hang_in_photo(pixels, _fit(view, _moved(stance.camera(), middle, turn)), [own])
    return Shot(develop(pixels.astype(np.float32), rng), view, stance.camera())


def _fit(view: View, camera: Array) -> Fit:
    return Fit(view, camera, np.zeros((8, 8)), np.empty((0, 3)), 0.0)


def _moved(camera: Array, origin: Array, turn: float) -> Array:
    """The same camera in coordinates of the plane that are moved to `origin` and turned."""
    rotation = cv2.Rodrigues(camera[:3])[0]
    cos, sin = np.cos(turn), np.sin(turn)
    turned = rotation @ np.array([[cos, -sin, 0], [sin, cos, 0], [0, 0, 1]])
    return np.concatenate([cv2.Rodrigues(turned)[0].ravel(), camera[3:6] + rotation[:, :2] @ origin, camera[6:]])


def _card_face() -> Face:
    """The reference card as it is printed, a little grey as paper is."""
    fine = 6.0
    width, height = CARD.size
    page = np.full((round(height * fine), round(width * fine)), 240, np.uint8)
    side = round(MARKER_MM * fine)
    for marker, corners in zip(CARD.marker_ids, CARD.marker_corners(), strict=True):
        left, top = round(corners[0][0] * fine), round((height - corners[0][1]) * fine)
        modules = np.where(marker_modules(marker), 240, 30).astype(np.uint8)
        page[top : top + side, left : left + side] = cv2.resize(modules, (side, side), interpolation=cv2.INTER_NEAREST)
    return Face(cv2.cvtColor(page, cv2.COLOR_GRAY2BGR).astype(np.uint8), width, height)


def _hanging(artwork: Artwork, left_mm: float, bottom_mm: float) -> Placed:
    return uses.placed(Placement(artwork=artwork, left_mm=left_mm, bottom_mm=bottom_mm))


# Marking them ---------------------------------------------------------------------------------------------------------


def _measured(by: User, wall: Wall, purpose: PhotoPurpose, shot: Shot) -> Photo | None:
    """The photograph measured; None where a worker that was running already took it."""
    added = services.photo_add(by=by, wall=wall, purpose=purpose, content=shot.jpeg, ruler_mm=100.0)
    photo = photo_work(photo_id=added.pk)
    if photo is None or photo.state != RunState.READY:
        return None
    for mark in photo.marks.filter(artwork=None):  # panes, drawers, plates: no frames
        marks.mark_answer(by=by, mark=mark, accept=False)
    return photo


def _levelled(by: User, photo: Photo, shot: Shot) -> None:
    left, right = shot.at((0.0, 0.0), (photo.wall.length_mm, 0.0))
    services.photo_level(by=by, photo=photo, left_px=left, right_px=right)


def _say_which(by: User, photo: Photo, artwork: Artwork, corners: list[list[float]]) -> None:
    """Yes to the mark that lies on the work, its corners dragged where they are off; drawn where none was found."""

    def away(mark: PhotoMark) -> float:
        return float(np.hypot(*(np.mean(mark.corners_px, axis=0) - np.mean(corners, axis=0))))

    mark = min(photo.marks.filter(kind="work"), key=away, default=None)
    if mark is None or away(mark) > NEAR_PX:
        marks.mark_draw(by=by, photo=photo, kind="work", corners_px=corners, artwork=artwork)
        return
    if np.abs(np.subtract(mark.corners_px, corners)).max() > OFF_PX:
        marks.mark_change(by=by, mark=mark, corners_px=corners)
    marks.mark_answer(by=by, mark=mark, accept=True, artwork=artwork)


def _wall(project: Project, code: str) -> Wall:
    return Wall.objects.select_related("room__project__client__studio").get(room__project=project, code=code)


def _work(project: Project, code: str) -> Artwork:
    return Artwork.objects.get(client=project.client_id, code=code)


def _size(artwork: Artwork) -> tuple[float, float]:
    return artwork.width_mm, artwork.height_mm


# One for each use -----------------------------------------------------------------------------------------------------


def _survey(project: Project, cast: Mapping[Role, User]) -> None:
    """What the survey forgot on the chest's wall: an outlet, a switch, a thermostat."""
    by, wall, work = cast[Role.COORDINATOR], _wall(project, "table-chest"), _work(project, "two-tides")
    more = [
        Standing("outlet", 14 * INCH, 12 * INCH, 3 * INCH, 5 * INCH, 0),
        Standing("switch", 98 * INCH, 44 * INCH, 3 * INCH, 5 * INCH, 0),
        Standing("thermostat", 16 * INCH, 58 * INCH, 4 * INCH, 5 * INCH, 0),
    ]
    shot = _room(
        wall,
        Stance((1180.0, 1420.0, 3050.0), (1390.0, 1130.0, 0.0), roll_deg=-1.1),
        size=(1600, 1200),
        palette=Palette(wall=(188, 204, 206)),
        card_at=(2020.0, 1180.0),
        hung=[_hanging(work, work.hung_left_mm or 0.0, work.hung_bottom_mm or 0.0)],
        more=more,
    )
    photo = _measured(by, wall, PhotoPurpose.SURVEY, shot)
    if photo is None:
        return
    _levelled(by, photo, shot)
    for standing in more:
        corners = shot.corners(standing.left, standing.bottom, standing.width, standing.height)
        marks.mark_draw(by=by, photo=photo, kind=standing.kind, corners_px=corners)


def _hung(project: Project, cast: Mapping[Role, User]) -> None:
    """The long wall of the hall as it hangs today: three photographs of unlike heights."""
    by, wall = cast[Role.COORDINATOR], _wall(project, "hall-long")
    works = list(Artwork.objects.filter(hung_wall=wall, hung_left_mm__isnull=False).order_by("hung_left_mm"))
    shot = _room(
        wall,
        Stance((2300.0, 1500.0, 3300.0), (2080.0, 1250.0, 0.0), roll_deg=0.9),
        size=(1600, 1200),
        palette=Palette(wall=(206, 214, 214), floor=(104, 140, 170)),
        card_at=(2720.0, 900.0),
        hung=[_hanging(artwork, artwork.hung_left_mm or 0.0, artwork.hung_bottom_mm or 0.0) for artwork in works],
    )
    photo = _measured(by, wall, PhotoPurpose.HUNG, shot)
    if photo is None:
        return
    services.photo_level_by_card(by=by, photo=photo, left_mm=2720.0, bottom_mm=900.0)
    for artwork in works:
        _say_which(
            by,
            photo,
            artwork,
            shot.corners(artwork.hung_left_mm or 0.0, artwork.hung_bottom_mm or 0.0, *_size(artwork)),
        )


def _layout(project: Project, cast: Mapping[Role, User]) -> None:
    """Four charts and a painting laid out on the loft's floor, by eye."""
    by, wall = cast[Role.DESIGNER], _wall(project, "loft-gable")
    places = {
        "chart-1": (-1010.0, 70.0, 0.016),
        "chart-2": (-380.0, 88.0, -0.012),
        "chart-3": (-1000.0, -560.0, -0.009),
        "chart-4": (-372.0, -548.0, 0.014),
        "two-tides": (252.0, -470.0, 0.008),
    }
    laid = {_work(project, code): place for code, place in places.items()}
    shot = _floor([(_hanging(work, left, low), turn) for work, (left, low, turn) in laid.items()], (250.0, 660.0))
    photo = _measured(by, wall, PhotoPurpose.FLOOR, shot)
    if photo is None:
        return
    for work, (left, low, turn) in laid.items():
        middle = np.array([left + work.width_mm / 2, low + work.height_mm / 2])
        own = replace(shot, camera=_moved(shot.camera, middle, turn))
        corners = own.corners(-work.width_mm / 2, -work.height_mm / 2, *_size(work))
        _say_which(by, photo, work, corners)


def _shown(project: Project, cast: Mapping[Role, User]) -> None:
    """The sitting room as it is, and with what the plan hangs there."""
    by, wall, today = cast[Role.DESIGNER], _wall(project, "sitting-north"), _work(project, "slack-water")
    place = (today.hung_left_mm or 0.0, today.hung_bottom_mm or 0.0)
    shot = _room(
        wall,
        Stance((2380.0, 1500.0, 4300.0), (2130.0, 1230.0, 0.0)),
        size=(1800, 1350),
        palette=Palette(),
        card_at=(3660.0, 1750.0),
        hung=[_hanging(today, *place)],
    )
    photo = _measured(by, wall, PhotoPurpose.SHOW, shot)
    if photo is None:
        return
    _levelled(by, photo, shot)
    _say_which(by, photo, today, shot.corners(*place, *_size(today)))
    if Placement.objects.filter(wall=wall, revision__plan__project=project).exists():
        uses.show_plan(by=by, photo=photo)


def _as_hung(project: Project, cast: Mapping[Role, User]) -> None:
    """The hanger's first piece in the corridor, a little low, photographed with the card: flagged by itself."""
    wall, link = _wall(project, "corridor-east"), JobLink.objects.filter(job__revision__plan__project=project).first()
    if link is None:
        return
    planned = link.job.revision.placements.filter(wall=wall).select_related("artwork")
    first = min(planned, key=lambda placement: placement.left_mm, default=None)
    if first is None:
        return
    work, low = first.artwork, first.bottom_mm - 16.0
    middle = first.left_mm + work.width_mm / 2
    card_at = (first.left_mm + work.width_mm + 130.0, first.bottom_mm + 60.0)
    shot = _room(
        wall,
        Stance((middle + 330.0, 1480.0, 1900.0), (middle + 180.0, first.bottom_mm + work.height_mm / 2, 0.0)),
        size=(1600, 1200),
        palette=Palette(wall=(150, 168, 178)),
        card_at=card_at,
        hung=[_hanging(work, first.left_mm, low)],
    )
    action_store(
        link=link,
        identity=uuid.uuid4(),
        device="hangers-phone",
        sequence=1,
        kind=ActionKind.PHOTO,
        placement_id=first.pk,
        payload={"card_left_mm": card_at[0], "card_bottom_mm": card_at[1], "ruler_mm": 100},
        done_at=timezone.now(),
        photo=shot.jpeg,
    )
    photo_work(photo_id=Photo.objects.get(placement=first).pk)


SHOTS: Mapping[str, Sequence[Callable[[Project, Mapping[Role, User]], None]]] = {
    "marlow-house": (_hung, _shown),
    "marlow-boathouse": (_survey, _layout),
    "fennimore-hall": (_as_hung,),
}
