"""The engine's front door: outside it only what `facade` declares is imported."""

from __future__ import annotations

import ast
import importlib
from collections.abc import Iterator
from pathlib import Path

from placements.engine import facade

ROOT = Path(__file__).resolve().parents[3]
ENGINE = "placements.engine"


def modules_of(line: ast.stmt) -> list[str]:
    """The modules that an import names; `from package import name` counts as the module, where `name` is one."""
    if isinstance(line, ast.Import):
        return [name.name for name in line.names]
    if not isinstance(line, ast.ImportFrom) or not line.module:
        return []
    # "from .engine import" can only be written in `placements` itself.
    base = f"placements.{line.module}" if line.level and line.module.startswith("engine") else line.module
    folder = ROOT.joinpath(*base.split("."))
    inner = [name.name for name in line.names if (folder / f"{name.name}.py").exists() or (folder / name.name).is_dir()]
    return [f"{base}.{name}" for name in inner] or [base]


def imports_of_engine() -> Iterator[tuple[str, str]]:
    """Where the engine is imported outside itself, and which module."""
    for top in ("placements", "reports", "studio"):
        for path in sorted((ROOT / top).rglob("*.py")):
            if (ROOT / "placements" / "engine") in path.parents:
                continue
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                for module in modules_of(node) if isinstance(node, ast.stmt) else []:
                    if module == ENGINE or module.startswith(f"{ENGINE}."):
                        yield f"{path.relative_to(ROOT)}:{node.lineno}", module


def test_only_the_front_door_is_used():
    allowed = {ENGINE, f"{ENGINE}.facade", *(f"{ENGINE}.{name}" for name in facade.PUBLIC)}
    past = [f"{where} imports {module}" for where, module in imports_of_engine() if module not in allowed]
    assert past == [], "ask placements.engine.facade instead, or declare the module there"


def test_front_door_declares_nothing_that_nobody_needs():
    used = {module for _, module in imports_of_engine()}
    for name in facade.PUBLIC:
        importlib.import_module(f"{ENGINE}.{name}")
    assert [name for name in facade.PUBLIC if f"{ENGINE}.{name}" not in used] == []
