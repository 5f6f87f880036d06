"""Outlines of what stands on the floor or on a bearer. Each draws one kind inside its rectangle [mm]."""

from __future__ import annotations

from collections.abc import Callable

from placements.engine.house import Rect

from .pen import Kit

Outline = Callable[[Kit, Rect], None]


def _feet(k: Kit, r: Rect, height: float, *, width: float = 45, inset: float = 60) -> None:
    width = min(width, r.width / 8)
    inset = min(inset, r.width / 6)
    k.body(r.left + inset, r.bottom, width, height)
    k.body(r.right - inset - width, r.bottom, width, height)


def sofa(k: Kit, r: Rect) -> None:
    foot = min(110, r.height * 0.14)
    arm = min(230, r.width * 0.13)
    arm_top = r.height * 0.72
    seat_low, seat_high = foot + r.height * 0.15, foot + r.height * 0.33
    inner = r.width - 2 * arm
    _feet(k, r, foot, width=60, inset=arm * 0.4)
    k.body(r.left + arm * 0.55, r.bottom + foot, r.width - arm * 1.1, r.height - foot, 90)
    k.body(r.left + arm, r.bottom + foot, inner, seat_high - foot)
    seats = 3 if inner > 1650 else 2 if inner > 900 else 1
    each = inner / seats
    k.body(r.left + arm, r.bottom + seat_low, inner, seat_high - seat_low, 30)
    k.lines(
        [(r.left + arm + each * i, r.bottom + seat_low, r.left + arm + each * i, r.top - 40) for i in range(1, seats)]
    )
    k.body(r.left, r.bottom + foot, arm, arm_top - foot, 70)
    k.body(r.right - arm, r.bottom + foot, arm, arm_top - foot, 70)


def bed(k: Kit, r: Rect) -> None:
    foot = min(120, r.height * 0.1)
    mattress = min(r.height * 0.56, 620)
    inset = min(50, r.width * 0.03)
    k.body(r.left, r.bottom, r.width, r.height, 60)
    k.body(r.left + 60, r.bottom + mattress, r.width - 120, r.height - mattress - 60, 30, fine=True)
    pillows = 2 if r.width > 1150 else 1
    each = (r.width - 2 * inset - 120) / pillows
    height = max(min(330, (r.height - mattress) * 0.62), 120)
    for i in range(pillows):
        left = r.left + inset + 60 + each * i
        k.path(
            "M", (left + 40, r.bottom + mattress), "Q", (left, r.bottom + mattress + height * 0.5),
            (left + 50, r.bottom + mattress + height), "Q", (left + each / 2, r.bottom + mattress + height * 0.88),
            (left + each - 50, r.bottom + mattress + height), "Q", (left + each, r.bottom + mattress + height * 0.5),
            (left + each - 40, r.bottom + mattress), "Z",
        )  # fmt: skip
    _feet(k, r, foot, width=70, inset=inset + 40)
    k.body(r.left + inset, r.bottom + foot, r.width - 2 * inset, mattress - foot + 30, 70)
    k.line(r.left + inset, r.bottom + mattress * 0.62, r.right - inset, r.bottom + mattress * 0.62)


def _top(k: Kit, r: Rect, thick: float = 32) -> float:
    """A table top across the whole width; returns its underside's height above the rectangle's bottom."""
    thick = min(thick, r.height * 0.12)
    k.body(r.left, r.top - thick, r.width, thick, 6)
    return r.height - thick


def console(k: Kit, r: Rect) -> None:
    leg = min(48, r.width / 12)
    inset = min(40, r.width / 20)
    under = r.height - min(32, r.height * 0.12)
    for x in (r.left + inset, r.right - inset - leg):
        k.body(x, r.bottom, leg, under)
    apron = min(110, under * 0.18)
    k.body(r.left + inset, r.bottom + under - apron, r.width - 2 * inset, apron)
    k.body(r.left + inset + leg, r.bottom + under * 0.18, r.width - 2 * (inset + leg), 26)
    drawers = 3 if r.width > 1300 else 2
    each = (r.width - 2 * inset) / drawers
    k.lines(
        [
            (r.left + inset + each * i, r.bottom + under - apron, r.left + inset + each * i, r.bottom + under)
            for i in range(1, drawers)
        ]
    )
    _top(k, r)


def _knobs(k: Kit, centres: list[tuple[float, float]]) -> None:
    for x, y in centres:
        k.oval(x, y, 14, 14, fine=True)


