"""Messy, plausible houses, and what must hold of any plan: `python -m tests.judging.random_houses [options]`.

A house has one to ten rooms with doors, windows, furniture and lamps as rooms have them, up to forty works with sets
and equal sizes, some of which hang today, rightly or not, some locked; pairs to keep apart; house rules. Everything
follows from a seed. Each property answers None, or a sentence of what it found instead. Common practice, no source.
"""

from __future__ import annotations

import argparse
import copy
import itertools
import random
import sys
from collections.abc import Callable, Hashable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from placements.engine.facade import assess_wall, propose
from placements.engine.house import House, Work
from placements.engine.results import Proposal

from .building import Doc, item, room, survey, wall, work
from .proposing import hangings_of, house_of, planned
from .seeing import Seen, covers_nothing, inside_walls, no_overlap, once_each

#: What stands at a wall of a room: kind, widths, heights, depth, whether lamps or ornaments may stand on it [in].
STANDING: Mapping[str, tuple[tuple[float, float], tuple[float, float], float, bool]] = {
    "sofa": ((60, 110), (30, 38), 36, False),
    "bed": ((42, 78), (38, 60), 80, False),
    "console": ((36, 66), (28, 34), 14, True),
    "sideboard": ((60, 90), (32, 38), 19, True),
    "dresser": ((44, 66), (32, 40), 20, True),
    "chest": ((30, 44), (28, 36), 18, True),
    "nightstand": ((16, 24), (22, 28), 18, True),
    "end_table": ((16, 24), (20, 26), 20, True),
    "desk": ((48, 66), (29, 31), 28, True),
    "bench": ((40, 66), (17, 20), 16, False),
    "piano": ((56, 62), (44, 52), 25, True),
    "mantel": ((50, 72), (46, 56), 8, True),
    "bookcase": ((30, 60), (60, 90), 12, False),
    "cabinet": ((30, 50), (60, 84), 18, False),
    "floor_lamp": ((14, 20), (56, 66), 16, False),
    "tall_plant": ((20, 32), (50, 72), 24, False),
    "radiator": ((30, 60), (20, 28), 5, False),
    "door": ((30, 40), (80, 84), 0, False),
    "opening": ((40, 70), (82, 90), 0, False),
}
BY_USE: Mapping[str, tuple[str, ...]] = {
    "living": ("sofa", "end_table", "mantel", "bookcase", "floor_lamp", "console", "piano", "tall_plant", "door"),
    "dining": ("sideboard", "console", "cabinet", "door", "opening", "radiator"),
    "bedroom": ("bed", "nightstand", "dresser", "chest", "door", "radiator"),
    "nursery": ("bed", "chest", "bookcase", "door"),
    "kitchen": ("bench", "cabinet", "door", "radiator"),
    "hall": ("console", "bench", "door", "opening", "tall_plant"),
    "study": ("desk", "bookcase", "chest", "door", "floor_lamp"),
    "office": ("desk", "cabinet", "sofa", "door"),
    "lobby": ("desk", "bench", "tall_plant", "door", "opening"),
    "public_corridor": ("bench", "door", "door", "radiator"),
    "media": ("console", "sofa", "bookcase", "door"),
    "bath": ("cabinet", "radiator", "door"),
    "stair": (),
}
SIZES = ((8, 10), (11, 14), (12, 12), (16, 20), (18, 24), (20, 26), (24, 36), (30, 40), (36, 48), (40, 40), (48, 72))
FORMS = ("painting", "painting", "print", "print", "drawing", "photograph", "textile", "mirror", "relief", "basket")
RULES: tuple[Doc, ...] = (
    {"clearance": {"low": 5, "high": 9}},
    {"two-thirds": {"low": 0.55}},
    {"eye-line": {"weight": 3}},
)


# --- The generator ----------------------------------------------------------------------------------------------------


def _quarter(r: random.Random, low: float, high: float) -> float:
    """A length to a quarter of an inch."""
    return round(4 * r.uniform(low, high)) / 4


