"""Works of one look together, both sides of a screen or hearth alike, rooms as wholes. Common practice, no source."""

from __future__ import annotations

from ..building import (
    Case,
    Less,
    about,
    bed,
    columns,
    door,
    equals,
    evenly,
    grid,
    item,
    mantel,
    of,
    on,
    over,
    room,
    row,
    screen,
    series,
    sideboard,
    sofa,
    spaced,
    survey,
    wall,
    window,
    work,
)
from ..seeing import (
    all_hung,
    balanced,
    centre_line,
    close_knit,
    either,
    even_intervals,
    every,
    grid_of,
    hung_on,
    in_one_room,
    in_order,
    level,
    mirrored_about,
    none_hung,
    not_hung,
    on_axis,
    one_each,
    over_item,
    those_hung,
)

#: CIELAB colours of pictures: greens that go with a green room, and reds that do not.
GREENS = [[48, -22, 18], [70, -14, 20], [32, -16, 8]]
REDS = [[45, 58, 34], [60, 44, 30], [35, 40, 22]]
#: Mixed sizes of one hand [in].
MIXED = (
    (20, 24),
    (16, 20),
    (16, 20),
    (12, 16),
    (12, 16),
    (14, 11),
    (11, 14),
    (10, 8),
    (8, 10),
    (18, 18),
    (12, 12),
    (20, 16),
    (9, 12),
    (24, 18),
)
LEAVES = [f"leaf-{number}" for number in range(1, len(MIXED) + 1)]


