"""The page of a rule's picture: stages side by side, bars below one another, lettering where nothing can collide.

All lettering stands outside the stages: figures of level strings in rows above or below them, of upright strings in
the right margin, captions under them. Within a row, the margin and a caption each text has a stretch of its own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..dimensions import tick
from ..pen import FONT, INK, PENCIL, VERDIGRIS, View, group, label, line, n, tag, text_width, titled
from .stage import FIGURE, Stage, String, verdict_disc

WIDTH = 360.0
TEXT = FIGURE.text
LINE = TEXT * 1.3
ROW = TEXT * 1.75
COLUMN = 10.0
GAP = 16.0
#: Widest lettering in the right margin before it is broken.
MARGIN = 84.0


#: The spaces within a measure: 5′ 6″, 15.2 cm, 80 000 lux.
_MEASURE = re.compile(r"(?<=[′\d]) (?=[\d½¼¾⅛⅜⅝⅞]|(?:cm|mm|lb|kg|lux|lx|h|min)\b)")


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar on a common axis: from nought to `value`; `whole` draws the outline that it is a share of."""

    label: str
    value: float
    text: str
    whole: float | None = None


class Page:
    """A picture from top to bottom; `scale` of the first row of stages is what `data-scale` of the root says."""

    def __init__(self) -> None:
        self.y = 2.0
        self.parts: list[str] = []
        self.said: list[str] = []

    # stages

    def row(self, *stages: Stage, tallest: float = 210.0) -> None:
        """Stages side by side on one floor line, at one scale: the largest that fits."""
        last = stages[-1]
        columns, notes = _columns(last.beside), [broken(string.text, MARGIN) for string in last.beside]
        margin = FIGURE.right
        if notes:  # in two widths only, so that another figure does not change the scale
            margin = (
                16 + COLUMN * (max(columns) + 1) + MARGIN / (1 if any(_widest(n) > MARGIN / 2 for n in notes) else 2)
            )
        free = WIDTH - FIGURE.left - margin - GAP * (len(stages) - 1)
        units = sum(stage.length * stage.times for stage in stages)
        highest = max(stage.height * stage.times for stage in stages)
        scale = min(free / units, tallest / highest)
        spare = (free - units * scale) / len(stages)
        lefts, x = [], FIGURE.left
        for stage in stages:
            lefts.append(x)
            x += stage.length * stage.times * scale + spare + GAP
        end = WIDTH - (margin if notes else 2)
        above = _packed(_placed(stages, lefts, scale, lambda one: one.above), end)
        below = _packed(_placed(stages, lefts, scale, lambda one: one.below), end)
        top = self.y + FIGURE.top + ROW * _rows(above)
        floor = top + highest * scale
        for one, left in zip(stages, lefts, strict=True):
            view = View(scale * one.times, left, floor)
            self.parts.append(
                tag("g", {"class": "stage", "data-scale": f"{view.scale:.6f}", "data-x": left, "data-y": floor},
                    one.drawn(view))
            )  # fmt: skip
        self._level(above, lambda row: top - 5 - ROW * row, floor, top)
        self._level(below, lambda row: floor + 10 + ROW * (row + 1), floor, floor)
        view = View(scale * last.times, lefts[-1], floor)
        lowest = floor + ROW * _rows(below)
        lowest = max(lowest, self.y + sum(LINE * len(note) + 3 for note in notes))
        self._upright(last, view, columns, notes, self.y, lowest)
        self.y = max(floor + (20 if below else 12) + ROW * _rows(below), lowest + 4)
        self._captions(stages, lefts)

    def _level(self, strings: list[_Level], y_of: Callable[[int], float], floor: float, edge: float) -> None:
        lines, words = [], []
        for level in strings:
            y = y_of(level.row)
            off = edge if level.off is None else floor - level.off * level.scale
            lines += [line(level.x0, y, level.x1, y), _ticks((level.x0, y), (level.x1, y))]
            lines += [line(x, y, x, off, stroke_opacity="0.55") for x in (level.x0, level.x1) if abs(off - y) > 1]
            words.append(label(level.text, level.middle, y - 4, TEXT, "middle"))
        self._strings(lines, words)
        self.said += [level.text for level in strings]

    def _upright(
        self, stage: Stage, view: View, columns: list[int], notes: list[list[str]], top: float, low: float
    ) -> None:
        if not notes:
            return
        right = view.x(stage.length)
        at = right + 6 + COLUMN * (max(columns) + 1) + 10
        wanted = [
            (view.y((string.start + string.end) / 2), len(text) * LINE)
            for string, text in zip(stage.beside, notes, strict=True)
        ]
        middles = spread(wanted, top, low, 3.0)
        lines, words = [], []
        for string, column, text, middle, (target, _) in zip(
            stage.beside, columns, notes, middles, wanted, strict=True
        ):
            x, y0, y1 = right + 6 + COLUMN * column, view.y(string.start), view.y(string.end)
            off = right if string.off is None else view.x(string.off)
            lines += [line(x, y0, x, y1), _ticks((x, y0), (x, y1))]
            lines += [line(off, y, x, y, stroke_opacity="0.55") for y in (y0, y1)]
            lines.append(line(x, target, at - 3, middle, stroke_opacity="0.55"))
            start = middle - len(text) * LINE / 2 + TEXT
            words += [label(part, at, start + LINE * index, TEXT) for index, part in enumerate(text)]
        self._strings(lines, words)
        self.said += [string.text for string in stage.beside]

    def _strings(self, lines: list[str], words: list[str]) -> None:
        self.parts.append(group("strings", "".join(lines), stroke=INK, stroke_width=FIGURE.fine, fill="none"))
        self.parts.append(group("lettering", "".join(words), fill=INK, stroke="none"))

    def _captions(self, stages: Sequence[Stage], lefts: list[float]) -> None:
        lowest = self.y
        for index, (stage, left) in enumerate(zip(stages, lefts, strict=True)):
            end = lefts[index + 1] - GAP if index + 1 < len(stages) else WIDTH - 4
            y = self.y
            for caption in stage.captions:
                indent = 0.0 if caption.holds is None else 17.0
                lines = broken(caption.text, end - left - indent)
                if caption.holds is not None:
                    self.parts.append(verdict_disc(left + 6, y + LINE * 0.5, 6, caption.holds))
                self._words(lines, left + indent, y)
                self.said.append(
                    ("Holds: " if caption.holds else "Breaks: " if caption.holds is False else "") + caption.text
                )
                y += LINE * len(lines) + 3
            lowest = max(lowest, y)
        self.y = lowest + 2

    # bars

    def bars(
        self,
        title: str,
        rows: Sequence[Bar],
        at: Callable[[float], float],
        *,
        marks: Sequence[tuple[float, str]] = (),
    ) -> None:
        """Bars on one axis; `at` maps a value to 0–1 of it; `marks` are named dashed lines across."""
        if title:
            lines = broken(title, WIDTH - 2 * FIGURE.left)
            self._words(lines, FIGURE.left, self.y)
            self.y += LINE * len(lines) + 2
        named = [broken(bar.label, 140.0) for bar in rows]
        x0 = FIGURE.left + max(_widest(one) for one in named) + 8
        x1 = WIDTH - 6 - max(text_width(bar.text, TEXT) for bar in rows) - 6

        def x(value: float) -> float:
            return x0 + (x1 - x0) * min(max(at(value), 0.0), 1.0)

        if marks:
            self.y += LINE
            wide = [text_width(text, TEXT) for _, text in marks]
            middles = spread(
                [(x(value), each) for (value, _), each in zip(marks, wide, strict=True)], FIGURE.left, WIDTH - 4, 8
            )
            words = [label(text, m, self.y - 4, TEXT, "middle") for (_, text), m in zip(marks, middles, strict=True)]
            self.parts.append(group("lettering", "".join(words), fill=INK))
            self.said += [text for _, text in marks]
        start = self.y
        drawn = []
        for bar, name in zip(rows, named, strict=True):
            high = max(LINE * len(name), LINE) + 4
            middle = self.y + high / 2
            self._words(name, FIGURE.left, middle - LINE * len(name) / 2)
            if bar.whole is not None:
                drawn.append(_bar(x0, x(bar.whole), middle, fill="none", **{"stroke-dasharray": "3 2"}))
            drawn.append(line(x0, middle - 7, x0, middle + 7))
            drawn.append(_bar(x0, x(bar.value), middle, **{"fill-opacity": "0.3", "data-value": f"{bar.value:g}"}))
            self.parts.append(
                group("lettering", label(bar.text, WIDTH - 6, middle + TEXT * 0.36, TEXT, "end"), fill=INK)
            )
            self.said.append(f"{bar.label}: {bar.text}")
            self.y += high
        dashes = [line(x(value), start - 2, x(value), self.y, stroke_dasharray="4 3") for value, _ in marks]
        self.parts.append(
            tag("g", {"class": "guide clearance bars", "data-x0": x0, "data-x1": x1, "stroke": VERDIGRIS,
                      "stroke-width": 0.9, "fill": VERDIGRIS}, "".join(drawn))
            + group("guide eye-line", "".join(dashes), stroke=INK, stroke_width=0.9)
        )  # fmt: skip
        self.y += 6

    def words(self, text: str) -> None:
        """A line of explanation across the whole width."""
        lines = broken(text, WIDTH - 2 * FIGURE.left)
        self._words(lines, FIGURE.left, self.y, PENCIL)
        self.said.append(text)
        self.y += LINE * len(lines) + 4

    def _words(self, lines: list[str], x: float, y: float, ink: str = INK) -> None:
        css = "lettering" if ink == INK else "lettering quiet"
        inner = "".join(label(text, x, y + TEXT + LINE * index - 1, TEXT) for index, text in enumerate(lines))
        self.parts.append(group(css, inner, fill=ink, stroke="none"))

    def svg(self, name: str, title: str, css: str = "figure") -> str:
        uid = f"rule-{name}"
        said = ". ".join(dict.fromkeys(one.rstrip(".") for one in self.said))
        head = titled(title, f"{uid}-t") + titled(said, f"{uid}-d", "desc")
        high = self.y + 2
        return tag(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": f"elevation {css}",
                "viewBox": f"0 0 {n(WIDTH)} {n(high)}",
                "width": WIDTH,
                "height": high,
                "role": "img",
                "aria-labelledby": f"{uid}-t",
                "aria-describedby": f"{uid}-d",
                "font-family": FONT,
                "stroke-linejoin": "round",
            },
            head + "".join(self.parts),
        )


