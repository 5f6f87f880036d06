"""Mantels, televisions, consoles, desks and pianos. Common practice, no source."""

from __future__ import annotations

from ..building import (
    Case,
    Less,
    about,
    columns,
    console,
    door,
    equals,
    grid,
    item,
    lamp,
    mantel,
    of,
    on,
    over,
    panel,
    room,
    row,
    sconce,
    screen,
    series,
    sideboard,
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
    above,
    all_hung,
    centre_line,
    clear_of,
    either,
    every,
    gap_over,
    grid_of,
    hung_on,
    level,
    mirrored_about,
    not_hung,
    not_on,
    nothing_else,
    nothing_over,
    on_axis,
    over_item,
    share_of,
    stands_in,
    stands_on,
    strongest_on,
    upright,
)

CASES = (
    Case(
        "mantel-between-sconces",
        "Two sconces flank the hearth: one piece between them, on the axis.",
        survey(
            room(
                "parlour", "living", wall("hearth", 150, 112, mantel(44), sconce(34, 64), sconce(111, 64), focal=True)
            ),
            work("abbey", 40, 30),
            work("thimble", 9, 12, "print"),
        ),
        [over("abbey", "mantel", 6.5)],
        [
            (on_axis("abbey", "mantel"), "The hearth makes the axis."),
            (gap_over("abbey", "mantel", 3, 10), "Low over the shelf."),
            (clear_of("sconce", 4), "A sconce needs air."),
            (nothing_else("hearth", ["abbey"]), "The hearth carries one piece."),
        ],
        [
            Less("Hung 8 in off the hearth's axis, nearer one sconce.", [over("abbey", "mantel", 6.5, shift=8)]),
            Less("The thimble outside one sconce.", [over("abbey", "mantel", 6.5), about("thimble", 128, 66)]),
            Less("18 in above the shelf.", [over("abbey", "mantel", 18)]),
        ],
    ),
    Case(
        "mantel-and-equal-alcoves",
        "A chimney breast with equal alcoves: the large piece over the hearth, the pair one an alcove.",
        survey(
            room(
                "parlour",
                "living",
                wall("hearth", 198, 108, mantel(68, 62, 50), panel(8, 46, 68, 32), panel(144, 46, 68, 32), focal=True),
            ),
            work("quay", 44, 34),
            series("bud", 2, 20, 26),
        ),
        [over("quay", "mantel", 6.5), *spaced(of("bud", 2), [31, 167], 64)],
        [
            (on_axis("quay", "mantel"), "The large piece over the hearth."),
            (
                either(every(mirrored_about("mantel", of("bud", 2)), level(of("bud", 2))), not_hung(of("bud", 2))),
                "One print an alcove, level, or none.",
            ),
        ],
        [
            Less("The pair in one alcove.", [over("quay", "mantel", 6.5), about(stack(of("bud", 2), 2), 31, 65)]),
            Less(
                "The large piece in an alcove, the pair over the hearth.",
                [over(row(of("bud", 2)), "mantel", 6.5), about("quay", 31, 64)],
            ),
            Less("The alcoves left bare.", [over("quay", "mantel", 6.5)], sound=True),
        ],
    ),
    Case(
        "mirror-over-mantel-painting-in-alcove-room",
        "The mirror is the mantel's; the painting is the sideboard's.",
        survey(
            room(
                "dining",
                "dining",
                wall("hearth", 140, 108, mantel(40, 60, 48), focal=True),
                wall("alcove", 96, 108, sideboard(12, 72)),
            ),
            work("pier-glass", 40, 44, "mirror", weight={"lb": 40}, glazed=True, frame="gilt"),
            work("pears", 46, 32),
        ),
        [over("pier-glass", "mantel", 5.5), on("alcove", over("pears", "sideboard"))],
        [
            (
                every(hung_on("hearth", ["pier-glass"]), on_axis("pier-glass", "mantel")),
                "A mirror over the mantel doubles the room.",
            ),
            (every(hung_on("alcove", ["pears"]), on_axis("pears", "sideboard")), "The painting over the sideboard."),
        ],
        [
            Less(
                "The mirror in the alcove faces a dark wall, the hearth is bare.",
                [on("alcove", over("pier-glass", "sideboard"))],
            ),
            Less(
                "The two exchanged: sound, but the glass is lost in the alcove.",
                [over("pears", "mantel", 6.5), on("alcove", over("pier-glass", "sideboard"))],
                True,
            ),
        ],
    ),
    Case(
        "mantel-with-candlesticks",
        "Ornaments stand at both ends of the shelf: the piece hangs between them.",
        survey(
            room(
                "parlour",
                "living",
                wall(
                    "hearth",
                    132,
                    106,
                    mantel(34, 64, 50),
                    item("ornament", 37, 6, 16, 50),
                    item("ornament", 89, 6, 16, 50),
                ),
            ),
            work("ferry", 36, 32),
        ),
        [over("ferry", "mantel", 6)],
        [
            (on_axis("ferry", "mantel"), "On the hearth's axis."),
            (clear_of("ornament", 1), "It covers no candlestick."),
            (clear_of("ornament-2", 1), "It covers no candlestick."),
        ],
        [
            Less("Pushed over the left candlestick.", [over("ferry", "mantel", 6, shift=-12)]),
            Less("So high that the shelf and the piece part.", [over("ferry", "mantel", 19)]),
        ],
    ),
    Case(
        "vase-stands-on-the-mantel",
        "An object stands; it is not nailed beside the hearth.",
        survey(
            room("parlour", "living", wall("hearth", 130, 104, mantel(35, 60, 50))),
            work("vase", 8, 14, "object", depth=7),
            work("regatta", 38, 28),
        ),
        [over("regatta", "mantel", 6.5), standing("vase", 40, 50)],
        [
            (on_axis("regatta", "mantel"), "The painting over the hearth."),
            (
                either(stands_on("vase", "mantel"), not_hung(["vase"])),
                "An object stands on the shelf or stays in the cupboard.",
            ),
        ],
        [
            Less(
                "The vase nailed to the wall beside the hearth.",
                [over("regatta", "mantel", 6.5), about("vase", 112, 60)],
            )
        ],
    ),
    Case(
        "object-in-the-niche",
        "A niche holds the jug; the wall beside it stays quiet.",
        survey(
            room("hall", "hall", wall("niche-wall", 120, 100, item("niche", 46, 28, 40, 40, depth=10))),
            work("jug", 10, 16, "object", depth=8),
        ),
        [standing("jug", 60, 40)],
        [(either(stands_in("jug", "niche"), not_hung(["jug"])), "An object stands in its niche.")],
        [Less("The jug on the flat wall beside the niche.", [about("jug", 20, 60)])],
    ),
    Case(
        "objects-on-shelves-not-nails",
        "A bookcase beside a painting: bowls belong on shelves.",
        survey(
            room("study", "study", wall("books", 170, 100, item("bookcase", 0, 60, 84, depth=12), sofa(78, 78))),
            work("canal", 50, 34),
            [work(f"bowl-{k}", 12, 8, "object", depth=10) for k in (1, 2)],
        ),
        [over("canal", "sofa"), standing("bowl-1", 16, 30), standing("bowl-2", 44, 30)],
        [
            (over_item("canal", "sofa"), "The painting over the sofa."),
            (either(stands_in("bowl-1", "bookcase"), not_hung(["bowl-1"])), "A bowl stands on a shelf."),
            (either(stands_in("bowl-2", "bookcase"), not_hung(["bowl-2"])), "A bowl stands on a shelf."),
        ],
        [
            Less(
                "Bowls nailed over the sofa's end.",
                [over("canal", "sofa"), about(stack(["bowl-1", "bowl-2"]), 158, 60)],
            )
        ],
    ),
    Case(
        "screen-flanked-by-equal-prints",
        "Four equal prints flank a television, two a side, its centre line theirs; nothing above.",
        survey(
            room("den", "media", wall("screen", 168, 98, screen(55, 58, 34, 30), console(44, 80, 22), focal=True)),
            series("bark", 4, 16, 16),
        ),
        [about(stack(of("bark", 2), 3), 34, 47), about(stack(["bark-3", "bark-4"], 3), 134, 47)],
        [
            (
                either(mirrored_about("television", of("bark", 4)), not_hung(of("bark", 4))),
                "Two a side, mirrored about the screen, or none.",
            ),
            (nothing_over("television"), "Nothing over a screen."),
            (clear_of("television", 3), "The screen keeps a margin."),
        ],
        [
            Less("All four on the left of the screen.", [about(grid(of("bark", 4), 2, 2), 28, 60)]),
            Less("A row of four over the screen.", [about(row(of("bark", 4)), 84, 78)]),
            Less(
                "Right column 6 in lower than the left.",
                [about(stack(of("bark", 2), 3), 34, 50), about(stack(["bark-3", "bark-4"], 3), 134, 44)],
            ),
            Less(
                "Three on the left, one on the right.",
                [about(stack(of("bark", 3), 3), 34, 50), about("bark-4", 134, 47)],
            ),
        ],
    ),
    Case(
        "painting-never-over-the-screen",
        "One painting, a television wall and a sofa wall.",
        survey(
            room(
                "den",
                "media",
                wall("screen", 150, 98, screen(46, 58, 34, 28), console(40, 70, 22), focal=True),
                wall("sofa-wall", 160, 98, sofa(38, 84)),
            ),
            work("saltpans", 54, 34),
        ),
        [on("sofa-wall", over("saltpans", "sofa"))],
        [
            (every(hung_on("sofa-wall", ["saltpans"]), on_axis("saltpans", "sofa")), "The painting goes to the sofa."),
            (nothing_over("television"), "Nothing over a screen."),
        ],
        [
            Less("Over the screen.", [about("saltpans", 75, 80)]),
            Less("Beside the screen, jammed into the corner.", [about("saltpans", 120, 82)]),
        ],
    ),
    Case(
        "screen-off-the-middle",
        "The screen and its console hold the left; the painting takes the middle of the free stretch, at the eye.",
        survey(
            room("den", "media", wall("main", 190, 100, screen(16, 56, 32, 28), console(8, 72, 22))),
            work("mill", 44, 32),
            work("thorn", 10, 12, "print"),
        ),
        [about("mill", 132, 60)],
        [
            (nothing_over("television"), "Nothing over a screen."),
            (every(hung_on("main", ["mill"]), on_axis("mill", 132, 6)), "In the middle of what is free."),
            (centre_line("mill", 55, 63), "At the eye, or near the screen's own centre line."),
            (not_on("main", ["thorn"]), "A crumb beside it is clutter."),
        ],
        [
            Less("Close beside the screen.", [about("mill", 97, 60)]),
            Less("The crumb under it.", [about("mill", 132, 64), about("thorn", 132, 39)]),
        ],
    ),
    Case(
        "console-mirror-by-the-door",
        "A narrow console beside the entrance: a mirror on its axis.",
        survey(
            room("hall", "hall", wall("entry", 124, 100, door(8), console(66, 44))),
            work("oval", 24, 34, "mirror", glazed=True, weight={"lb": 18}),
            work("postcard", 8, 10, "print"),
        ),
        [over("oval", "console", 7)],
        [
            (over_item("oval", "console"), "The mirror over the console."),
            (not_on("entry", ["postcard"]), "A postcard beside it is clutter."),
        ],
        [
            Less("Between door and console, over neither.", [about("oval", 62, 60)]),
            Less("With the postcard at its side.", [over("oval", "console", 7), about("postcard", 112, 60)]),
        ],
    ),
    Case(
        "sideboard-between-lamps",
        "Two lamps stand on the sideboard: the piece hangs between the shades.",
        survey(
            room(
                "dining", "dining", wall("serve", 150, 104, sideboard(36, 78), lamp(38, 34), lamp(97, 34), focal=True)
            ),
            work("grapes", 36, 30),
            work("banquet", 64, 30),
        ),
        [over("grapes", "sideboard", 8)],
        [
            (clear_of("table-lamp", 1), "A shade is not covered."),
            (clear_of("table-lamp-2", 1), "A shade is not covered."),
            (
                either(
                    over_item("grapes", "sideboard"), every(on_axis("banquet", "sideboard"), clear_of("table-lamp", 1))
                ),
                "One piece on the axis, between the lamps or over them.",
            ),
        ],
        [
            Less("The wide one behind both shades.", [over("banquet", "sideboard", 8)]),
            Less("The small one off the axis, over a lamp.", [over("grapes", "sideboard", 8, shift=22)]),
        ],
    ),
    Case(
        "sideboard-set-of-six",
        "Six equal prints over a sideboard: three by two.",
        survey(
            room("dining", "dining", wall("serve", 144, 106, sideboard(36, 72))),
            series("herb", 6, 13, 16),
            work("cup", 9, 9, "print"),
        ),
        [over(grid(of("herb", 6), 3, 2.5), "sideboard", 7)],
        [
            (all_hung(of("herb", 6)), "The set is whole."),
            (grid_of(of("herb", 6), 3, 6), "A full grid."),
            (over_item(of("herb", 6), "sideboard"), "Over the sideboard, on its axis."),
            (not_on("serve", ["cup"]), "No seventh."),
        ],
        [
            Less("Five of six.", [over(row(of("herb", 5), 2), "sideboard")]),
            Less(
                "The cup joins the grid's end.",
                [over(grid(of("herb", 6), 3, 2.5), "sideboard", 7), about("cup", 103, 58)],
            ),
            Less(
                "Two rows of different air.",
                [
                    over(row(of("herb", 3), 2.5), "sideboard", 26),
                    over(row(["herb-4", "herb-5", "herb-6"], 8), "sideboard", 7),
                ],
            ),
            Less(
                "Two by three, an upright block on a long board: sound.",
                [over(grid(of("herb", 6), 2, 2.5), "sideboard", 6)],
                True,
            ),
        ],
    ),
    Case(
        "upright-piano-and-two-prints",
        "The painting over the piano; the prints do not creep beside it.",
        survey(
            room("music", "living", wall("piano-wall", 160, 106, item("piano", 20, 58, 48, depth=25))),
            work("ford", 40, 28),
            series("note", 2, 12, 16),
        ),
        [over("ford", "piano", 7)],
        [
            (over_item("ford", "piano"), "The painting over the instrument."),
            (either(not_hung(of("note", 2)), level(of("note", 2))), "The pair is level where it hangs."),
        ],
        [
            Less("At the wall's middle, over nothing.", [about("ford", 80, 60)]),
            Less("One print squeezed beside the painting.", [over("ford", "piano", 7), about("note-1", 80, 68)]),
        ],
    ),
    Case(
        "desk-with-series-of-three",
        "Three equal drawings over a writing desk.",
        survey(
            room("study", "study", wall("desk-wall", 132, 100, item("desk", 36, 60, 30, depth=28))),
            series("plan", 3, 14, 18, "drawing"),
        ),
        [over(row(of("plan", 3), 2.5), "desk", 16)],
        [
            (mirrored_about("desk", of("plan", 3)), "The row mirrors about the desk."),
            (level(of("plan", 3)), "The row is level."),
            (share_of(of("plan", 3), "desk", 0.55, 1.0), "It carries the desk."),
        ],
        [
            Less("A column at the desk's left end.", [about(stack(of("plan", 3), 2), 44, 64)]),
            Less("Two over the desk, one beside.", [over(row(of("plan", 2)), "desk", 16), about("plan-3", 114, 55)]),
        ],
    ),
    Case(
        "lobby-desk-takes-the-strongest",
        "A visitor walks towards the desk: the large painting hangs over it, the smaller on the side wall.",
        survey(
            room(
                "lobby",
                "lobby",
                wall("desk-wall", 220, 120, item("desk", 62, 96, 44, depth=30), focal=True),
                wall("side", 200, 120, item("bench", 64, 72, 18, depth=20)),
            ),
            work("delta", 72, 44),
            work("ridge", 44, 30),
        ),
        [over("delta", "desk", 8), on("side", about("ridge", 100, 60))],
        [
            (strongest_on("desk-wall", "delta"), "The strongest piece where one walks to."),
            (on_axis("delta", "desk"), "On the desk's axis."),
            (not_on("desk-wall", ["ridge"]), "It does not share the wall."),
        ],
        [
            Less(
                "The large one on the side wall, the small one over the desk.",
                [over("ridge", "desk", 8), on("side", about("delta", 100, 62))],
            ),
            Less("The large one beside the desk.", [about("delta", 40, 66)]),
            Less("The side wall left bare: sound, a little poor.", [over("delta", "desk", 8)], True),
        ],
    ),
    Case(
        "sideboard-mirror-and-flanks",
        "A mirror governs the sideboard, four equal prints flank it, two a side, on its centre line.",
        survey(
            room("dining", "dining", wall("serve", 180, 108, sideboard(48, 84), focal=True)),
            work("sun-glass", 30, 30, "mirror", glazed=True, weight={"lb": 20}),
            series("plum", 4, 13, 16),
        ),
        [
            over("sun-glass", "sideboard", 10),
            about(row([stack(of("plum", 2), 2.5)]), 58, 59),
            about(row([stack(["plum-3", "plum-4"], 2.5)]), 122, 59),
        ],
        [
            (
                either(
                    on_axis("sun-glass", "sideboard"),
                    every(not_hung(["sun-glass"]), on_axis(of("plum", 4), "sideboard")),
                ),
                "The single piece on the axis.",
            ),
            (either(mirrored_about("sideboard", of("plum", 4)), not_hung(of("plum", 4))), "Two a side or none."),
        ],
        [
            Less(
                "Four in a column on the right.",
                [over("sun-glass", "sideboard", 10), about(grid(of("plum", 4), 2, 2), 138, 59)],
            ),
            Less(
                "The mirror in store, the prints on the axis: sound, weaker.",
                [over(grid(of("plum", 4), 2, 2.5), "sideboard", 7)],
                True,
            ),
        ],
    ),
    Case(
        "window-flanked-by-a-pair",
        "A single window on the wall's middle: a pair flanks it, or nothing.",
        survey(
            room("sitting", "living", wall("light", 170, 104, window(62, 46, 60, 26))),
            series("gorse", 2, 20, 28),
            work("odd", 18, 22, "print"),
        ),
        spaced(of("gorse", 2), [28, 142], 60),
        [
            (
                either(
                    every(mirrored_about("window", of("gorse", 2)), level(of("gorse", 2))), not_hung(of("gorse", 2))
                ),
                "Equal pieces flank, mirrored.",
            ),
            (not_on("light", ["odd"]), "The odd piece does not flank."),
        ],
        [
            Less("One of the pair and the odd piece flank.", [about("gorse-1", 28, 60), about("odd", 142, 60)]),
            Less("Both in one pier.", [about(stack(of("gorse", 2), 2), 28, 62)]),
            Less("Nearer the window at one side than the other.", spaced(of("gorse", 2), [46, 150], 60)),
            Less("Both piers bare: sound, but the pair is in store.", [], True),
        ],
    ),
    Case(
        "doors-make-an-axis",
        "Two doors, a stretch between: the single piece on the axis of the doors.",
        survey(
            room("hall", "hall", wall("doors", 190, 100, door(10), door(144))),
            work("stag", 34, 44),
            work("acorn", 12, 16, "print"),
        ),
        [about("stag", 95, 60)],
        [
            (on_axis("stag", 95), "The door pair makes the axis."),
            (centre_line("stag", 57, 62), "At the eye."),
            (nothing_else("doors", ["stag"]), "One piece is enough."),
        ],
        [
            Less("Nearer one door.", [about("stag", 72, 60)]),
            Less("The acorn at its side.", [about("stag", 95, 60), about("acorn", 121, 60)]),
            Less("Nine inches too high.", [about("stag", 95, 69)]),
        ],
    ),
    Case(
        "two-equal-above-a-tall-console",
        "A tall narrow stretch over a console: two equal landscapes stacked on its axis, or one alone.",
        survey(
            room("landing", "hall", wall("tall", 76, 140, console(14, 48))),
            series("barge", 2, 32, 24, "painting"),
        ),
        [over(stack(of("barge", 2), 3), "console", 7)],
        [
            (all_hung(of("barge", 2)), "The pair is whole."),
            (
                either(every(upright(of("barge", 2)), on_axis(of("barge", 2), "console")), level(of("barge", 2))),
                "One above the other on the axis.",
            ),
            (either(above("barge-1", "barge-2"), above("barge-2", "barge-1"), level(of("barge", 2))), "Not askew."),
        ],
        [
            Less("Stepped: the upper one shifted right.", [about("barge-2", 38, 51), about("barge-1", 48, 78)]),
            Less("A foot and more of air between.", [about("barge-2", 38, 51), about("barge-1", 38, 94)]),
        ],
    ),
    Case(
        "dresser-with-lamp-at-one-end",
        "A lamp stands at the dresser's end: the piece stays off the shade, near the axis.",
        survey(
            room("bedroom", "bedroom", wall("dress", 130, 100, item("dresser", 32, 66, 36, depth=20), lamp(82, 36))),
            work("dovecote", 30, 32),
        ),
        [over("dovecote", "dresser", 7.5, shift=-2)],
        [
            (clear_of("table-lamp", 1), "A shade is not covered."),
            (on_axis("dovecote", "dresser", 12), "It belongs to the dresser, shifted by the lamp at most."),
            (gap_over("dovecote", "dresser", 5.5, 10), "Low over the top."),
        ],
        [
            Less("Behind the shade.", [over("dovecote", "dresser", 7.5, shift=16)]),
            Less("Beside the dresser.", [about("dovecote", 114, 60)]),
        ],
    ),
    Case(
        "salon-of-columns-over-a-chest",
        "Seven pieces of one hand in three columns about the largest over a chest.",
        survey(
            room("parlour", "living", wall("main", 150, 112, item("chest", 44, 62, 32, depth=18))),
            work("forge", 26, 34, maker="O. Lind"),
            equals("study", 6, 13, 10, "drawing", maker="O. Lind"),
        ),
        [over(columns(of("study", 3), ["forge"], ["study-4", "study-5", "study-6"], gap=2.5), "chest", 7)],
        [
            (on_axis("forge", "chest", 1), "The largest in the middle."),
            (
                either(mirrored_about("chest", ["forge", *of("study", 6)]), not_hung(of("study", 6))),
                "Equal small ones at both sides or none.",
            ),
        ],
        [
            Less(
                "The six in a ragged row below the large one.",
                [over(row(of("study", 6), 2), "chest", 4), over("forge", "chest", 18)],
            ),
            Less(
                "The largest at the edge of the group.",
                [over(row(["forge", grid(of("study", 6), 2, 2)], 2.5), "chest", 7)],
            ),
        ],
    ),
)
