"""Tiny walls, spaces and works for tests of the engine, given in inches and built in millimetres."""

from __future__ import annotations

from typing import Any

from placements.engine import scoring
from placements.engine.explain import Judged
from placements.engine.house import House, Item, Rect, Room, Wall, Work
from placements.engine.results import Finding, Hanging, Ideal, PlainWords, Space
from placements.engine.rulebook import Rulebook

INCH = 25.4


class InchWords(PlainWords):
    """Whole and decimal inches and pounds, so that a sentence can be read off in a test."""

    def length(self, mm: float) -> str:
        return f"{mm / INCH:.4g} in"

    def band(self, low_mm: float, high_mm: float) -> str:
        return f"{low_mm / INCH:.4g}–{high_mm / INCH:.4g} in"

    def size(self, width_mm: float, height_mm: float) -> str:
        return f"{width_mm / INCH:.4g} × {height_mm / INCH:.4g} in"


WORDS = InchWords()


def rect(left: float, bottom: float, width: float, height: float) -> Rect:
    """In inches."""
    return Rect(left * INCH, bottom * INCH, width * INCH, height * INCH)


def item(kind: str, left: float, bottom: float, width: float, height: float, depth: float = 0.0, **more: Any) -> Item:
    """In inches; the id is the kind unless given."""
    sizes = [one * INCH for one in (left, bottom, width, height, depth)]
    return Item(more.pop("id", kind), kind, *sizes, **more)


def work(name: str, width: float, height: float, depth: float = 1.5, **more: Any) -> Work:
    """In inches."""
    return Work(name, more.pop("title", name), width * INCH, height * INCH, depth * INCH, **more)


def wall(*items: Item, length: float = 168, height: float = 108, **more: Any) -> Wall:
    """In inches."""
    name = more.pop("id", "w")
    return Wall(name, more.pop("room", "r"), more.pop("name", name), length * INCH, height * INCH, items=items, **more)


def house(*works: Work, walls: tuple[Wall, ...], use: str = "living", **more: Any) -> House:
    """One room with these walls."""
    return House((Room("r", "Room", use, walls=walls),), tuple(works), **more)


def space(
    kind: str,
    area: Rect,
    *,
    shape: str = "landscape",
    over: Item | None = None,
    basis: float | None = None,
    **more: Any,
) -> Space:
    """A space on wall "w"; `basis` in inches, the bearer's length unless given."""
    ideal = Ideal((area.width * 0.3, area.width * 0.9), (area.height * 0.3, area.height * 0.9), shape)
    basis = more.pop("basis", None)
    width_basis = basis * INCH if basis is not None else over.width if over else area.width
    return Space(
        id=more.pop("id", f"w:{kind}"),
        room="r",
        wall=more.pop("wall", "w"),
        kind=kind,
        over=over.id if over else None,
        rect=area,
        shape=shape,
        advice=more.pop("advice", "hang"),
        reasons=(),
        ideal=ideal,
        width_basis=width_basis,
    )


SOFA = item("sofa", 42, 0, 84, 34, 36)


def over_sofa(*works: Work, **more: Any) -> tuple[House, Space]:
    """A sofa of 84 in, 34 in high, under 68 in of free wall."""
    return house(*works, walls=(wall(SOFA),), **more), space("over_furniture", rect(42, 34, 84, 68), over=SOFA)


def open_wall(*works: Work, width: float = 120, height: float = 90, **more: Any) -> tuple[House, Space]:
    """A wall with nothing before it, free from 6 in above the floor."""
    on = wall(**more.pop("wall", {}))
    return house(*works, walls=(on,), **more), space("open_wall", rect(24, 6, width, height))


def hang(piece: Work, left: float, bottom: float, on: str = "w") -> Hanging:
    """A piece's lower left corner, in inches."""
    return Hanging(piece.id, on, left * INCH, bottom * INCH)


def judged(where: tuple[House, Space], *hangings: Hanging, **house_rules: dict[str, float]) -> Judged:
    """The judgement of pieces at their places; house rules by name with underscores."""
    rulebook = Rulebook({name.replace("_", "-"): limits for name, limits in house_rules.items()})
    return scoring.judge(*where, hangings, rulebook, WORDS)


def said(found: Judged, rule: str) -> Finding | None:
    """The gravest finding of a rule, None where it says nothing."""
    return next((one for one in found.findings if one.rule == rule), None)


def level(found: Judged, rule: str) -> str | None:
    """The level of a rule's gravest finding."""
    finding = said(found, rule)
    return finding.level if finding else None


def group(where: tuple[House, Space], *boxes: tuple[float, float], **house_rules: dict[str, float]) -> Judged:
    """The judgement of the house's works hung in order at (left, bottom), in inches."""
    works = where[0].works[: len(boxes)]
    return judged(where, *(hang(piece, *box) for piece, box in zip(works, boxes, strict=True)), **house_rules)
