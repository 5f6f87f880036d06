"""Outlines of what belongs to the wall: openings, mouldings, lights, services. Drawn behind the art."""

from __future__ import annotations

from placements.engine.house import Rect, Swing

from .furniture import Outline
from .pen import Kit


def window(k: Kit, r: Rect) -> None:
    casing = min(70, r.width / 9, r.height / 9)
    k.body(r.left, r.bottom, r.width, r.height)
    glass = Rect(r.left + casing, r.bottom + casing, r.width - 2 * casing, r.height - 2 * casing)
    k.body(glass.left, glass.bottom, glass.width, glass.height)
    panes = max(1, round(glass.width / 520))
    k.lines(
        [
            *(
                (glass.left + glass.width * i / panes, glass.bottom, glass.left + glass.width * i / panes, glass.top)
                for i in range(1, panes)
            ),
            (glass.left, glass.centre_y, glass.right, glass.centre_y),
        ]
    )
    each = glass.width / panes
    k.lines(
        [
            line
            for i in range(panes)
            for line in (
                (
                    glass.left + each * (i + 0.2),
                    glass.bottom + glass.height * 0.58,
                    glass.left + each * (i + 0.55),
                    glass.bottom + glass.height * 0.58 + each * 0.35,
                ),
                (
                    glass.left + each * (i + 0.4),
                    glass.bottom + glass.height * 0.58,
                    glass.left + each * (i + 0.6),
                    glass.bottom + glass.height * 0.58 + each * 0.2,
                ),
            )
        ]
    )
    if r.bottom > 200:
        k.body(r.left - min(30, casing / 2), r.bottom - 28, r.width + min(60, casing), 28)


def door(k: Kit, r: Rect) -> None:
    casing = min(80, r.width / 9)
    k.body(r.left, r.bottom, r.width, r.height)
    leaf = Rect(r.left + casing, r.bottom, r.width - 2 * casing, r.height - casing)
    k.body(leaf.left, leaf.bottom, leaf.width, leaf.height)
    stile = min(110, leaf.width / 6)
    wide = (leaf.width - 3 * stile) / 2
    for i in range(2):
        x = leaf.left + stile + i * (wide + stile)
        k.body(x, leaf.bottom + leaf.height * 0.1, wide, leaf.height * 0.34, fine=True)
        k.body(x, leaf.bottom + leaf.height * 0.53, wide, leaf.height * 0.4, fine=True)
    k.oval(leaf.right - stile * 0.5, leaf.bottom + leaf.height * 0.485, 26, 26)


def opening(k: Kit, r: Rect) -> None:
    casing = min(80, r.width / 9)
    k.body(r.left, r.bottom, r.width, r.height)
    k.body(r.left + casing, r.bottom, r.width - 2 * casing, r.height - casing)
    inner = Rect(r.left + casing, r.bottom, r.width - 2 * casing, r.height - casing)
    k.lines(
        [(inner.left, inner.bottom, inner.centre_x, inner.top), (inner.centre_x, inner.top, inner.right, inner.bottom)]
    )


def door_leaf(k: Kit, r: Rect) -> None:
    """A leaf that stands open before the wall: dashed, since it comes and goes."""
    k.body(r.left, r.bottom, r.width, r.height, fill="none", stroke_dasharray=k.dashes)


def swing(k: Kit, r: Rect, how: Swing) -> None:
    """How a door opens: dashed lines from the lock side to the hinges, and its leaf back on the wall."""
    casing = max(r.width - how.leaf * (2 if how.hinge == "both" else 1), 0.0) / 2
    top, middle = r.top - casing, r.bottom + (r.height - casing) / 2
    for side in ("left", "right") if how.hinge == "both" else (how.hinge,):
        hinge = r.left + casing if side == "left" else r.right - casing
        lock = hinge + how.leaf if side == "left" else hinge - how.leaf
        k.path("M", (lock, r.bottom), "L", (hinge, middle), "L", (lock, top), fine=True, stroke_dasharray=k.dashes)
        if how.opens == "this_wall":
            away = hinge - how.leaf if side == "left" else hinge
            door_leaf(k, Rect(away, r.bottom, how.leaf, r.height - casing))


def shelf(k: Kit, r: Rect) -> None:
    """A board on two brackets."""
    k.body(r.left, r.bottom, r.width, r.height)
    drop = min(140.0, r.width / 5)
    for x, way in ((r.left + r.width * 0.14, 1.0), (r.right - r.width * 0.14, -1.0)):
        k.lines([(x, r.bottom, x, r.bottom - drop), (x, r.bottom - drop, x + way * drop * 0.7, r.bottom)])


def wainscot(k: Kit, r: Rect) -> None:
    """A cap, a base and panels between."""
    cap, base = min(45.0, r.height * 0.06), min(120.0, r.height * 0.14)
    k.body(r.left, r.bottom, r.width, r.height, fill="none")
    k.lines([(r.left, r.top - cap, r.right, r.top - cap), (r.left, r.bottom + base, r.right, r.bottom + base)])
    count = max(1, round(r.width / max(r.height * 0.75, 300)))
    each, stile = r.width / count, min(70.0, r.height * 0.09)
    for i in range(count):
        high = r.height - cap - base - 2 * stile
        k.body(r.left + each * i + stile, r.bottom + base + stile, each - 2 * stile, high, fill="none", fine=True)


def chair_rail(k: Kit, r: Rect) -> None:
    k.body(r.left, r.bottom, r.width, r.height, fill="none")
    k.lines([(r.left, r.bottom + r.height * part, r.right, r.bottom + r.height * part) for part in (0.3, 0.7)])


