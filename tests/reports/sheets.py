"""Sheets from the engine's own plain data, without a database: for what stands on the paper and how it looks."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from typing import Any

import pypdf
from django.template.loader import render_to_string

from placements.engine.house import Hardware, House, Item, Rail, Room, Studs, Wall, Work
from placements.engine.results import Hanging
from placements.engine.rulebook import Rulebook
from reports.contexts.pieces import JobPiece, job_pieces
from reports.contexts.sheet import Heading, install_sheets
from reports.contexts.template import paper_template, wall_template
from reports.pdf import render
from reports.producing import laid_out, qr_svg
from studio.units import Units

HEADING = Heading(
    studio="Studio Holm",
    project="Marlow house",
    client="The Alder family",
    address="Side gate; ring twice.",
    revision=3,
    sha256="0123456789abcdef" * 4,
    signed_by="P. Rowan",
    signed_on="25 Nov 2026",
    issued_to="H. Ladder",
    note="",
    printed_on="1 Dec 2026",
    link="https://studio.example/h/#token",
    link_needs_account=False,
)


def work(key: str, width: float, height: float, **more: Any) -> Work:
    """A work of a size [mm], on two rings and of 3 kg unless said otherwise."""
    hang = Hardware("two_rings", below_top=60, spacing=width * 0.6)
    given: dict[str, Any] = {"title": f"Study {key}", "weight_kg": 3.0, "hang": hang, "frame": "oak"}
    return Work(key, width=width, height=height, **given | more)


def house_of(
    wall: Wall, placed: Sequence[tuple[Work, float, float]], use: str = "living"
) -> tuple[House, list[Hanging]]:
    """One wall with works at (left, bottom) [mm]."""
    room = Room("r", {"living": "Sitting room", "stair": "Stair", "public_corridor": "Corridor"}[use],
                use if use != "stair" else "hall", walls=(wall,))  # fmt: skip
    hangings = [Hanging(one.id, wall.id, left, bottom, order) for order, (one, left, bottom) in enumerate(placed, 1)]
    return House((room,), tuple(one for one, *_ in placed)), hangings


def stair() -> tuple[House, list[Hanging]]:
    """Nine pieces that climb with a rail over 14 treads of 180 by 260 mm."""
    run, rise = 14 * 260, 14 * 180
    rail = Rail(400, 914, 400 + run, 914 + rise)
    wall = Wall("w", "r", "Stair wall", 4800, 5000, build="plaster", rail=rail)
    placed = []
    for index in range(9):
        middle = 700 + index * 390
        over = 914 + (middle - 400) * rise / run
        one = work(f"s{index}", 280 if index % 2 else 320, 360, title=f"Landing {index + 1}")
        placed.append((one, middle - one.width / 2, over + 420))
    return house_of(wall, placed, "stair")


def salon() -> tuple[House, list[Hanging]]:
    """Twenty-four pieces of mixed sizes in four rows over a console."""
    wall = Wall("w", "r", "Long wall", 4600, 2900, studs=Studs(200, 400),
                items=(Item("c", "console", 1500, 0, 1600, 780),))  # fmt: skip
    widths = (420, 300, 360, 500, 280, 440)
    placed, bottom = [], 880.0
    for row, height in enumerate((420, 360, 460, 380)):
        left = 900.0 + 30 * row
        for column in range(6):
            width = widths[(column + row) % 6]
            key = f"p{row}{column}"
            placed.append((work(key, width, height, title=f"Salon piece {row * 6 + column + 1}"), left, bottom))
            left += width + 60
        bottom += height + 60
    return house_of(wall, placed)


def corridor() -> tuple[House, list[Hanging]]:
    """Eight pieces along a wall of 18 m in a public corridor."""
    items = (Item("d", "door", 8600, 0, 1000, 2100), Item("o", "outlet", 3000, 300, 80, 80, label="outlet"))
    wall = Wall("w", "r", "East wall", 18000, 2600, build="concrete", items=items)
    placed = []
    for index in range(8):
        one = work(f"c{index}", 700, 900, title=f"Tide table {index + 1}", glazed=True, weight_kg=6.5)
        placed.append((one, 600.0 + index * 2200 + (400 if index > 3 else 0), 1050.0))
    return house_of(wall, placed, "public_corridor")


def pieces_of(made: tuple[House, list[Hanging]], style: str) -> tuple[JobPiece, ...]:
    house, hangings = made
    return job_pieces(house, hangings, Units(style))


def sheets_pdf(made: tuple[House, list[Hanging]], style: str = "cm", paper: str = "a4") -> bytes:
    house, _ = made
    pieces, units = pieces_of(made, style), Units(style)

    def drawn(places: Any) -> dict[str, object]:
        sheets = install_sheets(
            heading=HEADING, house=house, pieces=pieces, units=units, tolerances=Rulebook.for_house(house).tolerances,
            paper=paper, storage={}, pictures={}, unreadable={}, places=places,
        )  # fmt: skip
        return {"sheets": sheets, "paper": paper, "qr": qr_svg(HEADING.link)}

    return laid_out(drawn, {}).content


def template_pdf(piece: JobPiece, style: str = "cm", paper: str = "a4") -> bytes:
    template = paper_template(piece, Units(style), paper, HEADING)
    return render(render_to_string("reports/template.html", {"template": template})).content


def wall_template_pdf(pieces: Sequence[JobPiece], paper: str = "a4", style: str = "cm") -> bytes:
    template = wall_template(pieces, Units(style), paper, HEADING)
    return render(render_to_string("reports/template.html", {"template": template})).content


def structure(content: bytes) -> Iterator[tuple[str, Any]]:
    """Every element of a PDF's structure tree by its type, in order (ISO 32000-1, 14.7)."""
    root = pypdf.PdfReader(io.BytesIO(content)).trailer["/Root"]["/StructTreeRoot"]

    def walk(node: Any) -> Iterator[tuple[str, Any]]:
        node = node.get_object()
        if not isinstance(node, pypdf.generic.DictionaryObject):
            return
        if "/S" in node:
            yield node["/S"], node
        children = node.get("/K", [])
        for child in children if isinstance(children, list) else [children]:
            yield from walk(child)

    return walk(root)