def _case(k: Kit, r: Rect, *, columns: int, rows: int, foot: float = 90, doors: bool = False) -> None:
    """A case on feet with a top, divided into drawers or doors."""
    foot = min(foot, r.height * 0.14)
    _feet(k, r, foot, width=55)
    k.body(r.left + 12, r.bottom + foot, r.width - 24, r.height - foot)
    under = _top(k, r, 28)
    gap = min(24, r.width / 40)
    wide = (r.width - 24 - gap * (columns + 1)) / columns
    tall = (under - foot - gap * (rows + 1)) / rows
    knobs = []
    for i in range(columns):
        for j in range(rows):
            x = r.left + 12 + gap + i * (wide + gap)
            y = r.bottom + foot + gap + j * (tall + gap)
            k.body(x, y, wide, tall, 8, fine=True)
            if doors:
                knobs.append((x + (wide - 40 if i % 2 == 0 else 40), y + tall * 0.6))
            else:
                knobs += (
                    [(x + wide / 2, y + tall / 2)]
                    if wide < 620
                    else [(x + wide * f, y + tall / 2) for f in (0.25, 0.75)]
                )
    _knobs(k, knobs)


def sideboard(k: Kit, r: Rect) -> None:
    _case(k, r, columns=4 if r.width > 1300 else 2, rows=1, foot=150, doors=True)


def dresser(k: Kit, r: Rect) -> None:
    _case(k, r, columns=2 if r.width > 950 else 1, rows=3)


def chest(k: Kit, r: Rect) -> None:
    _case(k, r, columns=1, rows=4 if r.height > 900 else 3)


def nightstand(k: Kit, r: Rect) -> None:
    _case(k, r, columns=1, rows=2, foot=150)


def end_table(k: Kit, r: Rect) -> None:
    leg = min(36, r.width / 8)
    for x in (r.left + 30, r.right - 30 - leg):
        k.body(x, r.bottom, leg, r.height - 24)
    k.body(r.left + 30, r.bottom + r.height * 0.24, r.width - 60, 22)
    _top(k, r, 28)


def desk(k: Kit, r: Rect) -> None:
    leg = min(50, r.width / 14)
    under = r.height - 32
    pedestal = min(430, r.width * 0.34)
    k.body(r.left + 30, r.bottom, leg, under)
    k.body(r.right - 30 - pedestal, r.bottom + 40, pedestal, under - 40)
    each = (under - 40) / 3
    k.lines(
        [(r.right - 30 - pedestal, r.bottom + 40 + each * i, r.right - 30, r.bottom + 40 + each * i) for i in (1, 2)]
    )
    _knobs(k, [(r.right - 30 - pedestal / 2, r.bottom + 40 + each * (i + 0.5)) for i in range(3)])
    k.body(r.left + 30 + leg, r.bottom + under - 90, r.width - 60 - leg - pedestal, 90)
    _top(k, r)


def bench(k: Kit, r: Rect) -> None:
    seat = r.height * 0.3
    _feet(k, r, r.height - seat, width=50, inset=90)
    k.body(r.left + 40, r.top - seat - 40, r.width - 80, 40)
    k.body(r.left, r.top - seat, r.width, seat, 45)


def piano(k: Kit, r: Rect) -> None:
    """An upright piano, seen from the keyboard."""
    keys = r.bottom + min(680, r.height * 0.56)
    cheek = min(70, r.width / 16)
    k.body(r.left, r.bottom + 60, r.width, r.height - 60)
    k.body(r.left, r.bottom, r.width, 60)
    _top(k, r, 30)
    k.body(r.left + 110, keys + 170, r.width - 220, r.top - keys - 290, fine=True)
    k.body(r.left + 110, r.bottom + 130, r.width - 220, keys - r.bottom - 270, fine=True)
    k.body(r.left + cheek * 0.3, keys - 60, r.width - cheek * 0.6, 150)
    step = 47
    count = int((r.width - 2 * cheek) / step)
    start = r.centre_x - count * step / 2
    k.lines([(start + step * i, keys, start + step * i, keys + 60) for i in range(count + 1)])
    k.line(start, keys, start + count * step, keys)
    k.line(start, keys + 60, start + count * step, keys + 60)
    for x in (r.left + cheek * 0.5, r.right - cheek * 1.5):
        k.body(x, r.bottom + 60, cheek, keys - r.bottom - 120)
    k.lines([(r.centre_x + dx, r.bottom + 20, r.centre_x + dx, r.bottom + 55) for dx in (-90, 0, 90)])


