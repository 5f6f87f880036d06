"""From a house to the columns of its best plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csc_array

from ..house import House
from ..results import Hanging, PlainWords, Space
from ..rule import Mask
from ..rulebook import Rulebook
from ..spaces import find_spaces
from ..stairs import RAIL_HEIGHT_MM, rail_at
from ..worth import may_hang
from .casts import casts_of
from .columns import LEAST, Board, Column, board
from .kinds import Kind, kinds_of
from .packing import Chosen, Packing, pack
from .places import answers_of, conflicts, places_of
from .worth import EYE_SHARE, Ground, care


def draft(house: House) -> list[Hanging]:
    found, chosen = plan_columns(house)
    return hangings_of(found, chosen)


def plan_columns(house: House) -> tuple[Board, list[Column]]:
    rulebook = Rulebook.for_house(house)
    spaces = find_spaces(house, rulebook, PlainWords())
    kinds = kinds_of(house)
    casts = casts_of(kinds)
    places = places_of(house, spaces, rulebook)
    answers = answers_of(house, places)
    eye = rulebook.limits("eye-line")
    ground = Ground.of(places, eye.low + EYE_SHARE * (eye.high - eye.low))
    left, veto = care(house, kinds, places, rulebook, ground)
    allowed = _allowed(kinds, spaces) & ~veto
    found = board(house, kinds, casts, places, answers, rulebook, ground, left, allowed)
    columns, problem = packing_of(found)
    chosen = pack(problem)
    return found, [columns[i] if isinstance(columns[i], Column) else found.column(*columns[i]) for i in chosen.columns]


def _allowed(kinds: tuple[Kind, ...], spaces: tuple[Space, ...]) -> Mask:
    found = [[may_hang(kind.work, space) for space in spaces] for kind in kinds]
    return np.array(found, dtype=bool).reshape(len(kinds), len(spaces))


def packing_of(found: Board):
    cells = np.argwhere(found.value >= LEAST)
    columns: list[Column | tuple[int, int]] = [(int(c), int(p)) for c, p in cells]
    values = [float(found.value[c, p]) for c, p in columns]
    across = [one for one in found.across if one.value >= LEAST]
    n_places, n_kinds = len(found.places), len(found.kinds)
    pairs = conflicts(found.places)
    at, row, take = [], [], []
    by_place: dict[int, list[int]] = {}
    for number, (a, b) in enumerate(pairs):
        by_place.setdefault(a, []).append(number)
        by_place.setdefault(b, []).append(number)
    uses_and_places = [(found.casts[c].uses, (p,)) for c, p in columns]
    uses_and_places += [(one.cast.uses, tuple(f.place for f in one.fillings)) for one in across]
    for number, (uses, where) in enumerate(uses_and_places):
        for p in where:
            at.append(number); row.append(p); take.append(1.0)
            for q in by_place.get(p, ()):
                at.append(number); row.append(n_places + n_kinds + q); take.append(1.0)
        for kind, times in uses:
            at.append(number); row.append(n_places + kind); take.append(float(times))
    columns += across
    values += [one.value for one in across]
    limit = np.concatenate([np.ones(n_places), [float(k.count) for k in found.kinds], np.ones(len(pairs))])
    rows = csc_array((take, (row, at)), shape=(len(limit), len(columns)))
    return columns, Packing(np.array(values), rows, limit)


def hangings_of(found: Board, chosen: list[Column]) -> list[Hanging]:
    spare = {k: list(kind.members) for k, kind in enumerate(found.kinds)}
    out: list[Hanging] = []
    for one in chosen:
        for filling in one.fillings:
            place = found.places[filling.place]
            o = filling.outline
            mx, my = filling.left + o.width / 2, filling.bottom + o.height / 2
            if o.form == "salon":
                from ..groups.setting import Site
                from ..groups.compose import compose
                rb = Rulebook.for_house(found.house)
                site = Site.on(place.wall, place.space, rb)
                works = [found.house.work_by_id[spare[k].pop(0)] for k in o.slots]
                res = compose(place.space, works, site=site, hang_all=True, count=(len(works), len(works)), most=1)
                if res.layouts:
                    out += list(res.layouts[0].hangings)
                else: print('   no salon', res.why_none)
                continue
            for k, box in zip(o.slots, o.boxes, strict=True):
                work = spare[k].pop(0)
                left, bottom = mx + box[0], my + box[1]
                if place.role == "stair":
                    cx = mx + (box[0] + box[2]) / 2
                    eye = Rulebook.for_house(found.house).limits("eye-line")
                    bottom = rail_at(place.wall.rail, cx) - RAIL_HEIGHT_MM + eye.low + EYE_SHARE * (eye.high - eye.low) - (box[3] - box[1]) / 2
                out.append(Hanging(work, place.wall.id, float(left), float(bottom)))
    return out
