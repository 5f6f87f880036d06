"""The pen: line weights, ink, lettering, and the step from millimetres on the wall to units of the drawing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from placements.engine.house import Rect

INK = "#1d232b"
PENCIL = "#59606a"
RULE = "#d8d2c6"
SHEET = "#fffdf9"
WALL = "#faf6ee"
BOLE = "#8a3d2b"
VERDIGRIS = "#2b6a60"
OCHRE = "#855c0e"

FONT = "Overmantel Sans, Noto Sans, DejaVu Sans, sans-serif"

#: Advances in em of the drawing's sans, by character; anything else counts as `WIDE`.
_ADVANCE = {
    **dict.fromkeys(" ", 0.2),
    **dict.fromkeys("0123456789+=<>×", 0.497),
    **dict.fromkeys("′.,:;'iIjl|·", 0.26),
    **dict.fromkeys('″"()[]-/ftrs', 0.43),
    **dict.fromkeys("acegkopqdbhnuvxyz–", 0.55),
    **dict.fromkeys("½¼¾⅛⅜⅝⅞mwMW%@", 0.83),
    "⁄": 0.09,
    **dict.fromkeys("¹²³⁴⁵⁶⁷⁸⁹⁰₁₂₃₄₅₆₇₈₉₀", 0.37),
}
WIDE = 0.65


@dataclass(frozen=True, slots=True)
class Manner:
    """How much is drawn and how heavy, in drawing units.

    `cut`, `outline` and `fine` are the three weights (0.7 : 0.35 : 0.18); `text` the height of lettering.
    `details` are the inner lines of furniture; `strings` the dimension strings; `lettering` any text at all.
    `tags_outside` sets the pieces' numbers beside them; where one has no place there, all are set in empty outlines.
    `overall` strings measure the wall itself; `chained` ones run along what stands on the floor.
    """

    name: str
    cut: float
    outline: float
    fine: float
    text: float
    left: float = 0
    right: float = 0
    top: float = 0
    bottom: float = 0
    details: bool = True
    strings: bool = True
    lettering: bool = True
    overall: bool = True
    chained: bool = True
    tags_outside: bool = False


#: The wall page, in CSS pixels.
SCREEN = Manner("screen", 2.2, 1.1, 0.6, 12.5, left=58, right=100, top=54, bottom=88)
#: The wall page on a narrow screen, in CSS pixels: only what a piece needs, in lettering as large as the page's.
HAND = Manner("hand", 2.0, 1.0, 0.6, 13, left=8, right=36, top=40, bottom=14, overall=False, chained=False)
#: The install sheet, in millimetres of paper.
PAPER = Manner("paper", 0.7, 0.35, 0.18, 2.6, left=13, right=26, top=13, bottom=21, tags_outside=True)
#: The hanger's phone, in CSS pixels of a 390 px screen.
PHONE = Manner("phone", 2.2, 1.1, 0.6, 13, left=40, right=40, top=34, bottom=44, chained=False)
#: Walls side by side along one floor line, as a room is unrolled: no margins between them.
STRIP = Manner("strip", 1.6, 0.8, 0.4, 0, left=0.5, right=0.5, top=4, bottom=9, strings=False, lettering=False)
#: A small elevation without lettering.
THUMBNAIL = Manner(
    "thumbnail", 1.4, 0.7, 0.4, 0, left=6, right=6, top=4, bottom=7, details=False, strings=False, lettering=False
)


@dataclass(frozen=True, slots=True)
class Box:
    """A box in drawing units, y down."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def wide(self) -> float:
        return self.x1 - self.x0

    @property
    def high(self) -> float:
        return self.y1 - self.y0

    def grown(self, by: float) -> Box:
        """The box with `by` added on every side."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        return (
            self.x0 < other.x1 + gap
            and other.x0 < self.x1 + gap
            and self.y0 < other.y1 + gap
            and other.y0 < self.y1 + gap
        )


@dataclass(frozen=True, slots=True)
class View:
    """Where wall millimetres fall in the drawing: `scale` units a millimetre, origin at the wall's lower left."""

    scale: float
    origin_x: float
    origin_y: float

    def x(self, mm: float) -> float:
        return self.origin_x + mm * self.scale

    def y(self, mm: float) -> float:
        return self.origin_y - mm * self.scale

    def box(self, rect: Rect) -> Box:
        return Box(self.x(rect.left), self.y(rect.top), self.x(rect.right), self.y(rect.bottom))


