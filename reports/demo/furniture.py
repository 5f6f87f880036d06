"""What stands on and against the demonstration's walls, as its photographs show it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from .room import PX_A_MM, Canvas, Picture, Tone, rectangle, shade

PX = 0.5
WOOD: Tone = (62, 92, 128)
DARK_WOOD: Tone = (44, 60, 82)
CLOTH: Tone = (142, 146, 138)
WHITE: Tone = (238, 241, 242)
BRASS: Tone = (92, 140, 176)


@dataclass(frozen=True, slots=True)
class Standing:
    """An item of the wall [mm]."""

    kind: str
    left: float
    bottom: float
    width: float
    height: float
    depth: float

    @property
    def right(self) -> float:
        return self.left + self.width

    @property
    def top(self) -> float:
        return self.bottom + self.height

    @property
    def face(self) -> tuple[float, float, float, float]:
        return self.left, self.bottom, self.right, self.top


def paint_on_wall(canvas: Canvas, items: Sequence[Standing]) -> None:
    """What lies in the wall's plane, and the shadows of what stands before it."""
    for standing in items:
        painter = FLAT.get(standing.kind)
        if painter:
            painter(canvas, standing)
        elif standing.depth > 0:
            left, bottom, right, top = standing.face
            shade(canvas, (left - 20, bottom - 40, right + 70, top - 10), 60, 0.3)


def stand(picture: Picture, items: Sequence[Standing]) -> None:
    """Put what has depth before the wall, the deepest and the lowest last."""
    for standing in sorted(items, key=lambda item: (item.bottom == 0, item.depth)):
        if standing.kind not in FLAT and standing.kind != "table_lamp" and standing.depth > 0:
            DEEP.get(standing.kind, _block)(picture, standing)
    for one in items:
        if one.kind == "table_lamp":  # it stands on what was painted since
            _lamp(picture, one)


# In the wall's plane --------------------------------------------------------------------------------------------------


def _frame(canvas: Canvas, standing: Standing, border: float, tone: Tone) -> tuple[float, float, float, float]:
    left, bottom, right, top = standing.face
    shade(canvas, (left + 4, bottom - 10, right + 8, top - 4), 7, 0.35)
    rectangle(canvas, standing.face, tone)
    return left + border, bottom + border, right - border, top - border


def _window(canvas: Canvas, standing: Standing) -> None:
    left, bottom, right, top = _frame(canvas, standing, 70, WHITE)
    rows, columns = int((top - bottom) * PX_A_MM), int((right - left) * PX_A_MM)
    sky = np.linspace(0, 1, max(rows, 1))[:, None, None] * np.array([-26, -2, 18]) + np.array([246, 240, 226])
    land = np.clip((np.linspace(0, 1, max(rows, 1)) - 0.62) * 14, 0, 1)[:, None, None]
    seen = np.broadcast_to(sky * (1 - land) + np.array([150, 178, 160]) * land, (rows, columns, 3))
    y, x = canvas.shape[0] - int(top * PX_A_MM), int(left * PX_A_MM)
    canvas[y : y + rows, x : x + columns] = seen.astype(np.uint8)
    middle, across = (left + right) / 2, (bottom + top) / 2
    rectangle(canvas, (middle - 18, bottom, middle + 18, top), WHITE)
    rectangle(canvas, (left, across - 12, right, across + 12), WHITE)
    rectangle(canvas, (standing.left - 30, standing.bottom - 34, standing.right + 30, standing.bottom), WHITE)
    shade(canvas, (standing.left - 20, standing.bottom - 62, standing.right + 40, standing.bottom - 40), 12, 0.3)


def _door(canvas: Canvas, standing: Standing) -> None:
    left, _, right, top = _frame(canvas, standing, 60, WHITE)
    rectangle(canvas, (left, 0, right, top), (222, 228, 230))
    for low, high in ((0.08, 0.42), (0.5, 0.92)):
        panel = (left + 110, top * low + 30, right - 110, top * high)
        rectangle(canvas, panel, (204, 211, 214))
        rectangle(canvas, (panel[0] + 14, panel[1] + 14, panel[2] - 14, panel[3] - 14), (219, 225, 228))
    rectangle(canvas, (right - 90, 1000, right - 40, 1030), BRASS)


def _plate(canvas: Canvas, standing: Standing) -> None:
    left, bottom, right, top = _frame(canvas, standing, 0, (246, 248, 248))
    inset_x, inset_y = standing.width * 0.3, standing.height * 0.28
    rectangle(canvas, (left + inset_x, bottom + inset_y, right - inset_x, top - inset_y), (206, 212, 214))


