"""The elevation drawing: to scale, complete, and never lettered over what stands on the wall."""

from __future__ import annotations

import dataclasses
import re
import xml.etree.ElementTree as ET

import pytest

from placements.drawings import (
    PAPER,
    PHONE,
    SCREEN,
    THUMBNAIL,
    DrawnPiece,
    Elevation,
    Flag,
    Guide,
    Mark,
    Running,
    draw_elevation,
)
from placements.drawings.pen import Box, text_width
from placements.engine.house import FINISHES, ITEM_KINDS, Item, Rail, Rect, Swing, Wall
from studio.units import Units
from tests import scenes

INCH = 25.4
SVG = "{http://www.w3.org/2000/svg}"
WORDS = Units("ft_in")


def inch_rect(left: float, bottom: float, width: float, height: float) -> Rect:
    return Rect(left * INCH, bottom * INCH, width * INCH, height * INCH)


def item(kind: str, left: float, bottom: float, width: float, height: float, **more: object) -> Item:
    return Item(f"{kind}-{left:g}", kind, left * INCH, bottom * INCH, width * INCH, height * INCH, **more)


SOFA_WALL = Wall(
    "w1",
    "r1",
    "North wall",
    168 * INCH,
    108 * INCH,
    items=(
        item("sofa", 42, 0, 84, 34),
        item("window", 4, 30, 30, 54, view=True),
        item("floor_lamp", 144, 0, 14, 66),
        item("outlet", 136, 12, 3, 4.5),
    ),
)
PIECE = DrawnPiece("a1", "Slack water, evening", inch_rect(56, 42, 56, 40), frame="black", mat_mm=80, number="1")
BUSY = Elevation(
    SOFA_WALL,
    (PIECE,),
    flags=(
        Flag("1", "exception", PIECE.rect, "Glazed, over a seat."),
        Flag("2", "note", SOFA_WALL.items[1].rect, "Evening sun."),
        Flag("3", "stop", PIECE.rect, "Too heavy."),
    ),
    guides=(
        Guide("eye_line", inch_rect(0, 60, 168, 6), "eye line\n60–66″"),
        Guide("span", inch_rect(59, 34, 50, 70), "two-thirds"),
        Guide("clearance", inch_rect(42, 40, 84, 4), "6–10″ clear"),
    ),
    measured=("a1",),
    selected="a1",
)
WALLS = {
    "sofa": BUSY,
    "mantel-between-sconces": Elevation(
        Wall(
            "w2",
            "r1",
            "Chimney wall",
            150 * INCH,
            108 * INCH,
            finish="brick",
            items=(item("mantel", 45, 0, 60, 52), item("sconce", 30, 60, 8, 16), item("sconce", 112, 60, 8, 16)),
        ),
        (dataclasses.replace(PIECE, rect=inch_rect(55, 58, 40, 36)),),
        flags=(Flag("1", "note", inch_rect(55, 58, 40, 36), "x"),),
        measured=("a1",),
    ),
    "narrow-pier": Elevation(
        Wall(
            "w3",
            "r1",
            "Window wall",
            120 * INCH,
            96 * INCH,
            items=(item("window", 4, 24, 44, 60), item("window", 72, 24, 44, 60), item("radiator", 76, 2, 36, 20)),
        ),
        (dataclasses.replace(PIECE, rect=inch_rect(53, 50, 14, 20)),),
        flags=(
            Flag("1", "exception", inch_rect(53, 50, 14, 20), "x"),
            Flag("2", "note", inch_rect(4, 24, 44, 60), "y"),
        ),
        measured=("a1",),
    ),
    "pair-over-console": Elevation(
        Wall(
            "w4",
            "r2",
            "Hall",
            100 * INCH,
            100 * INCH,
            items=(item("console", 20, 0, 60, 32), item("table_lamp", 22, 32, 14, 26)),
        ),
        (
            dataclasses.replace(PIECE, id="a1", rect=inch_rect(40, 42, 16, 20)),
            dataclasses.replace(PIECE, id="a2", rect=inch_rect(59, 42, 16, 20)),
        ),
        measured=("a1", "a2"),
    ),
    "running-dimensions": Elevation(
        SOFA_WALL,
        (PIECE,),
        running=(
            Running("bottom", (1500.0, 1540.0, 2700.0), ("4′ 11¹⁄₁₆″", "5′ 0⅝″", "8′ 10⁵⁄₁₆″")),
            Running("right", (1066.8, 1100.0, 2082.8), ("3′ 6″", "3′ 7⁵⁄₁₆″", "6′ 10″")),
        ),
    ),
    "stair": Elevation(
        Wall("w5", "r3", "Stair", 140 * INCH, 170 * INCH, rail=Rail(0, 34 * INCH, 140 * INCH, 120 * INCH)),
        (dataclasses.replace(PIECE, rect=inch_rect(40, 90, 16, 20)),),
        measured=("a1",),
    ),
}