def picture_rail(k: Kit, r: Rect) -> None:
    """A moulding whose upper edge takes the hooks."""
    k.body(r.left, r.bottom, r.width, r.height, fill="none")
    k.lines([(r.left, r.bottom + r.height * 0.55, r.right, r.bottom + r.height * 0.55)])


def niche(k: Kit, r: Rect) -> None:
    k.body(r.left, r.bottom, r.width, r.height)
    step = min(60, r.width / 8)
    k.body(r.left + step, r.bottom, r.width - 2 * step, r.height - step, fine=True)
    k.lines([(r.left, r.top, r.left + step, r.top - step), (r.right, r.top, r.right - step, r.top - step)])


def panel(k: Kit, r: Rect) -> None:
    bead = min(38, r.width / 10, r.height / 10)
    k.body(r.left, r.bottom, r.width, r.height, fill="none")
    k.body(r.left + bead, r.bottom + bead, r.width - 2 * bead, r.height - 2 * bead, fine=True)


def radiator(k: Kit, r: Rect) -> None:
    low = r.bottom + min(90, r.height * 0.14)
    fins = max(3, round(r.width / 75))
    each = r.width / fins
    k.body(r.left + each, r.bottom, 30, low - r.bottom)
    k.body(r.right - each - 30, r.bottom, 30, low - r.bottom)
    for i in range(fins):
        k.body(r.left + each * i, low, each * 0.86, r.top - low, each * 0.4)


def television(k: Kit, r: Rect) -> None:
    edge = min(22, r.width / 30)
    k.body(r.left, r.bottom, r.width, r.height, 12)
    k.body(r.left + edge, r.bottom + edge, r.width - 2 * edge, r.height - 2 * edge, fine=True)
    k.lines(
        [
            (
                r.left + r.width * f,
                r.bottom + r.height * 0.3,
                r.left + r.width * f + r.height * 0.4,
                r.bottom + r.height * 0.7,
            )
            for f in (0.3, 0.36, 0.42)
        ]
    )


def sconce(k: Kit, r: Rect) -> None:
    plate = min(r.width * 0.4, 110)
    k.body(r.centre_x - plate / 2, r.bottom, plate, r.height * 0.45, 20)
    k.line(r.centre_x, r.bottom + r.height * 0.3, r.centre_x, r.bottom + r.height * 0.5, fine=False)
    low = r.bottom + r.height * 0.45
    k.path(
        "M", (r.left, low), "L", (r.left + r.width * 0.22, r.top), "L", (r.right - r.width * 0.22, r.top),
        "L", (r.right, low), "Z",
    )  # fmt: skip


def statement_light(k: Kit, r: Rect) -> None:
    """A hanging fixture: rod, ring and drops."""
    ring = r.bottom + r.height * 0.34
    k.line(r.centre_x, ring, r.centre_x, r.top, fine=False)
    k.lines(
        [
            (r.centre_x, r.top - r.height * 0.1, r.left + r.width * 0.1, ring),
            (r.centre_x, r.top - r.height * 0.1, r.right - r.width * 0.1, ring),
        ]
    )
    k.body(r.centre_x - r.width * 0.06, r.top - 30, r.width * 0.12, 30)
    arms = 5
    for i in range(arms):
        x = r.left + r.width * (0.08 + 0.84 * i / (arms - 1))
        k.oval(x, ring - r.height * 0.16, r.width * 0.055, r.height * 0.16)
    k.path(
        "M", (r.left, ring), "Q", (r.centre_x, ring - r.height * 0.2), (r.right, ring), "Q",
        (r.centre_x, ring - r.height * 0.06), (r.left, ring), "Z",
    )  # fmt: skip


def outlet(k: Kit, r: Rect) -> None:
    k.body(r.left, r.bottom, r.width, r.height, 8)
    for y in (r.bottom + r.height * 0.3, r.bottom + r.height * 0.7):
        k.lines(
            [
                (r.centre_x + dx * r.width, y - r.height * 0.07, r.centre_x + dx * r.width, y + r.height * 0.07)
                for dx in (-0.15, 0.15)
            ]
        )


def switch(k: Kit, r: Rect) -> None:
    k.body(r.left, r.bottom, r.width, r.height, 8)
    k.body(r.centre_x - r.width * 0.15, r.bottom + r.height * 0.3, r.width * 0.3, r.height * 0.4, fine=True)


def thermostat(k: Kit, r: Rect) -> None:
    k.body(r.left, r.bottom, r.width, r.height, 14)
    k.oval(r.centre_x, r.centre_y, min(r.width, r.height) * 0.3, min(r.width, r.height) * 0.3, fine=True)


def vent(k: Kit, r: Rect) -> None:
    k.body(r.left, r.bottom, r.width, r.height)
    count = max(2, round(r.height / 28))
    k.lines(
        [
            (r.left + 14, r.bottom + r.height * i / count, r.right - 14, r.bottom + r.height * i / count)
            for i in range(1, count)
        ]
    )


def sprinkler(k: Kit, r: Rect) -> None:
    k.oval(r.centre_x, r.centre_y, r.width / 2, r.height / 2)
    k.lines([(r.left, r.centre_y, r.right, r.centre_y), (r.centre_x, r.bottom, r.centre_x, r.top)])


def alarm(k: Kit, r: Rect) -> None:
    k.oval(r.centre_x, r.centre_y, r.width / 2, r.height / 2)
    k.oval(r.centre_x, r.centre_y, r.width / 4, r.height / 4, fine=True)


FIXED: dict[str, Outline] = {
    draw.__name__: draw
    for draw in (
        window,
        door,
        door_leaf,
        opening,
        niche,
        shelf,
        panel,
        wainscot,
        chair_rail,
        picture_rail,
        radiator,
        television,
        sconce,
        statement_light,
        outlet,
        switch,
        thermostat,
        vent,
        sprinkler,
        alarm,
    )
}
