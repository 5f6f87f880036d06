"""Say where a survey's art should hang: no database, no server, no network."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from placements.engine.facade import propose
from placements.engine.results import Arrangement, Proposal
from placements.survey import Survey, SurveyError, as_text, proposal_to_json, read_survey, save
from studio.units import Units


class Command(BaseCommand):
    help = "Propose where the art of a survey file should hang, as JSON on standard output or in a file."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("survey", type=Path, help="the survey file; - for standard input")
        parser.add_argument("--out", type=Path, help="the file to write; standard output without it")

    def handle(self, *args: Any, survey: Path, out: Path | None, **options: Any) -> None:
        try:
            read = read_survey(sys.stdin.buffer.read() if str(survey) == "-" else survey)
        except SurveyError as error:
            count = len(error.faults)
            raise CommandError(
                f"{survey} has {count} fault{'s' if count > 1 else ''}; nothing was written.\n{error}", returncode=2
            ) from error
        words = Units("ft_in" if read.units == "in" else read.units)
        proposal = propose(read.house, words=words)
        text = as_text(proposal_to_json(proposal, read, words=words))
        if out is None:
            self.stdout.write(text, ending="")
        else:
            try:
                save(text, out)
            except OSError as error:
                raise CommandError(f"{out} cannot be written: {error.strerror}. Nothing was written.") from error
        self.stderr.write(summary(proposal, read, words), lambda text: text, ending="")


def summary(proposal: Proposal, survey: Survey, words: Units) -> str:
    """The proposal as a person reads it, wall by wall."""
    house = survey.house
    lines = [f"{survey.project} ({survey.client}): {len(house.wall_by_id)} walls, {len(house.works)} works", ""]
    space_name = {space.id: space.name or space.id for space in proposal.spaces}
    for room, wall in house.walls():
        here = [arrangement for arrangement in proposal.plan if arrangement.wall == wall.id]
        if not here:
            continue
        lines.append(f"{room.name}, {wall.name}")
        for arrangement in here:
            lines += _lines(arrangement, survey, words, space_name)
        lines.append("")
    if proposal.unplaced:
        lines.append("Unplaced")
        lines += [f"  {house.work_by_id[one.work].title}: {one.why}" for one in proposal.unplaced]
        lines.append("")
    if proposal.audit:
        lines.append("As it hangs today")
        for audit in proposal.audit:
            worst = next((finding.text for finding in audit.findings if finding.level != "note"), "nothing to remark")
            lines.append(f"  {house.work_by_id[audit.work].title}: {audit.score:.0f} of 100; {worst}")
        lines.append("")
    best = proposal.optimality
    lines.append(f"At most {100 * best.gap:.1f} % short of the best possible plan; {best.seconds:.1f} s.")
    return "\n".join(lines) + "\n"


def _lines(arrangement: Arrangement, survey: Survey, words: Units, space_name: dict[str, str]) -> list[str]:
    name = space_name.get(arrangement.space, arrangement.space)
    if arrangement.kind == "bare":
        return [f"  {name}: left bare. {arrangement.why}".rstrip()]
    lines = [f"  {name}: {arrangement.score:.0f} of 100"]
    for piece in arrangement.pieces:
        work = survey.house.work_by_id[piece.work]
        place = f"{words.length(piece.left)} from the left, bottom at {words.length(piece.bottom)}"
        lines.append(f"    {work.title}, {words.size(work.width, work.height)}: {place}")
    lines += [f"    {finding.level}: {finding.text}" for finding in arrangement.findings]
    return lines
