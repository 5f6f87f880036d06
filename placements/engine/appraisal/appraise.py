"""A hanging's marks and their sum: faults first, then how well what is sound fits."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

import numpy as np

from ..house import House
from ..names import small
from ..plan.across import ANSWERED
from ..plan.board import FLOOR, alone
from ..plan.casts import looks
from ..plan.merit import (
    COUNTED,
    EACH,
    FORM_COST,
    STRENGTH,
    colour_worth,
    form_cost,
    looked_at,
    strength_of,
    theme_worth,
    wholeness,
    works_of,
)
from ..plan.places import Answer
from ..plan.planner import BY_ITSELF, PARTED
from ..plan.rhythm import stretch
from ..plan.rooms import Part, together
from ..plan.worth import CARE_POWER, HARM, NOT_CARE, Ground, faults
from ..results import Appraisal, Finding, Hanging, Mark, PlainWords, Words
from ..rule import INCH
from ..rulebook import Rulebook
from .seen import Composition, Seen, seen

#: Faults weigh in a place of little worth as they do in one that counts so much.
LEAST_WEIGHT = 0.5
#: A place that counts for less is better bare.
HARDLY = 0.2
#: What a rule that stops takes, and a composition where nothing belongs [points].
STOP, UNWANTED = 100.0, 25.0
#: A set broken, a set torn over places that do not answer one another [points].
BROKEN, TORN = 50.0, 45.0
#: One of two places that answer one another bare, and unlike works in them [points].
ONE_SIDED, UNANSWERED = 12.0, 15.0
#: Several compositions in one stretch, each beyond the first [points].
CLUMPED = 15.0
#: Two that are nearly level, at the most; how far apart they are then [points, mm].
STEPPED, LEVEL_MM, STEP_MM = 10.0, 0.25 * INCH, 8 * INCH
#: A composition's visual weight off its own axis, at the most, and the share of its half width where that is reached.
TIPPED, TIP_SHARE = 30.0, 0.35
#: The gap over furniture and the middle height that are best [mm], and what an inch off takes [points].
BEST_GAP, GAP_AN_INCH = (7 * INCH, 8 * INCH), 3.5
BEST_EYE, EYE_AN_INCH = (60 * INCH, 62 * INCH), 1.0
#: Groups of mixed works answer one another from so many pieces on, where the lighter has this share of the weight
#: of the other, and their middles are no farther apart in height [mm].
SOME, AS_HEAVY, ON_A_LINE_MM = 3, 0.75, 3 * INCH
#: What is left of a fault against its own axis where a composition is mirrored about what governs the wall.
MIRRORED = 0.3
#: The least part of a stop, and how far out of the free space it is all of it [mm].
LEAST_STOP, OUT_MM = 0.2, 6 * INCH
#: What keeping time along a stretch lacks where its ends are nothing like the intervals.
UNEVEN_ENDS = 0.02
#: An object where it stands [points].
UPRIGHT = 5.0
#: Parts of a set out of order, each pair of neighbours [points].
OUT_OF_ORDER = 8.0


def appraise(house: House, hangings: Sequence[Hanging], words: Words | None = None) -> Appraisal:
    """What a hanging of a house is worth, in points: about 100 for each place that counts and is well filled.

    Args:
        hangings: every piece at its place; a work that is not named hangs nowhere.
        words: how lengths are set; millimetres when not given.

    Raises:
        InvalidHouse: an unknown work. UnknownRule: house rules that do not exist.
    """
    rulebook = Rulebook.for_house(house)
    here = seen(house, hangings, rulebook, words or PlainWords())
    marks = (
        *_by_composition(here),
        *_sets(here),
        *_looks(here),
        *_answers(here),
        *_level(here),
        *_clumps(here),
        *_order(here),
        *_together(here),
    )
    return Appraisal(sum(one.points for one in marks), tuple(one for one in marks if abs(one.points) > 1e-9))


def worth(house: House, hangings: Sequence[Hanging]) -> float:
    """The points alone."""
    return appraise(house, hangings).points


def _by_composition(here: Seen) -> Iterator[Mark]:
    ground = Ground.of(here.places, here.rulebook)
    by_itself = alone(here.places, here.answers)
    answered = {place: answer for answer in here.answers if _is_answered(here, answer) for place in answer.places}
    for one in here.compositions:
        answer, beat = answered.get(one.place.index), here.beat(one)
        counts = answer.worth if answer else float(by_itself[one.place.index])
        counts *= stretch(one.place.box.width) if beat and not answer else 1.0
        first, fit_to_hang = here.at(one.place.index)[0] is one, counts >= HARDLY or (answer is not None and counts > 0)
        yield _mark(one, "place", 100 * counts * first) if fit_to_hang else _mark(one, "unwanted", -UNWANTED)
        yield from _sits(here, one, counts, answer, ground)
        yield from _rules(here, one, counts)
        yield from _merit(here, one, counts)
    for upright in here.upright:
        yield Mark("stands", UPRIGHT, small(upright.stand.name), upright.stand.wall, (upright.work.id,))
    for astray in here.homeless:
        yield Mark("stop", -STOP, "It has no free space there", astray.wall, (astray.work,))


def _mark(one: Composition, name: str, points: float, text: str = "") -> Mark:
    return Mark(name, points, text, one.place.wall.id, tuple(work.id for work in one.works))


def _sits(here: Seen, one: Composition, counts: float, answer: Answer | None, ground: Ground) -> Iterator[Mark]:
    rect, place = one.rect, one.place
    box = [np.array([[x]]) for x in (rect.width, rect.height, rect.left, rect.bottom)]
    said = faults(box[0], box[1], box[2], box[3], ground.only(place.index), here.rulebook)
    found: dict[str, float] = {name: float(np.asarray(fault).item()) for name, fault in said.items()}
    if answer is not None and answer.level is not None:
        level = 0.3 * min(1.0, abs(rect.centre_y - answer.level) / max(6 * INCH, rect.height / 3))
        found["height"] = min(found["height"], level)
    beat = here.beat(one)
    if beat is not None:
        found["width"] = 0.1 * abs(beat.covered - 0.5) + UNEVEN_ENDS * beat.uneven
        found["axis"] = 0.5 * min(1.0, beat.off / (0.25 * place.basis))
    elif here.mirror(one) is not None:
        found["axis"] *= MIRRORED
    flanks = here.flanks(one)
    if flanks:
        found["height"] *= MIRRORED
    weight = max(counts, LEAST_WEIGHT) * 100 / (1 - FLOOR)
    for name, fault in found.items():
        yield _mark(one, name, -weight * fault)
    if not flanks and (answer is None or answer.level is None):
        yield _mark(one, "height", -_off_best(one))
    yield _mark(one, "balance", -TIPPED * min(1.0, _tip(one) / TIP_SHARE))


def _off_best(one: Composition) -> float:
    """What being off the best gap or height within the bands takes."""
    if one.place.bearer is not None:
        gap = one.rect.bottom - one.place.bearer.rect.top
        return GAP_AN_INCH * max(BEST_GAP[0] - gap, gap - BEST_GAP[1], 0.0) / INCH
    if one.place.role not in ("open", "side"):
        return 0.0
    return EYE_AN_INCH * max(BEST_EYE[0] - one.rect.centre_y, one.rect.centre_y - BEST_EYE[1], 0.0) / INCH


def _tip(one: Composition) -> float:
    """How far the weight lies off the composition's own middle, as a share of half its width."""
    area = (one.boxes[:, 2:] - one.boxes[:, :2]).prod(axis=1)
    middle = float((area * (one.boxes[:, 0] + one.boxes[:, 2]) / 2).sum() / area.sum())
    return 2 * abs(middle - one.rect.centre_x) / one.rect.width