def drawn(given: Elevation, **options: object) -> ET.Element:
    options.setdefault("words", WORDS)
    options.setdefault("width", 960)
    return ET.fromstring(draw_elevation(given, **options))


def texts(root: ET.Element) -> dict[str, Box]:
    """Each lettering's box by its text, from the SVG alone."""
    found = {}
    for one in root.iter(f"{SVG}text"):
        size, text = float(one.get("font-size")), one.text
        x, y, wide = float(one.get("x")), float(one.get("y")), text_width(text, size)
        start = {"middle": -wide / 2, "end": -wide}.get(one.get("text-anchor"), 0.0)
        if one.get("transform"):
            box = Box(x - size * 0.75, y - start - wide, x, y - start)
        else:
            box = Box(x + start, y - size * 0.75, x + start + wide, y)
        found[f"{text} @{x:.0f},{y:.0f}"] = box
    return found


def wall_box(root: ET.Element, rect: Rect) -> Box:
    scale, ox, oy = (float(root.get(f"data-{key}")) for key in ("scale", "origin-x", "origin-y"))
    return Box(ox + rect.left * scale, oy - rect.top * scale, ox + rect.right * scale, oy - rect.bottom * scale)


def test_wall_rectangle_is_to_scale() -> None:
    root = drawn(Elevation(SOFA_WALL), manner=PAPER, scale=1 / 24, width=None, unit="mm")
    face = root.find(f"{SVG}rect")
    # 14 ft × 9 ft at 1/2" = 1'-0" (1:24) is 7 in × 4 1/2 in of paper (standard architectural scale).
    assert float(face.get("width")) == pytest.approx(7 * INCH, abs=0.01)
    assert float(face.get("height")) == pytest.approx(4.5 * INCH, abs=0.01)
    assert root.get("width").endswith("mm")


def test_piece_stands_where_it_hangs() -> None:
    root = drawn(BUSY)
    piece = next(g for g in root.iter(f"{SVG}g") if (g.get("class") or "").startswith("piece "))
    frame = next(r for r in piece.iter(f"{SVG}rect") if r.get("fill") == "#26241f")
    box = wall_box(root, PIECE.rect)
    assert float(frame.get("x")) == pytest.approx(box.x0, abs=0.02)
    assert float(frame.get("y")) == pytest.approx(box.y0, abs=0.02)
    assert float(frame.get("width")) == pytest.approx(box.x1 - box.x0, abs=0.02)
    assert (piece.get("data-left"), piece.get("data-bottom")) == ("1422.4", "1066.8")


def test_strings_state_the_measures_of_the_hanging() -> None:
    said = {key.split(" @")[0] for key in texts(drawn(BUSY))}
    assert {"wall 14′ 0″", "9′ 0″", "sofa 7′ 0″", "8″", "centre 5′ 2″"} <= said


