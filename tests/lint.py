"""Style, types and the import contracts: `python -m tests.lint`."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

BIN = Path(sys.executable).parent
COMMANDS = (
    ("ruff", "check", "."),
    ("ruff", "format", "--check", "."),
    ("mypy",),
    ("lint-imports", "--no-cache"),
)


def main() -> str | None:
    failed = [command for command in COMMANDS if subprocess.call([BIN / command[0], *command[1:]]) != 0]
    return "failed: " + ", ".join(" ".join(command) for command in failed) if failed else None


if __name__ == "__main__":
    sys.exit(main())