def _rules(here: Seen, one: Composition, counts: float) -> Iterator[Mark]:
    """What the rules of care, and those about a group's pieces among themselves, leave of it; and what stops it."""
    broken = {found.rule for found in one.judged.findings if found.level == "exception"}
    full = max(counts, LEAST_WEIGHT) * 100 / (1 - FLOOR)
    for rule_id, term in one.judged.terms.items():
        rule = here.rulebook.rule(rule_id)
        if not rule.deducts or rule_id in NOT_CARE or (rule_id == "spacing" and here.beat(one)):
            continue
        left = 1 - here.rulebook.most_taken(rule_id) * (1 - term)
        if rule.care:
            left = left**CARE_POWER * (HARM if rule_id in broken else 1.0)
        yield _mark(one, "care" if rule.care else "group", -full * (1 - left), rule.title)
    stops = [found for found in one.judged.findings if found.level == "stop"]
    if stops:
        yield _mark(one, "stop", -STOP * max(_how_much(found) for found in stops), stops[0].text)


def _how_much(found: Finding) -> float:
    """How much of a stop it is, 0-1: a little out of the free space is less than across the window."""
    if found.rule != "fit" or found.measured is None or found.high is None:
        return 1.0
    return min(1.0, LEAST_STOP + (found.measured - found.high) / OUT_MM)


def _merit(here: Seen, one: Composition, counts: float) -> Iterator[Mark]:
    room = here.house.room_by_id[one.place.wall.room]
    works = works_of(one.cast)
    focal = float(looked_at(here.house, [one.place])[0])
    yield _mark(one, "strength", STRENGTH * counts * focal * strength_of(works))
    lasts, whole = min(counts, 1.0), wholeness(one.cast)
    yield _mark(one, "number", EACH * min(one.cast.count, COUNTED) * lasts)
    yield _mark(one, "whole", max(whole, 0.0) * lasts + min(whole, 0.0))
    yield _mark(one, "theme", (theme_worth(works, room) + colour_worth(works, room)) * lasts)
    for form in sorted({work.form for work in works} & FORM_COST.keys()):
        if one.cast.centre is None or one.cast.kinds[one.cast.centre].work.form != form:
            yield _mark(one, "form", -form_cost(form, here.house, one.place))


