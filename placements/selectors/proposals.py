"""What the engine proposes for a project, as the data that a run stores."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable
from typing import Any

from placements import scenes
from placements.engine.facade import propose
from placements.engine.house import House
from placements.engine.results import Arrangement, Proposal
from placements.engine.taste import NO_TASTE
from placements.models import ProposalRun, Revision
from studio.reader import units_of
from studio.units import Units

from .assessments import bare_of
from .tape import Tape
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
    """The proposal with every place as a tape shows it."""
    tape = Tape(scene, scenes.hangings_of(revision, scene), words)
    by_id = {space.id: space for space in proposal.spaces}

    def on_marks(plan: Iterable[Arrangement]) -> tuple[Arrangement, ...]:
        return tuple(dataclasses.replace(one, pieces=tape.put(one.pieces, by_id.get(one.space))) for one in plan)

    return dataclasses.replace(
        proposal, plan=on_marks(proposal.plan), alternatives=tuple(map(on_marks, proposal.alternatives))
    )


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
