"""Works for a space, spaces for a work, and why this one and not that one."""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from .errors import InvalidHouse
from .groups.around import wider_spaces
from .house import House, Work
from .names import listed, small
from .results import Hanging, Pairing, PlainWords, Space, Words
from .rulebook import Rulebook
from .scene import build_scene
from .scoring import pairing, score
from .spaces import find_spaces, wall_spaces
from .worth import worth_of

#: So many of the best by score are told at least, and ranked by what their findings leave of them.
LEAST = 12


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two works in one space, term by term.

    terms : (rule, the first work's score 0-1 or None where the rule does not apply, the other's)
    text : the verdict in a sentence
    """

    asked: Pairing
    chosen: Pairing
    terms: tuple[tuple[str, float | None, float | None], ...]
    text: str


def rank(
    house: House,
    space_id: str,
    hangings: Iterable[Hanging] = (),
    words: Words | None = None,
    most: int | None = None,
    works: Collection[str] | None = None,
) -> tuple[Pairing, ...]:
    """The house's works in one space, best first: those that fit, then those that do not.

    Args:
        hangings: what hangs now; works that hang elsewhere are left out.
        most: only so many, the best.
        works: only these.

    Raises:
        InvalidHouse: a space that the house does not have.
    """
    rulebook, words = Rulebook.for_house(house), words or PlainWords()
    space = _space(house, space_id, rulebook, words)
    elsewhere = {hanging.work for hanging in hangings if hanging.wall != space.wall}
    asked = house.works if works is None else [work for work in house.works if work.id in works]
    able = tuple(work for work in asked if work.id not in elsewhere)
    return _told(house, able, (space,), rulebook, words, most)


def rank_spaces(house: House, work_id: str, words: Words | None = None, most: int | None = None) -> tuple[Pairing, ...]:
    """The house's spaces for one work, best first.

    Raises:
        InvalidHouse: a work that the house does not have.
    """
    rulebook, words = Rulebook.for_house(house), words or PlainWords()
    return _told(house, (_work(house, work_id),), find_spaces(house, rulebook, words), rulebook, words, most)


def why_not(house: House, work_id: str, space_id: str, chosen_id: str, words: Words | None = None) -> Comparison:
    """A work in a space beside the one chosen for it.

    Raises:
        InvalidHouse: a space or a work that the house does not have.
    """
    rulebook, words = Rulebook.for_house(house), words or PlainWords()
    space = _space(house, space_id, rulebook, words)
    works = _work(house, work_id), _work(house, chosen_id)
    asked, chosen = (pairing(house, space, work, rulebook, words) for work in works)
    names = sorted({*asked.terms, *chosen.terms}, key=lambda name: (_behind(asked, chosen, name), name))
    terms = tuple((name, asked.terms.get(name), chosen.terms.get(name)) for name in names)
    return Comparison(asked, chosen, terms, _verdict(works, asked, chosen, terms, rulebook))


def _behind(asked: Pairing, chosen: Pairing, name: str) -> float:
    return asked.terms.get(name, 1.0) - chosen.terms.get(name, 1.0)


def _verdict(
    works: tuple[Work, Work],
    asked: Pairing,
    chosen: Pairing,
    terms: Sequence[tuple[str, float | None, float | None]],
    rulebook: Rulebook,
) -> str:
    first, second = (f"“{work.title}”" for work in works)
    stop = next((finding for finding in asked.findings if finding.level == "stop"), None)
    if stop:
        return f"{first} cannot hang here: {stop.text}"
    worse = [rulebook.rule(name).title for name, a, b in terms if a is not None and b is not None and a < b - 0.005]
    better = [rulebook.rule(name).title for name, a, b in terms if a is not None and b is not None and a > b + 0.005]
    said = f"{first} scores {asked.score:.0f}, {second} {chosen.score:.0f}"
    if worse:
        said += f"; it is behind in {_first(worse)}"
    if better:
        said += f"; ahead in {_first(better)}"
    broken = [finding.text for finding in asked.findings if finding.level == "exception"]
    return f"{said}. {broken[0]}" if broken else said


def _first(titles: list[str]) -> str:
    return listed([small(title) for title in titles[:3]])


def _told(
    house: House,
    works: tuple[Work, ...],
    spaces: Sequence[Space],
    rulebook: Rulebook,
    words: Words,
    most: int | None,
) -> tuple[Pairing, ...]:
    if not works or not spaces:
        return ()
    scores = score(build_scene(dataclasses.replace(house, works=works), spaces, rulebook.margins), rulebook)
    order = np.argsort(-np.where(scores.veto, scores.total - 1000, scores.total), axis=None, kind="stable")
    ranked = []
    for at in order[: None if most is None else max(2 * most, LEAST)]:
        i, j = np.unravel_index(at, scores.total.shape)
        ranked.append(pairing(house, spaces[int(j)], works[int(i)], rulebook, words))
    ranked.sort(key=lambda pairing: (not pairing.fits, -worth_of(pairing), pairing.space, pairing.work))
    return tuple(ranked[:most])


def _space(house: House, space_id: str, rulebook: Rulebook, words: Words) -> Space:
    for _, wall in house.walls():
        if space_id.startswith(f"{wall.id}:"):
            spaces = wall_spaces(house, wall, rulebook, words)
            for space in (*spaces, *wider_spaces(house, wall, spaces, rulebook, words).values()):
                if space.id == space_id:
                    return space
    raise InvalidHouse(f"there is no space {space_id!r}; the wall may have changed since")


def _work(house: House, work_id: str) -> Work:
    if work_id not in house.work_by_id:
        raise InvalidHouse(f"there is no work {work_id!r} in this house")
    return house.work_by_id[work_id]
