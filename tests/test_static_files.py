"""What production serves: every script and style under a name made of its content, and every import among them so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.management import call_command
from django.test import override_settings

from reports.views_phone import SHELL

HASHED = re.compile(r"\.[0-9a-f]{12}\.js$")
#: Packed copies beside them are not what is asked here, and take most of the time.
UNPACKED = ("css", "js", "json", "map", "md", "svg", "txt")
IMPORT = re.compile(r"""^(?:import|export)\b[^;]*?from\s*["'](\.[^"']+)["']|^import\s*["'](\.[^"']+)["']""", re.M)


@pytest.fixture(scope="module")
def collected(tmp_path_factory):
    """The static files as production keeps them, and how it names them."""
    root = tmp_path_factory.mktemp("static")
    backend = {"BACKEND": "studio.storage.StaticFiles", "OPTIONS": {"location": root}}
    with override_settings(
        STORAGES={"default": backend, "staticfiles": backend},
        STATIC_ROOT=root,
        WHITENOISE_SKIP_COMPRESS_EXTENSIONS=UNPACKED,
    ):
        call_command("collectstatic", interactive=False, verbosity=0)
        yield root, dict(staticfiles_storage.hashed_files)


def imports(file: Path) -> list[Path]:
    """The files that a module names in its imports."""
    return [(file.parent / next(filter(None, found))).resolve() for found in IMPORT.findall(file.read_text())]


def test_modules_import_one_another_by_the_names_of_their_content(collected):
    root, names = collected
    ours = [root / names[name] for name in names if re.match(r"(studio|placements|reports)/.*\.js$", name)]
    found = [(one, other) for one in ours for other in imports(one)]
    assert len(found) > 20
    for one, other in found:
        assert HASHED.search(other.name), f"{one.name} imports {other.name}"
        assert other.exists(), f"{one.name} imports {other.name}, which is not there"


def test_phone_keeps_everything_that_its_modules_import(collected):
    root, names = collected
    kept = {(root / names[name]).resolve() for name in SHELL}
    for one in [file for file in kept if file.suffix == ".js"]:
        assert set(imports(one)) <= kept, one.name
