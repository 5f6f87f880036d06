"""Proposals drawn as a sheet of elevations: `python -m tests.judging.gallery OUT_DIR [options]`.

Draws the judges' own surveys, each beside one way by hand and with the expectations that it does not meet; with
`--hand` the walls hung by hand beside the hand's rank 1; with `--surveys` those of a folder. Writes pages as HTML and
PNG, and the proposals as `proposals.json`, which a later run draws beside its own with `--before`.
"""

from __future__ import annotations

import argparse
import json
import shutil
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from pathlib import Path

from placements.engine.house import House
from placements.engine.results import Hanging, Proposal
from studio.bootstrap import CHROMIUM

from .drawing import wall_svg
from .expectations import failures
from .hand_hung import entries
from .proposing import INCH, hangings_of, house_of, proposed
from .surveys import CASES

PAGE = 16
ACROSS = 2
STYLE = """body{margin:14px;font:12px 'DejaVu Sans',sans-serif;color:#222;background:#fff;width:1560px}
section{border-top:1px solid #999;padding:8px 0 10px;break-inside:avoid}h2{font-size:13px;margin:0 0 2px}
p{margin:0 0 4px;color:#555}
.ways{display:flex;gap:16px}.way{flex:0 0 auto}h3{font-size:11px;margin:2px 0;color:#357}
.walls{display:flex;flex-wrap:wrap;gap:4px 10px;align-items:flex-end}
figure{margin:0}figcaption{font-size:9px;color:#777}
.fails{color:#a22}main{display:grid;column-gap:24px}"""


@dataclass(frozen=True)
class Sheet:
    """One house as it is to be drawn: the ways of hanging it by name, the first the proposal, and remarks on that."""

    name: str
    idea: str
    house: House
    ways: Mapping[str, Sequence[Hanging]]
    remarks: Sequence[str] = field(default_factory=tuple)


Judge = Callable[[str, House, Sequence[Hanging]], Sequence[str]]


def drawn(sheet: Sheet, page_wide: float) -> str:
    """One house as HTML: its ways side by side, all walls at one scale."""
    room = page_wide / len(sheet.ways) - 20
    walls = [wall for _, wall in sheet.house.walls()]
    tallest = 250 if len(walls) == 1 else 170 if len(walls) <= 4 else 130
    scale = min(
        tallest / max(wall.height for wall in walls),
        (room - 14) / max(wall.length for wall in walls),
    )
    ways = []
    for name, hangings in sheet.ways.items():
        figures = "".join(
            f"<figure>{wall_svg(sheet.house, wall, hangings, scale)}<figcaption>{escape(wall.id)}</figcaption></figure>"
            for wall in walls
        )
        left = sorted(sheet.house.work_by_id.keys() - {one.work for one in hangings})
        rest = f"not hung: {', '.join(left)}" if left else "all hung"
        ways.append(
            f'<div class="way" style="width:{room:.0f}px"><h3>{escape(name)}</h3><div class="walls">{figures}</div>'
            f"<p>{escape(rest)}</p></div>"
        )
    fails = "".join(f'<p class="fails">{escape(one)}</p>' for one in sheet.remarks)
    return (
        f"<section><h2>{escape(sheet.name)}</h2><p>{escape(sheet.idea)}</p>"
        f'<div class="ways">{"".join(ways)}</div>{fails}</section>'
    )


def pages(sheets: Sequence[Sheet]) -> Iterator[str]:
    """HTML documents of some entries each."""
    for start in range(0, len(sheets), PAGE):
        body = "".join(drawn(sheet, 1560 / ACROSS) for sheet in sheets[start : start + PAGE])
        yield (
            f'<!doctype html><meta charset="utf-8"><title>Gallery</title><style>{STYLE}'
            f"main{{grid-template-columns:repeat({ACROSS},1fr)}}</style><main>{body}</main>"
        )


def photographed(files: Sequence[Path]) -> bool:
    """Each HTML file as a PNG beside it; False where no Chromium is at hand."""
    from playwright.sync_api import sync_playwright

    path = next(filter(None, map(shutil.which, CHROMIUM)), None)
    if path is None:
        return False
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        page = chromium.new_page(viewport={"width": 1600, "height": 900})
        for file in files:
            page.goto(file.resolve().as_uri())
            page.screenshot(path=str(file.with_suffix(".png")), full_page=True)
        chromium.close()
    return True