def _floor(r: random.Random, use: str, length: float) -> list[Doc]:
    """What stands along a wall, from left to right with gaps, and lamps on it."""
    found: list[Doc] = []
    x = _quarter(r, 0, 40)
    while BY_USE[use] and r.random() < 0.8:
        kind = r.choice(BY_USE[use])
        (narrow, wide), (low, high), depth, holds = STANDING[kind]
        one = item(kind, x, _quarter(r, narrow, wide), _quarter(r, low, high), depth=depth)
        if x + one["width"] > length:
            break
        if kind == "door" and r.random() < 0.4:
            opens = r.choice(("this_wall", "next_wall", "square", "out"))
            one["swing"] = {"hinge": r.choice(("left", "right")), "leaf": one["width"] - 2, "opens": opens}
        found.append(one)
        if holds and one["width"] >= 16 and r.random() < 0.4:
            wide = min(15.0, one["width"])
            kind = r.choice(("table_lamp", "table_lamp", "ornament"))
            at = x + _quarter(r, 0, one["width"] - wide)
            found.append(item(kind, at, wide, _quarter(r, 10, 28), one["height"], depth=10))
        x += one["width"] + _quarter(r, 2, 60)
    return found


def _fittings(r: random.Random, length: float, height: float, standing: Sequence[Doc]) -> list[Doc]:
    """Windows, sconces, a television, switches: where nothing tall stands."""
    found: list[Doc] = []

    def free(left: float, bottom: float, wide: float, high: float) -> bool:
        return (
            left >= 0
            and left + wide <= length
            and bottom + high <= height
            and not any(
                one["left"] < left + wide + 2
                and left < one["left"] + one["width"] + 2
                and one["bottom"] < bottom + high
                and bottom < one["bottom"] + one["height"]
                for one in (*standing, *found)
            )
        )

    for kind, chance, widths, heights, bottoms in (
        ("window", 0.45, (24, 70), (36, 60), (24, 44)),
        ("window", 0.3, (24, 48), (36, 60), (24, 44)),
        ("television", 0.12, (40, 66), (24, 38), (28, 44)),
        ("sconce", 0.15, (4, 7), (10, 16), (56, 66)),
        ("niche", 0.06, (20, 40), (24, 48), (20, 40)),
        ("statement_light", 0.05, (24, 60), (24, 40), (40, 60)),
        ("switch", 0.3, (3, 5), (4.5, 5), (44, 48)),
        ("thermostat", 0.15, (4, 5), (4, 5), (56, 62)),
        ("outlet", 0.3, (2.75, 3), (4.5, 5), (12, 14)),
    ):
        if r.random() > chance:
            continue
        wide, high, bottom = _quarter(r, *widths), _quarter(r, *heights), _quarter(r, *bottoms)
        left = _quarter(r, 0, max(0, length - wide))
        if free(left, bottom, wide, high):
            found.append(item(kind, left, wide, high, bottom, **({"view": True} if r.random() < 0.1 else {})))
    return found


def _wall(r: random.Random, name: str, use: str) -> Doc:
    length, height = _quarter(r, 60, 220 if r.random() < 0.85 else 420), _quarter(r, 88, 120)
    more: Doc = {"build": r.choice(("drywall", "plaster", "brick", "concrete"))}
    if use == "stair":
        high = height + 0.6 * length
        ends = (34, 34 + 0.6 * length)
        rail = {"from": [0, ends[0]], "to": [length, ends[1]]}
        if r.random() < 0.5:
            rail = {"from": [0, ends[1]], "to": [length, ends[0]]}
        return wall(name, length, high, rail=rail, **more)
    if r.random() < 0.08:
        height = _quarter(r, 150, 190)
    if r.random() < 0.1:
        knee = _quarter(r, 50, height - 10)
        more["ceiling"] = [[0, knee], [round(length / 2), height], [length, height]]
    if r.random() < 0.1:
        more["finish"] = r.choice(("patterned_wallpaper", "tile", "stone"))
    if r.random() < 0.2:
        more["focal"] = True
    elif r.random() < 0.05:
        more["keep_bare"] = True
    standing = _floor(r, use, length)
    return wall(name, length, height, *standing, *_fittings(r, length, height, standing), **more)


