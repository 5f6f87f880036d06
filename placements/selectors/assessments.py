"""The engine's findings on a revision's walls, tied to their rows."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from placements import scenes
from placements.engine.results import Arrangement, Assessment, Finding, Hanging, Remedy, Words
from placements.judged import assess_wall
from placements.models import Revision


@dataclass(frozen=True, slots=True)
class KeyedFinding:
    """One finding with its rows. `key` is the same for the same finding on the same pieces, measured the same."""

    key: str
    wall: int
    works: tuple[int, ...]
    finding: Finding
    remedies: tuple[dict[str, Any], ...]

    @property
    def asks(self) -> bool:
        """Whether somebody must do something about it: an exception or a stop."""
        return self.finding.level in ("exception", "stop")


def plan_found(
    *, revision: Revision, words: Words, scene: scenes.ProjectScene | None = None, with_remedies: bool = False
) -> list[KeyedFinding]:
    """Every finding of a revision as it is now, in wall order.

    `scene` is the revision's project where it was read before. `with_remedies` looks for remedies too, over all the
    works that there are: slower, for when a plan is sent.
    """
    if scene is None:
        scene = scenes.scene_of(revision.plan.project) if with_remedies else scenes.placed_scene(revision)
    hangings, bares = scenes.hangings_of(revision, scene), bare_of(revision)
    assessments = {pk: _assess(scene, pk, hangings, bares, words, with_remedies) for pk in scene.wall_code}
    found: list[KeyedFinding] = []
    taken: set[str] = set()
    for pk, assessment in assessments.items():
        for finding in assessment.findings:
            works = tuple(scene.work_pk[code] for code in finding.works)
            key, twin = finding_key(finding, pk, works), 1
            while key in taken:
                twin += 1
                key = finding_key(finding, pk, works, twin)
            taken.add(key)
            offered = remedies_for(finding, assessment.arrangements)
            found.append(KeyedFinding(key, pk, works, finding, tuple(remedy_data(remedy, scene) for remedy in offered)))
    return found


def finding_key(finding: Finding, wall: int, works: Iterable[int], twin: int = 1) -> str:
    """SHA-256 of what the finding is about and what it measured, to a tenth of a millimetre or 0.01 %.

    What is allowed is no part of it: who accepted a measure has accepted it, whatever the house rule becomes.
    """
    digits = 1 if finding.unit == "mm" else 4
    measured = None if finding.measured is None else round(finding.measured, digits)
    about = [finding.rule, finding.level, wall, sorted(works), finding.space, measured, twin]
    return hashlib.sha256(json.dumps(about).encode()).hexdigest()


def remedies_for(finding: Finding, arrangements: Iterable[Arrangement]) -> tuple[Remedy, ...]:
    """What was on offer for the arrangement that a finding is about."""
    for arrangement in arrangements:
        if arrangement.space == finding.space:
            return arrangement.remedies
    return ()


def remedy_data(remedy: Remedy, scene: scenes.ProjectScene) -> dict[str, Any]:
    """A remedy as plain data, ready to be shown later or to be applied by `arrangement_replace`."""
    return {
        "kind": remedy.kind,
        "text": remedy.text,
        "gain": remedy.gain,
        "work": scene.work_pk.get(remedy.work) if remedy.work else None,
        "moves_to": remedy.moves_to,
        "brief": dataclasses.asdict(remedy.brief) if remedy.brief else None,
        "pieces": [
            scene.piece(hanging).as_data() | {"wall": scene.wall_pk[hanging.wall]} for hanging in remedy.hangings
        ],
    }


def bare_of(revision: Revision) -> frozenset[tuple[int, str]]:
    """What is left bare on purpose, as (wall, space); an empty space means the whole wall."""
    return frozenset(revision.bares.values_list("wall_id", "space"))


def _assess(
    scene: scenes.ProjectScene,
    wall_pk: int,
    hangings: Iterable[Hanging],
    bares: frozenset[tuple[int, str]],
    words: Words,
    with_remedies: bool = False,
) -> Assessment:
    bare = sorted(space for pk, space in bares if pk == wall_pk)
    code = scene.wall_code[wall_pk]
    return assess_wall(scene.house, code, tuple(hangings), bare=bare, words=words, with_remedies=with_remedies)
