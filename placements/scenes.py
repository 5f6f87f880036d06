"""The only bridge between rows and the engine: querysets to a House or a Survey, and the engine's ids back to rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, cast

from django.db.models import Prefetch, Q, QuerySet, prefetch_related_objects

from placements.engine.hanging.grips import STANDING
from placements.engine.house import (
    Hardware,
    House,
    Hung,
    Item,
    Point,
    Rail,
    Rect,
    Room,
    Studs,
    Swing,
    Wall,
    Work,
)
from placements.engine.results import Hanging
from placements.survey import ArtExtra, Survey, colour_of
from placements.survey.model import FileUnits
from studio import models as rows

from .models import HouseRule, Placement, Revision
from .pieces import Piece


@dataclass(frozen=True)
class ProjectScene:
    """A project as the engine sees it, with the rows behind it by their numbers.

    Walls and works are known to the engine by their survey ids.
    """

    house: House
    wall_pk: Mapping[str, int]
    work_pk: Mapping[str, int]
    walls: Mapping[int, rows.Wall]
    art: Mapping[int, rows.Artwork]

    @cached_property
    def wall_code(self) -> Mapping[int, str]:
        return {pk: code for code, pk in self.wall_pk.items()}

    @cached_property
    def work_code(self) -> Mapping[int, str]:
        return {pk: code for code, pk in self.work_pk.items()}

    def under(self, house_rules: Mapping[str, Mapping[str, float]]) -> ProjectScene:
        """The same project under other house rules."""
        return replace(self, house=replace(self.house, house_rules=house_rules))

    def artwork(self, code: str) -> rows.Artwork:
        return self.art[self.work_pk[code]]

    def hanging(self, piece: Piece, wall: int) -> Hanging:
        """A piece on a wall as the engine takes it."""
        work, code = self.work_code[piece.artwork.pk], self.wall_code[wall]
        return Hanging(work, code, piece.left_mm, piece.bottom_mm, piece.order)

    def piece(self, hanging: Hanging, **kept: Any) -> Piece:
        """What the engine hangs, as a piece; `kept`: what else a piece keeps."""
        given = {"order": hanging.order, **kept}
        return Piece(self.artwork(hanging.work), hanging.left, hanging.bottom, **given)

    def hangings(self, placements: Iterable[Placement]) -> tuple[Hanging, ...]:
        """Placements as the engine takes them, those left out that the scene knows nothing of."""
        return tuple(
            Hanging(
                self.work_code[placement.artwork_id],
                self.wall_code[placement.wall_id],
                placement.left_mm,
                placement.bottom_mm,
                placement.order,
            )
            for placement in placements
            if placement.wall_id in self.wall_code and placement.artwork_id in self.work_code
        )


def works_for(project: rows.Project) -> QuerySet[rows.Artwork]:
    """What may hang in a project: its own works, its client's that hang in no other, and whatever is in its plan."""
    elsewhere = Q(hung_wall__isnull=False) & ~Q(hung_wall__room__project=project)
    planned = Placement.objects.filter(revision__plan__project=project).values("artwork")
    return rows.Artwork.objects.filter(
        Q(project=project)
        | (Q(client=project.client_id, project__isnull=True) & ~elsewhere)
        | Q(pk__in=planned, studio=project.client.studio_id)
    )


def scene_of(
    project: rows.Project, *, wall: rows.Wall | None = None, works: Iterable[rows.Artwork] | None = None
) -> ProjectScene:
    """A project as the engine sees it, in a number of queries that does not grow with it.

    `wall` leaves every other wall out. `works` replaces `works_for(project)`: `Artwork.objects.none()` for the bare
    walls, one piece to ask where it would look best.
    """
    room_rows = _rooms(project, wall)
    wall_rows = [wall for room in room_rows for wall in room.walls.all()]
    wall_code = _codes(wall_rows)
    work_rows = sorted(works_for(project) if works is None else works, key=lambda row: row.pk)
    prefetch_related_objects(work_rows, Prefetch("apart", queryset=rows.Artwork.objects.only("pk")))
    work_code = _codes(_own_first(work_rows, project))
    house = House(
        rooms=tuple(_room(room, wall_code) for room in room_rows),
        works=tuple(_work(row, work_code[row.pk], wall_code) for row in work_rows),
        house_rules=house_rules_of(project),
        apart=tuple(_apart(work_rows, work_code)),
        latitude=project.latitude,
        longitude=project.longitude,
        time_zone=project.time_zone or None,
    )
    return ProjectScene(
        house,
        wall_pk=_back(wall_code),
        work_pk=_back(work_code),
        walls={wall.pk: wall for wall in wall_rows},
        art={artwork.pk: artwork for artwork in work_rows},
    )