def _works(r: random.Random, count: int) -> list[Doc]:
    works: list[Doc] = []
    while len(works) < count:
        wide, high = map(float, r.choice(SIZES))
        if r.random() < 0.4:
            wide, high = _quarter(r, 6, 60), _quarter(r, 6, 48)
        elif r.random() < 0.5:
            wide, high = high, wide
        more: Doc = {
            "frame": r.choice(("black", "oak", "gilt", "white")),
            "maker": r.choice(("A. Holm", "B. Kole", "")),
        }
        more["weight"] = {"lb": round(0.015 * wide * high + 1, 1)}
        form = r.choice(FORMS)
        alike = r.choice((1, 1, 1, 2, 2, 3, 4, 6, 9))
        if alike > 1 and r.random() < 0.6:
            more["set"] = f"set-{len(works)}"
        works += [
            work(f"w{len(works) + k:02d}", wide, high, form, **more) for k in range(min(alike, count - len(works)))
        ]
    return works


def random_survey(seed: int, rooms: int | None = None, works: int | None = None) -> Doc:
    """A survey in inches; the same for the same seed."""
    r = random.Random(seed)
    uses = [r.choice(list(BY_USE)) for _ in range(rooms or r.choice((1, 1, 2, 2, 3, 4, 6, 10)))]
    made = []
    for number, use in enumerate(uses):
        more = {"clear_width": _quarter(r, 40, 80)} if use == "public_corridor" and r.random() < 0.5 else {}
        walls = [_wall(r, f"r{number}-{side}", use) for side in range(r.choice((1, 1, 2, 3, 4)))]
        made.append(room(f"room-{number}", use, *walls, **more))
    art = _works(r, r.randint(0, 40) if works is None else works)
    walls = [one for part in made for one in part["walls"]]
    for one in art:
        if r.random() < 0.15:  # as it hangs today: anywhere on the wall, over glass and past its end as well
            on = r.choice(walls)
            at = _quarter(r, 0, on["length"] - 1), _quarter(r, 20, on["height"] - 10)
            one["hung"] = {"wall": on["id"], "left": at[0], "bottom": at[1]}
        if "set" not in one and r.random() < 0.06:
            one["locked"] = r.choice([r.choice(walls)["id"], r.choice(made)["id"]])
    more: Doc = {}
    singles = [one["id"] for one in art if "set" not in one]
    if len(singles) >= 2 and r.random() < 0.3:
        more["apart"] = [r.sample(singles, 2)]
    if r.random() < 0.3:
        more["house_rules"] = r.choice(RULES)
    return survey(made, art, **more)


# --- What a plan is, up to names ------------------------------------------------------------------------------------


def _kind(house: House, one: Work) -> Hashable:
    """All that the survey says of a work but its id and title: works that are equal in all may change places."""
    rivals = tuple(sorted(house.work_by_id[b if a == one.id else a].title for a, b in house.apart if one.id in (a, b)))
    today = (one.hung.wall, round(one.hung.left), round(one.hung.bottom)) if one.hung else None
    size = (round(one.width, 2), round(one.height, 2), round(one.depth, 2), round(one.weight_kg or 0, 3))
    return (*size, one.form, one.frame, one.maker, one.glazed, one.light, one.set_name, one.locked, today, rivals)


def plan_of(house: House, proposal: Proposal) -> list[tuple[str, str, int, int]]:
    """What hangs where, to half a millimetre, equal works by their kind: comparable between two readings of a house."""
    return sorted(
        (repr(_kind(house, house.work_by_id[one.work])), one.wall, round(2 * one.left), round(2 * one.bottom))
        for one in hangings_of(proposal)
    )


def differs(house: House, one: Proposal, other_house: House, other: Proposal) -> str | None:
    """What sets two plans apart, if anything; half a millimetre does not."""
    first, second = plan_of(house, one), plan_of(other_house, other)
    same = len(first) == len(second) and all(
        a[:2] == b[:2] and abs(a[2] - b[2]) <= 1 and abs(a[3] - b[3]) <= 1 for a, b in zip(first, second, strict=True)
    )
    if same:
        return None
    lost, found = [one for one in first if one not in second], [one for one in second if one not in first]
    values = f"worth {one.optimality.objective:.3f} and {other.optimality.objective:.3f}"
    return f"{len(lost)} of {len(first)} places differ, {len(found)} new, {values}"


