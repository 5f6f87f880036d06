"""Short ways to write a survey, a hanging on it and what to expect there, all in inches.

A survey is the document of a survey file. A hanging is written as placers: a *shape* (one work, a row, a grid,
columns) set over an item, about a point or along a line; `hung()` turns them into the engine's `Hanging`s.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from placements.engine.house import House
from placements.engine.results import Hanging

from .proposing import INCH, house_of
from .seeing import Check

Doc = dict[str, Any]
Size = tuple[float, float]


def item(kind: str, left: float, width: float, height: float, bottom: float = 0, **more: Any) -> Doc:
    return {"kind": kind, "left": left, "bottom": bottom, "width": width, "height": height, **more}


def sofa(left: float, width: float = 84, height: float = 34, **more: Any) -> Doc:
    return item("sofa", left, width, height, depth=36, **more)


def bed(left: float, width: float = 64, height: float = 46, **more: Any) -> Doc:
    return item("bed", left, width, height, depth=84, **more)


def nightstand(left: float, **more: Any) -> Doc:
    return item("nightstand", left, 22, 26, depth=18, **more)


def end_table(left: float, **more: Any) -> Doc:
    return item("end_table", left, 22, 24, depth=22, **more)


def lamp(left: float, bottom: float, width: float = 15, height: float = 27, **more: Any) -> Doc:
    """A table lamp standing at `bottom`."""
    return item("table_lamp", left, width, height, bottom, depth=15, **more)


def console(left: float, width: float = 54, height: float = 32, **more: Any) -> Doc:
    return item("console", left, width, height, depth=15, **more)


def sideboard(left: float, width: float = 72, height: float = 34, **more: Any) -> Doc:
    return item("sideboard", left, width, height, depth=19, **more)


def mantel(left: float, width: float = 62, height: float = 52, **more: Any) -> Doc:
    return item("mantel", left, width, height, depth=9, **more)


def sconce(left: float, bottom: float = 60, **more: Any) -> Doc:
    return item("sconce", left, 5, 13, bottom, depth=6, **more)


def screen(left: float, width: float = 57, height: float = 33, bottom: float = 26, **more: Any) -> Doc:
    return item("television", left, width, height, bottom, depth=3, **more)


def window(left: float, width: float = 38, height: float = 56, bottom: float = 28, **more: Any) -> Doc:
    return item("window", left, width, height, bottom, **more)


def door(left: float, width: float = 36, height: float = 82, **more: Any) -> Doc:
    return item("door", left, width, height, **more)


def panel(left: float, width: float, height: float = 62, bottom: float = 36, **more: Any) -> Doc:
    return item("panel", left, width, height, bottom, **more)


def wall(name: str, length: float, height: float, *items: Doc, **more: Any) -> Doc:
    """A wall; items without an id get their kind, numbered from the second of a kind."""
    counts: dict[str, int] = {}
    named = []
    for one in items:
        kind = one["kind"].replace("_", "-")
        counts[kind] = counts.get(kind, 0) + 1
        named.append({"id": kind if counts[kind] == 1 else f"{kind}-{counts[kind]}", **one})
    return {"id": name, "length": length, "height": height, "items": named, **more}


def room(name: str, use: str, *walls: Doc, **more: Any) -> Doc:
    return {"id": name, "name": name.replace("-", " ").capitalize(), "use": use, "walls": list(walls), **more}


def work(name: str, width: float, height: float, form: str = "painting", **more: Any) -> Doc:
    title = name.replace("-", " ").capitalize()
    glazed = {"glazed": True} if form in ("print", "drawing", "photograph") else {}
    return {"id": name, "title": title, "width": width, "height": height, "form": form, **glazed, **more}


def of(stem: str, count: int) -> list[str]:
    """The ids of a series: stem-1 to stem-n."""
    return [f"{stem}-{number}" for number in range(1, count + 1)]


def series(stem: str, count: int, width: float, height: float, form: str = "print", **more: Any) -> list[Doc]:
    """Equal works that are one set."""
    return [work(one, width, height, form, **{"set": stem, "frame": "black", **more}) for one in of(stem, count)]


def equals(stem: str, count: int, width: float, height: float, form: str = "print", **more: Any) -> list[Doc]:
    """Equal works that are no set."""
    return [work(one, width, height, form, **{"frame": "black", **more}) for one in of(stem, count)]


def survey(rooms: Doc | Sequence[Doc], *art: Doc | Sequence[Doc], **more: Any) -> Doc:
    works = [one for part in art for one in ([part] if isinstance(part, dict) else part)]
    return {
        "format": "overmantel-survey",
        "version": 1,
        "units": "in",
        "client": {"name": "Invented"},
        "project": {"name": "Invented house"},
        "rooms": [rooms] if isinstance(rooms, dict) else list(rooms),
        "art": works,
        **more,
    }


# --- Hangings ---------------------------------------------------------------------------------------------------------


class Site:
    """What placers need to know of a survey: the works' sizes and the walls' items [in]."""

    def __init__(self, document: Doc) -> None:
        self.sizes: dict[str, Size] = {one["id"]: (one["width"], one["height"]) for one in document["art"]}
        self.walls = {one["id"]: one for part in document["rooms"] for one in part["walls"]}
        self.first = next(iter(self.walls))

    def item(self, wall_id: str, item_id: str) -> Doc:
        return next(one for one in self.walls[wall_id]["items"] if one["id"] == item_id)


#: Lower left corners of works, relative to the lower left of the whole; with the whole's size.
Block = tuple[list[tuple[str, float, float]], float, float]
Shape = str | Callable[[Site], Block]
Placer = Callable[[Site, str], list[Hanging]]


def _block(shape: Shape, site: Site) -> Block:
    if isinstance(shape, str):
        return [(shape, 0.0, 0.0)], *site.sizes[shape]
    return shape(site)


def row(parts: Iterable[Shape], gap: float = 3, align: float = 0.5) -> Shape:
    """Shapes side by side: on one centre line, or their lower edges level with `align` 0."""

    def made(site: Site) -> Block:
        blocks = [_block(one, site) for one in parts]
        high = max(one[2] for one in blocks)
        placed, x = [], 0.0
        for pieces, wide, tall in blocks:
            placed += [(name, x + dx, align * (high - tall) + dy) for name, dx, dy in pieces]
            x += wide + gap
        return placed, x - gap, high

    return made


def stack(parts: Iterable[Shape], gap: float = 3) -> Shape:
    """Shapes one above the other on one axis, the first on top."""

    def made(site: Site) -> Block:
        blocks = [_block(one, site) for one in parts]
        wide = max(one[1] for one in blocks)
        placed, y = [], 0.0
        for pieces, across, tall in reversed(blocks):
            placed += [(name, (wide - across) / 2 + dx, y + dy) for name, dx, dy in pieces]
            y += tall + gap
        return placed, wide, y - gap

    return made


def grid(names: Sequence[str], columns: int, gap: float = 3) -> Shape:
    """Equal works in rows from the top left."""
    return stack([row(names[at : at + columns], gap) for at in range(0, len(names), columns)], gap)


def columns(*parts: Sequence[Shape], gap: float = 2.5) -> Shape:
    """Stacks side by side, on one centre line."""
    return row([stack(one, gap) for one in parts], gap)


def _put(shape: Shape, site: Site, wall_id: str, place: Callable[[float, float], tuple[float, float]]) -> list[Hanging]:
    pieces, wide, high = _block(shape, site)
    left, bottom = place(wide, high)
    return [Hanging(name, wall_id, (left + dx) * INCH, (bottom + dy) * INCH) for name, dx, dy in pieces]


def over(shape: Shape, item_id: str, gap: float = 7.5, shift: float = 0) -> Placer:
    """On the item's axis, the lower edge `gap` above it; `shift` to the right of the axis."""

    def placed(site: Site, wall_id: str) -> list[Hanging]:
        on = site.item(wall_id, item_id)
        middle, top = on["left"] + on["width"] / 2 + shift, on["bottom"] + on["height"]
        return _put(shape, site, wall_id, lambda wide, _: (middle - wide / 2, top + gap))

    return placed


