"""From a survey file to a Survey, or to the list of everything that is wrong in it."""

from __future__ import annotations

import zoneinfo
from collections.abc import Iterable, Mapping
from functools import cache, partial
from pathlib import Path, PurePosixPath
from typing import Any, cast

from placements.engine import house as engine
from placements.engine import rulebook
from placements.engine.errors import UnknownRule
from placements.engine.house import House, Hung, Item, Rail, Room, Studs, Swing, Wall, Work
from studio.colours import NAMES as COLOUR_NAMES
from studio.units import Units

from .checks import check_art, check_ids, check_walls, unknown
from .colours import colour_of
from .model import FORMAT, VERSION, ArtExtra, FileUnits, Survey
from .reader import MISSING, Reader, load, nearest, shown

TOP = ("format", "version", "units", "client", "project", "house_rules", "rooms", "art", "apart")
PROJECT = ("name", "latitude", "longitude", "time_zone", "address")
ROOM = ("id", "name", "use", "style", "colours", "clear_width", "around", "walls")
WALL = (
    "id",
    "name",
    "length",
    "height",
    "ceiling",
    "faces",
    "build",
    "studs",
    "finish",
    "accent",
    "focal",
    "importance",
    "keep_bare",
    "rail",
    "items",
)
ITEM = ("id", "kind", "acts", "label", "left", "bottom", "width", "height", "depth", "view", "swing")
ART = (
    "id",
    "title",
    "maker",
    "form",
    "width",
    "height",
    "depth",
    "weight",
    "frame",
    "frame_width",
    "mat",
    "themes",
    "glazed",
    "light",
    "hang",
    "set",
    "locked",
    "hung",
    "storage",
    "picture",
    "palette",
    "medium",
    "facts",
)
MOST_FACTS, LONGEST_HEADING, LONGEST_FACT = 60, 80, 2000
#: What each kind of hardware must say besides its kind.
HANG: Mapping[str, tuple[str, ...]] = {
    "wire": ("inset", "below_top", "length"),
    "two_rings": ("spacing", "below_top"),
    "sawtooth": ("below_top",),
    "cleat": ("below_top",),
    "keyholes": ("spacing", "below_top"),
    "ring": ("below_top",),
    "straps": ("spacing", "below_top"),
    "security": ("spacing", "below_top"),
    "batten": ("below_top",),
    "rods": ("spacing", "below_top"),
    "easel": (),
    "lean": (),
}
#: What it may say besides.
HANG_MAY: Mapping[str, tuple[str, ...]] = {"cleat": ("length",), "batten": ("length",)}


def read_survey(source: str | bytes | Path | Mapping[str, Any]) -> Survey:
    """Read a survey file, given as text, bytes, a path or a parsed document.

    Raises:
        SurveyError: with every fault of the file, each with its place such as `rooms[2].walls[0].length`.
    """
    document = load(source)
    reader = Reader()
    survey = _survey(reader, document)
    reader.finish()
    return survey


def _survey(r: Reader, document: Any) -> Survey:
    top = r.object(document, "", TOP, ("format", "version", "units", "client", "project", "rooms"))
    if "format" in top and top["format"] != FORMAT:
        r.fault("format", shown(top["format"]), f"“{FORMAT}”")
    if "version" in top and (top["version"] != VERSION or isinstance(top["version"], bool)):
        r.fault("version", shown(top["version"]), f"{VERSION}, the version that this program reads")
    r.unit = cast(FileUnits, r.choice(top, "units", "", ("in", "cm", "mm"), "in"))
    client = r.object(top.get("client", {}), "client", ("name",), ("name",) if "client" in top else ())
    project = r.object(top.get("project", {}), "project", PROJECT, ("name",) if "project" in top else ())
    rooms = tuple(_room(r, value, path) for value, path in r.each(top, "rooms", "", "rooms"))
    art = [_work(r, value, path) for value, path in r.each(top, "art", "", "works")]
    check_ids(r, rooms, [work for work, _ in art])
    check_walls(r, rooms)
    check_art(r, rooms, [work for work, _ in art])
    return Survey(
        client=_name(r, client, "client"),
        project=_name(r, project, "project"),
        address=r.text(project, "address", "project", 250),
        units=r.unit,
        house=House(
            rooms=rooms,
            works=tuple(work for work, _ in art),
            house_rules=_house_rules(r, top),
            apart=tuple(_apart(r, top, {work.id for work, _ in art})),
            latitude=r.optional_number(
                project, "latitude", "project", "degrees north, -90 to 90", lambda x: -90 <= x <= 90
            ),
            longitude=r.optional_number(
                project, "longitude", "project", "degrees east, -180 to 180", lambda x: -180 <= x <= 180
            ),
            time_zone=_time_zone(r, project),
        ),
        extras={work.id: extra for work, extra in art if extra != ArtExtra()},
    )