# --- Properties -------------------------------------------------------------------------------------------------------


def any_order(document: Doc, r: random.Random) -> str | None:
    """Works, walls within a room and items in any order give the same plan."""
    shuffled = copy.deepcopy(document)
    r.shuffle(shuffled["art"])
    for part in shuffled["rooms"]:
        r.shuffle(part["walls"])
        for one in part["walls"]:
            r.shuffle(one["items"])
    house, other = house_of(document), house_of(shuffled)
    return differs(house, planned(house), other, planned(other))


LENGTHS = frozenset({"length", "height", "left", "bottom", "width", "depth", "leaf", "clear_width"})


def _in_cm(value: Any, key: str = "") -> Any:
    if isinstance(value, dict):
        return {name: _in_cm(one, name) for name, one in value.items() if name != "house_rules"}
    if isinstance(value, list):
        return [_in_cm(one, key) for one in value]
    if isinstance(value, int | float) and not isinstance(value, bool) and key in {*LENGTHS, "from", "to", "ceiling"}:
        return round(value * 2.54, 6)
    return value


def any_unit(document: Doc, r: random.Random) -> str | None:
    """The same house in centimetres gives the same plan."""
    metric = {**_in_cm(document), "units": "cm"}
    rules = document.get("house_rules")
    if rules:
        lengths = {"clearance"}
        metric["house_rules"] = {
            name: {
                key: round(2.54 * one, 6) if name in lengths and key != "weight" else one for key, one in limits.items()
            }
            for name, limits in rules.items()
        }
    house, other = house_of(document), house_of(metric)
    return differs(house, planned(house), other, planned(other))


def any_thread(document: Doc, r: random.Random) -> str | None:
    """Alone and beside another, in another thread, a house gives the same plan."""
    house = house_of(document)
    alone = planned(house)
    with ThreadPoolExecutor(2) as pool:
        for other in pool.map(planned, (house, house)):
            found = differs(house, alone, house, other)
            if found:
                return found
    return None


def _locked_that_hang(document: Doc, proposal: Proposal) -> set[str]:
    locked = {work.id for work in house_of(document).works if work.locked is not None}
    return {one.work for one in hangings_of(proposal)} & locked


def never_worse_with_more(document: Doc, r: random.Random) -> str | None:
    """A further work, or a further bare wall, never lowers what the plan is worth.

    Where only the further wall lets a locked work hang in its room, it must, and the two plans are not compared.
    """
    first = planned(house_of(document))
    before, kept = first.optimality.objective, _locked_that_hang(document, first)
    wide, high = r.choice(SIZES)
    with_work = copy.deepcopy(document)
    with_work["art"].insert(r.randint(0, len(with_work["art"])), work("further", wide, high, r.choice(FORMS)))
    with_wall = copy.deepcopy(document)
    r.choice(with_wall["rooms"])["walls"].append(wall("further", _quarter(r, 60, 200), 100))
    for what, more in (("work", with_work), ("wall", with_wall)):
        found = planned(house_of(more))
        after = found.optimality.objective
        if after < before - 1e-6 and _locked_that_hang(more, found) == kept:
            return f"{before:.4f} without the further {what}, {after:.4f} with it"
    return None


def no_stop(document: Doc, r: random.Random) -> str | None:
    """No piece of a plan hangs where it must not, by plain geometry and by the rules; locked ones are told apart."""
    house = house_of(document)
    plan = hangings_of(propose(house))
    free = [one for one in plan if house.work_by_id[one.work].locked is None]
    for check in (once_each, inside_walls, covers_nothing, no_overlap):
        said = check(Seen(house, free))
        if said:
            return said
    for wall_id in sorted({one.wall for one in plan}):
        for finding in assess_wall(house, wall_id, plan).findings:
            locked = any(house.work_by_id[one].locked is not None for one in finding.works)
            if finding.level == "stop" and not locked:
                return f"{finding.rule} on {wall_id}: {finding.text}"
    return None