def _slats(canvas: Canvas, standing: Standing) -> None:
    left, bottom, right, top = _frame(canvas, standing, 6, (228, 232, 233))
    for at in np.arange(bottom + 8, top - 8, 24):
        rectangle(canvas, (left + 8, at, right - 8, at + 7), (168, 174, 177))


def _niche(canvas: Canvas, standing: Standing) -> None:
    left, bottom, right, top = standing.face
    rectangle(canvas, standing.face, (168, 178, 182))
    shade(canvas, (left - 60, bottom, left + 80, top), 40, 0.3)
    shade(canvas, (left, top - 60, right, top + 60), 40, 0.3)


def _panel(canvas: Canvas, standing: Standing) -> None:
    left, bottom, right, top = _frame(canvas, standing, 0, (212, 221, 225))
    rectangle(canvas, (left + 14, bottom + 14, right - 14, top - 14), (176, 188, 193))
    rectangle(canvas, (left + 24, bottom + 24, right - 24, top - 24), (198, 209, 213))


FLAT: dict[str, Callable[[Canvas, Standing], None]] = {
    "window": _window,
    "door": _door,
    "opening": _niche,
    "niche": _niche,
    "panel": _panel,
    "outlet": _plate,
    "switch": _plate,
    "thermostat": _plate,
    "alarm": _plate,
    "sprinkler": _plate,
    "vent": _slats,
}

# Before the wall ------------------------------------------------------------------------------------------------------


def _front(standing: Standing, tone: Tone) -> Canvas:
    """A face lit from above."""
    rows, columns = max(int(standing.height * PX), 2), max(int(standing.width * PX), 2)
    fall = np.linspace(1.04, 0.86, rows)[:, None, None]
    face: Canvas = np.clip(np.array(tone) * np.broadcast_to(fall, (rows, columns, 1)), 0, 255).astype(np.uint8)
    return face


def _block(picture: Picture, standing: Standing, tone: Tone = WOOD) -> None:
    picture.box(
        (standing.left, standing.bottom, 0),
        (standing.right, standing.top, standing.depth),
        _front(standing, tone),
        tone,
    )


def _drawers(picture: Picture, standing: Standing) -> None:
    front = _front(standing, WOOD)
    foot, rows, columns = 90.0, 3, 2 if standing.width > 700 else 1
    rectangle(front, (0, 0, standing.width, foot), (30, 40, 52), PX)
    high, wide = (standing.height - foot - 40) / rows, standing.width / columns
    for row in range(rows):
        for column in range(columns):
            left, bottom = column * wide + 14, foot + row * high + 14
            rectangle(front, (left, bottom, left + wide - 28, bottom + high - 14), (70, 102, 140), PX)
            middle, knob = left + wide / 2 - 14, bottom + high / 2 - 8
            rectangle(front, (middle - 45, knob, middle + 45, knob + 14), BRASS, PX)
    picture.box((standing.left, standing.bottom, 0), (standing.right, standing.top, standing.depth), front, WOOD)


def _table(picture: Picture, standing: Standing) -> None:
    leg, slab = 55.0, 90.0
    for left in (standing.left + 10, standing.right - leg - 10):
        for back in (20.0, standing.depth - leg):
            post = Standing("leg", left, 0, leg, standing.top - slab, leg)
            picture.box((left, 0, back), (left + leg, post.height, back + leg), _front(post, DARK_WOOD), DARK_WOOD)
    top = Standing("top", standing.left, standing.top - slab, standing.width, slab, standing.depth)
    _block(picture, top)


def _sofa(picture: Picture, standing: Standing) -> None:
    arm, high, seat = standing.width * 0.09, standing.height * 0.68, standing.height * 0.5
    back = Standing(
        "back", standing.left + arm * 0.6, 120, standing.width - 1.2 * arm, standing.height - 120, standing.depth * 0.3
    )
    front = _front(back, CLOTH)
    for at in (1 / 3, 2 / 3):
        rectangle(front, (back.width * at - 5, 0, back.width * at + 5, back.height), (112, 116, 109), PX)
    picture.box((back.left, 120, 60), (back.right, standing.height, back.depth), front, CLOTH)
    lower = Standing("seat", standing.left + arm, 110, standing.width - 2 * arm, seat - 110, standing.depth)
    front = _front(lower, CLOTH)
    rectangle(front, (0, lower.height * 0.42, lower.width, lower.height * 0.46), (108, 112, 105), PX)
    for at in (1 / 3, 2 / 3):
        rectangle(
            front, (lower.width * at - 5, lower.height * 0.46, lower.width * at + 5, lower.height), (112, 116, 109), PX
        )
    picture.box((lower.left, 110, 60), (lower.right, seat, standing.depth), front, CLOTH)
    for left in (standing.left, standing.right - arm):
        side = Standing("arm", left, 110, arm, high - 110, standing.depth)
        picture.box((left, 110, 60), (left + arm, high, standing.depth), _front(side, (134, 138, 130)), CLOTH)
    for left in (standing.left + 40, standing.right - 110):
        foot = Standing("foot", left, 0, 70, 110, 70)
        picture.box(
            (left, 0, standing.depth - 110), (left + 70, 110, standing.depth - 40), _front(foot, DARK_WOOD), DARK_WOOD
        )


