"""The rules of pairs once more, one pair at a time in plain Python: an oracle for the arrays, and their yardstick.

Written from the rules' docstrings in numbers only, without NumPy, so that a slip in the array code shows.
"""

from __future__ import annotations

import math
from types import SimpleNamespace

from placements.engine.house import FORMS, LIGHT_CLASSES
from placements.engine.rulebook import Rulebook
from placements.engine.scene import KINDS, SHAPES, Scene
from placements.engine.surroundings import BELOW, DAMP

SPACE_FLOATS = (
    *("left", "bottom", "right", "top", "axis", "basis", "bearer_top", "datum", "slope", "rail", "carry", "utmost"),
    *("fire_top", "hot_top", "sun_hours", "window_gap", "allowed_depth", "way"),
)
CARE = ("standing-clear", "load", "heat", "moisture", "light", "overhead", "protrusion", "quiet-wall")
HARD = ("mirror", "relief", "clock", "object")


def near(value: float, low: float, high: float, reach: float) -> float:
    if math.isinf(low) or math.isinf(high):
        away = max(low - value, value - high, 0.0) / reach
    else:
        away = (value - (low + high) / 2) / ((high - low) / 2 + reach)
    return 1 / (1 + away * away)


def lean(value: float, low: float, ideal: float, high: float, below: float, above: float) -> float:
    if value > ideal:
        away = (value - ideal) / (high - ideal) / 3 if value <= high else 1 / 3 + 2 / 3 * (value - high) / above
    else:
        away = (ideal - value) / (ideal - low) / 3 if value >= low else 1 / 3 + 2 / 3 * (low - value) / below
    return 1 / (1 + away * away)


def works_of(scene: Scene) -> list[SimpleNamespace]:
    """Every work's figures as plain numbers."""
    return [
        SimpleNamespace(
            width=float(scene.width[i]),
            height=float(scene.height[i]),
            depth=float(scene.depth[i]),
            weight=float(scene.weight[i]),
            weighed=bool(scene.weighed[i]),
            glazed=bool(scene.glazed[i]),
            form=FORMS[scene.form[i]],
            light=LIGHT_CLASSES[scene.light[i]],
        )
        for i in range(scene.size[0])
    ]


def spaces_of(scene: Scene) -> list[SimpleNamespace]:
    """Every space's figures as plain numbers."""
    return [
        SimpleNamespace(
            **{name: float(getattr(scene, name)[j]) for name in SPACE_FLOATS},
            kind=KINDS[scene.kind[j]],
            shape=SHAPES[scene.shape[j]],
            fire_assumed=bool(scene.fire_assumed[j]),
            damp=int(scene.damp[j]),
            below=BELOW[scene.below[j]],
            reasons=[bool(reason) for reason in scene.reasons[j]],
            things=[
                (*map(float, box), bool(lamp))
                for box, lamp in zip(scene.standing[j], scene.lamp[j], strict=True)
                if not math.isnan(box[0])
            ],
        )
        for j in range(scene.size[1])
    ]


def place(work: SimpleNamespace, space: SimpleNamespace, limits: dict) -> float:
    """Height of the bottom edge."""
    eye, clear = limits["eye-line"], limits["clearance"]
    half = work.height / 2
    if space.kind == "over_furniture":
        bottom = space.bearer_top + (clear.low + clear.high) / 2
        bottom = min(max(bottom, eye.low - half), eye.high - half)
        quarter = (clear.high - clear.low) / 4
        bottom = min(max(bottom, space.bearer_top + clear.low + quarter), space.bearer_top + clear.low + 2 * quarter)
    elif space.kind == "panel":
        bottom = (space.bottom + space.top) / 2 - half
    else:
        bottom = (3 * eye.low + eye.high) / 4 + max(space.datum, 0.0) - half
    room = space.top - work.height
    bottom = max(min(bottom, room), space.bottom)
    if not math.isnan(space.rail):
        line = space.rail + abs(space.slope) * work.width / 2
        if line > bottom:
            bottom = min(line, max(room, space.bottom))
    return bottom


