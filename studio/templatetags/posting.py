"""What a page sends: a form's attributes, and the form that is one button.

{% load posting %}
<form {% posts "photo_edit" photo.pk "draw" target="#photo" %} class="row">{% csrf_token %}
{% post_button "Delete this client" "client_delete" client.pk %}
{% post_button "Take it down" "wall_edit" project.pk wall.pk "remove" target="#wall-sheet" artwork=work.pk %}
"""

from __future__ import annotations

from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag
def posts(view: str, *args: Any, target: str = "", swap: str = "outerHTML") -> SafeString:
    """The attributes of a form that posts to a view; with a `target` its answer takes the place of that part alone."""
    to = reverse(view, args=args)
    if not target:
        return format_html('method="post" action="{}"', to)
    return format_html(
        'method="post" action="{}" hx-post="{}" hx-target="{}" hx-swap="{}"',
        *(to, to, target, swap),
    )


@register.inclusion_tag("includes/post_button.html")
def post_button(
    words: str,
    view: str,
    *args: Any,
    look: str = "link",
    target: str = "",
    swap: str = "outerHTML",
    key: str = "",
    **values: Any,
) -> dict[str, Any]:
    """A form that is one button.

    Args:
        words: on the button
        view: the name of the address that it posts to, then its parts
        look: the button's classes
        target: the part of the page whose place the answer takes; the whole page where it is empty
        swap: how it takes it: "outerHTML" for the part itself, "innerHTML" for what is in it
        key: the letter that presses it
        values: what else is sent, by name; what is None is not
    """
    return {
        "attributes": posts(view, *args, target=target, swap=swap),
        "words": words,
        "look": look,
        "key": key,
        "values": {name: value for name, value in values.items() if value is not None},
    }
