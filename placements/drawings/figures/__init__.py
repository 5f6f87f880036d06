"""What a rule's numbers mean, drawn: small elevations and sections to scale from the numbers as they are now."""

from __future__ import annotations

from typing import Any

from placements.engine.results import Words

from . import care, groups, heat, notes, single

FIGURES = {**single.FIGURES, **groups.FIGURES, **care.FIGURES, **heat.FIGURES, **notes.FIGURES}


def draw_figure(rule: str, title: str, limits: Any, words: Words) -> str:
    """The rule's picture as one `<svg>` element.

    rule : its id, or "margins"
    limits : the rule's `Limits` (or `Margins`) with the numbers to draw

    Raises:
        KeyError: no such rule.
    """
    return FIGURES[rule](limits, words).svg(rule, f"{title}, drawn with its numbers")