@pytest.mark.parametrize("manner", [SCREEN, PHONE, PAPER], ids=lambda m: m.name)
@pytest.mark.parametrize("name", WALLS)
def test_lettering_never_covers_an_item_a_piece_or_other_lettering(name: str, manner: object) -> None:
    given = WALLS[name]
    root = drawn(given, manner=manner, width={"paper": 190, "phone": 390}.get(manner.name, 960))
    boxes = texts(root)
    things = {i.id: wall_box(root, i.rect) for i in given.wall.items if i.kind != "panel"}
    things |= {p.id: wall_box(root, p.rect) for p in given.pieces if not p.number}
    assert [(t, k) for t, box in boxes.items() for k, other in things.items() if box.meets(other)] == []
    named = list(boxes.items())
    assert [(a, b) for i, (a, x) in enumerate(named) for b, y in named[i + 1 :] if x.meets(y)] == []


def test_every_kind_is_drawn_and_keeps_to_its_rectangle() -> None:
    for kind in ITEM_KINDS:
        wall = Wall("w", "r", "Wall", 3000, 2600, items=(Item("it", kind, 800, 400, 900, 700),))
        root = drawn(Elevation(wall))
        group = next(g for g in root.iter(f"{SVG}g") if g.get("data-id") == "it")
        box = wall_box(root, Rect(800, 400, 900, 700))
        assert [part for part in group if part.tag in (f"{SVG}rect", f"{SVG}path", f"{SVG}ellipse")], kind
        for part in group.iter(f"{SVG}rect"):
            x, y = float(part.get("x")), float(part.get("y"))
            slack = 10 if kind == "window" else 0.05  # the sill stands proud of the casing
            assert x >= box.x0 - slack, kind
            assert y >= box.y0 - slack, kind
            assert x + float(part.get("width")) <= box.x1 + slack, kind
            assert y + float(part.get("height")) <= box.y1 + slack, kind


@pytest.mark.parametrize("finish", FINISHES)
def test_every_finish_is_drawn_without_a_stylesheet(finish: str) -> None:
    markup = draw_elevation(Elevation(dataclasses.replace(SOFA_WALL, finish=finish)), width=960)
    assert "<style" not in markup
    assert " style=" not in markup


def test_names_from_people_are_escaped() -> None:
    given = Elevation(SOFA_WALL, (dataclasses.replace(PIECE, title="<script>alert('x')</script> & more"),))
    markup = draw_elevation(given, width=960)
    assert "<script" not in markup
    assert ET.fromstring(markup) is not None


def test_pieces_are_described_for_a_screen_reader() -> None:
    root = drawn(BUSY, interactive=True)
    assert root.get("role") == "group"
    piece = next(g for g in root.iter(f"{SVG}g") if (g.get("class") or "").startswith("piece "))
    assert piece.find(f"{SVG}title").text == "Slack water, evening"
    assert "3′ 6″ above the floor" in piece.find(f"{SVG}desc").text
    assert piece.get("tabindex") == "0"
    assert drawn(BUSY).get("role") == "img"


def test_levels_of_flags_differ_in_shape_not_only_colour() -> None:
    flags = {g.get("data-flag"): g for g in drawn(BUSY).iter(f"{SVG}g") if g.get("data-flag")}
    assert set(flags) == {"1", "2", "3"}
    fills = {key: flag.find(f"{SVG}path").get("fill") for key, flag in flags.items()}
    assert len(set(fills.values())) == 3
    assert len(flags["3"].findall(f"{SVG}path")) == 2


def test_pencil_draws_only_the_inked_piece_with_its_picture() -> None:
    pieces = (
        dataclasses.replace(PIECE, picture="one.jpg"),
        dataclasses.replace(PIECE, id="a2", rect=inch_rect(120, 70, 10, 12), picture="two.jpg"),
    )
    given = dataclasses.replace(BUSY, pieces=pieces, inked=frozenset({"a1"}), flags=(), guides=(), measured=())
    markup = draw_elevation(given, manner=PHONE, words=WORDS, width=390)
    assert "one.jpg" in markup
    assert "two.jpg" not in markup


