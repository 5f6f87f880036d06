"""The frame of every page: sign-in, error pages, what a strict policy allows."""

from __future__ import annotations

import re

import pytest
from django.template.loader import render_to_string
from django.test import RequestFactory

pytestmark = pytest.mark.django_db


def test_sign_in_page_is_ours(client) -> None:
    page = client.get("/account/login/").content.decode()
    assert "<h1>Sign in</h1>" in page
    assert "studio/base.css" in page


def test_frame_has_no_inline_script_or_style(client) -> None:
    page = client.get("/account/login/").content.decode()
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=", page)
    inline = re.findall(r"<script(?![^>]*\bsrc=)[^>]*>", page)
    assert all('type="application/json"' in one for one in inline)


@pytest.mark.parametrize("name", ["400", "403", "404", "500"])
def test_error_pages_render_and_say_what_to_do(name: str) -> None:
    request = RequestFactory().get("/nowhere")
    page = render_to_string(f"{name}.html", {}, request=None if name == "500" else request)
    assert "<h1>" in page
    assert 'href="/"' in page


@pytest.mark.parametrize(
    ("cookie", "shown"), [("night", 'data-sheet="night"'), ("paper", 'data-sheet="paper"'), ("x<", None)]
)
def test_chosen_sheet_is_in_the_first_answer(client, cookie: str, shown: str | None) -> None:
    client.cookies["sheet"] = cookie
    page = client.get("/account/login/").content.decode()
    opening = page[: page.index("<head>")]
    assert (shown in opening) if shown else ("data-sheet" not in opening)
