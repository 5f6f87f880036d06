"""A finished layout of a group, measured, scored and explained."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry import from_edges
from ..house import Work
from ..results import Finding, Hanging, Reason, Words
from .boxes import BOTTOM, LEFT, Floats, outline_of
from .forms import Form
from .measures import GroupMeasures, measure_batch
from .score import place_terms, rail_term, reasons, shape_terms, visual_weight, weigh
from .sequence import hanging_order
from .setting import GroupLimits, Setting
from .unity import Unity, unity


@dataclass(frozen=True, slots=True)
class GroupLayout:
    """Works at their places in one space.

    hangings: in the order of hanging. score: 0-100; terms: each wish's share of it, 0-1. reasons: in words.
    findings: what the rules say of it on its wall; empty until `composing.with_findings` asked them.
    locked: ids of the pieces that no edit may move.
    """

    form: Form
    space: str
    hangings: tuple[Hanging, ...]
    score: float
    terms: Mapping[str, float]
    measures: GroupMeasures
    unity: Unity
    reasons: tuple[Reason, ...]
    findings: tuple[Finding, ...] = ()
    locked: frozenset[str] = frozenset()

    @property
    def works(self) -> tuple[str, ...]:
        """Ids of the works, in the order of hanging."""
        return tuple(h.work for h in self.hangings)


def finished(
    form: Form,
    works: Sequence[Work],
    boxes: Floats,
    setting: Setting,
    limits: GroupLimits,
    *,
    words: Words | None = None,
) -> GroupLayout:
    """Measure, score and explain works at (k, 4) boxes [mm, wall coordinates]."""
    band = limits.gap_band(len(works))
    weight = visual_weight(works)
    blocks = setting.blocks if len(setting.blocks) else None
    as_seen = setting.seen(boxes)
    batch = measure_batch(as_seen[None], gap_band_mm=band, gap_mm=limits.gap, weight=weight, blocks=blocks)
    measures = dataclasses.replace(GroupMeasures.of(batch), outline=from_edges(*outline_of(boxes).tolist()))
    bond = unity(works)
    seen = outline_of(as_seen)
    terms = shape_terms(batch, limits, len(works)) | place_terms(seen[None], setting)
    terms["unity"] = np.array([bond.score])
    if setting.rail is not None:
        terms["rail-line"] = np.array([rail_term(boxes, setting)])
        for name in ("outline", "fullness", "alignment"):  # a run along a rail climbs: its box is half empty by nature
            del terms[name]
    order = hanging_order(boxes)
    return GroupLayout(
        form=form,
        space=setting.space.id,
        hangings=tuple(
            Hanging(works[i].id, setting.space.wall, float(boxes[i, LEFT]), float(boxes[i, BOTTOM]), at)
            for at, i in enumerate(order.tolist(), start=1)
        ),
        score=float(weigh(terms)[0]),
        terms={name: float(value[0]) for name, value in terms.items()},
        measures=measures,
        unity=bond,
        reasons=reasons(measures, seen, setting, limits, bond, len(works), words),
    )
