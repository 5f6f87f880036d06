"""The import contracts of pyproject.toml hold, and each is seen to fail when broken."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
LINT_IMPORTS = [str(Path(sys.executable).parent / "lint-imports"), "--no-cache"]


def check(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(LINT_IMPORTS, cwd=folder, capture_output=True, text=True, check=False)


def test_contracts_hold():
    found = check(ROOT)
    assert found.returncode == 0, found.stdout


@pytest.mark.parametrize(
    ("path", "line", "contract"),
    [
        pytest.param("studio/intruder.py", "import placements.models", "never upwards", id="studio imports placements"),
        pytest.param(
            "placements/intruder.py", "import reports.models", "never upwards", id="placements imports reports"
        ),
        pytest.param("placements/engine/intruder.py", "import django.db", "no framework", id="engine imports Django"),
        pytest.param("placements/engine/intruder.py", "import studio.units", "no framework", id="engine imports ours"),
        pytest.param(
            "placements/engine/rules/pairing/intruder.py", "from . import fit", "never import", id="rule imports rule"
        ),
    ],
)
def test_broken_contract_is_seen(tmp_path, path, line, contract):
    for package in ("studio", "placements", "reports"):
        shutil.copytree(ROOT / package, tmp_path / package, ignore=shutil.ignore_patterns("static", "__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    (tmp_path / path).write_text(line + "\n")
    found = check(tmp_path)
    assert found.returncode == 1
    assert any(contract in row and "BROKEN" in row for row in found.stdout.splitlines()), found.stdout
