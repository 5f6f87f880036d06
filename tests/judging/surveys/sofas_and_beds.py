"""Walls of sitting rooms and bedrooms, one anchor each. Common practice, no source."""

from __future__ import annotations

from ..building import (
    Case,
    Less,
    about,
    bed,
    columns,
    end_table,
    equals,
    grid,
    item,
    lamp,
    nightstand,
    of,
    on,
    over,
    room,
    row,
    sconce,
    series,
    sofa,
    spaced,
    stack,
    standing,
    survey,
    wall,
    window,
    work,
)
from ..seeing import (
    all_hung,
    centre_line,
    clear_of,
    close_knit,
    either,
    every,
    grid_of,
    hung_on,
    in_order,
    level,
    mirrored_about,
    not_hung,
    not_on,
    nothing_else,
    on_axis,
    one_each,
    over_item,
    share_of,
)

CASES = (
    Case(
        "sofa-with-two-table-lamps",
        "A sofa with a lamp on a table at either hand: one landscape on the sofa's axis, inside the shades.",
        survey(
            room(
                "sitting",
                "living",
                wall(
                    "main",
                    176,
                    106,
                    sofa(46),
                    end_table(22),
                    lamp(25.5, 24),
                    end_table(132),
                    lamp(135.5, 24),
                    focal=True,
                ),
            ),
            work("harbour", 58, 36),
            work("scrap", 11, 14, "print"),
        ),
        [over("harbour", "sofa")],
        [
            (over_item("harbour", "sofa"), "The large piece belongs to the sofa: on its axis, a hand above the back."),
            (clear_of("table-lamp", 2), "A lit shade needs air."),
            (clear_of("table-lamp-2", 2), "A lit shade needs air."),
            (centre_line("harbour"), "Its middle is near the eye."),
        ],
        [
            Less("The same piece 14 in off the sofa's axis tips the wall.", [over("harbour", "sofa", shift=14)]),
            Less("It floats 20 in above the back and loses the sofa.", [over("harbour", "sofa", gap=20)]),
            Less(
                "The scrap beside it is a crumb next to a loaf.",
                [over("harbour", "sofa"), about("scrap", 130, 66)],
                sound=True,
            ),
        ],
    ),
    Case(
        "sofa-off-the-middle",
        "The sofa stands off the wall's middle beside a window: the piece follows the sofa, not the wall.",
        survey(
            room("sitting", "living", wall("main", 190, 102, window(14, 44), sofa(84, 80))),
            work("marsh", 52, 34),
        ),
        [over("marsh", "sofa")],
        [
            (over_item("marsh", "sofa"), "The sofa makes the axis, not the wall."),
            (clear_of("window", 4), "Casing and curtain need room."),
        ],
        [
            Less("Hung on the wall's middle it straddles sofa and window.", [about("marsh", 95, 60)]),
            Less("14 in over the sofa it lies too high.", [over("marsh", "sofa", gap=15)]),
        ],
    ),
    Case(
        "sofa-pair-of-uprights",
        "Two equal upright prints make one breadth over the sofa.",
        survey(room("sitting", "living", wall("main", 150, 100, sofa(36, 78))), series("fern", 2, 24, 32)),
        [over(row(of("fern", 2)), "sofa")],
        [
            (all_hung(of("fern", 2)), "A pair is hung as a pair."),
            (mirrored_about("sofa", of("fern", 2)), "A pair over a sofa mirrors about its axis."),
            (level(of("fern", 2)), "A pair is level."),
            (over_item(of("fern", 2), "sofa"), "The pair belongs to the sofa."),
            (close_knit(of("fern", 2), 2, 6), "Two prints that make one breadth hang close."),
        ],
        [
            Less("One of the pair 4 in lower.", [about("fern-1", 61.5, 57.5), about("fern-2", 88.5, 53.5)]),
            Less("Both shifted to the sofa's left arm.", [over(row(of("fern", 2)), "sofa", shift=-18)]),
            Less(
                "A foot and a half apart they stop being one breadth.",
                [over(row(of("fern", 2), 18), "sofa")],
                sound=True,
            ),
        ],
    ),
    Case(
        "sofa-triptych-in-order",
        "Three panels of one picture over a long sofa, in their order.",
        survey(
            room("sitting", "living", wall("main", 200, 108, sofa(52, 96), focal=True)),
            series("estuary", 3, 22, 36, "painting"),
            work("kettle", 14, 14),
        ),
        [over(row(of("estuary", 3), 2), "sofa")],
        [
            (in_order(of("estuary", 3)), "A triptych reads from left to right."),
            (level(of("estuary", 3)), "Its panels are level."),
            (over_item(of("estuary", 3), "sofa"), "It belongs to the sofa."),
            (share_of(of("estuary", 3), "sofa", 0.6, 0.85), "It fills about two-thirds of the sofa."),
            (not_on("main", ["kettle"]), "Nothing small beside a triptych."),
        ],
        [
            Less(
                "Uneven air breaks the picture.",
                [over("estuary-2", "sofa"), over("estuary-1", "sofa", shift=-24), over("estuary-3", "sofa", shift=34)],
            ),
            Less(
                "The small kettle squeezed beside the triptych.",
                [over(row(of("estuary", 3), 2), "sofa"), about("kettle", 158, 60)],
            ),
        ],
    ),
    Case(
        "sofa-four-squares",
        "Four equal squares: a row or two by two over the sofa, never three.",
        survey(
            room("sitting", "living", wall("main", 170, 108, sofa(43, 84))), series("tile", 4, 16, 16, "photograph")
        ),
        [over(grid(of("tile", 4), 2), "sofa")],
        [
            (all_hung(of("tile", 4)), "The set is whole."),
            (grid_of(of("tile", 4), 2, 4), "Four equal squares make a full grid or a row."),
            (on_axis(of("tile", 4), "sofa"), "On the sofa's axis."),
        ],
        [
            Less("Three hang and one is left over.", [over(row(of("tile", 3)), "sofa")]),
            Less(
                "Three and one: an odd one hangs apart.", [over(row(of("tile", 3)), "sofa"), about("tile-4", 150, 60)]
            ),
        ],
    ),
    Case(
        "sofa-large-piece-before-small-ones",
        "One large landscape and six small prints: the large one takes the sofa.",
        survey(
            room("sitting", "living", wall("main", 160, 104, sofa(38, 84), focal=True)),
            work("moor", 60, 38),
            [work(f"leaf-{k}", 9 + k % 2, 12, "print") for k in range(1, 7)],
        ),
        [over("moor", "sofa")],
        [
            (over_item("moor", "sofa"), "One piece that fills the space beats six that do not."),
            (nothing_else("main", ["moor"]), "Small prints would nibble at it."),
        ],
        [
            Less(
                "Six stamps over a sofa and the large piece unhung.",
                [over(grid([f"leaf-{k}" for k in range(1, 7)], 3), "sofa")],
            ),
            Less(
                "The large piece with a column of crumbs at its side.",
                [over("moor", "sofa"), about(stack(["leaf-1", "leaf-3", "leaf-5"]), 118, 60)],
            ),
        ],
    ),
    Case(
        "sofa-beside-a-floor-lamp",
        "A floor lamp leans over one arm: the piece stays on the axis and clear of the shade.",
        survey(
            room("sitting", "living", wall("main", 156, 100, sofa(30, 82), item("floor_lamp", 116, 18, 62, depth=18))),
            work("weir", 50, 36),
        ),
        [over("weir", "sofa")],
        [
            (over_item("weir", "sofa"), "The sofa's axis holds."),
            (clear_of("floor-lamp", 4), "The shade keeps its air."),
        ],
        [Less("Pushed to the free end of the wall, off the sofa.", [over("weir", "sofa", shift=-22)])],
    ),
    Case(
        "sectional-three-equal-canvases",
        "Three equal canvases carry a sectional of ten feet.",
        survey(
            room("sitting", "living", wall("main", 196, 110, sofa(38, 120), focal=True)),
            series("field", 3, 28, 34, "painting"),
        ),
        [over(row(of("field", 3), 3), "sofa")],
        [
            (mirrored_about("sofa", of("field", 3)), "The row is mirrored about the sectional."),
            (level(of("field", 3)), "The row is level."),
            (all_hung(of("field", 3)), "The set is whole."),
            (share_of(of("field", 3), "sofa", 0.55, 0.9), "The row carries the length."),
        ],
        [
            Less("One canvas alone is a stamp on a sectional.", [over("field-2", "sofa")]),
            Less("The row starts at the sofa's left end.", [over(row(of("field", 3), 3), "sofa", shift=-15)]),
            Less(
                "Wide apart, as three singles, still level: sound, but it reads less as one.",
                [over(row(of("field", 3), 12), "sofa")],
                sound=True,
            ),
        ],
    ),
    Case(
        "sofa-under-low-ceiling",
        "An attic room of 84 in: a long low piece, not an upright.",
        survey(
            room("attic", "living", wall("main", 150, 84, sofa(36, 78, 32))),
            work("dike", 54, 22),
            work("poplar", 26, 44),
        ),
        [over("dike", "sofa")],
        [
            (over_item("dike", "sofa"), "The low piece fits between back and ceiling."),
            (nothing_else("main", ["dike"]), "The upright would touch the ceiling."),
        ],
        [
            Less("The upright runs up to the ceiling.", [over("poplar", "sofa", gap=7)]),
            Less("Both, the upright jammed beside.", [over("dike", "sofa"), about("poplar", 132, 58)]),
        ],
    ),
    Case(
        "sofa-block-of-unlike-works",
        "A large painting and four small ones of one hand: one block about the large one.",
        survey(
            room("sitting", "living", wall("main", 180, 108, sofa(44, 92), focal=True)),
            work("orchard", 34, 32, frame="oak", maker="A. Holm"),
            equals("sketch", 4, 14, 14.75, "drawing", frame="oak", maker="A. Holm"),
        ),
        [
            over(columns(["sketch-1", "sketch-2"], ["orchard"], ["sketch-3", "sketch-4"], gap=2.5), "sofa"),
        ],
        [
            (on_axis("orchard", "sofa", 1), "The large one in the middle."),
            (
                either(mirrored_about("sofa", ["orchard", *of("sketch", 4)]), not_hung(of("sketch", 4))),
                "Four equal about it, or none.",
            ),
        ],
        [
            Less(
                "All four on one side of the large one.",
                [over("orchard", "sofa"), over(grid(of("sketch", 4), 2), "sofa", shift=36)],
            ),
            Less(
                "Two of the four hang, both left.",
                [over("orchard", "sofa"), over(stack(of("sketch", 2)), "sofa", shift=-27)],
            ),
            Less("The large one by itself is a little small for the sofa.", [over("orchard", "sofa")], sound=True),
        ],
    ),
    Case(
        "bed-between-lamps-textile",
        "A bed between two nightstands with lamps: a broad textile on its axis, clear of the shades.",
        survey(
            room(
                "bedroom",
                "bedroom",
                wall(
                    "head",
                    160,
                    104,
                    bed(48),
                    nightstand(22),
                    lamp(25.5, 26),
                    nightstand(116),
                    lamp(119.5, 26),
                    focal=True,
                ),
            ),
            work("weave", 46, 28, "textile"),
            work("mirror", 30, 40, "mirror", glazed=True, weight={"lb": 38}),
        ),
        [over("weave", "bed", 8)],
        [
            (over_item("weave", "bed"), "On the bed's axis, low over the headboard."),
            (not_on("head", ["mirror"]), "Nothing heavy of glass over a sleeper."),
        ],
        [
            Less("A heavy mirror over the pillow.", [over("mirror", "bed", 8)]),
            Less("The textile over the left lamp.", [about("weave", 46, 66)]),
        ],
    ),
    Case(
        "bed-pair-over-lamps-or-middle",
        "A pair and a bed with two lamps: both over the bed, or one over each nightstand; never both on one side.",
        survey(
            room(
                "bedroom",
                "bedroom",
                wall("head", 168, 104, bed(50, 68), nightstand(24), lamp(27.5, 26), nightstand(122), lamp(125.5, 26)),
            ),
            series("moth", 2, 16, 20, weight={"lb": 4}),
        ),
        [over(row(of("moth", 2), 4), "bed", 8)],
        [
            (mirrored_about("bed", of("moth", 2)), "A pair mirrors about the bed."),
            (level(of("moth", 2)), "A pair is level."),
            (clear_of("table-lamp", 2), "A lit shade needs air."),
        ],
        [
            Less("Both prints beside the bed's right side.", [about(row(of("moth", 2), 3), 145, 75)]),
            Less("One over the bed, one over a lamp.", [over("moth-1", "bed", 8), about("moth-2", 133, 68)]),
        ],
    ),
    Case(
        "bed-with-sconces-and-pair",
        "Sconces stand in for lamps: one broad piece between them, the pair elsewhere.",
        survey(
            room(
                "bedroom",
                "bedroom",
                wall("head", 150, 100, bed(43), sconce(30, 52), sconce(115, 52), nightstand(20), nightstand(108)),
                wall("foot", 120, 100, item("dresser", 36, 48, 36, depth=20)),
            ),
            work("dune", 42, 26, "textile"),
            series("reed", 2, 15, 20),
        ),
        [over("dune", "bed", 7.5), on("foot", over(row(of("reed", 2), 3), "dresser"))],
        [
            (over_item("dune", "bed"), "The bed's own piece, between the sconces."),
            (clear_of("sconce", 3), "A sconce needs air."),
            (
                either(
                    not_hung(of("reed", 2)),
                    every(hung_on("foot", of("reed", 2)), mirrored_about("dresser", of("reed", 2))),
                ),
                "The pair answers from the dresser, mirrored.",
            ),
        ],
        [
            Less(
                "The pair stacked outside the right sconce.",
                [over("dune", "bed", 7.5), about(stack(of("reed", 2)), 136, 62)],
            ),
            Less(
                "The pair on the dresser pushed to its left end.",
                [over("dune", "bed", 7.5), on("foot", over(row(of("reed", 2), 3), "dresser", shift=-12))],
            ),
        ],
    ),
    Case(
        "twin-beds-one-each",
        "Two equal beds: one soft light piece over each, level.",
        survey(
            room("twins", "bedroom", wall("head", 180, 100, bed(22, 42), nightstand(79), bed(116, 42))),
            series("kite", 2, 24, 20, "textile"),
            work("globe", 20, 24, "print"),
        ),
        [over("kite-1", "bed", 8), over("kite-2", "bed-2", 8)],
        [
            (one_each(of("kite", 2), ["bed", "bed-2"], "head"), "One to a bed, on its axis."),
            (level(of("kite", 2)), "Twins are level."),
        ],
        [
            Less("Both over one bed.", [over(stack(of("kite", 2)), "bed", 6)]),
            Less("One 5 in higher.", [over("kite-1", "bed", 8), over("kite-2", "bed-2", 13)]),
            Less(
                "The two as a pair on the wall's middle, over neither bed.", [about(row(of("kite", 2)), 90, 64)], True
            ),
        ],
    ),
    Case(
        "bed-under-a-window",
        "The window is over the bed: a pair flanks it, one a pier, or nothing.",
        survey(
            room("bedroom", "bedroom", wall("head", 170, 104, bed(53), window(61, 48, 44, 48))),
            series("shell", 2, 18, 24),
        ),
        spaced(of("shell", 2), [30, 140], 66),
        [
            (
                either(
                    every(mirrored_about("window", of("shell", 2)), level(of("shell", 2))), not_hung(of("shell", 2))
                ),
                "One on each side of the window, mirrored, or none.",
            ),
            (clear_of("window", 3), "The casing needs room."),
        ],
        [
            Less("Both on one side of the window.", [about(stack(of("shell", 2)), 30, 66)]),
            Less("One shifted 12 in towards the corner.", spaced(of("shell", 2), [30, 152], 66)),
            Less("One hung 7 in lower than the other.", [about("shell-1", 30, 66), about("shell-2", 140, 59)]),
        ],
    ),
    Case(
        "heavy-mirror-not-over-the-bed",
        "One heavy mirror and one light textile, a bed and a dresser.",
        survey(
            room(
                "bedroom",
                "bedroom",
                wall("head", 144, 100, bed(40)),
                wall("side", 130, 100, item("dresser", 38, 54, 36, depth=20)),
            ),
            work("glass", 32, 40, "mirror", glazed=True, weight={"lb": 44}),
            work("cloth", 44, 26, "textile"),
        ),
        [over("cloth", "bed", 8), on("side", over("glass", "dresser", 7))],
        [
            (over_item("cloth", "bed"), "Soft and light over sleepers."),
            (every(hung_on("side", ["glass"]), on_axis("glass", "dresser")), "One dresses before the mirror."),
        ],
        [
            Less("The mirror over the pillow.", [over("glass", "bed", 8), on("side", over("cloth", "dresser", 7))]),
            Less("The mirror beside the dresser.", [over("cloth", "bed", 8), on("side", about("glass", 112, 62))]),
            Less("The mirror stays in store.", [over("cloth", "bed", 8)], sound=True),
        ],
    ),
    Case(
        "nursery-light-over-the-cot",
        "A cot wants one light cloth well up; the glazed map hangs across the room.",
        survey(
            room(
                "nursery",
                "nursery",
                wall("cot", 110, 98, bed(28, 54, 40)),
                wall("play", 140, 98, item("chest", 44, 52, 32, depth=18)),
            ),
            work("clouds", 36, 24, "textile"),
            work("atlas", 40, 28, "print", weight={"lb": 26}),
        ),
        [over("clouds", "bed", 9), on("play", over("atlas", "chest", 8))],
        [
            (hung_on("cot", ["clouds"]), "Soft over a child."),
            (not_on("cot", ["atlas"]), "No heavy glass over a child."),
            (on_axis("clouds", "bed"), "On the cot's axis."),
        ],
        [
            Less("Heavy glass over the cot.", [over("atlas", "bed", 9), on("play", over("clouds", "chest", 8))]),
            Less(
                "The cloth a foot off the cot's axis.",
                [over("clouds", "bed", 9, shift=13), on("play", over("atlas", "chest", 8))],
            ),
        ],
    ),
    Case(
        "love-seat-one-upright",
        "A love seat under a tall wall: the upright reaches up without leaving the seat.",
        survey(
            room("parlour", "living", wall("main", 112, 120, sofa(28, 56))),
            work("heron", 36, 50),
            work("pebble", 10, 10, "print"),
        ),
        [standing("heron", 56, 41.5)],
        [
            (over_item("heron", "sofa"), "On the seat's axis."),
            (share_of("heron", "sofa", 0.5, 0.85), "Two-thirds of the seat."),
            (not_on("main", ["pebble"]), "A crumb beside it is clutter."),
        ],
        [
            Less("A ten-inch print alone over a seat.", [over("pebble", "sofa")]),
            Less("The upright against the corner.", [about("heron", 92, 66)]),
        ],
    ),
)
