"""A room in plan: walls cut, doors with the swing of their leaf, windows, furniture by its depth, art as it hangs."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from placements.engine.house import Item
from placements.engine.names import capital
from placements.plans.outline import Leg, Outline, Point

from .pen import FONT, group, label, line, n, tag, text_width, titled

#: From the plan's millimetres to the drawing.
At = Callable[[Point], Point]

#: How thick a cut wall is drawn [mm]; openings are cut out of it. The survey does not tell; common practice, no source.
CUT_MM = 110.0
#: What stands on the floor and is drawn as an outline; the rest is on the wall above the plan's cut.
BLANK = 24.0
DOORS = ("door", "opening")
GLASS = ("window",)
ON_THE_WALL = frozenset(
    (
        *("sconce", "television", "panel", "wainscot", "chair_rail", "picture_rail", "outlet", "switch", "thermostat"),
        *("vent", "sprinkler", "alarm", "statement_light", "table_lamp", "ornament", "door_leaf", "niche", "shelf"),
    )
)
LEAST_DEPTH = 20.0


@dataclass(frozen=True, slots=True)
class OnWall:
    """A piece of art on its wall: `left`, `width`, `depth` [mm], and the number or letter beside it."""

    wall: str
    left: float
    width: float
    depth: float
    title: str


def draw_plan(
    told: Outline,
    art: Sequence[OnWall],
    names: Mapping[str, str],
    *,
    title: str,
    width: float,
    height: float,
    text: float,
) -> str:
    """A room's plan as one `<svg>`, at the largest scale that fits.

    Args:
        names: what each wall is called, by its id.
        width, height: the room there is, in drawing units; text: the height of lettering.
    """
    left, bottom, right, top = told.bounds
    margin = CUT_MM
    wide, high = right - left + 2 * margin, top - bottom + 2 * margin
    room = 2 * (text * 2.2)
    scale = min((width - room) / wide, (height - room) / high)

    def at(point: Point) -> Point:
        return (point[0] - left + margin) * scale + room / 2, (top - point[1] + margin) * scale + room / 2

    size = wide * scale + room, high * scale + room
    inner = "".join(
        (
            titled(title),
            titled(_described(told, art, names), name="desc"),
            group("floor", _ground(told, at)),
            group("cut", "".join(_cut(leg, at) for leg in told.legs)),
            group("openings", "".join(_openings(leg, at) for leg in told.legs)),
            group("furniture", "".join(_furniture(leg, at) for leg in told.legs)),
            group("hung", "".join(_hung(leg, art, at) for leg in told.legs)),
            group("lettering", "".join(_named(leg, names, at, text) for leg in told.legs)),
            _north(told, size, text),
        )
    )
    return tag(
        "svg",
        {
            "class": "plan",
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {n(size[0])} {n(size[1])}",
            "width": size[0],
            "height": size[1],
            "role": "img",
            "aria-label": title,
            "font-family": FONT,
        },
        inner,
    )


def _path(points: Iterable[Point], *, closed: bool = True) -> str:
    return "M" + "L".join(f"{n(x)} {n(y)}" for x, y in points) + ("Z" if closed else "")


def _ground(told: Outline, at: At) -> str:
    """The floor; its edge shows dashed where no wall is surveyed."""
    return tag("path", {"d": _path([at(point) for point in told.floor]), "class": None if told.closed else "open"})


def _outer(leg: Leg, along: float) -> Point:
    return leg.at(along, -CUT_MM)


def _cut(leg: Leg, at: At) -> str:
    """The wall's own thickness, but for its doors and windows."""
    holes = [one for one in leg.wall.items if one.kind in (*DOORS, *GLASS)]
    gaps = sorted((max(one.left, 0.0), min(one.rect.right, leg.wall.length)) for one in holes)
    found, here = [], 0.0
    for start, end in [*gaps, (leg.wall.length, leg.wall.length)]:
        if start > here:
            found.append((here, start))
        here = max(here, end)
    return "".join(
        tag("path", {"d": _path([at(leg.at(a)), at(leg.at(b)), at(_outer(leg, b)), at(_outer(leg, a))])})
        for a, b in found
    )


