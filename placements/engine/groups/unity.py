"""What holds a group together: one frame colour, one form, one theme, or one palette."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from ..colour import palette_distance
from ..house import Work

Bond = Literal["frame", "form", "theme", "palette"]

#: Mean CIEDE2000 distance between palettes: at the first they read as one palette, at the second as strangers.
#: Common practice, no source.
PALETTE_NEAR, PALETTE_FAR = 8.0, 30.0


@dataclass(frozen=True, slots=True)
class Unity:
    """How well works hold together, and by what.

    score: 0-1, the best of the bonds.
    bond: the strongest bond; `common` what they share ("black", "print", "coast"), empty for a palette.
    share: share of the works that carry the bond (for a palette: its closeness, 0-1).
    bonds: each bond's score, 0-1; a palette is absent where fewer than two works have pictures.
    outsiders: ids of the works that do not carry the bond.
    """

    score: float
    bond: Bond
    common: str
    share: float
    bonds: dict[Bond, float]
    outsiders: tuple[str, ...]

    @property
    def text(self) -> str:
        """The bond in words."""
        if self.bond == "palette":
            return "their colours belong to one palette"
        all_or = "all" if self.share == 1 else f"{self.share:.0%}"
        phrase = {"frame": f"have {self.common} frames", "form": f"are {self.common}s", "theme": f"show {self.common}"}
        return f"{all_or} {phrase[self.bond]}"


def palette_closeness(first: Work, second: Work) -> float | None:
    """1 where two works' palettes read as one, 0 where they are strangers, None without both pictures."""
    distance = palette_distance(first.palette_lab, second.palette_lab)
    if distance is None:
        return None
    return min(1.0, max(0.0, (PALETTE_FAR - distance) / (PALETTE_FAR - PALETTE_NEAR)))


def unity(works: Sequence[Work]) -> Unity:
    """The strongest bond among works.

    A bond's score is the share of the works that carry its commonest value, less what one would expect of works
    with nothing in common (1 of k), so that two unlike works score 0.

    Raises:
        ValueError: no works.
    """
    if not works:
        raise ValueError("unity needs at least one work")
    k = len(works)
    carried: dict[Bond, list[tuple[str, ...]]] = {
        "frame": [(w.frame.strip().lower(),) if w.frame.strip() else () for w in works],
        "form": [(w.form,) for w in works],
        "theme": [tuple(sorted({t.strip().lower() for t in w.themes if t.strip()})) for w in works],
    }
    scores: dict[Bond, float] = {}
    commonest: dict[Bond, str] = {}
    shares: dict[Bond, float] = {}
    for bond, values in carried.items():
        counts = Counter(v for one in values for v in one)
        value, count = min(counts.items(), key=lambda item: (-item[1], item[0]), default=("", 0))
        commonest[bond], shares[bond] = value, count / k
        scores[bond] = 1.0 if k == 1 else max(0.0, (count - 1) / (k - 1))
    known = [c for a, b in combinations(works, 2) if (c := palette_closeness(a, b)) is not None]
    if known:
        scores["palette"] = shares["palette"] = sum(known) / len(known)
        commonest["palette"] = ""
    best: Bond = max(scores, key=lambda bond: scores[bond])
    outsiders = (
        tuple(w.id for w, values in zip(works, carried[best], strict=True) if commonest[best] not in values)
        if best != "palette"
        else ()
    )
    return Unity(scores[best], best, commonest[best], shares[best], scores, outsiders)
