"""Remedies that change what hangs in a space: another work, this one elsewhere, the same works anew, nothing."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence

from ..briefs import brief_for
from ..explain import Judged
from ..groups.columns import GroupCasts, group_columns
from ..groups.setting import Site
from ..house import Work
from ..names import place_of, small
from ..results import Hanging, Pairing, Remedy, Space
from ..worth import BARE_WORTH, worth_of
from .single import sized
from .stock import Stock, broken, corrected, worth

#: Rules that a piece of another size or shape would keep.
ABOUT_SIZE = ("two-thirds", "fill", "shape", "eye-line", "fit", "clearance", "scale")


def replace(stock: Stock, space: Space, pieces: Sequence[Hanging], judged: Judged) -> Iterator[Remedy]:
    """A better work from the inventory, with a better home for this one; or the size to look for."""
    hung = [hanging.work for hanging in pieces]
    better = stock.best_works(space, worth(judged), without=hung)
    home, gain_here = _better_home(stock, pieces, space)
    for best in better[:1]:
        new = stock.house.work_by_id[best.work]
        text = f"Replace it by {sized(new, stock)}"
        text += f" and hang this one {home[1]}, where it scores {gain_here:.0f}" if home else ""
        yield Remedy(
            "replace",
            text,
            work=new.id,
            hangings=(Hanging(new.id, space.wall, best.left, best.bottom),),
            moves_to=home[0].id if home else None,
            gain=worth_of(best) - worth(judged),
            corrects=_then(judged, best),
        )
    if not better and any(finding.rule in ABOUT_SIZE and finding.level != "note" for finding in judged.findings):
        brief = brief_for(stock.house, space, stock.words)
        corrects = tuple(sorted(broken(judged) & set(ABOUT_SIZE)))
        yield Remedy("replace", f"Nothing in the inventory serves better. {brief.text}", brief=brief, corrects=corrects)


def move(stock: Stock, space: Space, pieces: Sequence[Hanging], judged: Judged) -> Iterator[Remedy]:
    """A free space where the piece does better."""
    if len(pieces) != 1:
        return
    work = stock.house.work_by_id[pieces[0].work]
    for best in stock.best_spaces(work, worth(judged))[:1]:
        there = stock.space_by_id[best.space]
        if there.id == space.id:
            continue
        yield Remedy(
            "move",
            f"Hang it {_where(stock, space, there)} instead: it scores {best.score:.0f} there",
            work=work.id,
            hangings=(Hanging(work.id, there.wall, best.left, best.bottom),),
            moves_to=there.id,
            gain=worth_of(best) - worth(judged),
            corrects=_then(judged, best),
        )


def anew(stock: Stock, space: Space, pieces: Sequence[Hanging], judged: Judged) -> Iterator[Remedy]:
    """All pieces of a space laid out as one regular group."""
    every = (*pieces, *stock.beside(space, pieces))
    works = [dataclasses.replace(stock.house.work_by_id[hanging.work], set_name="together") for hanging in every]
    if len(works) < 2:
        return
    site = Site.on(stock.house.wall_by_id[space.wall], space, stock.rulebook)
    candidates = []
    for column in group_columns(space, GroupCasts(works), site=site, most=4):
        candidates.append((stock.judge(space, column.hangings), column))
    for after, one in sorted(candidates, key=lambda pair: (-worth(pair[0]), pair[1].form))[:1]:
        gain = worth(after) - worth(judged)
        if gain > 0:
            way = ("Gather", "into") if len(every) > len(pieces) else ("Lay", "out anew as")
            text = f"{way[0]} the {len(works)} pieces of this space {way[1]} a {one.form}"
            yield Remedy("group", text, hangings=one.hangings, gain=gain, corrects=corrected(judged, after))


def leave_bare(space: Space, judged: Judged) -> Iterator[Remedy]:
    """Nothing, with the space's own reasons for it."""
    quiet = [small(reason.text) for reason in space.reasons if reason.rule == "quiet-wall"]
    text = "Leave the space bare" + (f": {'; '.join(quiet)}" if quiet else "")
    yield Remedy(
        "leave_bare", text, gain=BARE_WORTH[space.advice] - worth(judged), corrects=tuple(sorted(broken(judged)))
    )


def _then(judged: Judged, best: Pairing) -> tuple[str, ...]:
    """The rules broken now that would hold with a piece at its best place."""
    return tuple(sorted(broken(judged) - {finding.rule for finding in best.findings if finding.level != "note"}))


def _better_home(stock: Stock, pieces: Sequence[Hanging], space: Space) -> tuple[tuple[Space, str] | None, float]:
    """The free space where a single piece hangs best, in words, and its score there."""
    if len(pieces) != 1:
        return None, 0.0
    work: Work = stock.house.work_by_id[pieces[0].work]
    for best in stock.best_spaces(work, 0.0):
        there = stock.space_by_id[best.space]
        if there.id != space.id:
            return (there, _where(stock, space, there)), best.score
    return None, 0.0


def _where(stock: Stock, space: Space, there: Space) -> str:
    """A space as a place, with its wall's name when that is another wall."""
    wall = stock.house.wall_by_id[there.wall]
    room = stock.house.room_by_id[there.room]
    place = place_of(there.name)
    if there.wall == space.wall:
        return place
    return f"{place} on the {small(wall.name)}" + (f", {room.name}" if there.room != space.room else "")
