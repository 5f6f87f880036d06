"""The engine is pure: importing all of it starts no framework and opens nothing."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
IMPORT_ALL = """
import importlib, pkgutil, sys
sys.path.insert(0, {root!r})
package = importlib.import_module("placements.engine")
names = [module.name for module in pkgutil.walk_packages(package.__path__, "placements.engine.")]
for name in names:
    importlib.import_module(name)
assert len(names) > 3, names
strangers = {{"django", "celery", "rest_framework", "psycopg", "redis", "PIL", "weasyprint", "pvlib", "pandas"}}
ours = {{"studio", "reports", "placements.models", "placements.services", "placements.apps"}}
print(*sorted(strangers & set(sys.modules)), *sorted(ours & set(sys.modules)))
{more}
"""


def imported(more: str = "") -> subprocess.CompletedProcess[str]:
    script = IMPORT_ALL.format(root=str(ROOT), more=more)
    return subprocess.run([sys.executable, "-I", "-c", script], capture_output=True, text=True, check=False)


def test_engine_imports_nothing_but_numbers():
    found = imported()
    assert found.returncode == 0, found.stderr
    assert found.stdout.split() == []


def test_guard_sees_a_framework():
    found = imported("import django; print(*strangers & set(sys.modules))")
    assert found.stdout.split() == ["django"]


@pytest.mark.parametrize(
    "name", ["open", "print", "input", "os.environ", "os.getenv", "time.time", "datetime.now", "date.today", "random"]
)
def test_engine_has_no_clock_files_or_settings(name):
    offenders = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in (ROOT / "placements" / "engine").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Name | ast.Attribute) and ast.unparse(node) == name
    ]
    assert offenders == []