def _bed(picture: Picture, standing: Standing) -> None:
    picture.box((standing.left, 0, 0), (standing.right, standing.top, 70), _front(standing, DARK_WOOD), DARK_WOOD)
    cover = Standing("cover", standing.left + 20, 0, standing.width - 40, 560, standing.depth)
    picture.box(
        (cover.left, 120, 70), (cover.right, 560, standing.depth), _front(cover, (214, 220, 222)), (220, 226, 228)
    )


def _bookcase(picture: Picture, standing: Standing) -> None:
    front, rng = _front(standing, DARK_WOOD), np.random.default_rng(7)
    shelves = max(int(standing.height / 380), 1)
    high = (standing.height - 60) / shelves
    for shelf in range(shelves):
        floor, at = 40 + shelf * high, 40.0
        rectangle(front, (30, floor, standing.width - 30, floor + high - 30), (28, 36, 46), PX)
        while at < standing.width - 80:
            wide, tall = float(rng.uniform(22, 48)), float(high * rng.uniform(0.5, 0.8))
            tone = tuple(int(value) for value in rng.integers(50, 170, 3))
            rectangle(front, (at, floor, at + wide, floor + tall), tone, PX)
            at += wide + (160.0 if rng.random() < 0.07 else 1.5)
    picture.box((standing.left, 0, 0), (standing.right, standing.top, standing.depth), front, DARK_WOOD)


def _lamp(picture: Picture, standing: Standing) -> None:
    """A round lamp, which looks the same from everywhere: one face turned to the room."""
    rows, columns = int(standing.height * PX), int(standing.width * PX)
    face = np.zeros((rows, columns, 4), np.uint8)
    middle, shade_mm = standing.width / 2, min(standing.height * 0.3, 330.0)
    for box, tone in (
        ((middle - 9, 14, middle + 9, standing.height - shade_mm), BRASS),
        ((middle - standing.width * 0.3, 0, middle + standing.width * 0.3, 22), (70, 108, 140)),
    ):
        rectangle(face, box, (*tone, 255), PX)
    y = np.linspace(0, 1, max(int(shade_mm * PX), 2))[:, None]
    x = np.abs(np.linspace(-1, 1, columns))[None]
    glow = 1 - 0.16 * x**2 - 0.10 * y
    cloth = np.concatenate(
        [np.array([200, 226, 240]) * glow[..., None], ((x < 0.68 + 0.32 * y) * 255)[..., None]], axis=2
    )
    face[: cloth.shape[0]] = cloth.astype(np.uint8)
    picture.plane(
        face,
        (standing.left, standing.bottom, standing.depth / 2 + 40),
        np.eye(3)[0],
        np.eye(3)[1],
        (standing.width, standing.height),
    )


def _sconce(picture: Picture, standing: Standing) -> None:
    picture.box(
        (standing.left, standing.bottom, 0),
        (standing.right, standing.top, standing.depth),
        _front(standing, (196, 224, 240)),
        (170, 205, 224),
    )


def _radiator(picture: Picture, standing: Standing) -> None:
    front = _front(standing, WHITE)
    for at in np.arange(20, standing.width - 20, 60):
        rectangle(front, (at, 20, at + 24, standing.height - 20), (206, 211, 213), PX)
    picture.box((standing.left, standing.bottom, 20), (standing.right, standing.top, standing.depth), front, WHITE)


DEEP: dict[str, Callable[[Picture, Standing], None]] = {
    "sofa": _sofa,
    "bench": _table,
    "console": _table,
    "desk": _table,
    "end_table": _table,
    "sideboard": _drawers,
    "dresser": _drawers,
    "chest": _drawers,
    "nightstand": _drawers,
    "bookcase": _bookcase,
    "bed": _bed,
    "floor_lamp": _lamp,
    "sconce": _sconce,
    "radiator": _radiator,
}