@dataclass(frozen=True, slots=True)
class _Level:
    """A level string in drawing units: its ends, its figure's middle, its row."""

    x0: float
    x1: float
    middle: float
    text: str
    off: float | None
    scale: float
    row: int = 0


def _placed(
    stages: Sequence[Stage], lefts: list[float], scale: float, strings: Callable[[Stage], list[String]]
) -> list[tuple[String, View]]:
    return [
        (string, View(scale * stage.times, left, 0.0))
        for stage, left in zip(stages, lefts, strict=True)
        for string in strings(stage)
    ]


def _packed(strings: list[tuple[String, View]], end: float) -> list[_Level]:
    """Each string in the lowest row where neither its line nor its figure comes near another; figures up to `end`."""
    rows: list[list[tuple[float, float]]] = []
    found = []
    for string, view in strings:
        x0, x1, wide = view.x(string.start), view.x(string.end), text_width(string.text, TEXT)
        middle = min(max((x0 + x1) / 2, wide / 2 + 2), end - wide / 2)
        low, high = min(x0, middle - wide / 2) - 5, max(x1, middle + wide / 2) + 5
        row = next((i for i, taken in enumerate(rows) if all(high <= a or b <= low for a, b in taken)), len(rows))
        if row == len(rows):
            rows.append([])
        rows[row].append((low, high))
        found.append(_Level(x0, x1, middle, string.text, string.off, view.scale, row))
    return found