def _name(r: Reader, owner: Mapping[str, Any], path: str) -> str:
    name = r.text(owner, "name", path, 120)
    if "name" in owner and not name and isinstance(owner["name"], str | None):
        r.fault(f"{path}.name", shown(owner["name"]), "a name")
    return name


def _time_zone(r: Reader, project: Mapping[str, Any]) -> str | None:
    name = r.text(project, "time_zone", "project", 64)
    if not name:
        return None
    zones = _time_zones()
    if name not in zones:
        guess = nearest(name, sorted(zones))
        r.fault(
            "project.time_zone", shown(name), "a time zone such as Europe/Lisbon" + (f" or {guess}" if guess else "")
        )
    return name


@cache
def _time_zones() -> frozenset[str]:
    return frozenset(zoneinfo.available_timezones())


def _house_rules(r: Reader, top: Mapping[str, Any]) -> dict[str, dict[str, float]]:
    """Rule name -> limit name -> value; lengths as lengths of this file, the rest in the limit's own unit."""
    if top.get("house_rules") is None:
        return {}
    known = _limits()
    rules: dict[str, dict[str, float]] = {}
    for name, given in r.object(top["house_rules"], "house_rules", tuple(known)).items():
        limits = known.get(name, {})
        path = f"house_rules.{name}"
        rules[name] = {
            limit: _limit(r, value, f"{path}.{limit}", limits[limit])
            for limit, value in r.object(given, path, tuple(limits)).items()
            if limit in limits
        }
    if not r.faults:
        try:
            rulebook.Rulebook(rules)
        except UnknownRule as error:
            r.fault("house_rules", "limits that contradict one another", f"a sound band ({error})")
    return rules


@cache
def _limits() -> Mapping[str, Mapping[str, tuple[str, float, float]]]:
    """Rule name -> limit name -> unit, lowest and highest value, of everything that a house may set."""
    return {
        rule.id: {limit.name: (limit.unit, limit.low, limit.high) for limit in rule.numbers}
        for rule in rulebook.catalogue()
    }


def _limit(r: Reader, value: Any, path: str, limit: tuple[str, float, float]) -> float:
    unit, low, high = limit
    if unit != "mm":
        expected = f"a number from {low:g} to {high:g} {unit}".rstrip()
        return r.number(value, path, expected, lambda x: low <= x <= high)
    faults = len(r.faults)
    mm = r.length(value, path, zero=True)
    # The rulebook writes its inches as multiples of 25.4, which may miss the exact value by a hair.
    if len(r.faults) == faults and not low - 1e-6 <= mm <= high + 1e-6:
        words = Units(r.unit)
        r.fault(path, shown(value), f"a length of {words.band(low, high)}")
    return min(max(mm, low), high)


def _room(r: Reader, value: Any, path: str) -> Room:
    room = r.object(value, path, ROOM, ("id",))
    room_id = r.identifier(room, path)
    return Room(
        id=room_id,
        name=r.text(room, "name", path, 120, default=room_id),
        use=r.choice(room, "use", path, engine.ROOM_USES, "other"),
        style=r.text(room, "style", path, 60),
        colours=tuple(_colours(r, room, path)),
        clear_width=r.optional_length(room, "clear_width", path),
        around=r.flag(room, "around", path),
        walls=tuple(_wall(r, wall, where, room_id) for wall, where in r.each(room, "walls", path, "walls")),
    )