def test_thumbnail_has_no_lettering() -> None:
    root = drawn(BUSY, manner=THUMBNAIL, width=160)
    assert not list(root.iter(f"{SVG}text"))


def test_hook_marks_fall_on_their_points() -> None:
    root = drawn(dataclasses.replace(BUSY, marks=(Mark(84 * INCH, 75 * INCH, "A"),)))
    assert "A" in [one.text for one in root.iter(f"{SVG}text")]
    marks = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "marks")
    circle = marks.find(f"{SVG}circle")
    scale, ox, oy = (float(root.get(f"data-{key}")) for key in ("scale", "origin-x", "origin-y"))
    assert float(circle.get("cx")) == pytest.approx(ox + 84 * INCH * scale, abs=0.02)
    assert float(circle.get("cy")) == pytest.approx(oy - 75 * INCH * scale, abs=0.02)


def test_numbers_are_short() -> None:
    assert not re.findall(
        r'"-?\d+\.\d{3,}"', draw_elevation(BUSY, width=960).replace("data-scale", "", 1).split(">", 1)[1]
    )


def test_hook_labels_hide_no_cross_and_no_other_label():
    """Three narrow pieces side by side and one close below, each on two hooks, at 1:100 on paper."""
    pieces, marks = [], []
    for number, (left, bottom) in enumerate(((40, 55), (66, 55), (92, 55), (66, 21)), start=1):
        pieces.append(DrawnPiece(f"p{number}", f"Piece {number}", inch_rect(left, bottom, 24, 32), number=str(number)))
        marks += [
            Mark((left + dx) * INCH, (bottom + 26) * INCH, f"{number}{side}") for side, dx in (("a", 2), ("b", 22))
        ]
    wall = Wall("w", "r", "East side", 300 * INCH, 106 * INCH)
    root = drawn(Elevation(wall, pieces=tuple(pieces), marks=tuple(marks)), manner=PAPER, scale=1 / 100, unit="mm")
    group = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "marks")
    slips = [
        Box(x, y, x + float(slip.get("width")), y + float(slip.get("height")))
        for slip in group.iter(f"{SVG}rect")
        for x, y in [(float(slip.get("x")), float(slip.get("y")))]
    ]
    crosses = [
        Box(x - r, y - r, x + r, y + r)
        for circle in group.iter(f"{SVG}circle")
        for x, y, r in [(float(circle.get("cx")), float(circle.get("cy")), 2 * float(circle.get("r")))]
    ]
    assert len(slips) == len(crosses) == 8
    for i, slip in enumerate(slips):
        assert not any(slip.meets(other) for other in slips[i + 1 :])
        assert not any(slip.meets(cross) for cross in crosses)


# Ceilings, doors and mouldings

#: A knee wall of 4 ft, rising to 9 ft over 5 ft, in mm.
SLOPE = ((0.0, 1219.2), (1524.0, 2743.2), (4267.2, 2743.2))


def drawn_house_wall(*items, **more):
    on = scenes.wall(*items, **more)
    return draw_elevation(Elevation(on), scale=0.1, words=scenes.WORDS)


def numbers(d: str) -> list[tuple[float, float]]:
    found = [float(one) for one in re.findall(r"-?[0-9.]+", d)]
    return list(zip(found[::2], found[1::2], strict=True))


