"""Static files: which are collected, and how production keeps them."""

from __future__ import annotations

from django.contrib.staticfiles.apps import StaticFilesConfig
from whitenoise.storage import CompressedManifestStaticFilesStorage


class CollectedFiles(StaticFilesConfig):
    """Leaves out what a library ships and no page uses: its extensions name modules that are not there."""

    ignore_patterns = [*StaticFilesConfig.ignore_patterns, "django_htmx/ext/*"]


class StaticFiles(CompressedManifestStaticFilesStorage):
    """Every file under a name made of its content; a script's own imports name those, so that a page never mixes
    modules of two versions and the hanger's phone finds without a signal what it kept."""

    support_js_module_import_aggregation = True
