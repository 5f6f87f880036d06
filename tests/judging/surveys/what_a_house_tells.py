"""Ceilings, door swings, room colours, a wall's importance, narrow corridors, shelves. Common practice, no source."""

from __future__ import annotations

from ..building import Case, Less, about, console, door, item, on, over, room, sofa, standing, survey, wall, work
from ..seeing import (
    centre_line,
    clear_of,
    either,
    every,
    hung_on,
    not_hung,
    not_on,
    on_axis,
    over_item,
    stands_on,
    strongest_on,
)

#: CIELAB colours of pictures: greens that answer a green room, and reds that do not.
GREENS = [[48, -22, 18], [70, -14, 20], [32, -16, 8]]
REDS = [[45, 58, 34], [60, 44, 30], [35, 40, 22]]

CASES = (
    Case(
        "attic-under-a-slope",
        "The ceiling falls to a knee wall at the left: the landscape hangs over the console on the full side.",
        survey(
            room(
                "attic",
                "study",
                wall("gable", 180, 100, console(100, 60), ceiling=[[0, 40], [80, 100], [180, 100]]),
            ),
            work("valley", 44, 32),
        ),
        [over("valley", "console")],
        [(over_item("valley", "console"), "Over the console, under the full height.")],
        [
            Less("Pressed under the slope.", [about("valley", 66, 58)]),
            Less("At the wall's middle, half off the console.", [about("valley", 90, 58)]),
        ],
    ),
    Case(
        "gable-between-knee-walls",
        "Two slopes meet over the middle: the upright hangs under the ridge.",
        survey(
            room("loft", "bedroom", wall("gable", 160, 112, ceiling=[[0, 40], [80, 112], [160, 40]])),
            work("spire", 30, 42),
        ),
        [about("spire", 80, 60)],
        [(on_axis("spire", "wall", 1), "The ridge makes the axis."), (centre_line("spire", 52, 66), "Near the eye.")],
        [
            Less("Off the ridge by a foot and a half.", [about("spire", 62, 52)]),
            Less("Nearly at the floor.", [about("spire", 80, 34)]),
        ],
    ),
    Case(
        "behind-an-open-door",
        "The leaf opens back against its own wall: art keeps to what it leaves clear.",
        survey(
            room(
                "hall",
                "hall",
                wall("entry", 190, 98, door(50, swing={"hinge": "right", "leaf": 34, "opens": "this_wall"})),
            ),
            work("lane", 36, 28),
        ),
        [about("lane", 154, 60)],
        [
            (clear_of("door", 34), "An open leaf would strike it."),
            (on_axis("lane", 155, 6), "In the middle of what is clear, or nearly."),
        ],
        [Less("Behind the open leaf.", [about("lane", 108, 60)]), Less("In the far corner.", [about("lane", 171, 60)])],
    ),
    Case(
        "picture-in-the-rooms-colours",
        "A green room and two paintings of one size, one green, one red; one sofa.",
        survey(
            room("garden", "living", wall("main", 160, 104, sofa(38, 84), focal=True), colours=["#5d7a5a", "#b9c4a6"]),
            work("copper", 56, 36, palette=REDS),
            work("glade", 56, 36, palette=GREENS),
        ),
        [over("glade", "sofa")],
        [
            (over_item("glade", "sofa"), "Of two that fit alike the one in the room's colours."),
            (not_hung(["copper"]), "One is enough."),
        ],
        [Less("The red one in the green room: sound, less at home.", [over("copper", "sofa")], True)],
    ),
    Case(
        "focal-wall-before-secondary",
        "Two equal consoles on two walls, one of them focal: the stronger painting goes there.",
        survey(
            room(
                "hall",
                "hall",
                wall("aside", 150, 104, console(45, 60), importance="secondary"),
                wall("first", 150, 104, console(45, 60), importance="focal"),
            ),
            work("comet", 44, 34),
            work("crumbs", 34, 26),
        ),
        [on("first", over("comet", "console")), over("crumbs", "console")],
        [
            (strongest_on("first", "comet"), "The wall that counts carries the strongest."),
            (on_axis("comet", "console"), "On its axis."),
        ],
        [
            Less(
                "The two exchanged: sound, the weaker in the first place.",
                [on("first", over("crumbs", "console")), over("comet", "console")],
                True,
            ),
            Less("The focal wall bare.", [over("comet", "console")]),
        ],
    ),
    Case(
        "opposite-the-door",
        "Four walls around, the door in one: what faces it carries the strongest.",
        survey(
            room(
                "parlour",
                "living",
                wall("door-wall", 150, 102, door(57)),
                wall("right", 150, 102),
                wall("facing", 150, 102, console(45, 60)),
                wall("left", 150, 102),
                around=True,
            ),
            work("banner", 42, 34),
            work("leaflet", 20, 16, "print"),
        ),
        [on("facing", over("banner", "console"))],
        [(every(strongest_on("facing", "banner"), on_axis("banner", "console")), "What is first seen from the door.")],
        [
            Less(
                "The strongest beside the door, the small one facing it.",
                [on("left", about("banner", 75, 60)), on("facing", over("leaflet", "console"))],
            ),
            Less("The facing wall bare.", [on("right", about("banner", 75, 60))]),
        ],
    ),
    Case(
        "narrow-corridor-flat-works",
        "A corridor 38 in wide: the deep relief hangs elsewhere.",
        survey(
            [
                room("corridor", "public_corridor", wall("pass", 150, 98), clear_width=38),
                room("office", "office", wall("back", 140, 104, console(40, 60))),
            ],
            work("knots", 30, 30, "relief", depth=6, weight={"lb": 18}),
            work("plan", 30, 24, "print", depth=1),
        ),
        [about("plan", 75, 60), on("back", over("knots", "console"))],
        [
            (not_on("pass", ["knots"]), "Nothing sticks out where two can hardly pass."),
            (
                either(not_hung(["knots"]), every(hung_on("back", ["knots"]), on_axis("knots", "console"))),
                "Over the console.",
            ),
        ],
        [Less("The relief in the corridor.", [about("knots", 75, 60), on("back", over("plan", "console"))])],
    ),
    Case(
        "object-on-the-shelf",
        "A shelf holds the bowl; the wall above it stays its air.",
        survey(
            room("kitchen", "kitchen", wall("side", 120, 98, item("shelf", 36, 48, 2, 50, depth=9))),
            work("pot", 12, 11, "object", depth=8),
        ),
        [standing("pot", 60, 52)],
        [(either(stands_on("pot", "shelf"), not_hung(["pot"])), "An object stands on its shelf.")],
        [Less("Nailed beside the shelf.", [about("pot", 102, 60)])],
    ),
)
