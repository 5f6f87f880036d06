"""A principal takes everything along and ends the studio, in a browser."""

from __future__ import annotations

import zipfile

import pytest
from django.urls import reverse

from studio.models import Studio
from tests.factories import PASSWORD, make_cast
from tests.world import CANARY, make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_studio_is_exported_and_then_deleted(new_page, tmp_path):
    cast = make_cast()
    make_world(cast)
    page = new_page()
    page.goto(reverse("account_login"))
    page.locator("input[name=login]").fill(cast.principal.email)
    page.locator("input[name=password]").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url(lambda url: "login" not in url)
    page.goto(reverse("studio_data"))
    with page.expect_download() as taken:
        page.locator(f"form[action='{reverse('studio_export')}'] button").click()
    path = tmp_path / "studio.zip"
    taken.value.save_as(path)
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        assert any(CANARY in archive.read(name).decode() for name in archive.namelist() if name.endswith("survey.json"))
    page.goto(reverse("studio_data"))
    page.locator("input[name=name]").fill("Another")
    page.locator("input[name=name]").press("Enter")
    page.get_by_text("as it is written").wait_for()
    assert Studio.objects.filter(pk=cast.studio.pk).exists()
    page.locator("input[name=name]").fill(cast.studio.name)
    page.locator("input[name=name]").press("Enter")
    page.wait_for_url(lambda url: reverse("studio_data") not in url)
    assert list(Studio.objects.all()) == [cast.other_studio]
