"""Invented houses of any size for the benchmarks of the plan. Sizes in inches, common practice, no source."""

from __future__ import annotations

import random

from placements.engine.house import House, Item, Room, Wall, Work

INCH = 25.4
#: Furniture: kind, width and height; what a wall may carry, with how often.
FURNITURE = (("sofa", 84, 33), ("sideboard", 66, 35), ("bed", 64, 46), ("mantel", 60, 48), ("console", 48, 32))
FRAMES, THEMES = ("oak", "black", "gilt", "white", "walnut"), ("coast", "plants", "birds", "abstract", "hills", "maps")
SIZES = (
    (8, 10),
    (11, 14),
    (12, 12),
    (14, 18),
    (16, 20),
    (18, 24),
    (20, 28),
    (24, 30),
    (30, 40),
    (36, 24),
    (48, 32),
    (60, 36),
)


def house(walls: int, works: int, seed: int, *, sets: bool = True) -> House:
    """A house of so many walls, four a room, and so many works, a quarter of them in sets of two to eight."""
    draw = random.Random(f"{walls} {works} {seed}")
    rooms = []
    for number in range((walls + 3) // 4):
        here = tuple(_wall(f"r{number}", f"w{number}-{k}", draw) for k in range(min(4, walls - 4 * number)))
        use = draw.choice(("living", "bedroom", "dining", "hall", "study", "office"))
        rooms.append(Room(f"r{number}", f"Room {number}", use, walls=here))
    return House(tuple(rooms), tuple(_works(works, draw, sets)))


def _wall(room: str, name: str, draw: random.Random) -> Wall:
    length, items = draw.uniform(96, 260), []
    kind, width, height = draw.choice(FURNITURE)
    if draw.random() < 0.7 and width + 30 < length:
        left = draw.uniform(10, length - width - 10)
        items.append(Item("piece", kind, left * INCH, 0.0, width * INCH, height * INCH, 20 * INCH))
    elif draw.random() < 0.5:
        left = draw.choice((12.0, length - 48))
        items.append(Item("door", "door", left * INCH, 0.0, 36 * INCH, 82 * INCH, 2 * INCH))
    return Wall(name, room, f"Wall {name}", length * INCH, draw.uniform(96, 120) * INCH, items=tuple(items))


def _works(count: int, draw: random.Random, sets: bool) -> list[Work]:
    found: list[Work] = []
    while len(found) < count:
        many = min(draw.choice((2, 3, 3, 4, 5, 6, 8)), count - len(found)) if sets and draw.random() < 0.08 else 1
        width, height = draw.choice(SIZES)
        form, frame, theme = (
            draw.choice(("painting", "print", "photograph", "drawing")),
            draw.choice(FRAMES),
            draw.choice(THEMES),
        )
        name = f"set {len(found)}" if many > 1 else None
        for _ in range(many):
            number = len(found)
            found.append(
                Work(
                    f"a{number}",
                    f"Work {number}",
                    width * INCH,
                    height * INCH,
                    INCH,
                    form=form,
                    frame=frame,
                    themes=(theme,),
                    set_name=name,
                )
            )
    return found