def test_the_face_of_a_wall_ends_at_its_sloping_ceiling():
    root = ET.fromstring(drawn_house_wall(ceiling=SLOPE, finish="tile"))
    x0, y0 = float(root.get("data-origin-x")), float(root.get("data-origin-y"))
    face = next(one for one in root.iter() if (one.get("class") or "").startswith("wall"))
    line = [(x0, y0), *((x0 + x * 0.1, y0 - y * 0.1) for x, y in SLOPE), (x0 + 426.72, y0)]
    assert sum(numbers(face.get("d")), ()) == pytest.approx(sum(line, ()), abs=0.02)
    cut = next(one for one in root.iter() if one.get("class") == "cut")
    clip = next(one for one in root.iter() if one.tag.endswith("clipPath"))
    assert cut.get("clip-path") == f"url(#{clip.get('id')})"
    assert "knee wall 48 in" in "".join(root.itertext())


def test_under_a_level_ceiling_nothing_is_cut_and_no_knee_wall_is_named():
    plain = drawn_house_wall(finish="tile")
    assert "clip-path" not in plain
    assert "knee" not in plain


def test_a_doors_swing_points_at_its_hinges_and_its_leaf_is_dashed_where_it_stands_open():
    swing = Swing("left", 30 * scenes.INCH, "this_wall")
    door = scenes.item("door", 60, 0, 36, 84, swing=swing)
    root = ET.fromstring(drawn_house_wall(door))
    x0, y0 = float(root.get("data-origin-x")), float(root.get("data-origin-y"))
    dashed = [one for one in root.iter() if one.get("stroke-dasharray")]
    lines = next(one for one in dashed if one.get("d"))
    hinge, lock = x0 + 63 * 2.54, x0 + 93 * 2.54
    assert [x for x, _ in numbers(lines.get("d"))] == pytest.approx([lock, hinge, lock], abs=0.02)
    leaf = next(one for one in dashed if one.get("width"))
    assert float(leaf.get("x")) == pytest.approx(x0 + 33 * 2.54, abs=0.02)
    assert float(leaf.get("width")) == pytest.approx(30 * 2.54, abs=0.02)
    assert float(leaf.get("y")) + float(leaf.get("height")) == pytest.approx(y0, abs=0.02)
    shut = drawn_house_wall(scenes.item("door", 60, 0, 36, 84))
    assert "stroke-dasharray" not in shut


@pytest.mark.parametrize("kind", ["wainscot", "chair_rail", "picture_rail", "shelf", "door_leaf"])
def test_each_moulding_has_an_outline_of_its_own(kind):
    drawn = drawn_house_wall(scenes.item(kind, 20, 30, 100, 20, id="x"))
    other = drawn_house_wall(scenes.item("custom", 20, 30, 100, 20, id="x", custom_acts="ignore"))
    inner = [re.search(r'data-id="x".*?</g>', one, re.DOTALL).group() for one in (drawn, other)]
    assert inner[0].split("</title>")[1] != inner[1].split("</title>")[1]


def test_the_string_along_the_floor_passes_over_wainscot_and_open_leaves():
    stands = (scenes.item("console", 20, 0, 48, 31), scenes.item("wainscot", 0, 0, 168, 36))
    drawn = drawn_house_wall(*stands, scenes.item("door_leaf", 70, 0, 30, 80))
    lettering = "".join(re.findall(r"<text[^>]*>([^<]*)", drawn))
    assert "console" in lettering
    assert "wainscot" not in lettering
    assert "door leaf" not in lettering


def test_what_has_no_picture_is_drawn_by_its_form_and_proportions():
    """Painting, print, drawing and photograph, each wide, tall and square: no two look alike."""
    wall = Wall(id="w", room="r", name="w", length=3000, height=2700)
    seen = set()
    for form in ("painting", "print", "drawing", "photograph"):
        for width, height in ((700, 500), (500, 700), (500, 500)):
            piece = DrawnPiece("p", "Untitled", Rect(1000, 1200, width, height), form=form)
            lines = re.findall(r' d="([^"]+)"| cx="([^"]+)"', draw_elevation(Elevation(wall, pieces=(piece,))))
            seen.add(str(lines))
    assert len(seen) == 12