def _colours(r: Reader, room: Mapping[str, Any], path: str) -> Iterable[engine.Colour]:
    for value, where in r.each(room, "colours", path, "colours"):
        if not isinstance(value, str):
            r.fault(where, shown(value), "a colour as a text: a name such as ivory, or #d8cfc0")
            continue
        colour = colour_of(r.string(value, where, 40)) if len(value) <= 40 else None
        if colour is None:
            guess = nearest(value.lower(), COLOUR_NAMES)
            hint = f" (did you mean “{guess}”?)" if guess else ""
            r.fault(where, shown(value), f"the name of a colour, such as ivory, or #d8cfc0{hint}")
            continue
        yield colour


def _wall(r: Reader, value: Any, path: str, room_id: str) -> Wall:
    wall = r.object(value, path, WALL, ("id", "length", "height"))
    wall_id = r.identifier(wall, path)
    faults = len(r.faults)
    length, height = r.length_of(wall, "length", path), r.length_of(wall, "height", path)
    ceiling = _ceiling(r, wall, path)
    wrong = engine.ceiling_fault(ceiling, length, height) if len(r.faults) == faults else ""
    if wrong:
        r.fault(f"{path}.ceiling", "a line that does not fit its wall", wrong)
    return Wall(
        id=wall_id,
        room=room_id,
        name=r.text(wall, "name", path, 120, default=wall_id),
        length=length,
        height=height,
        ceiling=ceiling,
        faces_deg=r.optional_number(
            wall, "faces", path, "a compass bearing from 0 up to 360 degrees", lambda x: 0 <= x < 360
        ),
        build=r.choice(wall, "build", path, engine.BUILDS, "drywall"),
        studs=_studs(r, wall, path),
        finish=r.choice(wall, "finish", path, engine.FINISHES, "paint"),
        accent=r.flag(wall, "accent", path),
        importance=_importance(r, wall, path),
        keep_bare=r.flag(wall, "keep_bare", path),
        rail=_rail(r, wall, path),
        items=tuple(_item(r, item, where) for item, where in r.each(wall, "items", path, "items")),
    )


def _importance(r: Reader, wall: Mapping[str, Any], path: str) -> str:
    """How much the wall counts; a file may still say only that it is focal."""
    focal = r.flag(wall, "focal", path)
    said = r.choice(wall, "importance", path, engine.IMPORTANCES, "focal" if focal else "ordinary")
    if focal and said != "focal":
        r.fault(f"{path}.importance", shown(wall["importance"]), "focal, since the wall says that it is focal")
    return said


def _ceiling(r: Reader, wall: Mapping[str, Any], path: str) -> tuple[engine.Point, ...]:
    points = []
    for value, where in r.each(wall, "ceiling", path, "points [along the wall, above the floor]"):
        if not isinstance(value, list | tuple) or len(value) != 2:
            r.fault(where, shown(value), "a point: [along the wall, above the floor]")
            continue
        points.append((r.length(value[0], f"{where}[0]", zero=True), r.length(value[1], f"{where}[1]")))
    return tuple(points)


def _swing(r: Reader, item: Mapping[str, Any], path: str, kind: str) -> Swing | None:
    if item.get("swing") is None:
        return None
    path = f"{path}.swing"
    if kind != "door":
        r.fault(path, shown(item["swing"]), f"no such key: only a door swings, not a {kind}")
        return None
    keys = ("hinge", "leaf", "opens")
    swing = r.object(item["swing"], path, keys, keys)
    return Swing(
        hinge=r.choice(swing, "hinge", path, engine.HINGES, "left"),
        leaf=r.length_of(swing, "leaf", path),
        opens=r.choice(swing, "opens", path, engine.OPENS, "square"),
    )


def _studs(r: Reader, wall: Mapping[str, Any], path: str) -> Studs | None:
    if wall.get("studs") is None:
        return None
    path = f"{path}.studs"
    studs = r.object(wall["studs"], path, ("first", "spacing"), ("first", "spacing"))
    return Studs(r.length_of(studs, "first", path, zero=True), r.length_of(studs, "spacing", path))


