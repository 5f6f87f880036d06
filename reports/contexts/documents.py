"""An estimate on paper: for the client, for the framer, and what is to be bought."""

from __future__ import annotations

import dataclasses
from collections import Counter
from decimal import Decimal
from typing import Any

from placements.contexts.money import money, shown
from placements.models import DateKind, DueDate, Estimate
from studio.models import Artwork
from studio.reader import units_of, zone_of

from ..models import ReportKind

TITLES = {
    ReportKind.ESTIMATE: "Estimate",
    ReportKind.ORDER: "Order to the framer",
    ReportKind.SHOPPING: "Hardware and purchases",
}


@dataclasses.dataclass(frozen=True, slots=True)
class Framing:
    """One frame to make: the piece, its size, moulding, mat and glazing."""

    title: str
    size: str
    moulding: str
    mat: str
    glazing: str
    hardware: str


def document(estimate: Estimate, kind: str, paper: str) -> dict[str, object]:
    """What the template of a document shows."""
    told, project = estimate.told, estimate.revision.plan.project
    return {
        "paper": paper,
        "kind": kind,
        "title": TITLES[ReportKind(kind)],
        "estimate": estimate,
        "project": project,
        "studio": project.client.studio,
        "made": estimate.created_at.astimezone(zone_of(project)),
        "shown": shown(told),
        "frames": _frames(estimate, told) if kind == ReportKind.ORDER else (),
        "due": DueDate.objects.filter(project=project, kind=DateKind.FRAMES).values_list("day", flat=True).first(),
        "hardware": _hardware(told) if kind == ReportKind.SHOPPING else (),
        "purchases": [(text, money(amount, told["currency"])) for text, amount in told["purchases"]],
    }


def _frames(estimate: Estimate, told: dict[str, Any]) -> tuple[Framing, ...]:
    """In the order of the lines. The size is that of the framed piece, outside, as the plan has it."""
    works = Artwork.objects.in_bulk([int(pk) for pk in told["framed"]])
    units = units_of(estimate.revision.plan.project)
    hardware = {line["piece"]: line["text"].rpartition(": ")[2] for line in told["lines"] if line["kind"] == "hardware"}
    found = []
    for pk, (moulding, mat, glazing) in told["framed"].items():
        work = works.get(int(pk))
        if work is not None:
            size = units.size(work.width_mm, work.height_mm)
            found.append(
                Framing(
                    work.title,
                    size,
                    moulding,
                    "with mat" if mat else "none",
                    "yes" if glazing else "none",
                    hardware.get(int(pk), ""),
                )
            )
    return tuple(found)


def _hardware(told: dict[str, Any]) -> tuple[tuple[int, str], ...]:
    """How many pieces want which hardware, and the points in the walls."""
    lines = [line for line in told["lines"] if line["kind"] == "hardware"]
    kinds = Counter(line["text"].rpartition(": ")[2] for line in lines)
    points = sum(int(Decimal(line["quantity"])) for line in lines)
    in_walls = points, "hooks or screws for the walls"
    return (*((count, name) for name, count in sorted(kinds.items())), in_walls)
