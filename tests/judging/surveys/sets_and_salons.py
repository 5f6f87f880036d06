"""Whole sets and mixed groups of nine to thirty. Common practice, no source."""

from __future__ import annotations

from ..building import (
    Case,
    Doc,
    Less,
    Placer,
    Shape,
    about,
    columns,
    console,
    equals,
    grid,
    item,
    mantel,
    of,
    on,
    over,
    room,
    row,
    sconce,
    screen,
    series,
    sideboard,
    sofa,
    stack,
    survey,
    wall,
    work,
)
from ..seeing import (
    Check,
    all_hung,
    at_least,
    balanced,
    clear_of,
    close_knit,
    either,
    every,
    grid_of,
    hung_on,
    level,
    near_middle,
    not_hung,
    not_on,
    on_axis,
    one_a_wall,
    outline,
    those_hung,
    whole_set_or_none,
)

#: Columns of mixed works that make one block: widths and heights [in], from the left.
NINE = (((20, 16), (20, 24)), ((34, 42),), ((18, 12), (18, 15), (18, 12)), ((24, 20), (24, 21), (12, 9)))
TWELVE = (
    ((14, 18), (16, 20), (12, 16)),
    ((24, 18), (20, 24), (16, 12)),
    ((30, 12), (36, 30), (28, 12)),
    ((18, 14), (22, 28), (14, 11)),
)
THIRTY = (
    ((24, 18), (22, 16), (20, 20), (18, 12)),
    ((16, 20), (18, 14), (20, 16), (14, 18)),
    ((30, 30), (26, 14), (24, 12), (14, 8)),
    ((14, 11), (16, 20), (18, 22), (12, 14)),
    ((36, 44), (30, 22)),
    ((18, 14), (16, 18), (20, 20), (14, 14)),
    ((28, 26), (24, 16), (22, 14), (16, 8)),
    ((16, 16), (18, 18), (14, 18), (20, 14)),
)


def mixed(stem: str, *blocks: tuple[tuple[int, int], ...]) -> tuple[list[Doc], list[list[Shape]]]:
    """Works of one hand, and the columns in which they make a block."""
    works: list[Doc] = []
    shapes: list[list[Shape]] = []
    forms = ("painting", "print", "drawing", "photograph")
    for block in blocks:
        shapes.append([])
        for wide, high in block:
            name = f"{stem}-{len(works) + 1:02d}"
            works.append(work(name, wide, high, forms[len(works) % 4], frame="oak", maker="E. Vance"))
            shapes[-1].append(name)
    return works, shapes