def _rail(r: Reader, wall: Mapping[str, Any], path: str) -> Rail | None:
    if wall.get("rail") is None:
        return None
    path = f"{path}.rail"
    rail = r.object(wall["rail"], path, ("from", "to"), ("from", "to"))
    ends: list[float] = []
    for end in ("from", "to"):
        point = rail.get(end)
        if not isinstance(point, list | tuple) or len(point) != 2:
            if end in rail:
                r.fault(f"{path}.{end}", shown(point), "a point: [along the wall, above the floor]")
            return None
        ends += [r.length(value, f"{path}.{end}[{axis}]", zero=True) for axis, value in enumerate(point)]
    if ends[0] == ends[2]:
        r.fault(path, "both ends at the same place along the wall", "a line that runs along the wall")
    return Rail(*ends)


def _item(r: Reader, value: Any, path: str) -> Item:
    item = r.object(value, path, ITEM, ("id", "kind", "left", "bottom", "width", "height"))
    kind = r.choice(item, "kind", path, engine.ITEM_KINDS, "ornament")
    acts = r.choice(item, "acts", path, engine.CUSTOM_ACTS) if "acts" in item else ""
    if kind == "custom" and "acts" not in item:
        r.fault(f"{path}.acts", "nothing", "one of " + ", ".join(engine.CUSTOM_ACTS) + ", since its kind is custom")
    elif kind != "custom" and "acts" in item:
        r.fault(f"{path}.acts", shown(item["acts"]), f"no such key: only custom items say how they act, not a {kind}")
    return Item(
        id=r.identifier(item, path),
        kind=kind,
        left=r.length_of(item, "left", path, zero=True),
        bottom=r.length_of(item, "bottom", path, zero=True),
        width=r.length_of(item, "width", path),
        height=r.length_of(item, "height", path),
        depth=r.optional_length(item, "depth", path, zero=True) or 0.0,
        view=r.flag(item, "view", path),
        custom_acts=acts or None,
        label=r.text(item, "label", path, 80),
        swing=_swing(r, item, path, kind),
    )


def _work(r: Reader, value: Any, path: str) -> tuple[Work, ArtExtra]:
    art = r.object(value, path, ART, ("id", "width", "height"))
    work_id = r.identifier(art, path)
    width, height = r.length_of(art, "width", path), r.length_of(art, "height", path)
    work = Work(
        id=work_id,
        title=r.text(art, "title", path, 200, default=work_id),
        maker=r.text(art, "maker", path, 120),
        form=r.choice(art, "form", path, engine.FORMS, "painting"),
        width=width,
        height=height,
        depth=r.optional_length(art, "depth", path, zero=True) or 0.0,
        weight_kg=r.weight(art, "weight", path),
        frame=r.text(art, "frame", path, 40),
        themes=tuple(r.string(theme, where, 40) for theme, where in r.each(art, "themes", path, "texts")),
        glazed=r.flag(art, "glazed", path),
        light=r.choice(art, "light", path, engine.LIGHT_CLASSES, "moderate"),
        hang=_hang(r, art, path, width, height),
        set_name=r.text(art, "set", path, 60) or None,
        locked=r.text(art, "locked", path, 120) or None,
        hung=_hung(r, art, path),
        palette_lab=tuple(_palette(r, art, path)),
    )
    extra = ArtExtra(
        frame_width=r.optional_length(art, "frame_width", path),
        mat=r.optional_length(art, "mat", path),
        storage=r.text(art, "storage", path, 120),
        picture=_picture(r, art, path),
        medium=r.text(art, "medium", path, 200),
        facts=_facts(r, art, f"{path}.facts"),
    )
    return work, extra


def _facts(r: Reader, art: Mapping[str, Any], path: str) -> dict[str, str]:
    given = art.get("facts")
    if given is None:
        return {}
    if not isinstance(given, Mapping):
        r.fault(path, shown(given), 'null or an object such as {"Owner": "The estate"}')
        return {}
    if len(given) > MOST_FACTS:
        r.fault(path, f"{len(given)} headings", f"at most {MOST_FACTS}")
        return {}
    facts = {}
    for heading, value in given.items():
        name = r.string(heading, f"{path}.{heading[:60]}", LONGEST_HEADING)
        if not name and not heading.strip():
            r.fault(path, "a heading without a name", "a name for each")
        said = r.string(value, f"{path}.{heading[:60]}", LONGEST_FACT)
        if name and said:
            facts[name] = said
    return facts