def about(shape: Shape, x: float, y: float = 60) -> Placer:
    """With its middle at x along the wall and y above the floor."""
    return lambda site, wall_id: _put(shape, site, wall_id, lambda w, h: (x - w / 2, y - h / 2))


def standing(shape: Shape, x: float, bottom: float) -> Placer:
    """With its middle at x and its lower edge at `bottom`."""
    return lambda site, wall_id: _put(shape, site, wall_id, lambda w, _: (x - w / 2, bottom))


def spaced(names: Sequence[Shape], xs: Sequence[float], y: float = 60) -> list[Placer]:
    """Each about its own x, all on one centre line."""
    return [about(one, x, y) for one, x in zip(names, xs, strict=True)]


def evenly(names: Sequence[str], low: float, high: float, y: float = 60) -> Placer:
    """Along the stretch from `low` to `high` with equal air between the works and at both ends."""

    def placed(site: Site, wall_id: str) -> list[Hanging]:
        air = (high - low - sum(site.sizes[one][0] for one in names)) / (len(names) + 1)
        return _put(row(names, air), site, wall_id, lambda _, h: (low + air, y - h / 2))

    return placed


def along(names: Sequence[str], start: tuple[float, float], step: tuple[float, float]) -> list[Placer]:
    """Middles from `start`, each a `step` further: a stair's line."""
    return [about(one, start[0] + k * step[0], start[1] + k * step[1]) for k, one in enumerate(names)]


def on(wall_id: str, *placers: Placer) -> Placer:
    """The placers on another wall than the survey's first."""
    return lambda site, _: [one for placer in placers for one in placer(site, wall_id)]


def hangings(document: Doc, placers: Iterable[Placer]) -> tuple[Hanging, ...]:
    site = Site(document)
    return tuple(one for placer in placers for one in placer(site, site.first))


# --- Cases ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Less:
    """A hanging that a designer would not choose over the case's own; `sound` where nothing is wrong with it."""

    why: str
    placers: Sequence[Placer]
    sound: bool = False


@dataclass(frozen=True)
class Case:
    """A house to hang, how a designer might (`placers`, one good way among several), and what any good way keeps to.

    `expects` pairs each check with a sentence of why; `less` are hangings that it is to be preferred to.
    """

    name: str
    idea: str
    document: Doc
    placers: Sequence[Placer]
    expects: Sequence[tuple[Check, str]]
    less: Sequence[Less] = ()

    @cached_property
    def house(self) -> House:
        return house_of(self.document)

    @cached_property
    def hung(self) -> tuple[Hanging, ...]:
        return hangings(self.document, self.placers)

    def others(self, less: Less) -> tuple[Hanging, ...]:
        """One of the hangings that the case's own is to be preferred to."""
        return hangings(self.document, less.placers)