def n(value: float) -> str:
    """A number as SVG writes it, to a hundredth of a unit."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def box_of(rect: Rect) -> str:
    """A rectangle of the wall [mm] for a script to read."""
    return f"[{n(rect.left)},{n(rect.bottom)},{n(rect.width)},{n(rect.height)}]"


def text_width(text: str, size: float) -> float:
    """Width of lettering [units], a little generous so that nothing measured by it touches."""
    return sum(_ADVANCE.get(letter, WIDE) for letter in text) * size


def tag(name: str, attributes: Mapping[str, object] | None = None, inner: str | None = None) -> str:
    """One element. Attribute names are as given; values are escaped, floats written by `n`; None leaves one out."""
    parts = [name]
    for key, value in (attributes or {}).items():
        if value is not None and value != "":
            shown = n(value) if isinstance(value, float | int) and not isinstance(value, bool) else str(value)
            parts.append(f'{key}="{escape(shown)}"')
    opened = " ".join(parts)
    return f"<{opened}/>" if inner is None else f"<{opened}>{inner}</{name}>"


def _hyphened(attributes: Mapping[str, object]) -> dict[str, object]:
    """Attributes as they are given in Python; underscores become hyphens."""
    return {key.replace("_", "-"): value for key, value in attributes.items()}


def group(css: str, inner: str, **attributes: object) -> str:
    """A group by its class. Empty groups are left out."""
    return tag("g", {"class": css, **_hyphened(attributes)}, inner) if inner else ""


def line(x0: float, y0: float, x1: float, y1: float, **attributes: object) -> str:
    return tag("line", {"x1": x0, "y1": y0, "x2": x1, "y2": y1, **_hyphened(attributes)})


def boxed(box: Box, css: str | None = None, **attributes: object) -> str:
    return tag("rect", {"class": css, **placed(box), **_hyphened(attributes)})


def placed(box: Box) -> dict[str, object]:
    """The attributes that lay an element over a box."""
    return {"x": box.x0, "y": box.y0, "width": box.wide, "height": box.high}


def titled(text: str, key: str | None = None, name: str = "title") -> str:
    """What an element is called, or with the name "desc" its description; `key` is the id that refers to it."""
    return tag(name, {"id": key}, escape(text, quote=False))


def label(
    text: str, x: float, y: float, size: float, anchor: str = "start", *, upright: bool = True, **attributes: object
) -> str:
    """Lettering with its baseline at y; not upright: turned to be read from the right."""
    return tag(
        "text",
        {
            "x": x,
            "y": y,
            "font-size": size,
            "text-anchor": None if anchor == "start" else anchor,
            "transform": None if upright else f"rotate(-90 {n(x)} {n(y)})",
            **_hyphened(attributes),
        },
        escape(text, quote=False),
    )


class Kit:
    """Draws one thing in wall millimetres; collects its parts from back to front.

    A `body` is filled with the sheet's colour and outlined; a `fine` line is of the dimension weight and left out
    where the manner drops details.
    """

    def __init__(self, view: View, manner: Manner) -> None:
        self.view = view
        self.manner = manner
        self.parts: list[str] = []

    def _add(self, name: str, attributes: dict[str, object], fine: bool) -> None:
        if fine:
            if not self.manner.details:
                return
            attributes = {"class": "fine", **attributes, "stroke-width": self.manner.fine, "fill": "none"}
        self.parts.append(tag(name, attributes))

    def body(self, x: float, y: float, w: float, h: float, r: float = 0, *, fine: bool = False, **more: object) -> None:
        """A rectangle from its lower left corner, corners rounded by r."""
        v = self.view
        self._add(
            "rect",
            {
                "x": v.x(x),
                "y": v.y(y + h),
                "width": w * v.scale,
                "height": h * v.scale,
                "rx": min(r, w / 2, h / 2) * v.scale or None,
                **_hyphened(more),
            },
            fine,
        )

    @property
    def dashes(self) -> str:
        """The dashes of a line that stands for what comes and goes."""
        return f"{n(self.manner.outline * 5)} {n(self.manner.outline * 3.5)}"

    def line(self, x0: float, y0: float, x1: float, y1: float, *, fine: bool = True) -> None:
        self.path("M", (x0, y0), "L", (x1, y1), fine=fine)

    def path(self, *steps: str | tuple[float, float], fine: bool = False, **more: object) -> None:
        """Path commands and points in wall millimetres: `"M", (x, y), "Q", (cx, cy), (x, y), "Z"`."""
        v = self.view
        d = " ".join(s if isinstance(s, str) else f"{n(v.x(s[0]))} {n(v.y(s[1]))}" for s in steps)
        self._add("path", {"d": d, **_hyphened(more)}, fine)

    def lines(self, points: Sequence[tuple[float, float, float, float]]) -> None:
        """Many fine lines as one path."""
        steps: list[str | tuple[float, float]] = []
        for x0, y0, x1, y1 in points:
            steps += ["M", (x0, y0), "L", (x1, y1)]
        if steps:
            self.path(*steps, fine=True)

    def oval(self, cx: float, cy: float, rx: float, ry: float, *, fine: bool = False, **more: object) -> None:
        v = self.view
        self._add("ellipse", {"cx": v.x(cx), "cy": v.y(cy), "rx": rx * v.scale, "ry": ry * v.scale, **more}, fine)

    def drawn(self) -> str:
        return "".join(self.parts)
