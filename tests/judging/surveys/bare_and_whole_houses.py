"""Walls best left bare, pieces that hang wrongly today, and whole rooms and houses. Common practice, no source."""

from __future__ import annotations

from ..building import (
    Case,
    Less,
    about,
    bed,
    console,
    door,
    equals,
    evenly,
    grid,
    item,
    lamp,
    mantel,
    nightstand,
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
    stack,
    survey,
    wall,
    window,
    work,
)
from ..seeing import (
    all_hung,
    at_most,
    clear_of,
    either,
    every,
    grid_of,
    hung_on,
    in_different_rooms,
    level,
    mirrored_about,
    none_hung,
    not_hung,
    not_on,
    on_axis,
    over_item,
    strongest_on,
    whole_set_or_none,
)


def hung(wall_id: str, left: float, bottom: float) -> dict[str, object]:
    return {"wall": wall_id, "left": left, "bottom": bottom}


CASES = (
    Case(
        "patterned-paper-is-the-picture",
        "A boldly patterned wall and a plain one: the pattern stays bare.",
        survey(
            room(
                "dining",
                "dining",
                wall("paper", 160, 104, sideboard(44, 72), finish="patterned_wallpaper", accent=True),
                wall("plain", 160, 104, console(52, 56)),
            ),
            work("still-life", 40, 30),
            work("sprig", 12, 15, "print"),
        ),
        [on("plain", over("still-life", "console"))],
        [
            (none_hung("paper"), "The wallpaper is the picture."),
            (
                every(hung_on("plain", ["still-life"]), on_axis("still-life", "console")),
                "The painting answers from the plain wall.",
            ),
        ],
        [
            Less("The painting on the pattern, the plain wall bare.", [over("still-life", "sideboard")]),
            Less(
                "The sprig strewn on the pattern.", [on("plain", over("still-life", "console")), about("sprig", 80, 64)]
            ),
        ],
    ),
    Case(
        "behind-a-statement-light",
        "A large lamp hangs before the wall: nothing behind it.",
        survey(
            room(
                "dining",
                "dining",
                wall("light-wall", 130, 106, item("statement_light", 30, 70, 40, 44, depth=30)),
                wall("side", 140, 106, sideboard(34, 72)),
            ),
            work("barrel", 44, 32),
        ),
        [on("side", over("barrel", "sideboard"))],
        [
            (none_hung("light-wall"), "Two things at one place both lose."),
            (
                every(hung_on("side", ["barrel"]), on_axis("barrel", "sideboard")),
                "The painting has a place of its own.",
            ),
        ],
        [
            Less("The painting behind the lamp.", [about("barrel", 65, 62)]),
            Less("The painting in the corner past the lamp.", [about("barrel", 106, 60)]),
        ],
    ),
    Case(
        "client-wants-it-bare",
        "The client keeps the accent wall bare; the works hang opposite.",
        survey(
            room(
                "sitting", "living", wall("bare", 150, 102, keep_bare=True), wall("sofa-wall", 160, 102, sofa(38, 84))
            ),
            work("tarn", 56, 36),
        ),
        [on("sofa-wall", over("tarn", "sofa"))],
        [(none_hung("bare"), "The client said so."), (over_item("tarn", "sofa"), "Over the sofa.")],
        [Less("On the wall that was to stay bare.", [about("tarn", 75, 60)])],
    ),
    Case(
        "quiet-bedroom",
        "A bedroom of four walls and bright small things: one cloth over the bed, one pair on the dresser.",
        survey(
            room(
                "bedroom",
                "bedroom",
                wall("head", 152, 100, bed(44), nightstand(20), nightstand(110), focal=True),
                wall("foot", 152, 100, item("dresser", 46, 60, 34, depth=20)),
                wall("door-wall", 120, 100, door(10)),
                wall("light", 120, 100, window(30, 60)),
            ),
            work("cloth", 46, 28, "textile"),
            series("mist", 2, 18, 22, "photograph"),
            [work(f"poster-{k}", 13, 18, "print", frame="red") for k in range(1, 5)],
        ),
        [over("cloth", "bed", 8), on("foot", over(row(of("mist", 2), 4), "dresser"))],
        [
            (over_item("cloth", "bed"), "The cloth over the bed."),
            (
                either(
                    every(hung_on("foot", of("mist", 2)), mirrored_about("dresser", of("mist", 2))),
                    not_hung(of("mist", 2)),
                ),
                "The pair on the dresser, mirrored, or nowhere.",
            ),
            (at_most(0, "light"), "No strays beside the window."),
        ],
        [
            Less(
                "Posters on every wall.",
                [
                    over("cloth", "bed", 8),
                    on("foot", over(row(of("mist", 2), 4), "dresser")),
                    on("door-wall", about(row(["poster-1", "poster-2"], 3), 86, 60)),
                    on("light", about("poster-3", 14, 60), about("poster-4", 106, 60)),
                ],
            ),
            Less(
                "The pair one on the foot wall, one by the window.",
                [over("cloth", "bed", 8), on("foot", over("mist-1", "dresser")), on("light", about("mist-2", 106, 60))],
            ),
        ],
    ),
    Case(
        "tiled-kitchen-stays-bare",
        "Tiles over the worktop and a breakfast corner: art where one sits.",
        survey(
            room(
                "kitchen",
                "kitchen",
                wall(
                    "worktop",
                    140,
                    98,
                    item("cabinet", 0, 140, 36, depth=25),
                    item("cabinet", 0, 140, 40, 56, depth=13),
                    finish="tile",
                ),
                wall("corner", 110, 98, item("bench", 20, 70, 34, depth=20)),
            ),
            series("onion", 4, 12, 12),
            work("timer", 10, 10, "clock"),
        ),
        [on("corner", over(grid(of("onion", 4), 2, 2.5), "bench", 8))],
        [
            (none_hung("worktop"), "No nail in a splashback."),
            (
                either(
                    not_hung(of("onion", 4)), every(hung_on("corner", of("onion", 4)), on_axis(of("onion", 4), "bench"))
                ),
                "The set over the bench.",
            ),
        ],
        [
            Less(
                "Set and clock jammed together.",
                [on("corner", over(row([grid(of("onion", 4), 2, 2.5), "timer"], 2.5), "bench", 8))],
            ),
            Less("Three of the four.", [on("corner", over(row(of("onion", 3), 2.5), "bench", 8))]),
        ],
    ),
    Case(
        "hangs-across-the-glass-today",
        "A print hangs across a window today: wherever it goes, not there.",
        survey(
            room("study", "study", wall("light", 150, 100, window(20, 50)), wall("plain", 130, 100)),
            work("grouse", 24, 30, "print", hung=hung("light", 40, 44)),
        ),
        [on("plain", about("grouse", 65, 60))],
        [
            (clear_of("window", 1), "Glass and casing are no place for a nail."),
            (on_axis("grouse", "wall", 1), "In the middle of the plain wall."),
        ],
        [
            Less("Left where it hangs, over the glass.", [about("grouse", 52, 59)]),
            Less("Close beside the casing.", [about("grouse", 86, 60)]),
        ],
    ),
    Case(
        "hangs-beyond-the-corner-today",
        "A painting is surveyed 6 in beyond the wall's end.",
        survey(
            room("hall", "hall", wall("short", 96, 98, console(24, 48))),
            work("sluice", 32, 26, hung=hung("short", 70, 48)),
        ),
        [over("sluice", "console")],
        [(over_item("sluice", "console"), "Over the console, on the wall.")],
        [
            Less("Against the corner.", [about("sluice", 79.5, 60)]),
            Less("High in the corner.", [about("sluice", 79.5, 78)]),
        ],
    ),
    Case(
        "hangs-over-the-lamp-today",
        "A painting hangs half behind a lamp today, 2 in over the sideboard.",
        survey(
            room("dining", "dining", wall("serve", 160, 104, sideboard(40, 80), lamp(100, 34))),
            work("copse", 40, 30, hung=hung("serve", 78, 36)),
        ),
        [over("copse", "sideboard", 7.5, shift=-4)],
        [
            (clear_of("table-lamp", 1), "A shade is not covered."),
            (on_axis("copse", "sideboard", 12), "It keeps to the sideboard."),
        ],
        [
            Less("Left half behind the shade.", [about("copse", 98, 51)]),
            Less("Far from the sideboard.", [about("copse", 20, 60)]),
        ],
    ),
    Case(
        "locked-piece-keeps-its-wall",
        "The designer has fixed the portrait to the hall; the rest is composed about that.",
        survey(
            [
                room("hall", "hall", wall("hall-wall", 130, 100, console(38, 54))),
                room("sitting", "living", wall("sofa-wall", 170, 104, sofa(43, 84), focal=True)),
            ],
            work("aunt", 30, 38, locked="hall-wall"),
            work("strait", 58, 36),
        ),
        [over("aunt", "console"), on("sofa-wall", over("strait", "sofa"))],
        [
            (hung_on("hall-wall", ["aunt"]), "Fixed is fixed."),
            (on_axis("aunt", "console"), "On the console's axis."),
            (over_item("strait", "sofa"), "The sofa has its own piece."),
        ],
        [
            Less("The portrait beside the console.", [about("aunt", 110, 60), on("sofa-wall", over("strait", "sofa"))]),
            Less("The sofa bare.", [over("aunt", "console")]),
        ],
    ),
    Case(
        "kept-apart",
        "Two works that must not share a room, two rooms.",
        survey(
            [
                room("east", "living", wall("east-wall", 150, 102, sofa(36, 78), focal=True)),
                room("west", "study", wall("west-wall", 140, 102, item("desk", 40, 60, 30, depth=28))),
            ],
            work("feud", 50, 34, maker="L. Brand"),
            work("truce", 40, 30, maker="S. Brand"),
            apart=[["feud", "truce"]],
        ),
        [over("feud", "sofa"), on("west-wall", over("truce", "desk", 14))],
        [
            (all_hung(["feud", "truce"]), "There is a room for each."),
            (in_different_rooms("feud", "truce"), "They never share a room."),
        ],
        [Less("One of them in store.", [over("feud", "sofa")])],
    ),
    Case(
        "sitting-room-and-hall",
        "Two rooms, an entrance wall seen first: strong pieces on anchors, the small ones wait.",
        survey(
            [
                room(
                    "hall",
                    "hall",
                    wall("end", 84, 100, console(18, 48), focal=True),
                    wall("side", 190, 100, door(20), door(130)),
                ),
                room(
                    "sitting",
                    "living",
                    wall("sofa-wall", 180, 106, sofa(48, 84), focal=True),
                    wall("hearth", 150, 106, mantel(44)),
                ),
            ],
            work("blaze", 30, 38, frame="gilt"),
            work("inlet", 56, 36),
            work("gable", 40, 30),
            series("knot", 2, 18, 24),
            [work(f"chip-{k}", 8, 10, "print") for k in range(1, 5)],
        ),
        [
            over("blaze", "console", 7),
            on("sofa-wall", over("inlet", "sofa")),
            on("hearth", over("gable", "mantel", 6.5)),
            on("side", about(row(of("knot", 2), 4), 93, 60)),
        ],
        [
            (over_item("inlet", "sofa"), "The landscape is the sofa's."),
            (every(hung_on("hearth", ["gable"]), on_axis("gable", "mantel")), "The second is the hearth's."),
            (every(hung_on("end", ["blaze"]), on_axis("blaze", "console")), "The upright is the console's."),
            (not_on("sofa-wall", [f"chip-{k}" for k in range(1, 5)]), "No crumbs by the sofa."),
        ],
        [
            Less(
                "The upright over the sofa, the landscape in store.",
                [over("gable", "console"), on("sofa-wall", over("blaze", "sofa"))],
            ),
            Less(
                "Crumbs on both sides of the sofa's piece.",
                [
                    over("blaze", "console", 7),
                    on(
                        "sofa-wall",
                        over("inlet", "sofa"),
                        about(stack(["chip-1", "chip-2"]), 24, 60),
                        about(stack(["chip-3", "chip-4"]), 156, 60),
                    ),
                    on("hearth", over("gable", "mantel", 6.5)),
                ],
            ),
            Less(
                "The doors' wall left bare: sound.",
                [
                    over("blaze", "console", 7),
                    on("sofa-wall", over("inlet", "sofa")),
                    on("hearth", over("gable", "mantel", 6.5)),
                ],
                True,
            ),
        ],
    ),
    Case(
        "flat-of-three-rooms",
        "Three rooms and eleven works: a whole set, two large pieces, one pair, the odd ones in store.",
        survey(
            [
                room(
                    "sitting",
                    "living",
                    wall("sofa-wall", 170, 104, sofa(43, 84), focal=True),
                    wall("screen", 150, 104, screen(46), console(40, 70, 22)),
                ),
                room("bedroom", "bedroom", wall("head", 150, 100, bed(43), nightstand(19), nightstand(109))),
                room("kitchen", "kitchen", wall("table", 120, 100, item("bench", 25, 70, 34, depth=20))),
            ],
            work("fen", 56, 36),
            work("wool", 44, 26, "textile"),
            series("bean", 6, 11, 14),
            [work(f"odd-{k}", 10 + 3 * k, 9 + 2 * k, "print") for k in range(1, 4)],
        ),
        [
            over("fen", "sofa"),
            on("head", over("wool", "bed", 8)),
            on("table", over(grid(of("bean", 6), 3, 2.5), "bench", 8)),
        ],
        [
            (over_item("fen", "sofa"), "The landscape is the sofa's."),
            (over_item("wool", "bed"), "The cloth is the bed's."),
            (
                every(all_hung(of("bean", 6)), hung_on("table", of("bean", 6)), grid_of(of("bean", 6), 3, 6)),
                "The set over the bench.",
            ),
            (none_hung("screen"), "The screen's wall needs nothing."),
        ],
        [
            Less(
                "The set over the bed.",
                [
                    over("fen", "sofa"),
                    on("head", over(grid(of("bean", 6), 6, 2), "bed", 8)),
                    on("table", over("wool", "bench", 8)),
                ],
            ),
            Less(
                "All odd ones about the screen.",
                [
                    over("fen", "sofa"),
                    on("head", over("wool", "bed", 8)),
                    on("table", over(grid(of("bean", 6), 3, 2.5), "bench", 8)),
                    on("screen", *spaced(["odd-1", "odd-2"], [16, 128], 66)),
                ],
            ),
            Less(
                "The set split over kitchen and bedroom.",
                [
                    over("fen", "sofa"),
                    on("head", over(row(of("bean", 3), 2), "bed", 8)),
                    on("table", over(row(["bean-4", "bean-5", "bean-6"], 2.5), "bench", 10)),
                ],
            ),
        ],
    ),
    Case(
        "house-of-six-rooms",
        "Six rooms, one anchor each and a corridor row: nine good places, sixteen works.",
        survey(
            [
                room("hall", "hall", wall("hall-end", 90, 100, console(20, 50), focal=True)),
                room(
                    "sitting",
                    "living",
                    wall("sofa-wall", 176, 106, sofa(46, 84), focal=True),
                    wall("hearth", 148, 106, mantel(43)),
                ),
                room("dining", "dining", wall("serve", 156, 106, sideboard(42, 72))),
                room("bedroom", "bedroom", wall("head", 150, 100, bed(43))),
                room("corridor", "hall", wall("pass", 240, 98)),
                room("study", "study", wall("desk-wall", 132, 100, item("desk", 36, 60, 30, depth=28))),
            ],
            work("glass", 26, 36, "mirror", glazed=True, weight={"lb": 18}),
            work("firth", 58, 36),
            work("cairn", 42, 30),
            work("melons", 48, 30),
            work("fleece", 44, 26, "textile"),
            equals("plate", 6, 18, 24, "photograph"),
            series("plan", 3, 14, 18, "drawing"),
            [work(f"stub-{k}", 7 + k, 9, "print") for k in (1, 2)],
        ),
        [
            over("glass", "console", 7),
            on("sofa-wall", over("firth", "sofa")),
            on("hearth", over("cairn", "mantel", 6.5)),
            on("serve", over("melons", "sideboard")),
            on("head", over("fleece", "bed", 8)),
            on("pass", evenly(of("plate", 6), 0, 240, 60)),
            on("desk-wall", over(row(of("plan", 3), 2.5), "desk", 16)),
        ],
        [
            (over_item("firth", "sofa"), "The largest landscape is the sofa's."),
            (over_item("fleece", "bed"), "The cloth is the bed's."),
            (
                every(hung_on("pass", of("plate", 6)), level(of("plate", 6))),
                "The equal frames are the corridor's, level.",
            ),
            (
                every(hung_on("desk-wall", of("plan", 3)), mirrored_about("desk", of("plan", 3))),
                "The series is the desk's.",
            ),
            (not_hung(["stub-1", "stub-2"]), "The crumbs wait."),
        ],
        [
            Less(
                "Cloth and landscape exchanged.",
                [
                    over("glass", "console", 7),
                    on("sofa-wall", over("fleece", "sofa")),
                    on("head", over("firth", "bed", 8)),
                    on("pass", evenly(of("plate", 6), 0, 240, 60)),
                ],
            ),
            Less(
                "The corridor's row torn over three rooms.",
                [
                    over("glass", "console", 7),
                    on("sofa-wall", over("firth", "sofa"), about("plate-1", 20, 60)),
                    on("head", over("fleece", "bed", 8), about("plate-2", 130, 60)),
                    on("pass", evenly(["plate-3", "plate-4", "plate-5", "plate-6"], 0, 240, 60)),
                ],
            ),
            Less(
                "The stubs added in the study.",
                [
                    over("glass", "console", 7),
                    on("sofa-wall", over("firth", "sofa")),
                    on("hearth", over("cairn", "mantel", 6.5)),
                    on("serve", over("melons", "sideboard")),
                    on("head", over("fleece", "bed", 8)),
                    on("pass", evenly(of("plate", 6), 0, 240, 60)),
                    on(
                        "desk-wall",
                        over(row(of("plan", 3), 2.5), "desk", 16),
                        about(stack(["stub-1", "stub-2"], 2), 116, 60),
                    ),
                ],
            ),
        ],
    ),
    Case(
        "small-office",
        "Reception, meeting room and corridor: the strongest at the desk, a triptych in the meeting room.",
        survey(
            [
                room(
                    "reception",
                    "lobby",
                    wall("desk-wall", 200, 114, item("desk", 60, 80, 42, depth=30), focal=True),
                    wall("wait", 170, 114, item("bench", 45, 80, 18, depth=22)),
                ),
                room(
                    "meeting",
                    "office",
                    wall("long", 230, 108),
                    wall("screen", 150, 108, screen(40, 70, 40, 36), focal=True),
                ),
                room("corridor", "public_corridor", wall("pass", 260, 98)),
            ],
            work("summit", 70, 42),
            series("river", 3, 32, 40, "painting"),
            equals("site", 5, 22, 28, "photograph"),
            work("memo", 9, 12, "print"),
        ),
        [
            over("summit", "desk", 8),
            on("long", about(row(of("river", 3), 4), 115, 60)),
            on("pass", evenly(of("site", 5), 0, 260, 60)),
        ],
        [
            (strongest_on("desk-wall", "summit"), "What is seen first carries the strongest."),
            (on_axis("summit", "desk"), "On the desk's axis."),
            (whole_set_or_none(of("river", 3)), "The triptych on one wall."),
            (level(of("river", 3)), "And level."),
            (none_hung("screen"), "Nothing by the screen."),
        ],
        [
            Less(
                "The strongest in the meeting room, a photograph over the desk.",
                [over("site-1", "desk", 8), on("long", about("summit", 115, 60))],
            ),
            Less(
                "Triptych over two walls.",
                [
                    over("summit", "desk", 8),
                    on("long", about(row(of("river", 2), 4), 115, 60)),
                    on("wait", about("river-3", 85, 64)),
                ],
            ),
            Less(
                "The memo added in reception.",
                [
                    over("summit", "desk", 8),
                    about("memo", 170, 60),
                    on("long", about(row(of("river", 3), 4), 115, 60)),
                    on("pass", evenly(of("site", 5), 0, 260, 60)),
                ],
            ),
            Less(
                "The corridor left bare: sound.",
                [over("summit", "desk", 8), on("long", about(row(of("river", 3), 4), 115, 60))],
                True,
            ),
        ],
    ),
    Case(
        "house-of-ten-rooms-one-work-each",
        "Ten equal rooms with a sofa and ten equal landscapes: one a room, all at one height.",
        survey(
            [
                room(f"room-{k}", "living", wall(f"wall-{k}", 150 + 4 * k, 104, sofa(34 + 2 * k, 82)))
                for k in range(1, 11)
            ],
            equals("year", 10, 54, 34, "painting"),
        ),
        [on(f"wall-{k}", over(f"year-{k}", "sofa")) for k in range(1, 11)],
        [
            (all_hung(of("year", 10)), "One a room."),
            (every(*(over_item([one], "sofa") for one in of("year", 10))), "Each over its sofa."),
            (level(of("year", 10)), "At one height."),
        ],
        [
            Less(
                "Two over one sofa, one room bare.",
                [
                    on("wall-1", over(stack(["year-1", "year-2"], 2), "sofa", 4)),
                    *(on(f"wall-{k}", over(f"year-{k}", "sofa")) for k in range(3, 11)),
                ],
            ),
            Less(
                "Each a foot off its sofa's axis.",
                [on(f"wall-{k}", over(f"year-{k}", "sofa", shift=12)) for k in range(1, 11)],
            ),
        ],
    ),
)
