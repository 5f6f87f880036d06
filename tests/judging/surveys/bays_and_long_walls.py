"""Piers, panels, corridors, long and tall walls, stairs: rhythm and series. Common practice, no source."""

from __future__ import annotations

from ..building import (
    Case,
    Less,
    about,
    along,
    console,
    door,
    equals,
    evenly,
    grid,
    item,
    of,
    on,
    over,
    panel,
    room,
    row,
    series,
    sideboard,
    sofa,
    spaced,
    stack,
    survey,
    wall,
    window,
    work,
)
from ..seeing import (
    air_between,
    all_hung,
    as_many_on,
    at_least,
    bay_or_none,
    centre_line,
    clear_of,
    close_knit,
    either,
    even_intervals,
    every,
    gap_over,
    grid_of,
    in_order,
    level,
    mirrored_about,
    not_clumped,
    not_hung,
    not_on,
    on_a_line,
    on_axis,
    one_a_wall,
    one_each,
    over_item,
    share_of,
    those_hung,
)

CANVASES = ["dawn", "noon", "dusk", "rain", "frost"]

CASES = (
    Case(
        "pair-and-two-piers",
        "Three windows leave two equal piers; a pair and an odd print: one of the pair in each, or none.",
        survey(
            room("sitting", "living", wall("light", 216, 108, window(8, 44), window(86, 44), window(164, 44))),
            series("finch", 2, 16, 22),
            work("odd", 17, 20, "print"),
        ),
        spaced(of("finch", 2), [69, 147], 60),
        [
            (bay_or_none(of("finch", 2), [(52, 86), (130, 164)], "light"), "A pair and two equal piers: one in each."),
            (level(of("finch", 2)), "The two are level."),
            (not_on("light", ["odd"]), "The odd print does not stand in for a twin."),
        ],
        [
            Less("Both in the left pier.", [about(stack(of("finch", 2), 2), 69, 60)]),
            Less("One of the pair and the odd print.", [about("finch-1", 69, 60), about("odd", 147, 60)]),
            Less("One pushed against its casing.", spaced(of("finch", 2), [69, 154], 60)),
            Less("One pier filled, one bare.", [about("finch-1", 69, 60)]),
        ],
    ),
    Case(
        "three-piers-three-prints",
        "Four doors, three equal piers, a set of three.",
        survey(
            room("passage", "hall", wall("doors", 258, 98, door(6), door(76), door(146), door(216))),
            series("gull", 3, 18, 24),
        ),
        spaced(of("gull", 3), [59, 129, 199], 60),
        [
            (one_each(of("gull", 3), [(42, 76), (112, 146), (182, 216)], "doors"), "One a pier, on its axis."),
            (level(of("gull", 3)), "The three are level."),
        ],
        [
            Less("All three in one pier.", [about(stack(of("gull", 3), 1.5), 59, 56)]),
            Less(
                "The middle one 5 in lower.", [*spaced(["gull-1", "gull-3"], [59, 199], 60), about("gull-2", 129, 55)]
            ),
            Less("Two hung, the last pier bare.", spaced(of("gull", 2), [59, 129], 60)),
        ],
    ),
    Case(
        "four-panels-four-seasons",
        "Four equal wall panels and a set of four.",
        survey(
            room(
                "dining",
                "dining",
                wall("panels", 236, 110, *(panel(10 + 56 * k, 48) for k in range(4)), finish="panel_moulding"),
            ),
            series("season", 4, 26, 34, "painting"),
        ),
        spaced(of("season", 4), [34, 90, 146, 202], 66),
        [
            (
                one_each(of("season", 4), ["panel", "panel-2", "panel-3", "panel-4"], "panels"),
                "One to a panel, on its axis.",
            ),
            (level(of("season", 4)), "One height for all."),
        ],
        [
            Less(
                "One panel takes two, one stays bare.",
                [*spaced(of("season", 2), [34, 90], 66), about("season-3", 132, 66), about("season-4", 160, 66)],
            ),
            Less("One hangs 4 in lower.", [*spaced(of("season", 3), [34, 90, 146], 66), about("season-4", 202, 62)]),
            Less("One is off its panel's axis.", spaced(of("season", 4), [34, 90, 146, 208], 66)),
        ],
    ),
    Case(
        "wide-panel-between-narrow",
        "A wide panel between two narrow ones: the large piece in the middle, the pair in the flanks.",
        survey(
            room(
                "salon",
                "living",
                wall("panels", 196, 112, panel(10, 36), panel(54, 88), panel(150, 36), finish="panel_moulding"),
            ),
            work("court", 58, 40),
            series("lily", 2, 20, 30),
        ),
        [about("court", 98, 67), *spaced(of("lily", 2), [28, 168], 67)],
        [
            (on_axis("court", "panel-2"), "The large piece in the wide panel."),
            (
                either(every(mirrored_about("panel-2", of("lily", 2)), level(of("lily", 2))), not_hung(of("lily", 2))),
                "The pair in the flanks or not at all.",
            ),
        ],
        [
            Less("The pair in the wide panel, the large piece unhung.", [about(row(of("lily", 2)), 98, 67)]),
            Less("Both of the pair in one flank.", [about("court", 98, 67), about(stack(of("lily", 2), 1), 28, 67)]),
            Less("The flanks bare: sound.", [about("court", 98, 67)], True),
        ],
    ),
    Case(
        "triptych-over-three-panels",
        "Three equal panels carry a triptych, one part each, in order.",
        survey(
            room(
                "board",
                "office",
                wall("panels", 204, 112, *(panel(12 + 64 * k, 52) for k in range(3)), finish="panel_moulding"),
            ),
            series("delta", 3, 32, 40, "painting"),
        ),
        spaced(of("delta", 3), [38, 102, 166], 67),
        [
            (one_each(of("delta", 3), ["panel", "panel-2", "panel-3"], "panels"), "One to a panel."),
            (in_order(of("delta", 3)), "In reading order."),
            (level(of("delta", 3)), "At one height."),
        ],
        [
            Less("Its parts exchanged.", spaced(["delta-2", "delta-1", "delta-3"], [38, 102, 166], 67)),
            Less("Across the mouldings in the middle.", [about(row(of("delta", 3), 2), 102, 67)]),
        ],
    ),
    Case(
        "corridor-of-twelve",
        "A 36 ft corridor and twelve equal frames: one row at equal intervals.",
        survey(room("corridor", "hall", wall("long", 432, 98)), equals("view", 12, 20, 26, "photograph")),
        [evenly(of("view", 12), 0, 432, 60)],
        [
            (all_hung(of("view", 12)), "The corridor takes them all."),
            (level(of("view", 12)), "One centre line."),
            (even_intervals(of("view", 12)), "Equal intervals."),
            (centre_line(of("view", 12), 57, 63), "At the eye."),
        ],
        [
            Less("Crowded 2 in apart in the middle, long bare ends.", [about(row(of("view", 12), 2), 216, 60)]),
            Less("Two rows stacked at one end.", [about(grid(of("view", 12), 6, 3), 80, 60)]),
            Less(
                "Every other one 5 in lower.",
                [evenly(of("view", 12)[::2], 0, 400, 60), evenly(of("view", 12)[1::2], 34, 432, 55)],
            ),
            Less(
                "Two groups of six with air between: sound, less of a march.",
                [about(row(of("view", 6), 6), 108, 60), about(row(of("view", 12)[6:], 6), 324, 60)],
                True,
            ),
        ],
    ),
    Case(
        "corridor-takes-what-it-takes",
        "Twenty equal frames and a corridor of 17 ft: one row, as many as it takes; the rest wait.",
        survey(room("corridor", "hall", wall("long", 204, 96)), equals("map", 20, 17, 22)),
        [evenly(of("map", 9), 0, 204, 59)],
        [
            (at_least(6, of("map", 20)), "A corridor is for a row."),
            (those_hung(of("map", 20), level), "One centre line, not two rows."),
            (those_hung(of("map", 20), even_intervals), "Equal intervals."),
        ],
        [
            Less("Three rows to the ceiling.", [about(grid(of("map", 18), 6, 3), 102, 50)]),
            Less("Uneven intervals.", spaced(of("map", 8), [14, 36, 64, 84, 110, 136, 160, 190], 59)),
        ],
    ),
    Case(
        "corridor-of-doors",
        "Between the doors of a corridor three equal stretches: one equal frame in each.",
        survey(
            room("corridor", "public_corridor", wall("doors", 330, 100, door(4), door(98), door(196), door(290))),
            equals("ward", 3, 30, 24),
            work("notice", 12, 15, "print"),
        ),
        spaced(of("ward", 3), [69, 165, 261], 60),
        [
            (all_hung(of("ward", 3)), "One to a stretch."),
            (level(of("ward", 3)), "One centre line."),
            (one_each(of("ward", 3), [(40, 98), (134, 196), (232, 290)], "doors"), "In the middle of each."),
            (not_on("doors", ["notice"]), "The notice joins no series."),
        ],
        [
            Less(
                "Two in the first stretch, none in the last.",
                [about(stack(of("ward", 2)), 69, 60), about("ward-3", 165, 60)],
            ),
            Less(
                "With the notice beside the last.",
                [*spaced(of("ward", 3), [69, 165, 255], 60), about("notice", 282, 60)],
            ),
            Less("Off the middle of each stretch by a foot.", spaced(of("ward", 3), [57, 153, 249], 60)),
        ],
    ),
    Case(
        "deep-relief-not-in-a-corridor",
        "A relief that stands out 7 in and a flat print, a public corridor and a lobby.",
        survey(
            [
                room("corridor", "public_corridor", wall("pass", 168, 100)),
                room("lobby", "lobby", wall("back", 150, 108, console(40, 70, 32))),
            ],
            work("shield", 34, 34, "relief", depth=7, weight={"lb": 22}),
            work("chart", 40, 30, "print", depth=1.5),
        ),
        [about("chart", 84, 60), on("back", over("shield", "console"))],
        [
            (not_on("pass", ["shield"]), "Nothing sticks out into a walkway at head height."),
            (either(not_hung(["shield"]), on_axis("shield", "console")), "Over a console one does not walk into it."),
        ],
        [
            Less("The relief in the corridor.", [about("shield", 84, 60), on("back", over("chart", "console"))]),
            Less("Both crowd the console.", [on("back", about(row(["shield", "chart"], 2), 75, 62))]),
        ],
    ),
    Case(
        "gallery-wall-of-unlike-canvases",
        "A 40 ft wall and five unlike canvases: single works at equal intervals on one centre line.",
        survey(
            room("gallery", "lobby", wall("long", 480, 132)),
            [work(one, w, h) for one, w, h in zip(CANVASES, (48, 36, 60, 30, 44), (36, 48, 40, 40, 32), strict=True)],
        ),
        [evenly(CANVASES, 0, 480, 60)],
        [
            (all_hung(CANVASES), "There is room for all."),
            (level(CANVASES), "One centre line."),
            (even_intervals(CANVASES, 2), "Equal air."),
            (not_clumped(CANVASES, 14), "Unlike canvases stand alone."),
        ],
        [
            Less("Jammed together 2½ in apart in the middle.", [about(row(CANVASES, 2.5), 240, 60)]),
            Less("Jammed together at the left.", [about(row(CANVASES, 2.5), 120, 60)]),
            Less(
                "Three jammed, two far off.",
                [about(row(CANVASES[:3], 3), 110, 60), *spaced(CANVASES[3:], [330, 430], 60)],
            ),
            Less(
                "Tops level instead of middles: sound, an older way.",
                [
                    about(one, x, 84 - h / 2)
                    for one, x, h in zip(CANVASES, (73, 164, 259, 353, 431), (36, 48, 40, 40, 32), strict=True)
                ],
                True,
            ),
        ],
    ),
    Case(
        "three-large-equal-on-a-very-long-wall",
        "A wall of 46 ft and three equal large canvases: alone, evenly.",
        survey(room("hall", "lobby", wall("long", 552, 144)), equals("horizon", 3, 66, 48, "painting")),
        [evenly(of("horizon", 3), 0, 552, 62)],
        [
            (all_hung(of("horizon", 3)), "All three."),
            (level(of("horizon", 3)), "One centre line."),
            (even_intervals(of("horizon", 3)), "Evenly."),
            (not_clumped(of("horizon", 3), 30), "Each alone."),
            (on_axis(of("horizon", 3), "wall", 3), "About the wall's middle."),
        ],
        [
            Less("In a block at the middle, 3 in apart.", [about(row(of("horizon", 3), 3), 276, 62)]),
            Less("Two together and one alone.", spaced(of("horizon", 3), [110, 180, 440], 62)),
            Less("All in the left half.", [evenly(of("horizon", 3), 0, 276, 62)]),
            Less(
                "As wide apart, but one third nearer the ends: sound.",
                spaced(of("horizon", 3), [80, 276, 472], 62),
                True,
            ),
        ],
    ),
    Case(
        "two-sets-with-air-between",
        "A 28 ft wall without furniture and two sets of four: two groups, air between, one centre line.",
        survey(
            room("gallery", "other", wall("long", 336, 108)),
            series("bee", 4, 16, 20),
            series("ship", 4, 16, 20, "photograph"),
        ),
        [about(grid(of("bee", 4), 2, 3), 112, 60), about(grid(of("ship", 4), 2, 3), 224, 60)],
        [
            (close_knit(of("bee", 4), 1.5, 16), "A set keeps together."),
            (close_knit(of("ship", 4), 1.5, 16), "A set keeps together."),
            (air_between(of("bee", 4), of("ship", 4), 12), "Air between the two."),
        ],
        [
            Less(
                "The two sets mixed in one row.",
                [about(row([f"{one}-{k}" for k in range(1, 5) for one in ("bee", "ship")], 3), 168, 60)],
            ),
            Less(
                "Jammed together as one grid of eight.",
                [about(row([grid(of("bee", 4), 2, 3), grid(of("ship", 4), 2, 3)], 3), 168, 60)],
            ),
            Less(
                "One 8 in lower than the other.",
                [about(grid(of("bee", 4), 2, 3), 112, 62), about(grid(of("ship", 4), 2, 3), 224, 54)],
            ),
        ],
    ),
    Case(
        "one-large-on-a-long-wall",
        "A single large canvas on a bare wall of 20 ft: in its middle.",
        survey(room("study", "study", wall("long", 240, 108)), work("breaker", 72, 48)),
        [about("breaker", 120, 60)],
        [(on_axis("breaker", "wall", 1), "In the middle."), (centre_line("breaker", 57, 63), "At the eye.")],
        [
            Less("At the left third, against nothing.", [about("breaker", 70, 60)]),
            Less("10 in too high.", [about("breaker", 120, 71)]),
            Less("8 in too low.", [about("breaker", 120, 51)]),
        ],
    ),
    Case(
        "tall-wall-over-a-low-console",
        "A wall of 18 by 14 ft over a low console: the tall canvas takes it as one wall.",
        survey(
            room("atrium", "living", wall("tall", 216, 168, console(72, 72, 28), focal=True)),
            work("cascade", 60, 84),
            work("cup", 12, 14, "print"),
        ),
        [over("cascade", "console", 8)],
        [
            (on_axis("cascade", "console"), "On the console's axis."),
            (gap_over("cascade", "console", 5, 14), "Near the console, reaching up."),
            (not_on("tall", ["cup"]), "A crumb is lost here."),
        ],
        [
            Less("Beside the console.", [about("cascade", 182, 66)]),
            Less("Floating in the middle of the height.", [about("cascade", 108, 104)]),
            Less("The crumb alone over the console.", [over("cup", "console", 8)]),
        ],
    ),
    Case(
        "tall-wall-twelve-in-a-grid",
        "A wall of two storeys, a bench and twelve equal prints: an upright grid on the bench's axis.",
        survey(
            room("stairhall", "hall", wall("tall", 130, 190, item("bench", 35, 60, 18, depth=16))),
            series("kelp", 12, 16, 20),
        ),
        [over(grid(of("kelp", 12), 3, 2.5), "bench", 18)],
        [
            (all_hung(of("kelp", 12)), "A set of twelve is whole."),
            (grid_of(of("kelp", 12), 3, 4, 2, 6), "A full grid."),
            (either(on_axis(of("kelp", 12), "bench"), on_axis(of("kelp", 12), "wall")), "On the axis."),
        ],
        [
            Less(
                "Eleven.",
                [over(row([grid(of("kelp", 9), 3, 2.5), stack(["kelp-10", "kelp-11"], 2.5)], 2.5), "bench", 18)],
            ),
            Less("Off the bench's axis by 14 in.", [over(grid(of("kelp", 12), 3, 2.5), "bench", 18, shift=14)]),
            Less("Carried up under the ceiling.", [about(grid(of("kelp", 12), 3, 2.5), 65, 140)]),
        ],
    ),
    *(
        Case(
            f"stair-of-{count}",
            f"{count} pieces climb with the rail: middles on a line parallel to it, with equal air.",
            survey(
                room(
                    "stair",
                    "stair",
                    wall(
                        "flight", length, 94 + length * 0.55, rail={"from": [0, 34], "to": [length, 34 + length * 0.55]}
                    ),
                ),
                works,
            ),
            along([one["id"] for one in works], (step * 0.8, 34 + step * 0.8 * 0.55 + 29), (step, step * 0.55)),
            [
                (all_hung([one["id"] for one in works]), "The flight takes them all."),
                (on_a_line([one["id"] for one in works]), "Middles follow the rail."),
                (even_intervals([one["id"] for one in works], 2), "With equal steps."),
            ],
            [
                Less(
                    "In a level row, into the steps at one end.",
                    [about(row([one["id"] for one in works[: count // 2 + 1]], 4), length / 2, 120)],
                ),
                Less(
                    "One of them a hand below the line.",
                    [
                        *along(
                            [one["id"] for one in works[:2]],
                            (step * 0.8, 34 + step * 0.8 * 0.55 + 29),
                            (step, step * 0.55),
                        ),
                        *along(
                            [one["id"] for one in works[2:]],
                            (step * 2.8, 34 + step * 2.8 * 0.55 + 21),
                            (step, step * 0.55),
                        ),
                    ],
                ),
            ],
        )
        for count, length, step, works in (
            (5, 160, 28, equals("rung", 5, 16, 20)),
            (7, 190, 25, equals("step", 7, 16, 20, "photograph")),
            (9, 216, 22.5, [work(f"kin-{k}", 12 + 2 * (k % 3), 16 - 2 * (k % 2), "photograph") for k in range(1, 10)]),
            (15, 300, 19, equals("tread", 15, 13, 16, "drawing")),
        )
    ),
    Case(
        "long-wall-two-anchors",
        "A sofa at one end and a sideboard at the other: each its own piece, the middle bare.",
        survey(
            room("loft", "living", wall("long", 340, 112, sofa(20, 90), sideboard(240, 78))),
            work("glacier", 60, 38),
            series("pip", 3, 16, 20),
        ),
        [over("glacier", "sofa"), over(row(of("pip", 3), 2.5), "sideboard")],
        [
            (over_item("glacier", "sofa"), "The large piece over the sofa."),
            (over_item(of("pip", 3), "sideboard"), "The row over the sideboard."),
            (share_of(of("pip", 3), "sideboard", 0.5, 0.9), "It fills it."),
        ],
        [
            Less("All in the middle between the two.", [about(row(["glacier", *of("pip", 3)], 3), 174, 60)]),
            Less(
                "Each drawn towards the other by 20 in.",
                [over("glacier", "sofa", shift=20), over(row(of("pip", 3), 2.5), "sideboard", shift=-20)],
            ),
            Less(
                "Exchanged: the large one wider than two-thirds of the sideboard, the row short for the sofa; sound.",
                [over("glacier", "sideboard"), over(row(of("pip", 3), 2.5), "sofa")],
                True,
            ),
        ],
    ),
    Case(
        "opposite-sideboards-answer",
        "Two equal sideboards face each other: two equal paintings at one height.",
        survey(
            room(
                "dining", "dining", wall("east", 150, 106, sideboard(39, 72)), wall("west", 150, 106, sideboard(39, 72))
            ),
            equals("tide", 2, 46, 32, "painting"),
            work("fern", 12, 16, "print"),
        ),
        [over("tide-1", "sideboard"), on("west", over("tide-2", "sideboard"))],
        [
            (all_hung(of("tide", 2)), "Both hang."),
            (level(of("tide", 2)), "Opposite walls answer at one height."),
            (every(on_axis("tide-1", "sideboard"), on_axis("tide-2", "sideboard")), "Each on its axis."),
            (one_a_wall(of("tide", 2)), "One a side."),
        ],
        [
            Less("Both on one wall, the other bare.", [over(row(of("tide", 2)), "sideboard")]),
            Less(
                "One 6 in higher than the other.",
                [over("tide-1", "sideboard"), on("west", over("tide-2", "sideboard", 13.5))],
            ),
            Less("One off its axis.", [over("tide-1", "sideboard"), on("west", over("tide-2", "sideboard", shift=12))]),
            Less(
                "With the fern beside one.",
                [over("tide-1", "sideboard"), about("fern", 128, 60), on("west", over("tide-2", "sideboard"))],
            ),
        ],
    ),
    Case(
        "opposite-long-walls-answer",
        "Six equal photographs and two long facing walls: three a side, alike.",
        survey(
            room("gallery", "hall", wall("left", 210, 100), wall("right", 210, 100)),
            equals("quarry", 6, 28, 22, "photograph"),
        ),
        [evenly(of("quarry", 3), 0, 210, 60), on("right", evenly(of("quarry", 6)[3:], 0, 210, 60))],
        [
            (all_hung(of("quarry", 6)), "There is room for all."),
            (level(of("quarry", 6)), "One height on both sides."),
            (as_many_on("left", "right"), "As many a side."),
        ],
        [
            Less(
                "Five on one side, one on the other.",
                [evenly(of("quarry", 5), 0, 210, 60), on("right", about("quarry-6", 105, 60))],
            ),
            Less(
                "One side 5 in lower.",
                [evenly(of("quarry", 3), 0, 210, 60), on("right", evenly(of("quarry", 6)[3:], 0, 210, 55))],
            ),
            Less(
                "One side in a clump.",
                [evenly(of("quarry", 3), 0, 210, 60), on("right", about(row(of("quarry", 6)[3:], 2), 60, 60))],
            ),
        ],
    ),
    Case(
        "beside-a-door-on-the-clear-stretch",
        "A door takes the left end: the piece is centred on the clear stretch and keeps off the casing.",
        survey(
            room("study", "study", wall("door-wall", 150, 98, door(12, 34), item("switch", 52, 3, 5, 46))),
            work("meadow", 44, 34),
        ),
        [about("meadow", 102, 60)],
        [
            (on_axis("meadow", 100, 6), "In the middle of what is clear."),
            (clear_of("door", 6), "Off the casing and the switch."),
            (centre_line("meadow", 57, 63), "At the eye."),
        ],
        [
            Less("On the wall's middle, half behind the door's swing.", [about("meadow", 76, 60)]),
            Less("Against the corner.", [about("meadow", 127, 60)]),
        ],
    ),
    Case(
        "three-windows-one-set-under-none",
        "Low wide windows fill the wall: nothing below or above them.",
        survey(
            room(
                "sun",
                "other",
                wall("light", 200, 100, window(10, 84, 60, 26, view=True), window(106, 84, 60, 26, view=True)),
            ),
            series("snail", 3, 10, 12),
        ),
        [],
        [(not_on("light", of("snail", 3)), "A wall of windows with a view stays bare.")],
        [Less("One small print in the sliver between.", [about("snail-1", 100, 60)])],
    ),
)