def mantel(k: Kit, r: Rect) -> None:
    """A mantelpiece over a firebox with a hearth; the shelf is the rectangle's top."""
    shelf = min(70, r.height * 0.07)
    cornice = min(70, r.height * 0.06)
    leg = min(260, r.width * 0.17)
    lintel = min(300, r.height * 0.24)
    body_top = r.top - shelf - cornice
    k.body(r.left + 50, r.bottom, r.width - 100, body_top - r.bottom)
    k.body(r.left + 30, body_top, r.width - 60, cornice)
    k.body(r.left, r.top - shelf, r.width, shelf, 6)
    opening = Rect(r.left + leg, r.bottom, r.width - 2 * leg, body_top - r.bottom - lintel)
    k.body(opening.left - 60, opening.bottom, opening.width + 120, opening.height + 60, fine=True)
    k.body(opening.left, opening.bottom, opening.width, opening.height)
    inner = Rect(opening.left + 90, opening.bottom, opening.width - 180, opening.height - 80)
    k.body(inner.left, inner.bottom, inner.width, inner.height, fine=True)
    k.lines(
        [
            (opening.left, opening.top, inner.left, inner.top),
            (opening.right, opening.top, inner.right, inner.top),
        ]
    )
    k.lines(_hatch(inner, 55))
    k.body(r.left + 85, r.bottom + 40, leg - 175, body_top - r.bottom - lintel - 40, fine=True)
    k.body(r.right - leg + 90, r.bottom + 40, leg - 175, body_top - r.bottom - lintel - 40, fine=True)
    k.body(r.left + leg, body_top - lintel + 100, opening.width, lintel - 160, fine=True)
    k.body(r.left + 20, r.bottom, r.width - 40, 30)


def _hatch(r: Rect, step: float) -> list[tuple[float, float, float, float]]:
    """Diagonal hatch that stays inside a rectangle."""
    lines = []
    c = step
    while c < r.width + r.height:
        x0, y0 = (r.left + c, r.bottom) if c <= r.width else (r.right, r.bottom + c - r.width)
        x1, y1 = (r.left, r.bottom + c) if c <= r.height else (r.left + c - r.height, r.top)
        lines.append((x0, y0, x1, y1))
        c += step
    return lines


def bookcase(k: Kit, r: Rect) -> None:
    side = min(30, r.width / 16)
    k.body(r.left, r.bottom, r.width, r.height)
    k.body(r.left + side, r.bottom + 80, r.width - 2 * side, r.height - 80 - side, fine=True)
    shelves = max(2, round((r.height - 80) / 360))
    each = (r.height - 80 - side) / shelves
    books = []
    for j in range(shelves):
        low = r.bottom + 80 + each * j
        if j:
            k.body(r.left + side, low - 11, r.width - 2 * side, 22)
        x = r.left + side + 25
        stop = r.right - side - (r.width * (0.42 if j % 3 == 1 else 0.14))
        i = 0
        while x < stop:
            thick = 26 + (i * 17 + j * 11) % 24
            tall = each * (0.5 + ((i * 7 + j * 5) % 5) * 0.07)
            base = low + 11 if j else low
            books += [
                (x, base, x, base + tall),
                (x, base + tall, x + thick, base + tall),
                (x + thick, base, x + thick, base + tall),
            ]
            x += thick
            i += 1
    k.lines(books)


def cabinet(k: Kit, r: Rect) -> None:
    base = 80 if r.bottom < 30 else 0
    cornice = min(60, r.height * 0.05)
    k.body(r.left + 15, r.bottom, r.width - 30, r.height - cornice)
    k.body(r.left, r.top - cornice, r.width, cornice)
    doors = max(1, round(r.width / 480))
    each = (r.width - 30) / doors
    for i in range(doors):
        x = r.left + 15 + each * i
        k.body(x, r.bottom + base, each, r.height - cornice - base, fine=True)
        k.body(x + 60, r.bottom + base + 60, each - 120, r.height - cornice - base - 120, fine=True)
    _knobs(
        k,
        [
            (r.left + 15 + each * i + (each - 30 if i % 2 == 0 else 30), r.bottom + base + (r.height - base) * 0.45)
            for i in range(doors)
        ],
    )


def _shade(k: Kit, cx: float, low: float, height: float, width: float) -> None:
    k.path(
        "M", (cx - width / 2, low), "L", (cx - width * 0.3, low + height), "L", (cx + width * 0.3, low + height),
        "L", (cx + width / 2, low), "Z",
    )  # fmt: skip


