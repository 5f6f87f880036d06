"""A work at its place on a wall: the one shape of it between rows, JSON and pages."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

from placements.engine.house import Rect
from placements.engine.results import Words
from placements.models import Placement
from studio.models import Artwork

#: Less than this is no change: a sixty-fourth of an inch, well under what a tape shows [mm].
SAME_MM = 0.4


class AtPlace(Protocol):
    """Anything that hangs at a place: a piece, a placement."""

    @property
    def left_mm(self) -> float: ...

    @property
    def bottom_mm(self) -> float: ...


@dataclass(frozen=True, slots=True)
class Piece:
    """A work where it hangs, where it would, or where the reader's hand holds it: its lower left corner [mm].

    `placement` is its row's number where it has one; pieces are equal without regard to it.
    """

    artwork: Artwork
    left_mm: float
    bottom_mm: float
    order: int = 1
    space: str = ""
    group: str = ""
    locked: bool = False
    why: str = ""
    placement: int | None = field(default=None, compare=False)

    @classmethod
    def of(cls, row: Placement) -> Piece:
        """A placement, with its work."""
        fields = {name: getattr(row, name) for name in STORED}
        return cls(row.artwork, **fields, placement=row.pk)

    @classmethod
    def read(cls, data: Mapping[str, Any], works: Mapping[int, Artwork]) -> Piece:
        """A piece from its JSON; what the data leaves out is as by default.

        Raises:
            KeyError: its work is not among `works`.
        """
        return cls(works[data["artwork"]], **{name: data[name] for name in STORED if name in data})

    def as_data(self) -> dict[str, Any]:
        """As wall states, proposals, remedies and options keep it."""
        return {"artwork": self.artwork.pk} | self.stored()

    def stored(self) -> dict[str, Any]:
        """The values of a placement's fields."""
        return {name: getattr(self, name) for name in STORED}

    @property
    def rect(self) -> Rect:
        """The work's outer edge on the wall."""
        return Rect(self.left_mm, self.bottom_mm, self.artwork.width_mm, self.artwork.height_mm)


#: A piece's fields that its placement stores under the same names.
STORED = tuple(field.name for field in dataclasses.fields(Piece) if field.name not in ("artwork", "placement"))


def moved(pieces: Sequence[Piece], artwork: Artwork, left_mm: float, bottom_mm: float) -> tuple[Piece, ...]:
    """The same pieces with one at another place, or hung there anew."""
    if not any(piece.artwork.pk == artwork.pk for piece in pieces):
        return (*pieces, Piece(artwork, left_mm, bottom_mm, len(pieces) + 1))
    return tuple(
        dataclasses.replace(piece, left_mm=left_mm, bottom_mm=bottom_mm) if piece.artwork.pk == artwork.pk else piece
        for piece in pieces
    )


def same_place(place: AtPlace, other: AtPlace) -> bool:
    """Whether two places on a wall are one, as far as a tape shows."""
    return not any(abs(step) > SAME_MM for step in step_between(place, other))


def same_places(some: Iterable[Piece], others: Iterable[Piece]) -> bool:
    """Whether the same works hang at the same places."""
    a, b = ({piece.artwork.pk: piece for piece in pieces} for pieces in (some, others))
    return a.keys() == b.keys() and all(same_place(piece, b[pk]) for pk, piece in a.items())


def step_between(before: AtPlace, after: AtPlace) -> tuple[float, float]:
    """How far right and how far up [mm]."""
    return after.left_mm - before.left_mm, after.bottom_mm - before.bottom_mm


def step_in_words(right: float, up: float, words: Words, *, least: float = SAME_MM) -> str:
    """A step on a wall as one would say it: "2″ right and 1″ up"; what is no more than `least` [mm] is left out."""
    return " and ".join(
        f"{words.length(abs(amount))} {forward if amount > 0 else backward}"
        for amount, forward, backward in ((right, "right", "left"), (up, "up", "down"))
        if abs(amount) > least
    )
