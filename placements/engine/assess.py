"""A wall as it is: which pieces belong together, and what every rule says of them at their exact places."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from functools import partial

from .explain import Judged, why
from .grouping import Together, grouped, house_as_hung, rect_of, spaces_in_use
from .house import House, Wall
from .memory import Memory
from .remedies import Stock, remedies
from .results import Arrangement, Assessment, Finding, Hanging, PlainWords, Space, Words
from .rulebook import Rulebook
from .scoring import judge
from .spaces import wall_spaces
from .standing import arrangement_of as arrangement_of_standing
from .standing import dressed, standing

#: Arrangements as judged, some 3 kB each, by the house, the space, the pieces at their places and the words.
judged_before: Memory[Judged] = Memory(2000)


def assess_wall(
    house: House,
    wall_id: str,
    hangings: Iterable[Hanging],
    *,
    bare: Iterable[str] = (),
    words: Words | None = None,
    with_remedies: bool = False,
) -> Assessment:
    """Judge everything that hangs (or would hang) on one wall.

    Args:
        house: the whole project, since other walls bring sun and rivals.
        wall_id: the wall to judge.
        hangings: pieces at their places; those on other walls are passed over.
        bare: ids of spaces left bare on purpose; an empty id means the whole wall.
        words: how lengths are set; millimetres when not given.
        with_remedies: also give each arrangement's remedies, drawing on the house's works that hang nowhere and
            on its free spaces; then `hangings` must hold every wall's pieces.

    Returns:
        The wall's spaces, its arrangements from left to right, then what stands, and all their findings, stops first.

    Raises:
        InvalidHouse: an unknown work. KeyError: an unknown wall.
    """
    words = words or PlainWords()
    rulebook = Rulebook.for_house(house)
    hangings = tuple(hangings)
    upright = standing(house, hangings)
    stands = [standing for standing in upright if standing.stand.wall == wall_id]
    house = dressed(house, upright)
    wall = house.wall_by_id[wall_id]
    spaces = wall_spaces(house, wall, rulebook, words)
    stays = {standing.work.id for standing in upright}
    nailed = [hanging for hanging in hangings if hanging.work not in stays]
    here = [hanging for hanging in nailed if hanging.wall == wall_id]
    arrangements: list[Arrangement] = []
    homeless: list[Finding] = []
    if spaces:
        found = grouped(house, spaces, here, rulebook, words)
        spaces = spaces_in_use(spaces, found)
        for space, pieces in found:
            judged = judged_before.recall(
                (house.fingerprint, space, tuple(pieces), words),
                partial(judge, house, space, pieces, rulebook, words),
            )
            arrangements.append(arrangement_of(space, pieces, judged))
    else:
        homeless = [_no_space(house, wall, hanging) for hanging in here]
    if with_remedies:
        stock = stock_of(house, hangings, *house_as_hung(house, nailed, rulebook, words), rulebook, words)
        arrangements = [remedied(stock, arrangement) for arrangement in arrangements]
    hung = {arrangement.space for arrangement in arrangements}
    arrangements += [arrangement_of_standing(stand, words) for stand in stands]
    left_bare = set(bare)
    for space in spaces:
        if space.id not in hung and (space.id in left_bare or "" in left_bare):
            arrangements.append(Arrangement(space.id, wall.id, "bare", (), 0.0))
    findings = [*homeless, *(finding for arrangement in arrangements for finding in arrangement.findings)]
    findings.sort(key=lambda finding: ("stop", "exception", "note").index(finding.level))
    return Assessment(
        wall.id, spaces, tuple(arrangements), tuple(findings), tuple(standing.stand for standing in stands)
    )


def arrangement_of(space: Space, pieces: Sequence[Hanging], judged: Judged) -> Arrangement:
    """What a judgement makes of pieces in a space."""
    return Arrangement(
        space=space.id,
        wall=space.wall,
        kind="single" if len(pieces) == 1 else "group",
        pieces=tuple(pieces),
        score=judged.score,
        terms=judged.terms,
        findings=judged.findings,
        why=why(judged),
    )


def stock_of(
    house: House,
    hangings: Sequence[Hanging],
    spaces: tuple[Space, ...],
    found: Sequence[Together],
    rulebook: Rulebook,
    words: Words,
) -> Stock:
    """What remedies may draw on while these pieces hang, in these spaces as these arrangements."""
    occupied: dict[str, tuple[Hanging, ...]] = {}
    for space, pieces in found:
        occupied[space.id] = (*occupied.get(space.id, ()), *pieces)
    return Stock(house, rulebook, words, spaces, frozenset(hanging.work for hanging in hangings), occupied)


def remedied(stock: Stock, arrangement: Arrangement) -> Arrangement:
    """An arrangement with its remedies."""
    if not arrangement.pieces:
        return arrangement
    space = stock.space_by_id[arrangement.space]
    judged = Judged(arrangement.score, arrangement.terms, arrangement.findings)
    return dataclasses.replace(arrangement, remedies=remedies(stock, space, arrangement.pieces, judged))


def _no_space(house: House, wall: Wall, hanging: Hanging) -> Finding:
    return Finding(
        rule="fit",
        level="stop",
        text=f"“{house.work_by_id[hanging.work].title}” has no free space on this wall",
        wall=wall.id,
        works=(hanging.work,),
        where=rect_of(house, hanging),
    )
