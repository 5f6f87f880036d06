"""From a Survey back to the document, losing nothing; keys that hold their default are left out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

from placements.engine.house import Hardware, Item, Rail, Room, Studs, Swing, Wall, Work
from placements.engine.rulebook import catalogue
from studio.units import KG_PER_POUND, MM_PER_UNIT, parse_length, parse_weight

from .model import FORMAT, VERSION, ArtExtra, FileUnits, Survey
from .reading import HANG, HANG_MAY


def write_survey(survey: Survey) -> dict[str, Any]:
    """The survey as a document that `read_survey` reads back as an equal Survey."""
    house, units = survey.house, survey.units
    document: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "units": units,
        "client": {"name": survey.client},
        "project": {"name": survey.project}
        | _given(address=survey.address)
        | _known(latitude=house.latitude, longitude=house.longitude)
        | _given(time_zone=house.time_zone),
    }
    if house.house_rules:
        document["house_rules"] = {
            rule: {limit: _limit(rule, limit, value, units) for limit, value in sorted(limits.items())}
            for rule, limits in sorted(house.house_rules.items())
        }
    document["rooms"] = [_room(room, units) for room in house.rooms]
    document["art"] = [_work(work, survey.extras.get(work.id, ArtExtra()), units) for work in house.works]
    if house.apart:
        document["apart"] = [list(pair) for pair in house.apart]
    return document


def as_text(document: dict[str, Any]) -> str:
    """A document as the text of a file: the same document always gives the same bytes."""
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def save(text: str, path: Path) -> None:
    """Write a file whole or not at all: what stood there before stays until the new one is complete.

    Raises:
        OSError: the file cannot be written.
    """
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_text(text, encoding="utf-8")
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def length(mm: float, units: FileUnits) -> int | float | str:
    """A bare number in the file's units where that reads back exactly, else a text in millimetres."""
    amount = Fraction(str(mm)) / MM_PER_UNIT[units]
    number = int(amount) if amount.denominator == 1 else round(float(amount), 6)
    if parse_length(number, units, zero=True, negative=True) == mm:
        return number
    return f"{Decimal(str(mm)):f} mm"


def _limit(rule: str, limit: str, value: float, units: FileUnits) -> float | int | str:
    """A limit that is a length is written like every length; any other in its own unit."""
    return length(value, units) if limit in _lengths().get(rule, ()) else value


@cache
def _lengths() -> Mapping[str, frozenset[str]]:
    return {rule.id: frozenset(limit.name for limit in rule.limits if limit.unit == "mm") for rule in catalogue()}


def _given(**values: Any) -> dict[str, Any]:
    """Only what says something."""
    return {key: value for key, value in values.items() if value}


def _known(**values: float | None) -> dict[str, float]:
    """Only the numbers that are known: nought is one of them."""
    return {key: value for key, value in values.items() if value is not None}


def _room(room: Room, units: FileUnits) -> dict[str, Any]:
    return {
        "id": room.id,
        "name": room.name,
        "use": room.use,
        **_given(style=room.style, colours=[colour.name for colour in room.colours]),
        **({} if room.clear_width is None else {"clear_width": length(room.clear_width, units)}),
        **_given(around=room.around),
        "walls": [_wall(wall, units) for wall in room.walls],
    }


def _wall(wall: Wall, units: FileUnits) -> dict[str, Any]:
    return {
        "id": wall.id,
        "name": wall.name,
        "length": length(wall.length, units),
        "height": length(wall.height, units),
        **_given(ceiling=[[length(x, units), length(y, units)] for x, y in wall.ceiling]),
        **_known(faces=wall.faces_deg),
        "build": wall.build,
        **({} if wall.studs is None else {"studs": _studs(wall.studs, units)}),
        "finish": wall.finish,
        **_given(accent=wall.accent, focal=wall.focal),
        **_given(importance="secondary" if wall.importance == "secondary" else "", keep_bare=wall.keep_bare),
        **({} if wall.rail is None else {"rail": _rail(wall.rail, units)}),
        "items": [_item(item, units) for item in wall.items],
    }


def _studs(studs: Studs, units: FileUnits) -> dict[str, Any]:
    return {"first": length(studs.first, units), "spacing": length(studs.spacing, units)}


def _rail(rail: Rail, units: FileUnits) -> dict[str, Any]:
    return {
        "from": [length(rail.from_x, units), length(rail.from_y, units)],
        "to": [length(rail.to_x, units), length(rail.to_y, units)],
    }


def _item(item: Item, units: FileUnits) -> dict[str, Any]:
    return {
        "id": item.id,
        "kind": item.kind,
        **_given(acts=item.custom_acts, label=item.label),
        "left": length(item.left, units),
        "bottom": length(item.bottom, units),
        "width": length(item.width, units),
        "height": length(item.height, units),
        **({"depth": length(item.depth, units)} if item.depth else {}),
        **_given(view=item.view),
        **({} if item.swing is None else {"swing": _swing(item.swing, units)}),
    }


def _swing(swing: Swing, units: FileUnits) -> dict[str, Any]:
    return {"hinge": swing.hinge, "leaf": length(swing.leaf, units), "opens": swing.opens}


def _work(work: Work, extra: ArtExtra, units: FileUnits) -> dict[str, Any]:
    written: dict[str, Any] = {
        "id": work.id,
        "title": work.title,
        **_given(maker=work.maker),
        "form": work.form,
        "width": length(work.width, units),
        "height": length(work.height, units),
    }
    for key, mm in (("depth", work.depth or None), ("frame_width", extra.frame_width), ("mat", extra.mat)):
        if mm is not None:
            written[key] = length(mm, units)
    if work.weight_kg is not None:
        written["weight"] = _weight(work.weight_kg, units)
    written |= _given(frame=work.frame, themes=list(work.themes), glazed=work.glazed)
    written["light"] = work.light
    if work.hang:
        written["hang"] = _hang(work.hang, units)
    written |= _given(set=work.set_name, locked=work.locked)
    if work.hung:
        written["hung"] = {
            "wall": work.hung.wall,
            "left": length(work.hung.left, units),
            "bottom": length(work.hung.bottom, units),
        }
    palette = [list(colour) for colour in work.palette_lab]
    written |= _given(storage=extra.storage, picture=extra.picture, palette=palette)
    return written | _given(medium=extra.medium, facts=dict(sorted(extra.facts.items())))


def _hang(hang: Hardware, units: FileUnits) -> dict[str, Any]:
    lengths = {"inset": hang.inset, "spacing": hang.spacing, "below_top": hang.below_top, "length": hang.length}
    says = (*HANG[hang.kind], *HANG_MAY.get(hang.kind, ()))
    return {"kind": hang.kind} | {
        key: length(mm, units) for key, mm in lengths.items() if mm is not None and key in says
    }


def _weight(kg: float, units: FileUnits) -> dict[str, float]:
    pounds = round(float(Fraction(str(kg)) / KG_PER_POUND), 6)
    if units == "in" and parse_weight(pounds, "lb") == kg:
        return {"lb": int(pounds) if pounds.is_integer() else pounds}
    return {"kg": kg}
