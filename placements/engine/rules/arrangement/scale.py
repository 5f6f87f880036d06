"""An odd one out among equal pieces is out of scale; a group of mixed sizes may carry a mirror, a relief or a basket.

Odd is a thing that is no picture, or a much smaller picture; a larger picture among equal ones reads as their centre.
Source: common practice, no source. Applies to three or more pieces.
Good: a small mirror in a salon group of mixed sizes. Bad: a clock among five equal prints.
"""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from ...arrangement import Arranged
from ...bands import nearness
from ...house import Work
from ...results import Words
from ...rule import INCH, Remark, Rule, Verdict, at, limit


@dataclass(frozen=True)
class Limits:
    high: float = limit(0, "count", (0, 10), "odd ones that a group of equal pieces may carry")
    equal: float = limit(0.6, "ratio", (0.5, 1.0), "share of equal pieces from which a group counts as equal")
    same: float = limit(0.25 * INCH, "mm", (0.0, 2 * INCH), "difference of sizes up to which pieces count as equal")
    smaller: float = limit(0.6, "ratio", (0.05, 1.0), "area over the equal pieces' below which a picture is odd")
    reach: float = limit(1, "count", (0.1, 10), "odd ones beyond that at which the score is one half")


def evaluate(arranged: Arranged, limits: Limits) -> Verdict:
    if len(arranged.works) < 3 or arranged.keeps_time:
        return Verdict(np.array(1.0), 0.0, applies=False)
    count = float(len(odd_ones(arranged.works, limits)))
    return Verdict(
        np.array(nearness(np.array([count]), -np.inf, limits.high, limits.reach)[0]), count, high=limits.high
    )


def odd_ones(works: tuple[Work, ...], limits: Limits) -> tuple[Work, ...]:
    """The pieces out of scale among equal ones."""
    alike = max(
        ([two for two in works if _equal(work, two, limits.same)] for work in works), key=lambda group: len(group)
    )
    if len(alike) < max(2.0, limits.equal * len(works)):
        return ()
    form, count = Counter(work.form for work in alike).most_common(1)[0]
    common = form if count > len(alike) / 2 else None
    area = alike[0].width * alike[0].height
    return tuple(
        work
        for work in works
        if (work.form != common and _thing(work))
        or (not _equal(work, alike[0], limits.same) and work.width * work.height < limits.smaller * area)
    )


def _equal(work: Work, two: Work, same: float) -> bool:
    return abs(work.width - two.width) <= same and abs(work.height - two.height) <= same


def _thing(work: Work) -> bool:
    """Whether it reads as an object and not as a picture."""
    return work.form in ("mirror", "relief", "basket", "clock", "object")


def explain(arranged: Arranged, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    count = at(verdict.value, 0, 0)
    if count <= limits.high:
        return Remark(None, f"Sizes sit well together, {count:.0f} out of scale", count, None, limits.high, "count")
    named = ", ".join(f"{work.title} ({work.form})" for work in odd_ones(arranged.works, limits))
    text = f"Out of scale among equal pieces: {named}; take {count:.0f} out ({limits.high:.0f} may stay) or mix sizes"
    return Remark("exception", text, count, None, limits.high, "count", limit="high")


RULE = Rule("scale", "In scale with the group", "arrangement", "exception", 2.0, Limits, evaluate, explain)
