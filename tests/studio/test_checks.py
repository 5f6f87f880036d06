"""Each system check is silent when all is well, and speaks with its id and a hint when it is not."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from studio import checks
from studio.models import Client


def ids(found):
    assert all(message.hint for message in found)
    return [message.id for message in found]


@pytest.mark.parametrize(
    "check", [checks.scoped_models, checks.private_files, checks.writable_folders, checks.scheduled_tasks]
)
def test_all_is_well(check):
    assert ids(check()) == []


def test_path_that_misses_the_studio(monkeypatch):
    monkeypatch.setattr(Client, "studio_path", "owner")
    assert "studio.E001" in ids(checks.scoped_models())


def test_public_pictures(settings):
    settings.MEDIA_ROOT = f"{settings.STATIC_ROOT}/media"
    assert ids(checks.private_files()) == ["studio.E002"]


def test_folder_that_cannot_be_written(settings, monkeypatch):
    monkeypatch.setattr(checks.os, "access", lambda *_: False)
    assert ids(checks.writable_folders()) == ["studio.E003"] * 3


def test_https_behind_a_proxy_that_is_not_trusted(settings):
    settings.SECURE_SSL_REDIRECT, settings.TRUSTED_PROXIES = True, 0
    assert [one.id for one in checks.trusted_proxy()] == ["studio.W010"]
    settings.TRUSTED_PROXIES = 2
    assert checks.trusted_proxy() == []


def test_misspelt_schedule(settings):
    settings.CELERY_BEAT_SCHEDULE = {"sweep": {"task": "reports.tasks.sweeep", "options": {"queue": "sheetz"}}}
    assert ids(checks.scheduled_tasks()) == ["studio.E004", "studio.E005"]


def test_production_without_its_services(settings, monkeypatch):
    settings.PRODUCTION = False
    monkeypatch.setattr(checks, "connection", SimpleNamespace(vendor="sqlite"))
    settings.EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"
    settings.METRICS_TOKEN = ""
    assert ids(checks.production_services()) == ["studio.W006", "studio.W007", "studio.W008", "studio.W009"]