def score(work: SimpleNamespace, space: SimpleNamespace, limits: dict, weights: dict) -> tuple[float, bool]:
    """Score 0-100 and whether the pair is vetoed, at the best place."""
    bottom = place(work, space, limits)
    half_width = work.width / 2
    centre_x = (
        (space.left + space.right) / 2
        if work.width > space.right - space.left
        else min(max(space.axis, space.left + half_width), space.right - half_width)
    )
    top = bottom + work.height
    over = max(work.width - (space.right - space.left), bottom + work.height - space.top, space.bottom - bottom)
    over = max(over, space.bottom - (space.top - work.height))
    if not math.isnan(space.rail):
        over = max(over, space.rail + abs(space.slope) * half_width - (space.top - work.height))
    veto = over > limits["fit"].slack
    terms: dict[str, float] = {}

    furniture = space.kind == "over_furniture"
    if furniture:
        rule = limits["two-thirds"]
        terms["two-thirds"] = near(work.width / space.basis, rule.low, rule.high, rule.reach)
        rule = limits["clearance"]
        terms["clearance"] = near(bottom - space.bearer_top, rule.low, rule.high, rule.reach)

    rule = limits["eye-line"]
    centre = (bottom + top) / 2 - max(space.datum + space.slope * (centre_x - space.axis), 0.0)
    lowest = rule.low - rule.below_over_furniture if furniture else rule.low
    middle = (3 * rule.low + rule.high) / 4
    seen = min(centre, middle) if furniture else centre
    terms["eye-line"] = lean(seen, lowest, middle, rule.high, rule.reach, rule.reach)

    rule = limits["shape"]
    across = space.right - space.left
    own = across / max(space.top - space.bottom - abs(space.slope) * across, 8 * 25.4)
    longest = max(rule.longest, 2 * max(own, 1 / own))
    low, ideal, high = {
        "landscape": (rule.square_to, rule.ideal, longest),
        "square": (1 / rule.square_to, 1.0, rule.square_to),
        "portrait": (1 / longest, 1 / rule.ideal, 1 / rule.square_to),
    }[space.shape]
    reach = math.log(1 + rule.reach)
    term = lean(math.log(work.width / work.height), math.log(low), math.log(ideal), math.log(high), reach, reach)
    if furniture:
        term += (1 - term) * 0.5 * terms["two-thirds"]
    terms["shape"] = term

    if space.kind in ("stair", "open_wall", "panel"):
        terms["fill"] = fill(work, space, limits["fill"])

    rule = limits["load"]
    carry = space.carry * rule.share
    terms["load"] = near(work.weight, -math.inf, carry, carry * rule.reach)
    veto = veto or (work.weighed and work.weight > space.utmost * rule.share)

    if not math.isnan(space.fire_top):
        terms["heat"], burns = fire(work, space, bottom, limits["heat"])
        veto = veto or burns
    elif not math.isnan(space.hot_top):
        rule = limits["heat"]
        terms["heat"] = near(bottom - space.hot_top, rule.above_hot, math.inf, rule.reach)

    if space.damp > DAMP.index("dry"):
        rule = limits["moisture"]
        soft = rule.glazed if work.glazed else rule.bare
        stands = rule.hard if work.form in HARD else rule.painting if work.form == "painting" else soft
        terms["moisture"] = near(space.damp, -math.inf, stands, rule.reach)

    if not math.isnan(space.sun_hours):
        rule = limits["light"]
        dose = space.sun_hours * rule.sun * rule.clear_share
        painting = rule.budget_low if work.form == "painting" else rule.budget_medium
        hard = math.inf if work.form in HARD else rule.budget_low
        budget = {"sensitive": rule.budget_high, "moderate": painting, "robust": hard}[work.light]
        times = math.log(max(dose / budget, 1.0))
        terms["light"] = near(times, -math.inf, 0.0, math.log(rule.reach))

    if space.below != "nothing":
        rule = limits["overhead"]
        terms["overhead"] = near(work.weight, -math.inf, getattr(rule, space.below), rule.reach)
        if work.glazed and space.below in ("bed", "cot"):
            terms["overhead"] *= rule.glazed

    if math.isfinite(space.allowed_depth) and work.depth > 0:
        terms["protrusion"], in_the_way = protrusion(work, space, bottom, limits["protrusion"])
        veto = veto or in_the_way

    if space.things:
        box = (centre_x - half_width, bottom, centre_x + half_width, top)
        terms["standing-clear"] = standing_clear(space, box, limits["standing-clear"])

    if any(space.reasons):
        rule = limits["quiet-wall"]
        strengths = (rule.leave_at, rule.flank, rule.view, rule.statement_light, rule.pier, rule.texture, rule.accent)
        total = sum(one for one, holds in zip(strengths, space.reasons, strict=True) if holds)
        terms["quiet-wall"] = near(total, -math.inf, 0.0, rule.reach)
        veto = veto or space.reasons[0]

    return weighed(terms, weights), veto


