"""Surveys into the database, whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Model
from simple_history.utils import bulk_create_with_history

from placements import access
from placements.engine.house import Swing, Work
from placements.engine.house import Wall as SurveyWall
from placements.models import HouseRule
from placements.survey import ArtExtra, Survey
from studio.errors import Invalid
from studio.hues import hues_of
from studio.models import Artwork, Client, Project, Room, Studio, UnitStyle, User, Wall, WallItem
from studio.services.pictures import picture_save

Row = TypeVar("Row", bound=Model)


@transaction.atomic
def survey_load(
    *, survey: Survey, studio: Studio, by: User | None, pictures: Mapping[str, bytes] | None = None
) -> Project:
    """Store a survey as a new project of `studio`, with its client where there is none of that name yet.

    Args:
        by: who loads it; None for a command, which asks nobody.
        pictures: the content of the files that the survey's works name, by that name.

    Raises:
        Invalid: the client has a project of that name already, or a picture is missing or none.
    """
    if by is not None:
        access.require(by=by, studio=studio, roles=access.DESIGN, to="load a survey")
    client = Client.objects.filter(studio=studio, name=survey.client).first() or Client.objects.create(
        studio=studio, name=survey.client, unit_style=_unit_style(survey, studio)
    )
    if client.projects.filter(name=survey.project).exists():
        raise Invalid(
            f"{client} has a project “{survey.project}” already.",
            faults=[{"where": "project.name", "detail": "give the project another name, or delete the one there is"}],
        )
    project = Project.objects.create(
        client=client,
        name=survey.project,
        address_note=survey.address,
        latitude=survey.house.latitude,
        longitude=survey.house.longitude,
        time_zone=survey.house.time_zone or "",
        designer=by,
        survey_units=survey.units,
    )
    walls = _rooms_and_walls(survey, project, by)
    art = _works(survey, project, walls, by)
    _apart(survey, art)
    _house_rules(survey, project, by)
    _pictures(survey, art, pictures or {})
    return project


def _unit_style(survey: Survey, studio: Studio) -> str:
    """A new client reads the units that the survey is written in; blank where those are the studio's own system."""
    metric = {UnitStyle.CENTIMETRES, UnitStyle.MILLIMETRES}
    return "" if (survey.units in metric) == (studio.unit_style in metric) else survey.units


def _rooms_and_walls(survey: Survey, project: Project, by: User | None) -> dict[str, Wall]:
    rooms = _create(
        Room,
        [
            Room(
                project=project,
                code=room.id,
                name=room.name,
                use=room.use,
                style=room.style,
                colours=[colour.name for colour in room.colours],
                clear_width_mm=room.clear_width,
                around=room.around,
                position=position,
            )
            for position, room in enumerate(survey.house.rooms)
        ],
        by,
    )
    row_of = {row.code: row for row in rooms}
    walls = _create(
        Wall,
        [
            Wall(room=row_of[room.id], position=position, **_wall(wall))
            for room in survey.house.rooms
            for position, wall in enumerate(room.walls)
        ],
        by,
    )
    wall_of = {row.code: row for row in walls}
    _create(
        WallItem,
        [
            WallItem(
                wall=wall_of[wall.id],
                code=item.id,
                kind=item.kind,
                acts=item.custom_acts or "",
                label=item.label,
                left_mm=item.left,
                bottom_mm=item.bottom,
                width_mm=item.width,
                height_mm=item.height,
                depth_mm=item.depth,
                view=item.view,
                **_swing(item.swing),
            )
            for room in survey.house.rooms
            for wall in room.walls
            for item in wall.items
        ],
        by,
    )
    return wall_of


def _swing(swing: Swing | None) -> dict[str, Any]:
    if swing is None:
        return {}
    return {"swing_hinge": swing.hinge, "swing_leaf_mm": swing.leaf, "swing_opens": swing.opens}