def _is_answered(here: Seen, answer: Answer) -> bool:
    """Whether every place of it holds one composition, of equal works or of many that weigh as much on one line."""
    held = [here.at(place) for place in answer.places]
    if not all(len(one) == 1 for one in held):
        return False
    each = [one[0] for one in held]
    if len({one.sizes for one in each}) == 1:
        return True
    weights, lines = [Part(one.place, one.works).weight for one in each], [one.rect.centre_y for one in each]
    many = min(len(one.works) for one in each) >= SOME and all(one.cast.salon or not one.cast.equal for one in each)
    return many and min(weights) >= AS_HEAVY * max(weights) and max(lines) - min(lines) <= ON_A_LINE_MM


def _answers(here: Seen) -> Iterator[Mark]:
    for answer in here.answers:
        held = [here.at(place) for place in answer.places]
        filled = [one[0] for one in held if one]
        if _is_answered(here, answer):
            yield _mark(filled[0], "answer", ANSWERED[answer.bond] * answer.worth)
        elif answer.bond == "flank" and len(filled) == 1:
            yield _mark(filled[0], "one-sided", -ONE_SIDED)
        elif answer.bond == "flank" and filled:
            yield _mark(filled[0], "unlike", -UNANSWERED)


def _sets(here: Seen) -> Iterator[Mark]:
    """Sets hung in part, and sets torn over places that do not answer one another."""
    members: dict[str, list[str]] = defaultdict(list)
    for work in here.house.works:
        if work.set_name:
            members[work.set_name].append(work.id)
    for _, ids in sorted(members.items()):
        holding = [one for one in here.compositions if any(work.id in ids for work in one.works)]
        hung = sum(one in here.hung for one in ids)
        if 0 < hung < len(ids):
            yield _mark(holding[0], "set", -BROKEN)
        if len(holding) > 1:
            places = {one.place.index for one in holding}
            answers = any(places == set(answer.places) and _is_answered(here, answer) for answer in here.answers)
            if not answers and any(here.mirror(one) is None for one in holding):
                yield _mark(holding[0], "set", -TORN)
        if any(work.id not in ids for one in holding for work in one.works) and hung < len(ids):
            yield _mark(holding[0], "set", -TORN)


def _looks(here: Seen) -> Iterator[Mark]:
    """Works of one look that hang in a room in a group and outside it, but for those that answer one another."""
    if not here.compositions:
        return
    look_of = looks(here.compositions[0].cast.kinds)
    answered = {place for answer in here.answers if _is_answered(here, answer) for place in answer.places}
    held: dict[tuple[int, str], list[Composition]] = defaultdict(list)
    for one in here.compositions:
        if one.place.index not in answered and not here.beat(one) and here.mirror(one) is None:
            for look in sorted({look_of[kind] for kind, _ in one.cast.uses if kind in look_of}):
                held[look, one.place.wall.room].append(one)
    for _, some in sorted(held.items()):
        amount = sum(1.0 if len(one.works) > 1 else BY_ITSELF for one in some)
        if amount > 1:
            yield _mark(some[-1], "parted", -PARTED)


def _together(here: Seen) -> Iterator[Mark]:
    """What the compositions of a room, and of a house, are to one another."""
    parts = [Part(one.place, one.works) for one in here.compositions]
    for name, points in together(here.house, parts).items():
        yield Mark(name, points, "", "")


def _order(here: Seen) -> Iterator[Mark]:
    """Numbered parts of a set that hang side by side on one wall out of their order."""
    rows: dict[tuple[str, str], list[tuple[float, int, Composition]]] = defaultdict(list)
    for one in here.compositions:
        level = one.boxes[:, 1].max() < one.boxes[:, 3].min()
        for work, left in zip(one.works, one.boxes[:, 0], strict=True):
            number = _number(work.title)
            if level and work.set_name and number is not None:
                rows[work.set_name, one.place.wall.id].append((float(left), number, one))
    for _, row in sorted(rows.items()):
        read = [number for _, number, _ in sorted(row, key=lambda part: part[0])]
        yield _mark(row[0][2], "order", -OUT_OF_ORDER * sum(b < a for a, b in pairwise(read)))


def _number(title: str) -> int | None:
    """The number that a title ends in."""
    found = re.search(r"(\d+)$", title.strip())
    return int(found[1]) if found else None


def _level(here: Seen) -> Iterator[Mark]:
    """Compositions of one wall that are nearly level, and those that answer one another."""
    for one, two in combinations(here.compositions, 2):
        if one.place.wall.id != two.place.wall.id or one.place.role != two.place.role:
            continue
        step = abs(one.rect.centre_y - two.rect.centre_y)
        if LEVEL_MM < step < STEP_MM and one.place.bearer is None:
            yield _mark(two, "level", -STEPPED * min(1.0, step / (3 * INCH)))


def _clumps(here: Seen) -> Iterator[Mark]:
    for place in here.places:
        for one in here.at(place.index)[1:]:
            if here.beat(one) or here.mirror(one):
                continue
            yield _mark(one, "clump", -CLUMPED)