def weighed(terms: dict[str, float], weights: dict) -> float:
    """The mean of what is wished, less the shares that care takes."""
    wished = [name for name in terms if name not in CARE]
    total = 100 * sum(weights[name] * terms[name] for name in wished) / sum(weights[name] for name in wished)
    for name in terms:
        if name in CARE:
            total *= 1 - weights[name] * (1 - terms[name])
    return total


def fill(work: SimpleNamespace, space: SimpleNamespace, rule: SimpleNamespace) -> float:
    across = work.width / (space.right - space.left)
    if space.kind == "stair":
        return near(across, rule.low_stair, rule.high_stair, rule.reach)
    up = near(work.height / (space.top - space.bottom), rule.low_height, rule.high_height, rule.reach)
    return min(near(across, rule.low, rule.high, rule.reach), up)


def fire(work: SimpleNamespace, space: SimpleNamespace, bottom: float, rule: SimpleNamespace) -> tuple[float, bool]:
    distance = bottom - (space.fire_top - (rule.assumed_drop if space.fire_assumed else 0.0))
    needed = min(max(work.depth / rule.slope, rule.clear), rule.graded)
    term = near(distance, needed, math.inf, rule.reach)
    if work.light == "sensitive" or work.form == "textile":
        term *= rule.tender
    return term, distance < needed - 1e-3


def protrusion(
    work: SimpleNamespace, space: SimpleNamespace, bottom: float, rule: SimpleNamespace
) -> tuple[float, bool]:
    in_band = rule.cane + 1e-3 < bottom <= rule.head + 1e-3
    allowed = space.allowed_depth - 4 * 25.4 + rule.depth if in_band else math.inf
    furniture = space.allowed_depth - 4 * 25.4
    if bottom <= rule.head + 1e-3:
        allowed = min(allowed, max(space.way - rule.way, furniture))
    veto = bottom <= 80 * 25.4 + 1e-3 and work.depth > max(space.way - 36 * 25.4, furniture) + 1e-3
    veto = veto or (27 * 25.4 + 1e-3 < bottom <= 80 * 25.4 + 1e-3 and work.depth > space.allowed_depth + 1e-3)
    return near(work.depth, -math.inf, allowed, rule.reach), veto


def standing_clear(space: SimpleNamespace, box: tuple[float, float, float, float], rule: SimpleNamespace) -> float:
    left, bottom, right, top = box
    worst = 0.0
    for x0, y0, x1, y1, lamp in space.things:
        shared = min(min(right, x1) - max(left, x0), min(top, y1) - max(bottom, y0))
        worst = max(worst, shared - (rule.lamp if lamp else rule.ornament))
    return near(worst, -math.inf, 0.0, rule.reach)


def tables(rulebook: Rulebook) -> tuple[dict, dict]:
    """The limits and weights as plain dictionaries."""
    return dict(rulebook.all_limits), {rule.id: rulebook.weight(rule.id) for rule in rulebook.rules}
