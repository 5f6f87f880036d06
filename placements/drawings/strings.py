"""The strings of an elevation: overall, what stands on the floor, and each measured piece."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Sequence

from placements.engine.facade import bearer_below
from placements.engine.house import Rect
from placements.engine.results import Words

from . import dimensions as dim
from .given import DrawnPiece, Elevation
from .pen import PENCIL, Box, Manner, View, label, line, text_width

#: What the string along the floor passes over: it belongs to the wall, or comes and goes.
_UNMEASURED = ("outlet", "vent", "panel", "wainscot", "door_leaf")


class Strings:
    """Draws the strings and takes their places on the sheet."""

    def __init__(
        self, given: Elevation, manner: Manner, words: Words, view: View, sheet: dim.Sheet, things: Sequence[Box]
    ) -> None:
        self.given, self.manner, self.words = given, manner, words
        self.view, self.sheet, self.things = view, sheet, things
        self.beads = [bead for item in given.wall.items if item.kind == "panel" for bead in _beads(view.box(item.rect))]

    def drawn(self) -> str:
        given = self.given
        measured = [piece for piece in given.pieces if piece.id in given.measured]
        running = "".join(self._running(i) for i in range(len(given.running)))
        taken_edges = {running.edge for running in given.running}
        parts = [
            dim.strings("overall", self._overall(), self.manner),
            dim.strings("standing", self._standing(), self.manner, PENCIL) if "bottom" not in taken_edges else "",
            dim.strings("across", self._across(measured), self.manner) if "top" not in taken_edges else "",
            dim.strings("up", self._up(measured), self.manner) if "right" not in taken_edges else "",
            dim.strings("near", "".join(self._near(piece) for piece in measured), self.manner),
            dim.strings("running", running, self.manner),
        ]
        return "".join(_unstroked(part) for part in parts)

    def _level(self, row: int) -> float:
        """The y of the row-th string below the floor, below the figures of running dimensions there."""
        return self.view.y(0) + running_depth(self.given, self.manner, "bottom") + self.manner.text * (2.9 + 2.2 * row)

    def _overall(self) -> str:
        v, m, wall = self.view, self.manner, self.given.wall
        if not m.overall:
            return ""
        beneath = any(running.edge == "bottom" for running in self.given.running)
        row = 1 if self._standing_edges() and not beneath else 0
        below = dim.chain_across(
            [v.x(0), v.x(wall.length)], [f"wall {self.words.length(wall.length)}"], self._level(row), m
        )
        x = v.x(0) - m.text * 2.2 - running_depth(self.given, m, "left")
        return below + dim.chain_up([v.y(0), v.y(wall.height)], [self.words.length(wall.height)], x, m)

    def _standing_edges(self) -> list[float]:
        wall = self.given.wall
        if not self.manner.chained:
            return []
        floor = [i for i in wall.items if i.bottom < 60 and i.kind not in _UNMEASURED]
        edges = [e for i in floor for e in (max(i.left, 0), min(i.left + i.width, wall.length))]
        return dim.distinct([0.0, *edges, wall.length], 12.0) if floor else []

    def _standing(self) -> str:
        edges = self._standing_edges()
        words, m = self.words, self.manner
        labels = []
        for a, b in itertools.pairwise(edges):
            item = next(
                (
                    i
                    for i in self.given.wall.items
                    if i.bottom < 60 and abs(i.left - a) < 13 and abs(i.left + i.width - b) < 13
                ),
                None,
            )
            text = words.length(b - a)
            named = f"{item.name} {text}" if item else text
            labels.append(named if text_width(named, m.text) < (b - a) * self.view.scale - m.text else text)
        return dim.chain_across([self.view.x(e) for e in edges], labels, self._level(0), m)

    def _across(self, measured: list[DrawnPiece]) -> str:
        """Above the ceiling: the wall's end, each measured piece's sides, the other end."""
        if not measured:
            return ""
        v, m, wall = self.view, self.manner, self.given.wall
        edges = dim.distinct([0.0, *(e for p in measured for e in (p.rect.left, p.rect.right)), wall.length])
        xs = [v.x(e) for e in edges]
        y = v.y(wall.height) - m.text * 1.9
        labels = [self.words.length(b - a) for a, b in itertools.pairwise(edges)]
        parts = [dim.chain_across(xs, labels, y, m)]
        for e in edges[1:-1]:
            top = max((v.y(p.rect.top) for p in measured if e in (p.rect.left, p.rect.right)), default=y)
            parts.append(dim.witness_up(v.x(e), y, top - m.text * 0.35, self.things))
        return "".join(parts)

    def _up(self, measured: list[DrawnPiece]) -> str:
        """Right of the wall: floor, each measured piece's bottom and top, ceiling."""
        if not measured:
            return ""
        v, m, wall = self.view, self.manner, self.given.wall
        edges = dim.distinct([0.0, *(e for p in measured for e in (p.rect.bottom, p.rect.top)), wall.height])
        x = v.x(wall.length) + m.text * 1.9
        labels = [self.words.length(b - a) for a, b in itertools.pairwise(edges)]
        parts = [dim.chain_up([v.y(e) for e in edges], labels, x, m)]
        for e in edges[1:-1]:
            right = max((v.x(p.rect.right) for p in measured if e in (p.rect.bottom, p.rect.top)), default=x)
            parts.append(dim.witness_across(v.y(e), right + m.text * 0.35, x, self.things))
        return "".join(parts)

    def _near(self, piece: DrawnPiece) -> str:
        return self._clearance(piece) + self._centre(piece)

    def _clearance(self, piece: DrawnPiece) -> str:
        """Between the piece's bottom edge and what it hangs over."""
        bearer = bearer_below(self.given.wall, piece.rect)
        below = [p for p in self.given.pieces if p.rect.top <= piece.rect.bottom and _overlap(p.rect, piece.rect)]
        if bearer is None or below:
            return ""
        v, m = self.view, self.manner
        left, right = max(piece.rect.left, bearer.left), min(piece.rect.right, bearer.left + bearer.width)
        top, low = v.y(piece.rect.bottom), v.y(bearer.bottom + bearer.height)
        if low - top < m.text * 0.6:
            return ""
        text = self.words.length(piece.rect.bottom - bearer.bottom - bearer.height)
        for share in (0.1, 0.9, 0.5, 0.3, 0.7, 0.2, 0.8):
            x = v.x(left + (right - left) * share)
            if self.sheet.is_free(_shrunk(dim.short_up_box(x, top, low, text, m), 0.6)):
                return dim.short_up(x, top, low, text, m, self.sheet)
        return ""

    def _centre(self, piece: DrawnPiece) -> str:
        """From the floor to the piece's centre, in the nearest clear strip of wall beside it."""
        v, m, r = self.view, self.manner, piece.rect
        t = m.text
        top, low = v.y(r.centre_y), v.y(0)
        text = f"centre {self.words.length(r.centre_y)}"
        if text_width(text, t) > low - top - t:
            return ""
        ends = v.x(0) + t * 1.6, v.x(self.given.wall.length) - t * 0.6
        for away in range(2, 60):
            for x in (v.x(r.right) + away * t, v.x(r.left) - away * t):
                strip = Box(x - t * 1.4, top, x + t * 0.4, low - m.cut)
                edge = (v.x(r.right), x) if x > v.x(r.right) else (x, v.x(r.left))
                run = Box(edge[0] + 0.5, top - 1, edge[1] - 0.5, top + 1)
                if ends[0] < x < ends[1] and self.sheet.is_free(strip, t * 0.2) and self.sheet.is_free(run):
                    self.sheet.take(strip)
                    witness = (edge[0], top, x + t * 0.4, top) if x > v.x(r.right) else (x - t * 0.4, top, edge[1], top)
                    lettered = label(
                        text, x - t * 0.35, self._clear_of_beads(x, low, top, text), t, "middle", upright=False
                    )
                    return line(*witness) + dim.chain_up([low, top], [""], x, m) + lettered
        return ""

    def _clear_of_beads(self, x: float, low: float, top: float, text: str) -> float:
        """Where along an upright string its text crosses no moulding: the middle where it can be."""
        m, half = self.manner, text_width(text, self.manner.text) / 2
        for share in (0.5, 0.38, 0.62, 0.3, 0.7, 0.25, 0.75):
            y = low + (top - low) * share
            box = Box(x - m.text * 1.2, y - half, x, y + half)
            if y + half < low and y - half > top and not any(box.meets(bead, m.text * 0.2) for bead in self.beads):
                return y
        return (low + top) / 2

    def _running(self, index: int) -> str:
        one, v, m, wall = self.given.running[index], self.view, self.manner, self.given.wall
        t = m.text
        if one.edge in ("top", "bottom"):
            y = v.y(wall.height) - t * 1.4 if one.edge == "top" else v.y(0) + t * 1.4
            xs = [v.x(a) for a in one.at]
            away = -1 if one.edge == "top" else 1
            return dim.running_across(xs, one.labels, y, v.x(0), away, m)
        x = v.x(0) - t * 1.4 if one.edge == "left" else v.x(wall.length) + t * 1.4
        return dim.running_up([v.y(a) for a in one.at], one.labels, x, v.y(0), -1 if one.edge == "left" else 1, m)


