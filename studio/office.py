"""The back office of whoever runs the site: Django's admin, behind our sign-in and our reader of what is sent."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from itertools import chain
from typing import Any

from allauth.account.decorators import secure_admin_login
from django.contrib import admin
from django.contrib.admin.helpers import ACTION_CHECKBOX_NAME
from django.contrib.admin.utils import unquote
from django.http import HttpRequest, HttpResponse
from django.utils.decorators import method_decorator

from .errors import Invalid
from .inputs import read_text, read_whole

View = Callable[..., HttpResponse]

#: More characters than any column of ours takes, and than any search needs.
LONGEST = 20_000


def _read(where: str, value: str) -> None:
    """Raises `Invalid` for what no database keeps: characters, numbers of rows, digits by the thousand."""
    text = read_text(value, longest=LONGEST, where=where, strip=False)
    if text.isdecimal() or where == ACTION_CHECKBOX_NAME:
        read_whole(text, where=where)


def _of_what_can_be_kept(view: View) -> View:
    @wraps(view)
    def read(request: HttpRequest, *rest: Any, **path: Any) -> HttpResponse:
        for where, value in path.items():
            _read(where, unquote(str(value)))
        for where, values in chain(request.GET.lists(), request.POST.lists()):
            read_text(where, longest=LONGEST, where="a field’s name")
            for value in values:
                _read(where, str(value))
        try:
            return view(request, *rest, **path)
        except ValueError as fault:  # of a filter or a row's number, which Django's lists do not read first
            if request.method != "GET":
                raise
            raise Invalid("This address asks for what no row can have: start again from the list.") from fault

    return read


class Office(admin.AdminSite):
    @method_decorator(secure_admin_login)
    def login(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        return super().login(request, extra_context)

    def admin_view(self, view: Any, cacheable: bool = False) -> Any:
        return super().admin_view(_of_what_can_be_kept(view), cacheable)
