"""Places as a tape shows them: to the nearest 1/16 in or 1 mm of a project's units, and still where they may be."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Sequence

from placements.engine.facade import assess_wall
from placements.engine.results import Hanging, Space
from placements.pieces import SAME_MM
from placements.scenes import ProjectScene
from studio.units import Units


class Tape:
    """Puts what the engine worked out on the marks of a tape; what hangs at its place already keeps it exactly."""

    def __init__(self, scene: ProjectScene, hung: Iterable[Hanging], words: Units) -> None:
        self.scene, self.words = scene, words
        self.stays = {(one.work, one.wall): one for one in hung}

    def put(self, pieces: Sequence[Hanging], space: Space | None) -> tuple[Hanging, ...]:
        """Pieces on the marks inside their space; a little higher, or exact after all, where a handrail or a lamp would
        come too near."""
        near = tuple(self._near(piece, space) for piece in pieces)
        if not space or not pieces or (space.kind != "stair" and not space.beyond):
            return near
        step = step_of(self.words)
        higher = tuple(
            piece if piece == exact else dataclasses.replace(piece, bottom=piece.bottom + step)
            for piece, exact in zip(near, pieces, strict=True)
        )
        clear = (tried for tried in (near, higher) if not self._stops(space.wall, tried))
        return next(clear, tuple(pieces))

    def _near(self, hanging: Hanging, space: Space | None) -> Hanging:
        """One piece on its marks, exact where none lies in its space."""
        now = self.stays.get((hanging.work, hanging.wall))
        if now and max(abs(now.left - hanging.left), abs(now.bottom - hanging.bottom)) < SAME_MM:
            return hanging
        work, rect = self.scene.house.work_by_id[hanging.work], (space.beyond or space.rect) if space else None
        left = mark(hanging.left, self.words, (rect.left, rect.right - work.width) if rect else None)
        bottom = mark(hanging.bottom, self.words, (rect.bottom, rect.top - work.height) if rect else None)
        return dataclasses.replace(hanging, left=left, bottom=bottom)

    def _stops(self, wall: str, pieces: Sequence[Hanging]) -> bool:
        found = assess_wall(self.scene.house, wall, pieces, words=self.words).findings
        return any(finding.level == "stop" for finding in found)


def step_of(words: Units) -> float:
    """From one mark of the tape to the next [mm]."""
    return words.rounded(1.0 if words.metric else 1.5875)


def mark(mm: float, words: Units, between: tuple[float, float] | None) -> float:
    """The nearest mark of the tape that lies between two places where the exact place does; else the exact place."""
    step = step_of(words)
    low, high = between or (-math.inf, math.inf)
    low, high = min(low, mm), max(high, mm)
    nearest = words.rounded(mm)
    marks = sorted((nearest - step, nearest, nearest + step), key=lambda mark: abs(mark - mm))
    return next((mark for mark in marks if low <= mark <= high), mm)
