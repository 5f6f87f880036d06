"""Direct sun over a year stays within what a piece of its sensitivity bears.

The dose is the year's full-sun hours on the space, times a share of clear sky, times the light of the sun indoors.
Diffuse daylight and lamps are not counted, so a dose within the budget is no clearance for a sensitive piece in a
bright room. Without the place's latitude or the walls' bearings there is no figure, only a note near a window. How a
piece responds to light is taken from its class and form: sensitive is high; moderate is medium, but low for a painting
(oil, tempera and acrylic); robust is low, but a mirror, relief, clock or object does not respond at all.
Source: responsivity and yearly budgets, CIE 157:2004, high, medium and low 15,000, 150,000 and 600,000 lux-hours
(restated in CEN/TS 16163:2014, table 3; that both have such a table was checked, the figures are from memory); light of
the sun indoors, about 80,000 lux, conservationphysics.org; share of clear sky: common practice, no source.
Good: an oil on a wall that faces away from the windows. Bad: a watercolour opposite a south window.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import nearness
from ...house import FORMS, LIGHT_CLASSES
from ...names import an
from ...results import Words
from ...rule import INCH, Array, Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene

RESPONDS = ("high", "medium", "low", "none")
UNFADING = ("mirror", "relief", "clock", "object")
CIE = "CIE 157:2004 (figure from memory)"
_DOSE = (1_000.0, 10_000_000.0)


@dataclass(frozen=True)
class Limits:
    budget_high: float = limit(15_000, "lux_h", _DOSE, "yearly budget of a piece of high responsivity", CIE)
    budget_medium: float = limit(150_000, "lux_h", _DOSE, "yearly budget of medium responsivity", CIE)
    budget_low: float = limit(600_000, "lux_h", _DOSE, "yearly budget of low responsivity", CIE)
    sun: float = limit(80_000, "lux", (10_000.0, 130_000.0), "light of the sun indoors", "conservationphysics.org")
    clear_share: float = limit(0.6, "ratio", (0.05, 1.0), "share of the year's sun hours that are clear")
    reach: float = limit(4.0, "ratio", (1.1, 20.0), "times the budget at which the score is one half")
    near: float = limit(36 * INCH, "mm", (0.0, 200 * INCH), "from a window, where the sun is not calculated")


def concerns(scene: Scene, limits: Limits) -> Mask:
    return np.asarray(~np.isnan(scene.sun_hours) | (scene.window_gap <= limits.near))


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    known = ~np.isnan(scene.sun_hours)
    dose = (np.nan_to_num(scene.sun_hours) * (limits.sun * limits.clear_share))[None, :].astype(scene.width.dtype)
    budgets: Array = np.array(
        [limits.budget_high, limits.budget_medium, limits.budget_low, np.inf], dtype=scene.width.dtype
    )[:, None]
    responds = responsivity(scene)
    times = np.log(np.maximum(dose / budgets, 1.0))
    scores = nearness(times, -np.inf, 0.0, float(np.log(limits.reach)))
    near = ~known & (scene.window_gap <= limits.near)
    applies = True if known.all() else known[None, :]
    return Verdict(scores[responds], dose, high=budgets[responds], applies=applies, notes=near[None, :])


def responsivity(scene: Scene) -> Array:
    """(N,) index into `RESPONDS`."""
    painting = scene.form == FORMS.index("painting")
    hard = np.isin(scene.form, [FORMS.index(form) for form in UNFADING])
    moderate = np.where(painting, RESPONDS.index("low"), RESPONDS.index("medium"))
    robust = np.where(hard, RESPONDS.index("none"), RESPONDS.index("low"))
    by_class = {"sensitive": np.zeros_like(moderate), "moderate": moderate, "robust": robust}
    found: Array = np.choose(scene.light, [by_class[name] for name in LIGHT_CLASSES])
    return found


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    scene = pairs.scene
    if not at(verdict.applies, i, j):
        gap = words.length(float(scene.window_gap[j]))
        return Remark(
            "note", f"{gap} from a window; place or bearing unknown, so the sun on this wall is not calculated"
        )
    dose, budget = at(verdict.value, i, j), at(verdict.high, i, j)
    hours = float(scene.sun_hours[j]) * limits.clear_share
    taken = ", the room's depth being assumed" if scene.sun_assumed[j] else ""
    said = f"Direct sun gives about {_figure(dose)} lux-hours a year here ({hours:.0f} h of full sun{taken})"
    form = scene.works[i].form
    if np.isinf(budget):
        return Remark(None, f"{said}, which a robust {form} bears", dose, None, None, "lux_h")
    responds = RESPONDS[int(responsivity(scene)[i])]
    kind = f"{an(form)} of {responds} responsivity"
    if dose <= budget:
        return Remark(None, f"{said}, within {_figure(budget)} for {kind}", dose, None, budget, "lux_h")
    text = f"{said}; {kind} tolerates {_figure(budget)}: shade the window or choose another wall"
    return Remark("exception", text, dose, None, budget, "lux_h", limit=f"budget_{responds}")


def _figure(lux_h: float) -> str:
    """Two significant figures: the assumptions bear no more."""
    return f"{float(f'{lux_h:.2g}'):,.0f}"


RULE = Rule(
    "light",
    "Sun within its budget",
    "pairing",
    "exception",
    0.25,
    Limits,
    evaluate,
    explain,
    care=True,
    scope="piece",
    concerns=concerns,
)