def placed_scene(revision: Revision) -> ProjectScene:
    """The revision's project with only what hangs in it: what judging its walls needs."""
    return scene_of(
        revision.plan.project, works=rows.Artwork.objects.filter(pk__in=revision.placements.values("artwork"))
    )


def hangings_of(revision: Revision, scene: ProjectScene, *, wall: rows.Wall | None = None) -> tuple[Hanging, ...]:
    """What a revision hangs, on the scene's walls, in hanging order."""
    placements = revision.placements.order_by("wall", "order", "pk")
    if wall is not None:
        placements = placements.filter(wall=wall)
    return scene.hangings(placements)


def house_rules_of(project: rows.Project) -> dict[str, dict[str, float]]:
    """The studio's numbers with the project's own over them."""
    merged: dict[str, dict[str, float]] = {}
    given = HouseRule.objects.filter(
        Q(studio=project.client.studio_id, project__isnull=True) | Q(project=project)
    ).order_by("rule", "limit")
    for row in sorted(given, key=lambda rule: rule.project_id is not None):
        merged.setdefault(row.rule, {})[row.limit] = row.value
    return merged


def survey_of(project: rows.Project, *, scene: ProjectScene | None = None, with_pictures: bool = False) -> Survey:
    """A project as its survey file, with the house rules that apply to it.

    With `with_pictures` each piece that has a picture names it, as `picture_name` does.
    """
    scene = scene or scene_of(project)
    art = scene.art
    extras = {
        code: ArtExtra(
            frame_width=art[pk].frame_width_mm,
            mat=art[pk].mat_width_mm,
            storage=art[pk].storage,
            picture=picture_name(code) if with_pictures and art[pk].picture else "",
            medium=art[pk].medium,
            facts=art[pk].facts,
        )
        for code, pk in scene.work_pk.items()
    }
    return Survey(
        client=project.client.name,
        project=project.name,
        house=scene.house,
        units=cast(FileUnits, project.survey_units),
        address=project.address_note,
        extras={code: extra for code, extra in extras.items() if extra != ArtExtra()},
    )


def picture_name(code: str) -> str:
    """The path of a piece's picture beside its survey file."""
    return f"pictures/{code}.jpg"


def rect_of(where: Iterable[float] | None) -> Rect | None:
    """A stored [left, bottom, width, height] as the engine's rectangle."""
    return Rect(*where) if where else None


def _rooms(project: rows.Project, wall: rows.Wall | None) -> list[rows.Room]:
    walls = rows.Wall.objects.order_by("position", "pk").prefetch_related(
        Prefetch("items", queryset=rows.WallItem.objects.order_by("pk"))
    )
    rooms = project.rooms.order_by("position", "pk")
    if wall is not None:
        walls, rooms = walls.filter(pk=wall.pk), rooms.filter(pk=wall.room_id)
    return list(rooms.prefetch_related(Prefetch("walls", queryset=walls)))


def _codes(owners: Iterable[rows.Wall | rows.Artwork]) -> dict[int, str]:
    """The engine's id of each row: its code, made unique by the row's number where two rows share one."""
    codes: dict[int, str] = {}
    taken: set[str] = set()
    for row in owners:
        code = row.code if row.code not in taken else f"{row.code}-{row.pk}"
        taken.add(code)
        codes[row.pk] = code
    return codes


def _own_first(works: list[rows.Artwork], project: rows.Project) -> list[rows.Artwork]:
    """The project's own works keep their codes; then its client's; then the studio's."""
    return sorted(works, key=lambda row: (row.project_id != project.pk, row.client_id is None, row.pk))


