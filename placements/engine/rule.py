"""The contract of a rule: what it measures (`Verdict`), what it says (`Remark`). Its numbers are `limits.limit()`s.

A rule is a module in `rules/pairing` or `rules/arrangement` whose last statement is `RULE = Rule(...)`. It judges
pieces at their places. Pair rules see N pieces in M spaces at once (`scene.Pairs`) and answer with arrays that
broadcast to (N, M); arrangement rules see one finished arrangement (`arrangement.Arranged`) and answer for the whole.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from .house import Rect
from .limits import COMMON, INCH, UNITS, Array, Limit, Mask, limit, limits_of
from .results import Level, Words

if TYPE_CHECKING:
    from .scene import Scene

#: What a rule's file needs, the numbers' part of it from `limits`.
__all__ = [
    "COMMON",
    "INCH",
    "UNITS",
    "Array",
    "Limit",
    "Mask",
    "Remark",
    "Rule",
    "Verdict",
    "at",
    "limit",
    "limits_of",
    "quarter",
]


@dataclass(frozen=True)
class Verdict:
    """What a rule found. Every array broadcasts to (N, M).

    score : [0-1], 1 where `value` lies in its band, falling monotonically with the distance from it
    value : the measured quantity, in the rule's unit
    low, high : the allowed band of `value`, infinite where open
    applies : False where the rule has no say in the score (unknown is not zero)
    notes : True where it still has something to tell
    veto : True where the piece cannot hang like this
    slack : by how much `value` may miss its band before it is an exception; the score counts it all the same
    also : further measured quantities for the words
    """

    score: Array
    value: Array | float
    low: Array | float = -math.inf
    high: Array | float = math.inf
    applies: Array | bool = True
    notes: Array | bool = False
    veto: Array | None = None
    slack: float = 0.0
    also: Mapping[str, Array | float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Remark:
    """A verdict in words. `level` is None where the rule holds; `where` is what a flag points to, else the piece.

    `limit` names the number of the rule that is missed, where setting it to what was measured would allow it.
    """

    level: Level | None
    text: str
    measured: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    where: Rect | None = None
    limit: str = ""


Kind = Literal["pairing", "arrangement"]
#: "outline": judges a group as one piece, by its outline; "piece": judges every piece by itself.
Scope = Literal["outline", "piece"]


@dataclass(frozen=True)
class Rule:
    """A rule of the trade.

    id : its name, the file's name with hyphens
    level : of a finding where the rule does not hold; a veto is always a stop
    weight : share in the score, 0 for a rule that only notes; of a rule that deducts, the most that it takes of the
        score: of a rule of care as a share, of an arrangement rule in tenths
    care : whether it guards piece, people or room: where it holds it gives no reason for a place, where it does not
        it takes from the score
    deducts : whether it takes from the score and adds nothing: rules of care, and arrangement rules, which hold by
        construction in a regular group; so pieces that hang together start from the score of one piece of their outline
    concerns : (scene, limits) -> (M,) bool, the spaces where the rule has something to say; None for all
    vetoes : whether a verdict of it may veto
    evaluate : (pairs, limits) -> Verdict; for arrangement rules (arranged, limits) -> Verdict of 0-d arrays
    explain : (pairs, verdict, i, j, limits, words) -> Remark for piece i in space j
    """

    id: str
    title: str
    kind: Kind
    level: Level
    weight: float
    limits: type[Any]
    evaluate: Callable[[Any, Any], Verdict]
    explain: Callable[[Any, Verdict, int, int, Any, Words], Remark]
    scope: Scope = "outline"
    concerns: Callable[[Scene, Any], Mask] | None = None
    vetoes: bool = False
    care: bool = False
    doc: str = ""

    @property
    def deducts(self) -> bool:
        return self.care or self.kind == "arrangement"


def quarter(mm: float) -> float:
    """A recommended length to the nearest 1/4 in [mm]: nobody buys or frames to a sixteenth."""
    return round(mm / (INCH / 4)) * (INCH / 4)


def at(array: Array | float | bool | None, i: int, j: int) -> float:
    """The entry for piece i in space j of anything that broadcasts to (N, M)."""
    if array is None:
        return 0.0
    whole = np.asarray(array)
    if whole.ndim == 0:
        return float(whole)
    if whole.ndim != 2:
        raise ValueError(f"expected a pair array, found shape {whole.shape}")
    rows, columns = whole.shape
    return float(whole[i if rows > 1 else 0, j if columns > 1 else 0])