def salon(
    name: str,
    idea: str,
    blocks: tuple[tuple[tuple[int, int], ...], ...],
    here: Doc,
    over_what: str | float,
    least: int,
    *more: tuple[Check, str],
    bottom: float = 7.5,
    widest: float = 2.6,
) -> Case:
    """A mixed group over an item, or about a point, of which most hang as one close group."""
    works, shapes = mixed(name.split("-")[1], *blocks)
    ids = [one["id"] for one in works]
    block = columns(*shapes, gap=2.5)
    big = max(works, key=lambda one: one["width"] * one["height"])["id"]
    largest_first = sorted(ids, key=lambda one: -next(w["width"] * w["height"] for w in works if w["id"] == one))
    ragged = stack([row(largest_first[:3], 2.5), row(largest_first[3 : 3 + max(4, len(ids) // 2)], 2.5)], 2.5)
    return Case(
        name,
        idea,
        survey(room("salon", "living", here), works),
        [_set(block, over_what, bottom)],
        [
            (at_least(least, ids), "A salon wall shows the collection."),
            (those_hung(ids, close_knit), "One close group with even air."),
            (those_hung(ids, lambda hung: on_axis(hung, over_what, 3)), "On the axis of what governs the wall."),
            (those_hung(ids, lambda hung: outline(hung, 0.7, widest)), "Its outline reads as one shape."),
            *more,
        ],
        [
            Less("The block pushed off the axis.", [_set(block, over_what, bottom, 22)]),
            Less("The columns torn apart.", [_set(columns(*shapes, gap=13), over_what, bottom)]),
            Less("The large ones in a row, the small ones in a ragged row below.", [_set(ragged, over_what, bottom)]),
            Less(
                f"Only the largest, {big}, with the rest in store: sound, but the wall asks for more.",
                [_set(big, over_what, bottom)],
                True,
            ),
        ],
    )


def _set(shape: Shape, where: str | float, gap: float, shift: float = 0) -> Placer:
    """Over an item, or about a point at 60 in."""
    return over(shape, where, gap, shift) if isinstance(where, str) else about(shape, where + shift, 60)


LITTLE = [work(f"bit-{k:02d}", 6 + k % 4, 8 + k % 3, "print") for k in range(1, 31)]

CASES = (
    Case(
        "four-seasons-one-a-wall",
        "A room of four walls and four equal paintings of a series: one a wall, at one height.",
        survey(
            room("round", "dining", *(wall(f"side-{k}", 150, 108, sideboard(39, 72)) for k in range(1, 5))),
            equals("season", 4, 44, 34, "painting", maker="P. Aske"),
        ),
        [on(f"side-{k}", over(f"season-{k}", "sideboard")) for k in range(1, 5)],
        [
            (all_hung(of("season", 4)), "All four."),
            (one_a_wall(of("season", 4)), "One a wall."),
            (level(of("season", 4)), "At one height."),
        ],
        [
            Less(
                "Two on one wall, one wall bare.",
                [
                    on("side-1", over(row(of("season", 2)), "sideboard")),
                    on("side-2", over("season-3", "sideboard")),
                    on("side-3", over("season-4", "sideboard")),
                ],
            ),
            Less(
                "One of them half a foot higher.",
                [
                    *(on(f"side-{k}", over(f"season-{k}", "sideboard")) for k in range(1, 4)),
                    on("side-4", over("season-4", "sideboard", 14)),
                ],
            ),
            Less(
                "Three hang and the fourth is in store.",
                [on(f"side-{k}", over(f"season-{k}", "sideboard")) for k in range(1, 4)],
            ),
        ],
    ),
    Case(
        "nine-squares-three-by-three",
        "Nine equal squares and a clear wall: three by three.",
        survey(room("study", "study", wall("main", 130, 108)), series("lichen", 9, 16, 16, "photograph")),
        [about(grid(of("lichen", 9), 3, 2.5), 65, 60)],
        [
            (all_hung(of("lichen", 9)), "Nine, not eight."),
            (grid_of(of("lichen", 9), 3), "Three by three."),
            (on_axis(of("lichen", 9), "wall", 1), "In the wall's middle."),
        ],
        [
            Less("Two by four and one left over.", [about(grid(of("lichen", 8), 4, 2.5), 65, 60)]),
            Less("Four, four and one.", [about(grid(of("lichen", 9), 4, 2.5), 65, 60)]),
            Less(
                "The grid with uneven air.",
                [about(row([stack(of("lichen", 9)[k::3], 2.5) for k in range(3)], 7), 65, 60)],
            ),
            Less("The grid a foot off the wall's middle.", [about(grid(of("lichen", 9), 3, 2.5), 52, 60)]),
        ],
    ),
    Case(
        "ten-equal-two-rows",
        "Ten equal prints over a long sideboard: two rows of five.",
        survey(room("dining", "dining", wall("main", 190, 112, sideboard(45, 100))), series("crest", 10, 13, 16)),
        [over(grid(of("crest", 10), 5, 2.5), "sideboard", 7)],
        [
            (all_hung(of("crest", 10)), "The set is whole."),
            (grid_of(of("crest", 10), 5, 10), "A full grid."),
            (on_axis(of("crest", 10), "sideboard"), "On the sideboard's axis."),
        ],
        [
            Less("Nine as three by three.", [over(grid(of("crest", 9), 3, 2.5), "sideboard", 7)]),
            Less("Four, four and two.", [over(grid(of("crest", 10), 4, 2.5), "sideboard", 7)]),
            Less("Pushed to the sideboard's end.", [over(grid(of("crest", 10), 5, 2.5), "sideboard", 7, shift=22)]),
        ],
    ),
    Case(
        "twelve-equal-on-a-landing",
        "Twelve equal engravings on a clear wall: a full grid.",
        survey(room("landing", "hall", wall("main", 170, 110)), series("moss", 12, 14, 18, "print")),
        [about(grid(of("moss", 12), 4, 2.5), 85, 60)],
        [
            (all_hung(of("moss", 12)), "The set is whole."),
            (grid_of(of("moss", 12), 4, 6, 3), "A full grid."),
            (on_axis(of("moss", 12), "wall", 1), "In the wall's middle."),
        ],
        [
            Less("Ten of twelve.", [about(grid(of("moss", 10), 5, 2.5), 85, 60)]),
            Less("Five, five and two.", [about(grid(of("moss", 12), 5, 2.5), 85, 60)]),
            Less("Under the ceiling.", [about(grid(of("moss", 12), 4, 2.5), 85, 79)]),
            Less("Six by two, a broad band: sound.", [about(grid(of("moss", 12), 6, 2.5), 85, 60)], True),
        ],
    ),
    Case(
        "set-behind-thirty-small-works",
        "Thirty odd small works come first in the list, the set of eight last: it still hangs, whole.",
        survey(room("hall", "hall", wall("main", 150, 108, sideboard(36, 78))), LITTLE, series("late", 8, 14, 17)),
        [over(grid(of("late", 8), 4, 2.5), "sideboard", 7)],
        [
            (all_hung(of("late", 8)), "The order of the list means nothing."),
            (grid_of(of("late", 8), 4, 8), "A full grid."),
            (on_axis(of("late", 8), "sideboard"), "On the sideboard's axis."),
        ],
        [
            Less("A heap of crumbs instead.", [over(grid([one["id"] for one in LITTLE[:12]], 6, 2.5), "sideboard", 7)]),
            Less("Seven of the eight.", [over(row(of("late", 7), 1.5), "sideboard", 16)]),
        ],
    ),
    Case(
        "four-black-prints",
        "Four equal black prints over a console: all four.",
        survey(room("hall", "hall", wall("main", 120, 100, console(34, 52))), series("ink", 4, 12, 15)),
        [over(grid(of("ink", 4), 2, 2.5), "console", 7)],
        [
            (all_hung(of("ink", 4)), "Four, not three."),
            (grid_of(of("ink", 4), 2, 4), "A full grid."),
            (on_axis(of("ink", 4), "console"), "On the console's axis."),
        ],
        [
            Less("Three in a row.", [over(row(of("ink", 3), 2.5), "console", 7)]),
            Less("Three and one.", [over(row(of("ink", 3), 2.5), "console", 7), about("ink-4", 104, 60)]),
        ],
    ),
    Case(
        "set-too-wide-stays-in-store",
        "A set of six needs more than this sliver: none of it hangs here.",
        survey(
            room("nook", "hall", wall("sliver", 34, 96)),
            series("barn", 6, 20, 26),
            work("key", 16, 22, "print"),
        ),
        [about("key", 17, 60)],
        [
            (whole_set_or_none(of("barn", 6)), "A set is hung whole or not at all."),
            (either(not_hung(["key"]), on_axis("key", "wall", 1)), "What hangs, hangs in the middle."),
        ],
        [
            Less("Two of the six stacked in the sliver.", [about(stack(of("barn", 2), 2), 17, 58)]),
            Less("The key and one of the set.", [about(stack(["key", "barn-1"], 2), 17, 60)]),
        ],
    ),
    Case(
        "eight-in-each-of-ten-rooms",
        "Ten rooms with a set of eight each: every set hangs whole.",
        survey(
            [room(f"room-{k}", "other", wall(f"wall-{k}", 150, 108)) for k in range(1, 11)],
            [one for k in range(1, 11) for one in series(f"kin{k}", 8, 14, 17)],
        ),
        [on(f"wall-{k}", about(grid(of(f"kin{k}", 8), 4, 2.5), 75, 60)) for k in range(1, 11)],
        [
            (all_hung([one for k in range(1, 11) for one in of(f"kin{k}", 8)]), "There is a wall for every set."),
            (every(*(whole_set_or_none(of(f"kin{k}", 8)) for k in range(1, 11))), "Each on one wall."),
            (every(*(grid_of(of(f"kin{k}", 8), 4, 8, 2) for k in range(1, 11))), "Each a full grid."),
        ],
        [
            Less(
                "Two of the sets stay in store.",
                [on(f"wall-{k}", about(grid(of(f"kin{k}", 8), 4, 2.5), 75, 60)) for k in range(1, 9)],
            )
        ],
    ),
    salon(
        "salon-nine-over-sofa",
        "Nine mixed works of one hand over a sofa.",
        NINE,
        wall("main", 190, 116, sofa(44, 100), focal=True),
        "sofa",
        7,
    ),
    salon(
        "salon-twelve-on-a-clear-wall",
        "Twelve mixed works of one hand on a clear wall.",
        TWELVE,
        wall("main", 210, 112, focal=True),
        105.0,
        9,
    ),
    salon(
        "salon-sconces-between",
        "Twelve mixed works between two sconces.",
        TWELVE,
        wall("main", 220, 112, sconce(30, 62), sconce(185, 62), focal=True),
        110.0,
        8,
        (clear_of("sconce", 4), "A sconce needs air."),
        (clear_of("sconce-2", 4), "A sconce needs air."),
    ),
    salon(
        "salon-eighteen-long-sideboard",
        "Eighteen mixed works of one hand over a long sideboard.",
        (*TWELVE, *NINE[2:]),
        wall("main", 270, 124, sideboard(45, 180, 32), focal=True),
        "sideboard",
        12,
    ),
    salon(
        "salon-thirty-gallery-room",
        "Thirty mixed works on one wall of a gallery room.",
        THIRTY,
        wall("main", 420, 126, focal=True),
        210.0,
        18,
        widest=3.2,
    ),
    Case(
        "salon-around-a-screen",
        "Twelve small works of one hand about a television: both sides alike in weight, clear of the screen.",
        survey(
            room("den", "media", wall("screen", 200, 104, screen(71, 58, 34, 30), console(60, 80, 22), focal=True)),
            equals("leaf", 8, 14, 14, "drawing", maker="T. Orr"),
            equals("stem", 4, 14, 10, "drawing", maker="T. Orr"),
        ),
        [
            about(grid(["leaf-1", "leaf-2", "leaf-3", "leaf-4", "stem-1", "stem-2"], 2, 2.5), 46, 52),
            about(grid(["leaf-5", "leaf-6", "leaf-7", "leaf-8", "stem-3", "stem-4"], 2, 2.5), 154, 52),
        ],
        [
            (clear_of("television", 3), "The screen keeps a margin."),
            (balanced("screen", 100), "As much to the left of the screen as to its right."),
        ],
        [
            Less("All on the left of the screen.", [about(grid([*of("leaf", 8)], 2, 1.5), 36, 62)]),
            Less(
                "Twice as many at one side.",
                [
                    about(grid(["leaf-1", "leaf-2", "leaf-3", "leaf-4", "stem-1", "stem-2"], 2, 2.5), 46, 52),
                    about(stack(["leaf-5", "leaf-6"], 2.5), 154, 52),
                ],
            ),
        ],
    ),
    Case(
        "salon-around-a-mantel",
        "Ten prints of one hand and a mirror at a hearth: the mirror over it, five a side.",
        survey(
            room("parlour", "living", wall("hearth", 214, 116, mantel(75, 64, 50), focal=True)),
            work("wreath", 36, 36, "mirror", glazed=True, frame="gilt", weight={"lb": 24}),
            equals("petal", 10, 13, 16, maker="T. Orr"),
        ),
        [
            over("wreath", "mantel", 6),
            about(row([stack(of("petal", 2), 2.5), stack(["petal-3", "petal-4", "petal-5"], 2.5)], 2.5), 45, 66),
            about(
                row([stack(["petal-6", "petal-7", "petal-8"], 2.5), stack(["petal-9", "petal-10"], 2.5)], 2.5), 169, 66
            ),
        ],
        [
            (on_axis("wreath", "mantel"), "The mirror on the hearth's axis."),
            (balanced("hearth", 107), "As much at one side as at the other."),
        ],
        [
            Less("All ten on one side.", [over("wreath", "mantel", 6), about(grid(of("petal", 10), 4, 2.5), 36, 66)]),
            Less(
                "The mirror among the prints, the hearth bare.",
                [about(row(["wreath", grid(of("petal", 4), 2, 2.5)], 2.5), 176, 66)],
            ),
            Less("The flanks bare: sound, quieter.", [over("wreath", "mantel", 6)], True),
        ],
    ),
    Case(
        "one-large-beats-six-stamps",
        "A clear wall, one large piece and six stamps.",
        survey(
            room("study", "study", wall("main", 168, 104, focal=True)),
            work("ledge", 62, 42),
            [work(f"stamp-{k}", 9, 11 + k % 2, "print") for k in range(1, 7)],
        ),
        [about("ledge", 84, 60)],
        [
            (
                every(hung_on("main", ["ledge"]), on_axis("ledge", "wall", 1)),
                "A single that fills the space well, in its middle.",
            ),
            (not_on("main", [f"stamp-{k}" for k in range(1, 7)]), "The stamps do not nibble at it."),
        ],
        [
            Less(
                "Six stamps in a grid, lost on the wall.",
                [about(grid([f"stamp-{k}" for k in range(1, 7)], 3, 2.5), 84, 60)],
            ),
            Less(
                "The large one with stamps about it.",
                [about("ledge", 84, 60), about(stack(["stamp-1", "stamp-2"], 2.5), 122, 60)],
            ),
        ],
    ),
    Case(
        "largest-in-the-middle-of-seven",
        "Six works and one much larger: the larger near the middle of the group.",
        survey(
            room("study", "study", wall("main", 168, 110, item("desk", 50, 68, 30, depth=28))),
            work("anvil", 30, 36, maker="H. Dorn"),
            equals("nail", 6, 13, 10.33, "drawing", maker="H. Dorn"),
        ),
        [over(columns(of("nail", 3), ["anvil"], ["nail-4", "nail-5", "nail-6"], gap=2.5), "desk", 12)],
        [
            (
                either(
                    near_middle("anvil", ["anvil", *of("nail", 6)]),
                    every(not_hung(of("nail", 6)), on_axis("anvil", "desk")),
                ),
                "The largest holds the group.",
            )
        ],
        [
            Less("The largest at the far left.", [over(row(["anvil", grid(of("nail", 6), 3, 2.5)], 2.5), "desk", 12)]),
            Less(
                "The largest on top of the heap.", [over(stack(["anvil", grid(of("nail", 6), 3, 2.5)], 2.5), "desk", 6)]
            ),
        ],
    ),
    Case(
        "makers-keep-together",
        "Two makers, two consoles: each maker's three on a console.",
        survey(
            room("hall", "hall", wall("long", 260, 104, console(30, 60), console(170, 60))),
            equals("lark", 3, 14, 18, "drawing", maker="I. Sund", frame="white"),
            equals("wren", 3, 14, 18, "photograph", maker="B. Kole", frame="black"),
        ),
        [over(row(of("lark", 3), 2.5), "console"), over(row(of("wren", 3), 2.5), "console-2")],
        [
            (close_knit(of("lark", 3), 1.5, 8), "One maker's works keep together."),
            (close_knit(of("wren", 3), 1.5, 8), "One maker's works keep together."),
        ],
        [
            Less(
                "Mixed over both consoles.",
                [
                    over(row(["lark-1", "wren-1", "lark-2"], 2.5), "console"),
                    over(row(["wren-2", "lark-3", "wren-3"], 2.5), "console-2"),
                ],
            ),
            Less("All six over one console.", [over(grid([*of("lark", 3), *of("wren", 3)], 3, 2.5), "console", 6)]),
        ],
    ),
)
