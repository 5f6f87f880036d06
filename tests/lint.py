"""Style, types and the import contracts, of Python, of scripts and of pages: `python -m tests.lint`."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from tests.scripts import tools

BIN = Path(sys.executable).parent
COMMANDS = (
    ("ruff", "check", "."),
    ("ruff", "format", "--check", "."),
    ("mypy",),
    ("lint-imports", "--no-cache"),
)
#: A line of a page that a person can read. One that is a single tag of the template language cannot be broken.
LONGEST = 160
ONE_TAG = re.compile(r"\s*\{[{%#](?:(?![}%#]\}).)*[}%#]\}\s*")


def long_lines(root: Path = tools.ROOT / "templates") -> list[str]:
    """The lines of pages that are too long, each with where it is."""
    return [
        f"{path.relative_to(root.parent)}:{number}: {len(line)} characters, at most {LONGEST}"
        for path in sorted(root.rglob("*.html"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if len(line) > LONGEST and not ONE_TAG.fullmatch(line)
    ]


def main() -> str | None:
    failed = [" ".join(command) for command in COMMANDS if subprocess.call([BIN / command[0], *command[1:]]) != 0]
    failed += tools.faults()
    if found := long_lines():
        sys.stdout.write("\n".join(found) + "\n")
        failed.append("lines of pages")
    return "failed: " + ", ".join(failed) if failed else None


if __name__ == "__main__":
    sys.exit(main())
