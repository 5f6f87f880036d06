"""What was measured, one mark a case, against the band that is allowed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from ..pen import BOLE, INK, PENCIL, SHEET, VERDIGRIS, group, label, line, n, tag, text_width
from .page import LINE, TEXT, WIDTH, Page, spread

Mark = Literal["accepted", "returned", "open"]
MARKS: tuple[tuple[Mark, str], ...] = (("accepted", "accepted"), ("returned", "returned"), ("open", "undecided"))
_LEFT, _RIGHT, _STEP, _MOST = 14.0, WIDTH - 14.0, 11.0, 9
_CSS = {"accepted": ("guide clearance", VERDIGRIS), "returned": ("guide eye-line", BOLE), "open": ("skirting", PENCIL)}


@dataclass(frozen=True, slots=True)
class Case:
    value: float
    mark: Mark


def draw_strip(
    name: str,
    title: str,
    cases: Sequence[Case],
    low: float | None,
    high: float | None,
    said: Callable[[float], str],
    suggested: float | None = None,
) -> str:
    """The cases on one axis as an `<svg>` element; cases near one another are stacked.

    low, high : the band that is allowed, None where open
    said : sets a value of the axis
    suggested : where an end of the band would go, drawn dashed

    Raises:
        ValueError: no case.
    """
    if not cases:
        raise ValueError("a strip needs at least one case")
    page = Page()
    start, end = _ends([case.value for case in cases], low, high, suggested)

    def x(value: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (value - start) / (end - start)

    stacks: dict[int, list[Case]] = {}
    for one in sorted(cases, key=lambda case: [name for name, _ in MARKS].index(case.mark)):
        stacks.setdefault(round(x(one.value) / _STEP), []).append(one)
    tallest = max(len(one) for one in stacks.values())
    step = _STEP * min(1.0, _MOST / tallest)
    top = page.y + (LINE + 4 if suggested is not None else 2)
    foot = top + max(min(tallest, _MOST) * _STEP, 3 * _STEP) + 8
    x0, x1 = x(start if low is None else low), x(end if high is None else high)
    band = tag("rect", {"x": x0, "y": top, "width": max(x1 - x0, 1.0), "height": foot - top, "fill-opacity": "0.13",
                        "stroke": "none"})  # fmt: skip
    ends = [line(x(one), top, x(one), foot) for one in (low, high) if one is not None]
    page.parts.append(
        group("guide clearance", band + "".join(ends), fill=VERDIGRIS, stroke=VERDIGRIS, stroke_width=1.2)
    )
    page.parts.append(group("plain", line(_LEFT, foot, _RIGHT, foot), stroke=INK, stroke_width=0.9))
    for stack in stacks.values():
        for height, one in enumerate(stack):
            page.parts.append(case_mark(x(one.value), foot - 7 - step * height, one.mark))
    if suggested is not None:
        text = f"suggested {said(suggested)}"
        middle = min(max(x(suggested), text_width(text, TEXT) / 2 + 4), WIDTH - 4 - text_width(text, TEXT) / 2)
        dashes = line(x(suggested), top - 2, x(suggested), foot + 4, stroke_dasharray="4 3")
        page.parts.append(group("guide eye-line", dashes, stroke=BOLE, stroke_width=1.4))
        page.parts.append(group("lettering", label(text, middle, top - 6, TEXT, "middle"), fill=INK))
    _axis(page, [case.value for case in cases], low, high, said, x, foot)
    counts = [(mark, f"{word} {sum(case.mark == mark for case in cases)}") for mark, word in MARKS]
    for index, (mark, text) in enumerate(counts):
        at = _LEFT + index * 116
        page.parts.append(case_mark(at, page.y + 8, mark))
        page.parts.append(group("lettering", label(text, at + 9, page.y + 12, TEXT), fill=INK))
        page.said.append(text)
    page.y += LINE + 4
    return page.svg(f"{name}-cases", f"{title}: what was measured and decided", "strip-plot")


def case_mark(x: float, y: float, mark: Mark) -> str:
    """A full disc for what was accepted, a cross for what was returned, a ring for what waits."""
    css, ink = _CSS[mark]
    if mark == "returned":
        d = f"M{n(x - 3.6)} {n(y - 3.6)}l7.2 7.2M{n(x + 3.6)} {n(y - 3.6)}l-7.2 7.2"
        return group(f"{css} case", tag("path", {"d": d}), stroke=ink, stroke_width=1.9, fill="none")
    disc = tag("circle", {"cx": x, "cy": y, "r": 4.3, "class": "disc" if mark == "open" else None,
                          "fill": SHEET if mark == "open" else None})  # fmt: skip
    return group(f"{css} case", disc, stroke=ink, stroke_width=1.2, fill=ink)


def _ends(
    values: Sequence[float], low: float | None, high: float | None, suggested: float | None
) -> tuple[float, float]:
    known = [*values, *(one for one in (low, high, suggested) if one is not None)]
    pad = (max(known) - min(known) or abs(known[0]) or 1.0) * 0.06
    return min(known) - pad * (3 if low is None else 1), max(known) + pad * (3 if high is None else 1)


def _axis(
    page: Page,
    values: Sequence[float],
    low: float | None,
    high: float | None,
    said: Callable[[float], str],
    x: Callable[[float], float],
    foot: float,
) -> None:
    """The band's ends and the farthest cases in figures below the axis, as many as fit."""
    named: list[float] = [one for one in (low, high) if one is not None]
    texts = {said(one): one for one in named}
    for one in (min(values), max(values)):
        wide = sum(text_width(text, TEXT) + 8 for text in (*texts, said(one)))
        apart = all(abs(x(one) - x(other)) > 3 * TEXT for other in texts.values())
        if apart and wide < WIDTH - 8:
            texts[said(one)] = one
    middles = spread([(x(one), text_width(text, TEXT)) for text, one in texts.items()], 4, WIDTH - 4, 8)
    ticks = "".join(line(x(text), foot, x(text), foot + 4) for text in texts.values())
    page.parts.append(group("plain", ticks, stroke=INK, stroke_width=0.9))
    words = [label(text, m, foot + LINE + 2, TEXT, "middle") for text, m in zip(texts, middles, strict=True)]
    page.parts.append(group("lettering", "".join(words), fill=INK))
    allowed = [said(one) for one in named]
    page.said.append(f"Allowed {' to '.join(allowed)}; measured from {said(min(values))} to {said(max(values))}")
    page.y = foot + LINE + 10