def _wall(wall: SurveyWall) -> dict[str, Any]:
    return {
        "code": wall.id,
        "name": wall.name,
        "length_mm": wall.length,
        "height_mm": wall.height,
        "ceiling_mm": [list(point) for point in wall.ceiling],
        "faces_deg": wall.faces_deg,
        "build": wall.build,
        "stud_first_mm": wall.studs.first if wall.studs else None,
        "stud_spacing_mm": wall.studs.spacing if wall.studs else None,
        "finish": wall.finish,
        "accent": wall.accent,
        "importance": wall.importance,
        "keep_bare": wall.keep_bare,
        "rail_from_x_mm": wall.rail.from_x if wall.rail else None,
        "rail_from_y_mm": wall.rail.from_y if wall.rail else None,
        "rail_to_x_mm": wall.rail.to_x if wall.rail else None,
        "rail_to_y_mm": wall.rail.to_y if wall.rail else None,
    }


def _works(survey: Survey, project: Project, walls: Mapping[str, Wall], by: User | None) -> dict[str, Artwork]:
    rows = [
        Artwork(
            studio=project.client.studio,
            client=project.client,
            project=project,
            hung_wall=walls[work.hung.wall] if work.hung else None,
            **_work(work, survey.extras.get(work.id, ArtExtra())),
        )
        for work in survey.house.works
    ]
    return {row.code: row for row in _create(Artwork, rows, by)}


def _work(work: Work, extra: ArtExtra) -> dict[str, Any]:
    hang = work.hang
    return {
        "code": work.id,
        "title": work.title,
        "maker": work.maker,
        "form": work.form,
        "width_mm": work.width,
        "height_mm": work.height,
        "depth_mm": work.depth,
        "weight_kg": work.weight_kg,
        "frame": work.frame,
        "frame_width_mm": extra.frame_width,
        "mat_width_mm": extra.mat,
        "themes": list(work.themes),
        "glazed": work.glazed,
        "light": work.light,
        "hang_kind": hang.kind if hang else "",
        "hang_below_top_mm": hang.below_top if hang else None,
        "hang_inset_mm": hang.inset if hang else None,
        "hang_length_mm": hang.length if hang else None,
        "hang_spacing_mm": hang.spacing if hang else None,
        "set_name": work.set_name or "",
        "locked_to": work.locked or "",
        "storage": extra.storage,
        "medium": extra.medium,
        "facts": dict(extra.facts),
        "palette_lab": [list(colour) for colour in work.palette_lab],
        "hues": hues_of(work.palette_lab),
        "hung_left_mm": work.hung.left if work.hung else None,
        "hung_bottom_mm": work.hung.bottom if work.hung else None,
    }


def _apart(survey: Survey, art: Mapping[str, Artwork]) -> None:
    for first, second in survey.house.apart:
        art[first].apart.add(art[second])


def _house_rules(survey: Survey, project: Project, by: User | None) -> None:
    rows = [
        HouseRule(studio=project.client.studio, project=project, rule=rule, limit=limit, value=value, changed_by=by)
        for rule, limits in survey.house.house_rules.items()
        for limit, value in limits.items()
    ]
    _create(HouseRule, rows, by)


def _pictures(survey: Survey, art: Mapping[str, Artwork], pictures: Mapping[str, bytes]) -> None:
    """A picture's palette is the file's, where it has one: measured anew on the stored picture it would differ."""
    faults = []
    palettes = {work.id: work.palette_lab for work in survey.house.works}
    for code, extra in survey.extras.items():
        if not extra.picture:
            continue
        if extra.picture not in pictures:
            faults.append({"where": f"picture of {code}", "detail": f"there is no file {extra.picture}"})
            continue
        try:
            picture_save(artwork=art[code], content=pictures[extra.picture], palette=palettes[code])
        except Invalid as error:
            faults.append({"where": f"picture of {code}", "detail": error.detail})
    if faults:
        raise Invalid("Some pictures of the survey cannot be used.", faults=faults)


def _create(model: type[Row], rows: list[Row], by: User | None) -> list[Row]:
    return list(bulk_create_with_history(rows, model, default_user=by, default_change_reason="survey loaded"))