def running_depth(given: Elevation, manner: Manner, edge: str) -> float:
    """How far the running dimensions on an edge reach out from the wall [units]; 0 without any there."""
    longest = [
        text_width(text, manner.text) for running in given.running if running.edge == edge for text in running.labels
    ]
    return max(longest) + manner.text * 1.4 if longest else 0.0


def with_room_for_running(given: Elevation, manner: Manner) -> Manner:
    """The manner with margins that hold the running dimensions: before the strings of an edge, or instead of them."""
    depth = {edge: running_depth(given, manner, edge) for edge in ("top", "right", "bottom", "left")}
    return dataclasses.replace(
        manner,
        top=max(manner.top, depth["top"] + manner.text * 1.2),
        right=max(manner.right, depth["right"] + manner.text * 1.2),
        # Running dimensions below the floor stand in the place of the chain along the furniture.
        bottom=manner.bottom + depth["bottom"] - (manner.text * 2.2 if depth["bottom"] and manner.chained else 0.0),
        left=manner.left + depth["left"],
    )


def _beads(b: Box) -> tuple[Box, ...]:
    """The four sides of a picture-frame moulding."""
    w = min(b.wide * 0.1, b.high * 0.1)
    return (
        Box(b.x0, b.y0, b.x1, b.y0 + w),
        Box(b.x0, b.y1 - w, b.x1, b.y1),
        Box(b.x0, b.y0, b.x0 + w, b.y1),
        Box(b.x1 - w, b.y0, b.x1, b.y1),
    )


def _unstroked(part: str) -> str:
    """Lettering inside a group of strings is filled, never stroked."""
    return part.replace("<text ", '<text stroke="none" ')


def _overlap(a: Rect, b: Rect) -> bool:
    return a.left < b.right and b.left < a.right


def _shrunk(box: Box, by: float) -> Box:
    return Box(box.x0, box.y0 + by, box.x1, box.y1 - by)
