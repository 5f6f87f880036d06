"""What the documents say is so: checked against the code."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from django.core.management.base import CommandError

from placements.engine.rulebook import Rulebook
from placements.management.commands.rule_catalogue import refreshed

ROOT = Path(__file__).resolve().parent.parent


def variables_read() -> set[str]:
    """The names that settings read from the environment."""
    tree = ast.parse((ROOT / "studio" / "settings.py").read_text(encoding="utf-8"))
    return {
        str(node.args[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and isinstance(node.func.value, ast.Name)
        and node.func.value.id == "env"
        and isinstance(node.args[0], ast.Constant)
    } | set(re.findall(r'(?:text|secret)\("([A-Z0-9_]+)"', (ROOT / "studio" / "env.py").read_text(encoding="utf-8")))


def variables_of_compose() -> set[str]:
    files = (path.read_text(encoding="utf-8") for path in ROOT.glob("docker-compose*.yml"))
    return {name for text in files for name in re.findall(r"\$\{([A-Z_]+)", text)}


def variables_shown() -> set[str]:
    text = (ROOT / ".env.example").read_text(encoding="utf-8")
    return set(re.findall(r"^([A-Z0-9_]+)=", text, flags=re.MULTILINE))


def test_environment_example_lists_every_variable_and_no_other():
    assert len(variables_read()) > 15
    assert variables_shown() == variables_read() | {"WEB_CONCURRENCY", *variables_of_compose()}


def test_every_make_command_that_documents_name_exists():
    commands = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(), flags=re.MULTILINE))
    assert {"demo", "test", "lint", "bench"} <= commands
    for name in ("README.md", "DEVELOPERS.md"):
        named = set(re.findall(r"`make ([a-z]+)", (ROOT / name).read_text(encoding="utf-8")))
        assert named <= commands, name


def test_no_address_is_recorded_in_the_locks():
    for name in ("requirements.txt", "requirements-dev.txt"):
        text = (ROOT / name).read_text()
        assert "://" not in text
        assert text.count("--hash=sha256:") > 100


def test_the_rule_catalogue_tells_the_rules_as_they_are():
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert refreshed(page) == page, "run: python manage.py rule_catalogue --write"
    for rule in Rulebook().rules:
        assert f"#### {rule.id}\n" in page


def test_a_page_without_markers_is_refused():
    with pytest.raises(CommandError, match="needs one line"):
        refreshed("# For developers\n")
