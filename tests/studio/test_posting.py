"""The forms of pages: what a form of one button sends, and to where."""

from __future__ import annotations

import re

import pytest
from django.template import Context, Template
from django.urls import NoReverseMatch, reverse


def rendered(tag: str, **values) -> str:
    return Template("{% load posting %}" + tag).render(Context({"csrf_token": "of-this-page", **values}))


def test_a_button_sends_its_values_and_the_page_s_token():
    text = rendered('{% post_button "Delete" "client_delete" 7 version=version work=None name="" %}', version=3)
    sent = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', text))
    assert sent == {"csrfmiddlewaretoken": "of-this-page", "version": "3", "name": ""}
    assert f'<form method="post" action="{reverse("client_delete", args=[7])}">' in text
    assert '<button class="link">Delete</button>' in text


def test_what_is_sent_and_said_is_escaped():
    text = rendered('{% post_button words "client_delete" 7 why=why %}', words="<b>", why='"><script>')
    assert "<b>" not in text
    assert "<script>" not in text


def test_a_button_with_a_key_says_it():
    text = rendered('{% post_button "Accept" "client_delete" 7 look="button" key="a" %}')
    assert re.search(r'<button class="button" data-key="a"\s+aria-keyshortcuts="a">Accept <kbd>A</kbd></button>', text)


def test_with_a_target_the_answer_takes_that_part_s_place():
    to = reverse("client_delete", args=[7])
    assert rendered('<form {% posts "client_delete" 7 target="#part" %}>') == (
        f'<form method="post" action="{to}" hx-post="{to}" hx-target="#part" hx-swap="outerHTML">'
    )
    assert 'hx-swap="innerHTML"' in rendered('{% posts "client_delete" 7 target="#part" swap="innerHTML" %}')
    assert "hx-" not in rendered('{% posts "client_delete" 7 %}')


def test_an_address_that_is_not_there_is_refused():
    with pytest.raises(NoReverseMatch):
        rendered('{% posts "nowhere" %}')