def _openings(leg: Leg, at: At) -> str:
    found = []
    for one in leg.wall.items:
        a, b = max(one.left, 0.0), min(one.rect.right, leg.wall.length)
        if one.kind in GLASS:
            for out in (0.0, -CUT_MM / 2, -CUT_MM):
                found.append(line(*at(leg.at(a, out)), *at(leg.at(b, out))))
        elif one.kind in DOORS:
            found += [line(*at(leg.at(x)), *at(_outer(leg, x))) for x in (a, b)]
            if one.kind == "door":
                found.append(_swing(leg, one, a, b, at))
    return "".join(found)


def _swing(leg: Leg, door: Item, a: float, b: float, at: At) -> str:
    """The leaf half open with the quarter that it sweeps; hinged at the left where the survey does not tell."""
    right = door.swing is not None and door.swing.hinge == "right"
    hinge = b if right else a
    steps = [math.pi / 2 * k / 8 for k in range(9)]
    width, sign = b - a, -1 if right else 1
    sweep = [at(leg.at(hinge + sign * width * math.cos(one), width * math.sin(one))) for one in steps]
    leaf = line(*at(leg.at(hinge)), *sweep[-1])
    return leaf + tag("path", {"d": _path(sweep, closed=False), "class": "sweep"})


def _furniture(leg: Leg, at: At) -> str:
    """What stands on the floor, by its depth."""
    found = []
    for one in leg.wall.items:
        if one.kind in (*DOORS, *GLASS) or one.kind in ON_THE_WALL or one.depth < LEAST_DEPTH:
            continue
        found.append(tag("path", {"d": _path([at(point) for point in leg.before(one)])}, titled(capital(one.name))))
    return "".join(found)


def _hung(leg: Leg, art: Sequence[OnWall], at: At) -> str:
    """Each piece as a strip before the wall, drawn no thinner than it can be seen."""
    found = []
    for one in art:
        if one.wall == leg.wall.id:
            out = max(one.depth, LEAST_DEPTH * 2)
            a, b = one.left, one.left + one.width
            corners = (leg.at(a), leg.at(b), leg.at(b, out), leg.at(a, out))
            found.append(tag("path", {"d": _path([at(point) for point in corners])}, titled(one.title)))
    return "".join(found)


def _named(leg: Leg, names: Mapping[str, str], at: At, text: float) -> str:
    """The wall's name, outside it."""
    name = names.get(leg.wall.id, leg.wall.name)
    x, y = at(leg.at(leg.wall.length / 2, -CUT_MM))
    ahead, back = at(leg.at(leg.wall.length / 2, 0)), at(leg.at(leg.wall.length / 2, -CUT_MM))
    across, down = back[0] - ahead[0], back[1] - ahead[1]
    long = math.hypot(across, down) or 1.0
    away = text * 1.1
    x, y = x + across / long * away, y + down / long * away
    upright = abs(across) <= abs(down)
    start, end = at(leg.start), at(leg.end)
    if text_width(name, text) > math.hypot(end[0] - start[0], end[1] - start[1]) + 2 * text:
        return ""
    nudge = text * 0.35
    return label(name, x if upright else x + nudge, y + nudge if upright else y, text, "middle", upright=upright)


def _north(told: Outline, size: Point, text: float) -> str:
    if not told.north:
        return ""
    x, y = size[0] - text * 0.9, size[1] - text * 0.6
    head, barb = y - 2 * text, text / 3
    shaft, tip = f"M{n(x)} {n(y)}V{n(head)}", f"L{n(x)} {n(head)}L"
    arrow = f"{shaft}M{n(x - barb)} {n(head + 2 * barb)}{tip}{n(x + barb)} {n(head + 2 * barb)}"
    return group("north", tag("path", {"d": arrow}) + label("N", x - text * 0.9, y, text * 0.9, "middle"))


def _described(told: Outline, art: Sequence[OnWall], names: Mapping[str, str]) -> str:
    """What a reader who does not see it is told: wall by wall, what stands and hangs there, from left to right."""
    said = []
    for leg in told.legs:
        things = [(one.left, capital(one.name)) for one in leg.wall.items if one.kind not in ON_THE_WALL]
        things += [(one.left, f"“{one.title}”") for one in art if one.wall == leg.wall.id]
        listed = ", ".join(name for _, name in sorted(things))
        said.append(f"{names.get(leg.wall.id, leg.wall.name)}: {listed or 'nothing'}.")
    return " ".join(said)