def sets_kept(document: Doc, r: random.Random) -> str | None:
    """A set hangs whole, in one room, or not at all."""
    house = house_of(document)
    seen = Seen(house, hangings_of(planned(house)))
    sets: dict[str, list[str]] = {}
    for one in house.works:
        if one.set_name:
            sets.setdefault(one.set_name, []).append(one.id)
    for name, ids in sets.items():
        hung = [one for one in ids if one in seen.hung]
        if 0 < len(hung) < len(ids):
            return f"{len(hung)} of {len(ids)} of {name} hung"
        if len({seen.wall_of(one).room for one in hung}) > 1:
            return f"{name} over several rooms"
    return None


def locks_and_feuds_kept(document: Doc, r: random.Random) -> str | None:
    """A locked work hangs where it is locked or is told of; works to be kept apart share no room; bare walls stay."""
    house = house_of(document)
    proposal = planned(house)
    hung = {one.work: one for one in hangings_of(proposal)}
    told = {one.work for one in proposal.unplaced}
    for one in house.works:
        if one.id not in hung and one.id not in told:
            return f"{one.id} neither hangs nor is told of"
        if one.locked and one.id in hung:
            on = house.wall_by_id[hung[one.id].wall]
            if one.locked not in (on.id, on.room):
                return f"{one.id} is locked to {one.locked} and hangs on {on.id}"
    for first, second in house.apart:
        if first in hung and second in hung:
            rooms = [house.wall_by_id[hung[one].wall].room for one in (first, second)]
            if rooms[0] == rooms[1]:
                return f"{first} and {second} share {rooms[0]}"
    for _, here in house.walls():
        on_it = [one for one, place in hung.items() if place.wall == here.id and not house.work_by_id[one].locked]
        if here.keep_bare and on_it:
            return f"{on_it[0]} hangs on {here.id}, which is to stay bare"
    return None


Property = Callable[[Doc, random.Random], str | None]
PROPERTIES: Mapping[str, Property] = {
    one.__name__: one
    for one in (
        any_order,
        any_unit,
        any_thread,
        never_worse_with_more,
        no_stop,
        sets_kept,
        locks_and_feuds_kept,
    )
}


# --- Every way to share a tiny house's works among its walls ----------------------------------------------------------


def best_by_walls(document: Doc) -> str | None:
    """No way of sharing the works among the walls, or leaving them in store, is worth more than the plan.

    For houses of a few works that are not locked: every work is locked to one wall or taken out, in every way, and the
    plan of each such house is compared with the plan of the whole.
    """
    whole = planned(house_of(document)).optimality.objective
    walls = [one["id"] for part in document["rooms"] for one in part["walls"]]
    for shares in itertools.product((None, *walls), repeat=len(document["art"])):
        some = copy.deepcopy(document)
        some["art"] = [{**one, "locked": on} for one, on in zip(some["art"], shares, strict=True) if on]
        found = planned(house_of(some)).optimality.objective
        if found > whole + 1e-6:
            return f"{found:.4f} with {shares}, {whole:.4f} by the plan"
    return None


def tiny_survey(seed: int) -> Doc:
    """One room of two walls and at most three works, none locked or hung today."""
    r = random.Random(seed)
    use = r.choice(("living", "dining", "hall", "study"))
    art = [one for one in _works(r, r.randint(1, 3)) if "set" not in one]
    return survey(room("room", use, _wall(r, "a", use), _wall(r, "b", use)), art)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.judging.random_houses", description=__doc__)
    parser.add_argument("--count", type=int, default=100, help="how many houses")
    parser.add_argument("--seed", type=int, default=0, help="the first house")
    parser.add_argument("--property", choices=[*PROPERTIES, "best_by_walls"], action="append", help="only this one")
    asked = parser.parse_args()
    for name in asked.property or [*PROPERTIES, "best_by_walls"]:
        broken = 0
        for seed in range(asked.seed, asked.seed + asked.count):
            if name == "best_by_walls":
                said = best_by_walls(tiny_survey(seed))
            else:
                said = PROPERTIES[name](random_survey(seed), random.Random(seed))
            if said:
                broken += 1
                sys.stdout.write(f"{name}, house {seed}: {said}\n")
                sys.stdout.flush()
        sys.stdout.write(f"{name}: {asked.count - broken} of {asked.count} houses hold\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