def _hang(r: Reader, art: Mapping[str, Any], path: str, width: float, height: float) -> engine.Hardware | None:
    given = art.get("hang")
    if given is None:
        return None
    path = f"{path}.hang"
    if not isinstance(given, Mapping):
        r.fault(path, shown(given), 'null or an object such as {"kind": "sawtooth", "below_top": 1}')
        return None
    kind = given.get("kind", MISSING)
    if not isinstance(kind, str) or kind not in HANG:
        r.fault(f"{path}.kind", shown(kind), "one of " + ", ".join(HANG))
        return None
    may = tuple(key for key in HANG_MAY.get(kind, ()) if key in given)
    hang = r.object(given, path, ("kind", *HANG[kind], *may), HANG[kind])
    lengths = {key: r.length_of(hang, key, path, zero=key in ("below_top", "inset")) for key in (*HANG[kind], *may)}
    if lengths.get("below_top", 0.0) >= height:
        r.fault(f"{path}.below_top", shown(hang.get("below_top")), "less than the piece is high")
    if 2 * lengths.get("inset", 0.0) >= width:
        r.fault(f"{path}.inset", shown(hang.get("inset")), "less than half the piece's width")
    if lengths.get("spacing", 0.0) > width:
        r.fault(f"{path}.spacing", shown(hang.get("spacing")), "no more than the piece's width")
    return engine.Hardware(kind=kind, **lengths)


def _hung(r: Reader, art: Mapping[str, Any], path: str) -> Hung | None:
    given = art.get("hung")
    if given is None:
        return None
    path = f"{path}.hung"
    if isinstance(given, list | tuple):
        r.fault(path, f"{len(given)} places", "one place: a piece hangs on one wall")
        return None
    keys = ("wall", "left", "bottom")
    hung = r.object(given, path, keys, keys)
    return Hung(
        wall=r.text(hung, "wall", path, 60),
        left=r.length_of(hung, "left", path, zero=True),
        bottom=r.length_of(hung, "bottom", path, zero=True),
    )


def _picture(r: Reader, art: Mapping[str, Any], path: str) -> str:
    picture = r.text(art, "picture", path, 200)
    parts = PurePosixPath(picture)
    if picture and (parts.is_absolute() or ".." in parts.parts or "\\" in picture or ":" in picture):
        r.fault(f"{path}.picture", shown(picture), "the path of a picture beside this file, such as pictures/a1.jpg")
    return picture


def _palette(r: Reader, art: Mapping[str, Any], path: str) -> Iterable[tuple[float, float, float]]:
    for colour, where in r.each(art, "palette", path, "colours [L, a, b]"):
        if not isinstance(colour, list | tuple) or len(colour) != 3:
            r.fault(where, shown(colour), "a CIELAB colour [L, a, b]")
            continue
        ranges = ((0, 100), (-200, 200), (-200, 200))
        lab = [
            r.number(value, f"{where}[{axis}]", f"a number from {low} to {high}", partial(_within, low, high))
            for axis, (value, (low, high)) in enumerate(zip(colour, ranges, strict=True))
        ]
        yield lab[0], lab[1], lab[2]


def _within(low: float, high: float, value: float) -> bool:
    return low <= value <= high


def _apart(r: Reader, top: Mapping[str, Any], known: set[str]) -> Iterable[tuple[str, str]]:
    for pair, path in r.each(top, "apart", "", "pairs of art ids"):
        two = isinstance(pair, list | tuple) and len(pair) == 2 and all(isinstance(one, str) for one in pair)
        if not two or pair[0] == pair[1]:
            r.fault(path, shown(pair), 'two different ids of art, such as ["a1", "a2"]')
            continue
        for index, one in enumerate(pair):
            if one not in known:
                unknown(r, f"{path}[{index}]", one, known, "piece")
        yield pair[0], pair[1]
