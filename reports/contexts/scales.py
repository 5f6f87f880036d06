"""Standard drawing scales: the largest at which a wall fits its place on the paper.

Source: architectural scales of North American practice (3" = 1'-0" is 1:4 ... 1/16" = 1'-0" is 1:192) and ISO 5455
(1:5, 1:10, 1:20, 1:50, 1:100, 1:200), with 1:25, 1:75 and 1:125, which triangular scale rules carry (common practice,
no source).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Scale:
    """Paper to wall, 1 : `ratio`, and how a drawing states it."""

    ratio: int
    label: str


IMPERIAL = tuple(
    Scale(ratio, f"{inches}″ = 1′-0″")
    for inches, ratio in (
        ("3", 4),
        ("1½", 8),
        ("1", 12),
        ("¾", 16),
        ("½", 24),
        ("⅜", 32),
        ("¼", 48),
        ("³⁄₁₆", 64),
        ("⅛", 96),
        ("³⁄₃₂", 128),
        ("¹⁄₁₆", 192),
    )
)
METRIC = tuple(Scale(ratio, f"1 : {ratio}") for ratio in (5, 10, 20, 25, 50, 75, 100, 125, 200, 500))


def fitting_scale(length_mm: float, height_mm: float, width_mm: float, depth_mm: float, *, metric: bool) -> Scale:
    """The largest standard scale at which a wall fits a place `width_mm` by `depth_mm` on the paper."""
    needed = max(length_mm / width_mm, height_mm / depth_mm)
    scales = METRIC if metric else IMPERIAL
    return next((scale for scale in scales if scale.ratio >= needed), scales[-1])