def _back(codes: Mapping[int, str]) -> dict[str, int]:
    return {code: pk for pk, code in codes.items()}


def _room(room: rows.Room, wall_code: Mapping[int, str]) -> Room:
    return Room(
        id=room.code,
        name=room.name,
        use=room.use,
        style=room.style,
        colours=tuple(colour for colour in map(colour_of, room.colours) if colour is not None),
        clear_width=room.clear_width_mm,
        around=room.around,
        walls=tuple(wall_of(wall, room.code, wall_code[wall.pk]) for wall in room.walls.all()),
    )


def wall_of(wall: rows.Wall, room: str, code: str) -> Wall:
    """A wall with its items as the engine sees it, under these ids of its room and itself."""
    rail = (wall.rail_from_x_mm, wall.rail_from_y_mm, wall.rail_to_x_mm, wall.rail_to_y_mm)
    return Wall(
        id=code,
        room=room,
        name=wall.name,
        length=wall.length_mm,
        height=wall.height_mm,
        faces_deg=wall.faces_deg,
        build=wall.build,
        studs=Studs(wall.stud_first_mm, wall.stud_spacing_mm)
        if wall.stud_first_mm is not None and wall.stud_spacing_mm is not None
        else None,
        finish=wall.finish,
        accent=wall.accent,
        importance=wall.importance,
        keep_bare=wall.keep_bare,
        rail=Rail(*rail) if None not in rail else None,
        items=tuple(
            Item(
                id=item.code,
                kind=item.kind,
                left=item.left_mm,
                bottom=item.bottom_mm,
                width=item.width_mm,
                height=item.height_mm,
                depth=item.depth_mm,
                view=item.view,
                custom_acts=item.acts or None,
                label=item.label,
                swing=swing_of(item),
            )
            for item in wall.items.all()
        ),
        ceiling=ceiling_of(wall),
    )


def swing_of(item: rows.WallItem) -> Swing | None:
    """How a door opens; None where that is not said."""
    if item.swing_leaf_mm is None:
        return None
    return Swing(item.swing_hinge, item.swing_leaf_mm, item.swing_opens)


def ceiling_of(wall: rows.Wall) -> tuple[Point, ...]:
    """The line of a ceiling that is not level."""
    return tuple((along, up) for along, up in wall.ceiling_mm)


def _work(row: rows.Artwork, code: str, wall_code: Mapping[int, str]) -> Work:
    return Work(
        id=code,
        title=row.title,
        width=row.width_mm,
        height=row.height_mm,
        depth=row.depth_mm,
        maker=row.maker,
        form=row.form,
        weight_kg=row.weight_kg,
        frame=row.frame,
        themes=tuple(row.themes),
        glazed=row.glazed,
        light=row.light,
        hang=_hardware(row),
        set_name=row.set_name or None,
        locked=row.locked_to or None,
        hung=Hung(wall_code[row.hung_wall_id], row.hung_left_mm, row.hung_bottom_mm)
        if row.hung_wall_id is not None
        and row.hung_wall_id in wall_code
        and row.hung_left_mm is not None
        and row.hung_bottom_mm is not None
        else None,
        palette_lab=tuple((L, a, b) for L, a, b in row.palette_lab),
    )


def _hardware(row: rows.Artwork) -> Hardware | None:
    if not row.hang_kind or (row.hang_below_top_mm is None and row.hang_kind not in STANDING):
        return None
    return Hardware(
        kind=row.hang_kind,
        below_top=row.hang_below_top_mm or 0.0,
        inset=row.hang_inset_mm,
        length=row.hang_length_mm,
        spacing=row.hang_spacing_mm,
    )


def _apart(works: list[rows.Artwork], work_code: Mapping[int, str]) -> Iterable[tuple[str, str]]:
    """Each pair once, in the order of the works."""
    for row in works:
        for other in sorted(artwork.pk for artwork in row.apart.all()):
            if other > row.pk and other in work_code:
                yield work_code[row.pk], work_code[other]