def floor_lamp(k: Kit, r: Rect) -> None:
    shade = min(r.height * 0.22, 340)
    k.body(r.centre_x - 11, r.bottom + 25, 22, r.height - shade - 20)
    k.path(
        "M", (r.centre_x - r.width * 0.36, r.bottom), "Q", (r.centre_x - r.width * 0.2, r.bottom + 34),
        (r.centre_x, r.bottom + 36), "Q", (r.centre_x + r.width * 0.2, r.bottom + 34),
        (r.centre_x + r.width * 0.36, r.bottom), "Z",
    )  # fmt: skip
    _shade(k, r.centre_x, r.top - shade, shade, r.width)


def table_lamp(k: Kit, r: Rect) -> None:
    shade = r.height * 0.46
    w = r.width
    k.body(r.centre_x - w * 0.2, r.bottom, w * 0.4, r.height * 0.06)
    low, high = r.bottom + r.height * 0.06, r.top - shade
    k.path(
        "M", (r.centre_x - w * 0.09, low), "C", (r.centre_x - w * 0.34, low + (high - low) * 0.4),
        (r.centre_x - w * 0.2, high - 20), (r.centre_x - w * 0.04, high), "L", (r.centre_x + w * 0.04, high), "C",
        (r.centre_x + w * 0.2, high - 20), (r.centre_x + w * 0.34, low + (high - low) * 0.4),
        (r.centre_x + w * 0.09, low), "Z",
    )  # fmt: skip
    _shade(k, r.centre_x, high, shade, w)


def tall_plant(k: Kit, r: Rect) -> None:
    pot = min(r.height * 0.22, 380)
    w = min(r.width * 0.5, 380)
    base = r.bottom + pot
    leaves = (
        (-0.46, 0.62),
        (0.46, 0.66),
        (-0.34, 0.86),
        (0.36, 0.9),
        (-0.12, 1.0),
        (0.16, 0.97),
        (-0.48, 0.42),
        (0.48, 0.45),
    )
    for dx, up in leaves:
        tip = (r.centre_x + dx * r.width, base + (r.top - base) * up)
        bend = (r.centre_x + dx * r.width * 0.25, base + (tip[1] - base) * 0.75)
        fat = (r.centre_x + dx * r.width * 0.85, base + (tip[1] - base) * 0.5)
        k.path("M", (r.centre_x, base), "Q", bend, tip, "Q", fat, (r.centre_x, base), "Z")
        k.path("M", (r.centre_x, base), "Q", ((bend[0] + fat[0]) / 2, (bend[1] + fat[1]) / 2), tip, fine=True)
    k.path(
        "M", (r.centre_x - w * 0.36, r.bottom), "L", (r.centre_x - w / 2, base), "L", (r.centre_x + w / 2, base),
        "L", (r.centre_x + w * 0.36, r.bottom), "Z",
    )  # fmt: skip
    k.line(r.centre_x - w * 0.48, base - 50, r.centre_x + w * 0.48, base - 50)


def ornament(k: Kit, r: Rect) -> None:
    w, h = r.width, r.height
    k.path(
        "M", (r.centre_x - w * 0.25, r.bottom), "C", (r.left - w * 0.05, r.bottom + h * 0.3),
        (r.left + w * 0.05, r.bottom + h * 0.62), (r.centre_x - w * 0.14, r.bottom + h * 0.82), "L",
        (r.centre_x - w * 0.22, r.top), "L", (r.centre_x + w * 0.22, r.top), "L",
        (r.centre_x + w * 0.14, r.bottom + h * 0.82), "C", (r.right - w * 0.05, r.bottom + h * 0.62),
        (r.right + w * 0.05, r.bottom + h * 0.3), (r.centre_x + w * 0.25, r.bottom), "Z",
    )  # fmt: skip
    k.line(r.left + w * 0.12, r.bottom + h * 0.5, r.right - w * 0.12, r.bottom + h * 0.5)


def custom(k: Kit, r: Rect) -> None:
    k.body(r.left, r.bottom, r.width, r.height)
    k.lines([(r.left, r.bottom, r.right, r.top), (r.left, r.top, r.right, r.bottom)])


STANDING: dict[str, Outline] = {
    draw.__name__: draw
    for draw in (
        sofa,
        bed,
        console,
        sideboard,
        dresser,
        chest,
        nightstand,
        end_table,
        desk,
        bench,
        piano,
        mantel,
        bookcase,
        cabinet,
        floor_lamp,
        table_lamp,
        tall_plant,
        ornament,
        custom,
    )
}
