"""Print the rules with their limits, units, ranges and sources; or refresh that section of DEVELOPERS.md."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from placements.engine.precedence import GIVES_WAY, POSITION, WIDTH
from placements.engine.rule import INCH, Limit
from placements.engine.rulebook import Entry, Rulebook, catalogue

BEGIN, END = "<!-- rule catalogue: begin -->", "<!-- rule catalogue: end -->"
SCOPES = {"piece": "each piece", "outline": "piece or group"}


class Command(BaseCommand):
    help = "Print every rule with its numbers and sources; --write puts them into DEVELOPERS.md."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--write", action="store_true", help="refresh the section of DEVELOPERS.md")

    def handle(self, *args: Any, write: bool, **options: Any) -> None:
        if not write:
            self.stdout.write(catalogue_text())
            return
        page = Path(settings.BASE_DIR) / "DEVELOPERS.md"
        text = page.read_text(encoding="utf-8")
        new = refreshed(text)
        if new == text:
            self.stdout.write(f"{page.name} is up to date.")
            return
        page.write_text(new, encoding="utf-8")
        self.stdout.write(f"{page.name} now lists {len(catalogue()) - 1} rules.")


def refreshed(page: str) -> str:
    """The page with its catalogue section as the rules are now.

    Raises:
        CommandError: the page has not exactly one pair of markers.
    """
    if page.count(BEGIN) != 1 or page.count(END) != 1 or page.index(BEGIN) > page.index(END):
        raise CommandError(f"DEVELOPERS.md needs one line {BEGIN} and, below it, one line {END}")
    before, rest = page.split(BEGIN)
    return f"{before}{BEGIN}\n{catalogue_text()}{END}{rest.split(END)[1]}"


def catalogue_text() -> str:
    """The rules as Markdown."""
    parts = [
        f"Fingerprint of the defaults: `{Rulebook().fingerprint[:16]}`. A rule weighs in the mean of the score; a rule",
        "of care, or about a group's pieces among themselves, takes up to its share from it; a rule without weight",
        "only notes or stops.",
        "",
        *_overview(),
        "",
        "Which rule gives way (`precedence.py`):",
        "",
        *_precedence(),
        "",
        *(line for entry in catalogue() for line in _entry(entry)),
    ]
    return "\n".join(parts) + "\n"


def _overview() -> list[str]:
    rows = ["| rule | says | judges | breaks as | weight |", "| --- | --- | --- | --- | --- |"]
    book = Rulebook()
    for rule in book.rules:
        judges = "a group" if rule.kind == "arrangement" else SCOPES[rule.scope]
        weight = f"takes up to {book.most_taken(rule.id):.0%}" if rule.deducts else f"{rule.weight:g}"
        weight = weight if rule.weight else ""
        level = f"{rule.level}, stop" if rule.vetoes and rule.level != "stop" else rule.level
        rows.append(f"| [`{rule.id}`](#{rule.id}) | {rule.title} | {judges} | {level} | {weight} |")
    return rows


def _precedence() -> list[str]:
    rows = [f"- Height in a space `{kind}`: {', then '.join(order)}." for kind, order in POSITION.items()]
    rows += [f"- Width in a space `{kind}`: `{rule}` decides." for kind, rule in WIDTH.items()]
    for entry in GIVES_WAY:
        side = "" if entry.side == "both" else f" on the {entry.side} side"
        kinds = ", ".join(f"`{kind}`" for kind in entry.kinds)
        rows.append(f"- `{entry.rule}` gives way to `{entry.to}`{side} in {kinds}: {entry.why}.")
    return rows


def _entry(entry: Entry) -> list[str]:
    lines = [f"#### {entry.id}", "", *entry.doc.splitlines(), ""]
    if entry.limits:
        lines += ["| limit | default | allowed | what | source |", "| --- | --- | --- | --- | --- |"]
        lines += [
            f"| `{limit.name}` | {_value(limit.default, limit)} | {_value(limit.low, limit)} to "
            f"{_value(limit.high, limit)} | {limit.label} | {limit.source} |"
            for limit in entry.limits
        ]
        lines.append("")
    return lines


def _value(value: float, limit: Limit) -> str:
    if limit.unit == "mm":
        return f"{value:g} mm ({value / INCH:.4g} in)" if value else "0"
    if limit.unit in ("count", "ratio"):
        return f"{value:g}"
    return f"{value:,.6g} {limit.unit.replace('_', ' ')}"