CASES = (
    Case(
        "corridor-row-not-between-the-doors",
        "A corridor of 30 ft, doors on one side: seven equal photographs keep time along the blank side.",
        survey(
            room("way", "hall", wall("blank", 360, 96), wall("doors", 360, 96, door(40), door(162), door(284))),
            *equals("photo", 7, 20, 16, "photograph"),
            work("left-over", 12, 12),
        ),
        [evenly(of("photo", 7), 0, 360)],
        [
            (hung_on("blank", of("photo", 7)), "One row, whole, on one wall."),
            (every(level(of("photo", 7)), even_intervals(of("photo", 7))), "At one height, at equal intervals."),
        ],
        [Less("Scattered between the doors.", [on("doors", *spaced(of("photo", 4), [20, 100, 220, 340]))])],
    ),
    Case(
        "pair-either-side-of-a-breast-with-a-screen",
        "A screen over the mantel, a low cabinet in each alcove, of nearly one width: one of the pair over each.",
        survey(
            room(
                "sit",
                "living",
                wall(
                    "breast",
                    180,
                    100,
                    item("cabinet", 0, 50, 36, depth=14),
                    mantel(58, 62, 50),
                    screen(64, 50, 29, 58),
                    item("cabinet", 130, 50, 36, depth=14),
                    focal=True,
                ),
            ),
            *series("fern", 2, 20, 28),
            work("wide", 50, 34),
        ),
        [*spaced(of("fern", 2), [27, 153], 66)],
        [
            (one_each(of("fern", 2), [(0, 58), (120, 180)], "breast", 4), "One each side."),
            (level(of("fern", 2)), "At one height."),
            (not_hung("wide"), "Nothing at one side alone."),
        ],
        [
            Less(
                "The pair at the left, the wide one at the right.",
                [about(row(of("fern", 2)), 26, 62), about("wide", 152, 62)],
            )
        ],
    ),
    Case(
        "nine-squares-on-a-long-wall",
        "Nine equal squares and 18 ft of clear wall in a dining room: three by three, no band of nine.",
        survey(
            room("dine", "dining", wall("clear", 216, 102), wall("board", 140, 102, sideboard(34), focal=True)),
            *series("tile", 9, 16, 16),
            work("feast", 50, 36),
        ),
        [on("board", over("feast", "sideboard")), about(grid(of("tile", 9), 3), 108, 60)],
        [
            (grid_of(of("tile", 9), 3), "Nine squares are three by three."),
            (over_item("feast", "sideboard"), "The painting belongs to the sideboard."),
        ],
        [Less("A band of nine.", [on("board", over("feast", "sideboard")), about(row(of("tile", 9)), 108, 60)])],
    ),
    Case(
        "nothing-at-one-side-of-a-window",
        "A bedroom window in the middle of its wall: a pair flanks it, or nothing does.",
        survey(
            room(
                "bed", "bedroom", wall("head", 160, 100, bed(48), focal=True), wall("light", 160, 100, window(60, 48))
            ),
            work("cloth", 44, 28, "textile"),
            *series("face", 2, 16, 22, "drawing"),
        ),
        [over("cloth", "bed")],
        [
            (over_item("cloth", "bed"), "Over the bed."),
            (
                either(none_hung("light"), mirrored_about("window", of("face", 2), 2)),
                "Both at one side of a window tip the wall.",
            ),
        ],
        [
            Less(
                "Both at the left of the window.",
                [over("cloth", "bed"), on("light", about(row(of("face", 2)), 30, 60))],
            )
        ],
    ),
    Case(
        "two-sizes-in-a-hall-of-two-walls",
        "Four frames of one size and six of another, two walls of a hall: each size by itself, none broken.",
        survey(
            room("hall", "hall", wall("long", 264, 98), wall("doors", 264, 98, door(30), door(190))),
            *equals("large", 4, 20, 28),
            *equals("small", 6, 12, 16),
        ),
        [about(row(of("large", 4), 3), 132, 60), on("doors", about(row(of("small", 6), 3), 128, 60))],
        [
            (either(hung_on("long", of("large", 4)), hung_on("doors", of("large", 4))), "The four keep together."),
            (
                either(hung_on("long", of("small", 6)), hung_on("doors", of("small", 6)), not_hung(of("small", 6))),
                "So do the six, or they wait.",
            ),
        ],
        [
            Less(
                "One large among the small, three beyond the door.",
                [
                    about(row(["small-1", "small-2", "large-1", "small-3", "small-4"], 3), 132, 60),
                    on("doors", about(row(["large-2", "large-3", "large-4"], 3), 128, 60)),
                ],
            )
        ],
    ),
    Case(
        "the-rooms-green-over-the-sideboard",
        "A green open room, two unframed canvases of one size, one green, one red: they are no pair.",
        survey(
            room(
                "open",
                "living",
                wall("sofa", 210, 108, sofa(57, 96), focal=True),
                wall("dine", 210, 108, sideboard(120, 66)),
                colours=["#5d7a5a", "#b9c4a6"],
            ),
            work("forest", 64, 40, palette=GREENS),
            work("poppy", 44, 30, palette=REDS),
            work("moss", 44, 30, palette=GREENS),
            *series("cup", 3, 14, 14),
        ),
        [over("forest", "sofa"), on("dine", over("moss", "sideboard"))],
        [
            (over_item("forest", "sofa"), "The large one over the sofa."),
            (over_item("moss", "sideboard"), "The green one over the sideboard."),
            (not_hung("poppy"), "The red one waits."),
        ],
        [
            Less(
                "Red and green side by side at the left of the sideboard.",
                [
                    over("forest", "sofa"),
                    on("dine", over(row(of("cup", 3)), "sideboard"), about(row(["moss", "poppy"]), 56, 60)),
                ],
            )
        ],
    ),
    Case(
        "fourteen-mixed-about-a-screen",
        "Fourteen mixed prints of one hand and a screen in the middle: a group either side, alike in weight.",
        survey(
            room(
                "tv",
                "media",
                wall("view", 220, 104, item("cabinet", 70, 80, 22, depth=18), screen(81, 58, 33, 30), focal=True),
            ),
            *[
                work(name, wide, high, "print", maker="Ilse Tarn", frame="oak")
                for name, (wide, high) in zip(LEAVES, MIXED, strict=True)
            ],
        ),
        [
            about(columns(["leaf-2", "leaf-4"], ["leaf-1", "leaf-6"]), 40, 46.5),
            about(columns(["leaf-14", "leaf-7"], ["leaf-3", "leaf-5"]), 180, 46.5),
        ],
        [
            (balanced("view", 110, 0.15), "As much at one side as at the other."),
            (lambda seen: None if len(seen.on("view")) >= 8 else "fewer than eight hang", "A group, not a pair."),
        ],
        [Less("All at one side.", [about(columns(["leaf-2", "leaf-4"], ["leaf-1", "leaf-6"]), 40, 60)])],
    ),
    Case(
        "nothing-unlike-either-side-of-a-door",
        "A door in the middle of its wall, stretches of nearly one width, two unlike works left: both wait.",
        survey(
            room(
                "sit",
                "living",
                wall("north", 150, 104, sofa(33)),
                wall("east", 140, 104, mantel(40, 60)),
                wall("south", 150, 104, sofa(33)),
                wall("west", 140, 104, door(50)),
                around=True,
            ),
            work("great", 58, 38),
            work("good", 54, 36),
            work("tall", 34, 44),
            work("scrap", 20, 16),
        ),
        [over("great", "sofa"), on("south", over("good", "sofa"))],
        [
            (none_hung("west"), "Unlike works either side of a door never answer."),
            (
                every(all_hung(["great", "good"]), on_axis("great", "sofa"), on_axis("good", "sofa")),
                "Each over a sofa.",
            ),
        ],
        [
            Less(
                "The tall one at the right of the door, the scrap at the left.",
                [
                    over("great", "sofa"),
                    on("south", over("good", "sofa")),
                    on("west", about("tall", 112, 60), about("scrap", 26, 60)),
                ],
            )
        ],
    ),
    Case(
        "four-equal-on-a-very-long-wall",
        "Four equal large canvases and 33 ft: all four, evenly, none left in store.",
        survey(room("lobby", "lobby", wall("long", 400, 120)), *equals("field", 4, 60, 40, "painting")),
        [evenly(of("field", 4), 0, 400)],
        [
            (all_hung(of("field", 4)), "All of a kind."),
            (every(level(of("field", 4)), even_intervals(of("field", 4))), "In even time."),
        ],
        [Less("Three of the four.", [evenly(of("field", 3), 0, 400)])],
    ),
    Case(
        "two-stamps-on-a-bedroom-wall",
        "A cloth over the bed and two small prints before 12 ft of bare wall: the wall stays bare.",
        survey(
            room("attic", "bedroom", wall("head", 170, 104, bed(53), focal=True), wall("bare", 144, 96)),
            work("cloth", 40, 24, "textile"),
            *series("stamp", 2, 12, 16),
        ),
        [over("cloth", "bed")],
        [(over_item("cloth", "bed"), "Over the bed."), (none_hung("bare"), "Two stamps on a long wall look lost.")],
        [
            Less(
                "The two alone on the long wall.",
                [over("cloth", "bed"), on("bare", about(row(of("stamp", 2)), 72, 60))],
            )
        ],
    ),
    Case(
        "each-maker-in-one-room",
        "Two rooms alike, two works each of two makers: a room to each.",
        survey(
            [
                room(name, "living", wall(f"{name}-a", 150, 100, sofa(33)), wall(f"{name}-b", 150, 100, sideboard(39)))
                for name in ("east", "west")
            ],
            work("tarn-1", 54, 36, maker="Ilse Tarn"),
            work("tarn-2", 48, 34, maker="Ilse Tarn"),
            work("oder-1", 54, 36, maker="Jon Oder"),
            work("oder-2", 48, 34, maker="Jon Oder"),
        ),
        [
            over("tarn-1", "sofa"),
            on("east-b", over("tarn-2", "sideboard")),
            on("west-a", over("oder-1", "sofa")),
            on("west-b", over("oder-2", "sideboard")),
        ],
        [
            (every(in_one_room(of("tarn", 2)), in_one_room(of("oder", 2))), "One maker's works keep together."),
        ],
        [
            Less(
                "The makers mixed: sound, less of a room.",
                [
                    over("tarn-1", "sofa"),
                    on("east-b", over("oder-2", "sideboard")),
                    on("west-a", over("oder-1", "sofa")),
                    on("west-b", over("tarn-2", "sideboard")),
                ],
                True,
            )
        ],
    ),
    Case(
        "flight-read-upwards",
        "Six numbered prints climb with the rail: the first at the foot, where one begins to read.",
        survey(
            room("stairs", "stair", wall("flight", 220, 200, rail={"from": [20, 36], "to": [180, 146]})),
            *series("bird", 6, 14, 18),
        ),
        [
            *spaced(of("bird", 1), [45], 80),
            *[about(f"bird-{k}", 45 + 17 * (k - 1), 80 + 11.7 * (k - 1)) for k in range(2, 7)],
        ],
        [
            (in_order(of("bird", 6)), "From the foot upwards in their order."),
            (those_hung(of("bird", 6), lambda ids: close_knit(ids, 1.5, 8)), "One run."),
        ],
        [
            Less(
                "Read downwards.", [about(f"bird-{7 - k}", 45 + 17 * (k - 1), 80 + 11.7 * (k - 1)) for k in range(1, 7)]
            )
        ],
    ),
    Case(
        "masks-not-where-one-sleeps",
        "A calm pair and three staring masks, a bed and a dresser: the pair has the dresser, the masks wait.",
        survey(
            room(
                "sleep",
                "bedroom",
                wall("head", 160, 100, bed(48), focal=True),
                wall("chest", 130, 100, item("dresser", 38, 54, 34)),
            ),
            work("mist", 44, 26, "textile", themes=["calm"]),
            *series("fog", 2, 18, 26, "photograph", themes=["calm"]),
            *series("mask", 3, 12, 18, "relief", themes=["masks", "busy"]),
        ),
        [over("mist", "bed"), on("chest", over(row(of("fog", 2)), "dresser"))],
        [
            (over_item("mist", "bed"), "The cloth over the bed."),
            (not_hung(of("mask", 3)), "Staring faces do not belong where one sleeps."),
            (every(on_axis(of("fog", 2), "dresser"), centre_line(of("fog", 2), 50, 66)), "The pair over the dresser."),
        ],
        [Less("The masks over the dresser.", [over("mist", "bed"), on("chest", over(row(of("mask", 3)), "dresser"))])],
    ),
    Case(
        "armchairs-and-a-table",
        "Two armchairs with a table between: one landscape over the middle of the three.",
        survey(
            room(
                "sit",
                "living",
                wall(
                    "main",
                    150,
                    100,
                    item("custom", 30, 30, 34, depth=32, acts="bearer", label="Armchair"),
                    item("end_table", 64, 22, 24, depth=22),
                    item("custom", 90, 30, 34, depth=32, acts="bearer", label="Armchair"),
                    focal=True,
                ),
            ),
            work("river", 54, 32),
            work("bloom", 20, 24),
        ),
        [about("river", 75, 58)],
        [(on_axis("river", 75), "On the axis of the seats."), (not_hung("bloom"), "Nothing over one chair alone.")],
        [Less("The small one over the left chair.", [about("bloom", 45, 56)])],
    ),
)
