"""One stretch of wall in a rule's picture: what stands and hangs there, and what of it is dimensioned."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

from placements.engine.house import Item, Rail, Rect, Wall

from ..art import draw_piece
from ..finishes import draw_finish
from ..given import DrawnPiece
from ..pen import BOLE, INK, OCHRE, PENCIL, SCREEN, SHEET, VERDIGRIS, Manner, View, boxed, group, line, n, tag
from ..room import draw_face, draw_ground, draw_outline, draw_rail

FIGURE: Manner = replace(SCREEN, name="figure", cut=1.8, outline=0.9, fine=0.55, text=12, left=6, right=6, top=6)
INCH = 25.4

Band = Literal["allowed", "eye", "care"]
_BANDS = {"allowed": ("clearance", VERDIGRIS), "eye": ("eye-line", BOLE), "care": ("care", OCHRE)}


@dataclass(frozen=True, slots=True)
class String:
    """A dimension from `start` to `end` [mm] with its figure; witness lines come from `off` [mm] on the other axis."""

    start: float
    end: float
    text: str
    off: float | None = None


@dataclass(frozen=True, slots=True)
class Caption:
    text: str
    holds: bool | None = None


@dataclass
class Stage:
    """A stretch of wall, to scale, in wall millimetres.

    length, height : what of the wall is shown [mm]
    whole : with floor, ceiling and ends; else only the wall's face, as in a detail
    times : enlarged against the other stages of its row
    """

    length: float
    height: float
    items: tuple[Item, ...] = ()
    rail: Rail | None = None
    finish: str = "paint"
    accent: bool = False
    whole: bool = True
    times: float = 1.0
    above: list[String] = field(default_factory=list)
    below: list[String] = field(default_factory=list)
    beside: list[String] = field(default_factory=list)
    captions: list[Caption] = field(default_factory=list)
    _under: list[Callable[[View], str]] = field(default_factory=list)
    _over: list[Callable[[View], str]] = field(default_factory=list)

    def piece(
        self,
        rect: Rect,
        holds: bool | None = None,
        *,
        form: str = "painting",
        frame: str = "oak",
        frame_mm: float | None = None,
        glazed: bool = False,
    ) -> None:
        """A piece; `holds` marks it with a tick or a cross, and one that breaks the rule is drawn in pencil."""
        ink = PENCIL if holds is False else INK
        tone = "" if form in ("basket", "clock", "mirror", "relief", "textile") else "#8fa3ad"
        given = DrawnPiece(
            "p",
            "",
            rect,
            form=form,
            frame=frame,
            frame_mm=frame_mm,
            tone=tone,
            mat_mm=rect.width * 0.12 if glazed else None,
        )

        def draw(view: View) -> str:
            drawn = draw_piece(given, view, FIGURE)
            return group(
                "piece" + (" broken" if holds is False else ""),
                drawn, stroke=ink, stroke_width=FIGURE.outline, fill=SHEET, data_mm=_said(rect),
            ) + (_mark(view, rect, holds) if holds is not None else "")  # fmt: skip

        self._over.append(draw)

    def band(self, rect: Rect, kind: Band = "allowed", *, upright: bool = False, over: bool = False) -> None:
        """A band that the rule allows (or, of care, forbids), dashed along its two ends."""
        css, ink = _BANDS[kind]

        def draw(view: View) -> str:
            b = view.box(rect)
            ends = (
                ((b.x0, b.y0, b.x0, b.y1), (b.x1, b.y0, b.x1, b.y1))
                if upright
                else ((b.x0, b.y0, b.x1, b.y0), (b.x0, b.y1, b.x1, b.y1))
            )
            face = boxed(b, fill_opacity="0.13", stroke="none")
            dashes = "".join(line(*end, stroke_dasharray="4 3") for end in ends)
            return group(f"guide {css}", face + dashes, stroke=ink, stroke_width=0.8, fill=ink, data_mm=_said(rect))

        (self._over if over else self._under).append(draw)

    def outline(self, rect: Rect, kind: Band = "allowed") -> None:
        """A dashed rectangle."""
        css, ink = _BANDS[kind]

        def draw(view: View) -> str:
            shape = boxed(view.box(rect), stroke_dasharray="4 3", fill_opacity="0.07")
            return group(f"guide {css}", shape, stroke=ink, stroke_width=0.8, fill=ink, data_mm=_said(rect))

        self._under.append(draw)

    def draw(self, drawn: Callable[[View], str], *, under: bool = False) -> None:
        """Anything else, drawn by the caller once the scale is known."""
        (self._under if under else self._over).append(drawn)

    def across(self, start: float, end: float, text: str, off: float | None = None, *, below: bool = False) -> None:
        """A level string above the stage, or below it; witness lines start at the height `off`."""
        (self.below if below else self.above).append(String(start, end, text, off))

    def up(self, start: float, end: float, text: str, off: float | None = None) -> None:
        """An upright string right of the stage; witness lines start at `off` along it."""
        self.beside.append(String(start, end, text, off))

    def caption(self, text: str, holds: bool | None = None) -> None:
        self.captions.append(Caption(text, holds))

    def drawn(self, view: View) -> str:
        wall = Wall("s", "r", "", self.length, self.height, items=self.items, rail=self.rail, finish=self.finish,
                    accent=self.accent)  # fmt: skip
        ink = {"stroke": INK, "stroke_width": FIGURE.outline, "fill": SHEET}
        ground = draw_ground(wall, view, FIGURE) if self.whole else draw_face(wall, view) + _edges(view, self)
        outlines = "".join(tag("g", {"data-mm": _said(i.rect)}, draw_outline(i, view, FIGURE)) for i in self.items)
        return "".join(
            (
                ground,
                draw_finish(wall, view, FIGURE),
                "".join(one(view) for one in self._under),
                group("items", outlines, **ink),
                draw_rail(wall, view, FIGURE, ink),
                "".join(one(view) for one in self._over),
            )
        )


def item(kind: str, left: float, bottom: float, width: float, height: float) -> Item:
    """An item by its measures in inches."""
    return Item(kind, kind, left * INCH, bottom * INCH, width * INCH, height * INCH)


def inches(left: float, bottom: float, width: float, height: float) -> Rect:
    return Rect(left * INCH, bottom * INCH, width * INCH, height * INCH)


def sloped(run: float, edge: Callable[[float], float], wide: float) -> Callable[[View], str]:
    """A band of a width [mm] along a sloping line."""

    def draw(view: View) -> str:
        x0, x1, half = view.x(0), view.x(run), wide / 2
        points = [
            (x0, view.y(edge(0) + half)),
            (x1, view.y(edge(run) + half)),
            (x1, view.y(edge(run) - half)),
            (x0, view.y(edge(0) - half)),
        ]
        d = "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points) + "Z"
        return group(
            "guide eye-line", tag("path", {"d": d, "fill-opacity": "0.2"}), stroke=BOLE, stroke_width=0.7, fill=BOLE
        )

    return draw


def _said(rect: Rect) -> str:
    return f"{n(rect.left)} {n(rect.bottom)} {n(rect.width)} {n(rect.height)}"


def _edges(view: View, stage: Stage) -> str:
    """The edge of a detail: a fine line all round."""
    shape = boxed(view.box(Rect(0, 0, stage.length, stage.height)), fill="none")
    return group("skirting", shape, stroke=PENCIL, stroke_width=FIGURE.fine)


def _mark(view: View, rect: Rect, holds: bool) -> str:
    """A tick or a cross in a disc at the piece's middle."""
    b = view.box(rect)
    return verdict_disc((b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2, min(8.0, max(5.0, b.wide * 0.3)), holds)


def verdict_disc(x: float, y: float, r: float, holds: bool) -> str:
    """The sign of what holds (a tick) and of what breaks (a cross): told by its shape first, by colour second."""
    a = r * 0.45
    d = (
        f"M{n(x - a)} {n(y + a * 0.1)}L{n(x - a * 0.25)} {n(y + a * 0.85)}L{n(x + a)} {n(y - a * 0.8)}"
        if holds
        else f"M{n(x - a)} {n(y - a)}L{n(x + a)} {n(y + a)}M{n(x + a)} {n(y - a)}L{n(x - a)} {n(y + a)}"
    )
    ink = VERDIGRIS if holds else BOLE
    disc = tag("circle", {"class": "disc", "cx": x, "cy": y, "r": r, "fill": SHEET})
    stroke = tag("path", {"d": d, "fill": "none", "stroke-width": 1.7})
    return group(f"verdict {'holds' if holds else 'breaks'}", disc + stroke, stroke=ink, stroke_width=1.1)
