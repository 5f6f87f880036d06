"""Typical sizes of furniture, openings and fittings, to start from on site. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

INCH = 25.4


@dataclass(frozen=True, slots=True)
class Typical:
    """A usual size [mm]; `bottom` is where it usually sits above the floor."""

    kind: str
    name: str
    width: float
    height: float
    depth: float
    bottom: float = 0.0


def _sizes(kind: str, *rows: tuple[str, float, float, float] | tuple[str, float, float, float, float]) -> list[Typical]:
    return [Typical(kind, name, w * INCH, h * INCH, d * INCH, (b[0] if b else 0) * INCH) for name, w, h, d, *b in rows]


TYPICAL: tuple[Typical, ...] = tuple(
    typical
    for group in (
        _sizes("sofa", ("Sofa, three seats", 84, 34, 36), ("Sofa, two seats", 60, 34, 36), ("Long sofa", 96, 32, 38)),
        _sizes(
            "bed", ("Queen bed with headboard", 64, 50, 84), ("King bed with headboard", 80, 52, 84),
            ("Single bed with headboard", 42, 46, 80),
        ),
        _sizes("console", ("Console", 48, 31, 14), ("Long console", 66, 31, 15)),
        _sizes("sideboard", ("Sideboard", 72, 33, 19)),
        _sizes("dresser", ("Dresser", 60, 34, 19)),
        _sizes("chest", ("Chest of drawers", 36, 46, 19)),
        _sizes("nightstand", ("Nightstand", 24, 26, 18)),
        _sizes("end_table", ("End table", 22, 24, 22)),
        _sizes("desk", ("Desk", 60, 30, 28)),
        _sizes("bench", ("Bench", 54, 18, 18)),
        _sizes("piano", ("Upright piano", 58, 48, 24)),
        _sizes("mantel", ("Mantelpiece", 60, 52, 9)),
        _sizes(
            "window", ("Window", 36, 54, 0, 30), ("Wide window", 60, 54, 0, 30), ("Tall window", 36, 72, 0, 12),
        ),
        _sizes("door", ("Door with casing", 37, 84, 0), ("Double door with casing", 69, 84, 0)),
        _sizes("door_leaf", ("Open door leaf", 30, 80, 2)),
        _sizes("opening", ("Cased opening", 48, 84, 0)),
        _sizes("bookcase", ("Bookcase", 36, 84, 13)),
        _sizes("cabinet", ("Tall cabinet", 40, 80, 18), ("Wall cabinet", 30, 30, 13, 54)),
        _sizes("floor_lamp", ("Floor lamp", 18, 64, 18)),
        _sizes("tall_plant", ("Tall plant", 28, 66, 28)),
        _sizes("sconce", ("Sconce", 7, 14, 6, 60)),
        _sizes("television", ("Television, 55 in", 49, 28, 3, 30), ("Television, 65 in", 57, 33, 3, 28)),
        _sizes("niche", ("Niche", 30, 40, 8, 40)),
        _sizes("shelf", ("Shelf", 36, 1.5, 10, 54)),
        _sizes("radiator", ("Radiator", 40, 24, 6, 4)),
        _sizes("panel", ("Moulding panel", 40, 56, 1, 36)),
        _sizes("wainscot", ("Wainscot, usual height", 120, 36, 1)),
        _sizes("chair_rail", ("Chair rail", 120, 3, 1, 32)),
        _sizes("picture_rail", ("Picture rail", 120, 2, 1, 84)),
        _sizes("outlet", ("Outlet", 2.75, 4.5, 0, 12)),
        _sizes("switch", ("Switch", 2.75, 4.5, 0, 44)),
        _sizes("thermostat", ("Thermostat", 4, 4, 1, 58)),
        _sizes("vent", ("Vent", 14, 8, 0, 6)),
        _sizes("sprinkler", ("Sidewall sprinkler", 3, 3, 2, 92)),
        _sizes("alarm", ("Smoke alarm", 5, 5, 2, 90)),
        _sizes("statement_light", ("Chandelier", 32, 30, 32, 66)),
        _sizes("table_lamp", ("Table lamp", 15, 26, 15, 30)),
        _sizes("ornament", ("Vase", 8, 14, 8, 30)),
        _sizes("custom", ("Something else", 24, 36, 12)),
    )
    for typical in group
)  # fmt: skip


def starting_size(kind: str) -> Typical | None:
    return next((typical for typical in TYPICAL if typical.kind == kind), None)
