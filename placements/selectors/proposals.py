"""What the engine proposes for a project, as the data that a run stores."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from placements import scenes
from placements.engine.facade import assess_wall, propose
from placements.engine.house import House, Rect
from placements.engine.results import Arrangement, Hanging, Proposal, Space
from placements.engine.taste import NO_TASTE
from placements.models import ProposalRun, Revision
from placements.pieces import SAME_MM
from studio.reader import units_of
from studio.units import Units

from .assessments import bare_of
from .taste import taste_of_studio
from .walls import group_in

Progress = Callable[[float, str], None]


def propose_for(*, run: ProposalRun, progress: Progress) -> dict[str, Any]:
    """Let the engine plan the run's project; what the designer fixed or left bare stays so."""
    project = run.project
    revision = Revision.objects.get(pk=run.options["revision"])
    scene = scenes.scene_of(project)
    proposal = propose(
        _with_fixed(scene.house, revision, scene),
        units_of(project),
        bare=sorted(space for _, space in bare_of(revision) if space),
        hangings=scenes.hangings_of(revision, scene),
        moved_piece_price=project.client.studio.moved_piece_price,
        taste=taste_of_studio(project) if run.as_usual else NO_TASTE,
        pairings=False,
        remedies=False,
        progress=progress,
    )
    return proposal_data(on_tape(proposal, scene, revision, units_of(project)), scene, revision)


def on_tape(proposal: Proposal, scene: scenes.ProjectScene, revision: Revision, words: Units) -> Proposal:
    """The proposal with every place to the nearest 1/16 in or 1 mm of the project's units, inside its space.

    What hangs there already keeps its place exactly, as does what would not lie in its space on any near mark.
    """

    stays = {(one.work, one.wall): one for one in scenes.hangings_of(revision, scene)}
    by_id = {space.id: space for space in proposal.spaces}
    sizes = {work.id: (work.width, work.height) for work in scene.house.works}

    def rect_of(space: Space | None) -> Rect | None:
        return (space.beyond or space.rect) if space else None

    def near(hanging: Hanging, space: Rect | None) -> Hanging:
        now = stays.get((hanging.work, hanging.wall))
        if now and max(abs(now.left - hanging.left), abs(now.bottom - hanging.bottom)) < SAME_MM:
            return hanging
        width, height = sizes[hanging.work]
        left = _mark(hanging.left, words, (space.left, space.right - width) if space else None)
        bottom = _mark(hanging.bottom, words, (space.bottom, space.top - height) if space else None)
        return dataclasses.replace(hanging, left=left, bottom=bottom)

    def near_enough(one: Arrangement) -> Arrangement:
        """On the marks; a little higher, or exact after all, where a handrail or a lamp would come too near."""
        space = by_id.get(one.space)
        pieces = tuple(near(piece, rect_of(space)) for piece in one.pieces)
        if not space or not pieces or (space.kind != "stair" and not space.beyond):
            return dataclasses.replace(one, pieces=pieces)
        higher = tuple(
            piece if piece == exact else dataclasses.replace(piece, bottom=piece.bottom + _step(words))
            for piece, exact in zip(pieces, one.pieces, strict=True)
        )
        clear = (tried for tried in (pieces, higher) if not stops(one.wall, tried))
        return dataclasses.replace(one, pieces=next(clear, one.pieces))

    def stops(wall: str, pieces: Sequence[Hanging]) -> bool:
        found = assess_wall(scene.house, wall, pieces, words=words).findings
        return any(finding.level == "stop" for finding in found)

    def all_near(plan: Iterable[Arrangement]) -> tuple[Arrangement, ...]:
        return tuple(map(near_enough, plan))

    return dataclasses.replace(
        proposal, plan=all_near(proposal.plan), alternatives=tuple(map(all_near, proposal.alternatives))
    )


def _step(words: Units) -> float:
    """From one mark of the tape to the next [mm]."""
    return words.rounded(1.0 if words.metric else 1.5875)


def _mark(mm: float, words: Units, between: tuple[float, float] | None) -> float:
    """The nearest mark of the tape that lies between two places where the exact place does; else the exact place."""
    step = _step(words)
    low, high = between or (-math.inf, math.inf)
    low, high = min(low, mm), max(high, mm)
    nearest = words.rounded(mm)
    marks = sorted((nearest - step, nearest, nearest + step), key=lambda mark: abs(mark - mm))
    return next((mark for mark in marks if low <= mark <= high), mm)


def proposal_data(proposal: Proposal, scene: scenes.ProjectScene, revision: Revision) -> dict[str, Any]:
    """A proposal by wall, with row ids: the best plan as `walls`, further ones as `alternatives`."""
    kept: dict[int, list[dict[str, str]]] = {}
    for bare in revision.bares.all():
        kept.setdefault(bare.wall_id, []).append({"space": bare.space, "reason": bare.reason})
    return {
        "walls": _walls(proposal.plan, scene, kept),
        "alternatives": [_walls(alternative, scene, kept) for alternative in proposal.alternatives],
        "unplaced": [{"artwork": scene.work_pk[one.work], "why": one.why} for one in proposal.unplaced],
        "optimality": dataclasses.asdict(proposal.optimality),
    }


def _walls(
    plan: Iterable[Arrangement], scene: scenes.ProjectScene, kept: dict[int, list[dict[str, str]]]
) -> list[dict[str, Any]]:
    by_wall: dict[str, list[Arrangement]] = {}
    for arrangement in plan:
        by_wall.setdefault(arrangement.wall, []).append(arrangement)
    return [
        {
            "wall": pk,
            "score": round(sum(arrangement.score for arrangement in by_wall.get(code, ())), 2),
            "pieces": _pieces(by_wall.get(code, []), scene),
            "bares": kept.get(pk, []),
            "findings": [
                {"rule": finding.rule, "level": finding.level, "text": finding.text}
                for arrangement in by_wall.get(code, ())
                for finding in arrangement.findings
            ],
            "usual": [text for arrangement in by_wall.get(code, ()) for text in arrangement.usual],
        }
        for code, pk in scene.wall_pk.items()
    ]


def _pieces(arrangements: list[Arrangement], scene: scenes.ProjectScene) -> list[dict[str, Any]]:
    """The pieces of a wall in hanging order, numbered through the wall."""
    pieces = [
        scene.piece(
            hanging,
            space=arrangement.space,
            group=group_in(arrangement.space) if arrangement.kind == "group" else "",
            why=arrangement.why,
        )
        for arrangement in arrangements
        for hanging in sorted(arrangement.pieces, key=lambda hanging: hanging.order)
    ]
    return [piece.as_data() | {"order": order} for order, piece in enumerate(pieces, start=1)]


def _with_fixed(house: House, revision: Revision, scene: scenes.ProjectScene) -> House:
    """The house with every piece that the designer fixed held to its space, or to its wall where it has none."""
    fixed = {
        scene.work_code[placement.artwork_id]: placement.space or scene.wall_code[placement.wall_id]
        for placement in revision.placements.filter(locked=True)
        if placement.artwork_id in scene.work_code
    }
    works = tuple(
        dataclasses.replace(work, locked=fixed[work.id]) if work.id in fixed else work for work in house.works
    )
    return dataclasses.replace(house, works=works)
