"""Remedies that keep the piece in its space: shift it, stack another above, lean it, mat it out, add companions."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator

from ..bands import eye_height
from ..explain import Judged
from ..groups.columns import GroupCasts, group_columns
from ..groups.setting import Site
from ..house import Item, Work
from ..names import capital, listed
from ..results import Brief, Hanging, Remedy, Space
from ..rule import INCH
from ..scene import axis_of, bearer_name
from ..scoring import pairing
from .stock import Stock, broken, corrected, worth

#: Widths that read as one column differ by no more than this share. Common practice, no source.
SAME_WIDTH = 0.12
#: Furniture with a hard top that a piece may lean on.
LEAN_ON = ("console", "sideboard", "dresser", "chest", "desk", "mantel", "piano", "nightstand", "end_table")
#: How far a leaning piece tilts from upright [degrees], and what must stay free in front of its foot [mm].
LEAN_DEG, LEAN_FREE = 6.0, 1 * INCH
#: The widest mat or frame that is added on each side of a piece [mm]. Common practice, no source.
MOST_MAT = 5 * INCH
#: Positions nearer than this are the same [mm].
SAME_PLACE = 3.0
STACKS, COMPANIES = 6, 4


def shift(stock: Stock, space: Space, piece: Hanging, judged: Judged) -> Iterator[Remedy]:
    """The same piece at its best place in the same space, where that corrects something."""
    work = stock.house.work_by_id[piece.work]
    best = pairing(stock.house, space, work, stock.rulebook, stock.words)
    alone = not stock.beside(space, (piece,))
    left = best.left if alone else piece.left  # beside others only the height is set right
    across, up = left - piece.left, best.bottom - piece.bottom
    if max(abs(across), abs(up)) < SAME_PLACE or not best.fits:
        return
    moved = Hanging(work.id, space.wall, left, best.bottom, piece.order)
    after = stock.judge(space, (moved,))
    gain = worth(after) - worth(judged)
    if gain > 0 and len(broken(after)) < len(broken(judged)):
        ways = [f"{'raise' if up > 0 else 'lower'} it by {stock.words.length(abs(up))}"] * (abs(up) >= SAME_PLACE)
        side = "right" if across > 0 else "left"
        ways += [f"move it {stock.words.length(abs(across))} to the {side}"] * (abs(across) >= SAME_PLACE)
        text = " and ".join(ways)
        text = f"{capital(text)}: bottom edge at {stock.words.length(best.bottom)} above the floor"
        yield Remedy(
            "move",
            text,
            work=work.id,
            hangings=(moved,),
            moves_to=space.id,
            gain=gain,
            corrects=corrected(judged, after),
        )


def stack(stock: Stock, space: Space, piece: Hanging, judged: Judged) -> Iterator[Remedy]:
    """A second piece of like width above this one, so that the two together reach the eye line."""
    work = stock.house.work_by_id[piece.work]
    if space.kind != "over_furniture" or not _misses(judged, "eye-line", "low"):
        return
    rulebook = stock.rulebook
    spacing, clear, eye = (rulebook.limits(name) for name in ("spacing", "clearance", "eye-line"))
    gap = (spacing.low + spacing.high) / 2
    bearer = _bearer(stock, space)
    top, axis = bearer.rect.top if bearer else space.rect.bottom, axis_of(space, bearer)
    found = []
    for other in stock.pool:
        if other.id == work.id or abs(other.width - work.width) > SAME_WIDTH * work.width:
            continue
        lower, upper = sorted((work, other), key=lambda work: -work.width * work.height)
        tall = lower.height + gap + upper.height
        bottom = min(max(eye_height(eye.low, eye.high) - tall / 2, top + clear.low), top + clear.high)
        centre = bottom + tall / 2
        if bottom + tall <= space.rect.top:
            found.append((max(eye.low - centre, centre - eye.high, 0.0), other.id, lower, upper, bottom, centre))
    candidates = []
    for _, _, lower, upper, bottom, centre in sorted(found, key=lambda one: one[:2])[:STACKS]:
        pieces = (
            Hanging(lower.id, space.wall, axis - lower.width / 2, bottom, 1),
            Hanging(upper.id, space.wall, axis - upper.width / 2, bottom + lower.height + gap, 2),
        )
        after = stock.judge(space, pieces)
        candidates.append((worth(after) - worth(judged), pieces, lower, upper, centre, corrected(judged, after)))
    candidates.sort(key=lambda candidate: (-candidate[0], candidate[3].id))
    for gain, pieces, lower, upper, centre, corrects in candidates[:1]:
        if gain > 0:
            new, where = (upper, "above") if lower.id == work.id else (lower, "below")
            say = stock.words.length
            text = (
                f"Stack “{new.title}” ({stock.words.size(new.width, new.height)}) {where} it, {say(gap)} apart: "
                f"bottom edges at {say(pieces[0].bottom)} and {say(pieces[1].bottom)}; "
                f"the middle of the two comes to {say(centre)}"
            )
            yield Remedy("stack", text, work=new.id, hangings=pieces, gain=gain, corrects=corrects)


def lean(stock: Stock, space: Space, piece: Hanging, judged: Judged) -> Iterator[Remedy]:
    """Stand the piece on the furniture instead, where the top is deep enough."""
    work, bearer = stock.house.work_by_id[piece.work], _bearer(stock, space)
    if bearer is None or bearer.kind not in LEAN_ON or not _misses(judged, "eye-line", "low"):
        return
    needed = work.height * math.sin(math.radians(LEAN_DEG)) + work.depth + LEAN_FREE
    if bearer.depth < needed or work.width > bearer.width:
        return
    say, name = stock.words.length, bearer_name(bearer)
    text = (
        f"Lean it on {name}: it needs {say(needed)} of depth and the top has {say(bearer.depth)}. Secure it against "
        "slipping and tipping with a wall tether"
    )
    yield Remedy("lean", text, work=work.id, corrects=("eye-line",))


def mat_out(stock: Stock, space: Space, piece: Hanging, judged: Judged) -> Iterator[Remedy]:
    """A wider mat and frame, for a piece that is a little too narrow."""
    work = stock.house.work_by_id[piece.work]
    wanted = space.ideal.width[0] - work.width
    rule = "two-thirds" if space.kind == "over_furniture" else "fill"
    if not _misses(judged, rule, "low") or not 0 < wanted / 2 <= MOST_MAT or work.form in ("mirror", "basket", "clock"):
        return
    side = math.ceil(wanted / 2 / (INCH / 8) - 1e-6) * INCH / 8
    larger = dataclasses.replace(work, width=work.width + 2 * side, height=work.height + 2 * side)
    works = tuple(larger if one.id == work.id else one for one in stock.house.works)
    house = dataclasses.replace(stock.house, works=works)
    best = pairing(house, space, larger, stock.rulebook, stock.words)
    pieces = (Hanging(work.id, space.wall, best.left, best.bottom),)
    after = dataclasses.replace(stock, house=house).judge(space, pieces)
    gain = worth(after) - worth(judged)
    if gain <= 0 or not best.fits:
        return
    way = "mat" if work.form in ("print", "drawing", "photograph") else "liner or frame"
    size = stock.words.size(larger.width, larger.height)
    text = f"Frame it out to {size}: {stock.words.length(side)} more {way} on every side"
    brief = Brief((larger.width, larger.width), (larger.height, larger.height), space.shape, f"wider {way}", text)
    yield Remedy("reframe", text, work=work.id, brief=brief, gain=gain, corrects=corrected(judged, after))


def companions(stock: Stock, space: Space, piece: Hanging, judged: Judged) -> Iterator[Remedy]:
    """Others beside or around it, so that the group has the size that the piece lacks."""
    work = stock.house.work_by_id[piece.work]
    if not broken(judged) & {"two-thirds", "fill", "shape", "eye-line"}:
        return
    casts = GroupCasts([work, *(one for one in stock.pool if one.id != work.id)])
    site = Site.on(stock.house.wall_by_id[space.wall], space, stock.rulebook)
    columns = [column for column in group_columns(space, casts, site=site) if work.id in column.works]
    candidates = [(stock.judge(space, column.hangings), column) for column in columns[:COMPANIES]]
    for after, column in sorted(candidates, key=lambda pair: (-worth(pair[0]), pair[1].works))[:1]:
        gain = worth(after) - worth(judged)
        if gain > 0:
            others = [f"“{stock.house.work_by_id[name].title}”" for name in sorted(column.works) if name != work.id]
            text = f"Hang it with {listed(others)} as a {column.form} of {len(column.works)}"
            yield Remedy(
                "group", text, work=work.id, hangings=column.hangings, gain=gain, corrects=corrected(judged, after)
            )


def _misses(judged: Judged, rule: str, side: str) -> bool:
    """Whether a rule is broken on one side of its band."""
    for finding in judged.findings:
        if finding.rule == rule and finding.level in ("exception", "stop") and finding.measured is not None:
            if side == "low" and finding.low is not None and finding.measured < finding.low:
                return True
            if side == "high" and finding.high is not None and finding.measured > finding.high:
                return True
    return False


def _bearer(stock: Stock, space: Space) -> Item | None:
    return stock.house.wall_by_id[space.wall].item(space.over)


def sized(work: Work, stock: Stock) -> str:
    """A work as a sentence names it, with its size."""
    return f"“{work.title}” ({stock.words.size(work.width, work.height)})"
