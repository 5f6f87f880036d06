"""Where files are kept: which static files there are and how production keeps them, and walks through a file store."""

from __future__ import annotations

from collections.abc import Iterator

from django.contrib.staticfiles.apps import StaticFilesConfig
from django.core.files.storage import Storage, default_storage
from whitenoise.storage import CompressedManifestStaticFilesStorage


class CollectedFiles(StaticFilesConfig):
    """Leaves out what a library ships and no page uses: its extensions name modules that are not there."""

    ignore_patterns = [*StaticFilesConfig.ignore_patterns, "django_htmx/ext/*"]


class StaticFiles(CompressedManifestStaticFilesStorage):
    """Every file under a name made of its content; a script's own imports name those, so that a page never mixes
    modules of two versions and the hanger's phone finds without a signal what it kept."""

    support_js_module_import_aggregation = True


def stored(folder: str = "", store: Storage = default_storage) -> Iterator[str]:
    """The path of every file in a folder of a store and below it; none where there is no such folder."""
    try:
        folders, files = store.listdir(folder)
    except FileNotFoundError:
        return
    for name in sorted(files):
        yield f"{folder}/{name}" if folder else name
    for name in sorted(folders):
        yield from stored(f"{folder}/{name}" if folder else name, store)


def forget_folder(folder: str) -> None:
    """Deletes a folder of the default store with all that is in it, and the folders themselves where it has such."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    for name in files:
        default_storage.delete(f"{folder}/{name}")
    for name in folders:
        forget_folder(f"{folder}/{name}")
    default_storage.delete(folder)