def stored(hangings: Sequence[Hanging]) -> list[dict[str, str | float]]:
    """Hangings as the JSON of survey files has them, in inches."""
    return [
        {
            "art": one.work,
            "wall": one.wall,
            "left": round(one.left / INCH, 3),
            "bottom": round(one.bottom / INCH, 3),
        }
        for one in hangings
    ]


def restored(pieces: Sequence[Mapping[str, str | float]]) -> list[Hanging]:
    return [
        Hanging(str(one["art"]), str(one["wall"]), float(one["left"]) * INCH, float(one["bottom"]) * INCH)
        for one in pieces
    ]


def summed_up(proposal: Proposal, seconds: float) -> str:
    levels = [finding.level for one in proposal.plan for finding in one.findings]
    return (
        f"proposal: objective {proposal.optimality.objective:.1f}, {levels.count('stop')} stops, "
        f"{levels.count('exception')} exceptions, {seconds:.2f} s"
    )


def made(
    houses: Sequence[tuple[str, str, House]],
    hand: Mapping[str, Mapping[str, Sequence[Hanging]]],
    before: Mapping[str, Sequence[Hanging]],
    judge: Judge,
) -> list[Sheet]:
    """Every house proposed and set beside what else there is."""
    sheets = []
    for name, idea, house in houses:
        found = proposed(house)
        ways: dict[str, Sequence[Hanging]] = {summed_up(found.proposal, found.seconds): hangings_of(found.proposal)}
        if name in before:
            ways = {"before": before[name], **ways}
        sheets.append(
            Sheet(name, idea, house, {**ways, **hand.get(name, {})}, judge(name, house, hangings_of(found.proposal)))
        )
        sys.stdout.write(".")
        sys.stdout.flush()
    return sheets


def write(sheets: Sequence[Sheet], out: Path) -> None:
    out.mkdir(parents=True, exist_ok=True)
    files = []
    for number, text in enumerate(pages(sheets), start=1):
        files.append(out / f"gallery-{number}.html")
        files[-1].write_text(text, encoding="utf-8")
    kept = {sheet.name: stored(next(v for k, v in sheet.ways.items() if k.startswith("proposal"))) for sheet in sheets}
    (out / "proposals.json").write_text(json.dumps(kept, indent=1), encoding="utf-8")
    if not photographed(files):
        sys.stdout.write("\nNo Chromium on PATH: pages are written as HTML only.")
    sys.stdout.write(f"\n{len(sheets)} entries on {len(files)} pages in {out}\n")


def _unmet(name: str, house: House, hangings: Sequence[Hanging]) -> Sequence[str]:
    return failures(next(case for case in CASES if case.name == name), hangings)


def _nothing_to_say(name: str, house: House, hangings: Sequence[Hanging]) -> Sequence[str]:
    return ()


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.judging.gallery", description=__doc__)
    parser.add_argument("out", type=Path, metavar="OUT_DIR")
    parser.add_argument("--hand", action="store_true", help="the walls hung by hand instead, with rank 1 beside")
    parser.add_argument("--surveys", type=Path, help="a folder of survey files instead")
    parser.add_argument("--before", type=Path, help="the proposals.json of an earlier run, drawn beside")
    parser.add_argument("--only", help="only entries with this in their name")
    asked = parser.parse_args()
    hand: dict[str, dict[str, Sequence[Hanging]]] = {}
    judge: Judge = _nothing_to_say
    if asked.surveys:
        houses = [(one.stem, "", house_of(one)) for one in sorted(asked.surveys.glob("*.json"))]
    elif asked.hand:
        houses = [(one.name, one.idea, one.house) for one in entries()]
        hand = {one.name: {"by hand, rank 1": one.ranked[1]} for one in entries()}
    else:
        houses = [(case.name, case.idea, case.house) for case in CASES]
        hand = {case.name: {"one way by hand": case.hung} for case in CASES}
        judge = _unmet
    before = {}
    if asked.before:
        before = {name: restored(one) for name, one in json.loads(asked.before.read_text(encoding="utf-8")).items()}
    chosen = [one for one in houses if not asked.only or asked.only in one[0]]
    if not chosen:
        parser.error("no survey of that name")
    write(made(chosen, hand, before, judge), asked.out)


if __name__ == "__main__":
    main()