def _rows(strings: Sequence[_Level]) -> int:
    return max((level.row + 1 for level in strings), default=0)


def _columns(strings: Sequence[String]) -> list[int]:
    """For each upright string the first column where no other is in its way."""
    columns: list[list[String]] = []
    found = []
    for string in strings:
        low, high = sorted((string.start, string.end))
        free = (
            i
            for i, taken in enumerate(columns)
            if all(high <= min(o.start, o.end) or max(o.start, o.end) <= low for o in taken)
        )
        index = next(free, len(columns))
        if index == len(columns):
            columns.append([])
        columns[index].append(string)
        found.append(index)
    return found


def spread(wanted: Sequence[tuple[float, float]], low: float, high: float, gap: float) -> list[float]:
    """Middles as near as can be to those wanted (middle, size) so that none overlap, between low and high."""
    order = sorted(range(len(wanted)), key=lambda i: wanted[i][0])
    placed = [0.0] * len(wanted)
    at = low
    for i in order:
        middle, size = wanted[i]
        placed[i] = max(middle, at + size / 2)
        at = placed[i] + size / 2 + gap
    at = high
    for i in reversed(order):
        size = wanted[i][1]
        placed[i] = min(placed[i], at - size / 2)
        at = placed[i] - size / 2 - gap
    return placed


def broken(text: str, width: float) -> list[str]:
    """The text in lines no wider than `width`, broken between words, never inside a measure."""
    lines: list[str] = []
    for word in _MEASURE.sub("\u2007", text).split(" "):
        if lines and text_width(f"{lines[-1]} {word}", TEXT) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return [line.replace("\u2007", " ") for line in lines]


def _widest(lines: Sequence[str]) -> float:
    return max(text_width(line, TEXT) for line in lines)


def _ticks(*points: tuple[float, float]) -> str:
    return tag("path", {"d": "".join(tick(x, y, FIGURE) for x, y in points), "stroke-width": FIGURE.outline})


def _bar(x0: float, x1: float, middle: float, **more: object) -> str:
    return tag("rect", {"x": x0, "y": middle - 4.5, "width": max(x1 - x0, 0.0), "height": 9, **more})
