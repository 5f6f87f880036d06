"""What a studio's own people may not reach by naming numbers of another studio's rows."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from django.core.cache import cache
from django.db import connection, transaction

from studio.models import Studio, User
from studio.models.base import Owned
from tests.world import PK, World, scoped_models

#: The number of everything that the other studio has, and the word that is in all of it.
FOREIGN, MARK = PK + 1000, "Quagmirium"


_WRITES = re.compile(r'(?:INSERT INTO|UPDATE|DELETE FROM) "(\w+)"')


def crossings(model: Any, own: Studio, other: Studio) -> list[str]:
    """References of the one studio's rows to the other's."""
    found = []
    strangers = User.objects.filter(memberships__studio=other).exclude(memberships__studio=own)
    mine = model._default_manager.filter(**{model.studio_path: own.pk})
    for field in (*model._meta.fields, *model._meta.many_to_many):
        target = field.related_model
        if not isinstance(target, type) or not issubclass(target, Owned | Studio | User):
            continue
        if issubclass(target, User):
            leads = {f"{field.name}__in": strangers}
        else:
            path = target.studio_path
            leads = {field.name if path == "pk" else f"{field.name}__{path}": other.pk}
        if mine.filter(**leads).exists():
            found.append(f"{model.__name__}.{field.name}")
    return found


def rows_of(model: Any, studio: Studio) -> list[Any]:
    """Everything of a studio's, value by value."""
    return list(model._default_manager.filter(**{model.studio_path: studio.pk}).order_by("pk").values_list())


class Trial:
    """Sends, takes back, and notes what should not have been: looked for in every table that was written to."""

    def __init__(self, own: World, other: World) -> None:
        self.own, self.other = own.cast.studio, other.cast.studio
        self.models = {model._meta.db_table: model for model in scoped_models()}
        for model in scoped_models():
            self.models |= {field.remote_field.through._meta.db_table: model for field in model._meta.many_to_many}
        self.before = {model: rows_of(model, self.other) for model in scoped_models()}
        self.written: set[str] = set()
        self.sent, self.taken, self.faults = 0, 0, list[str]()

    def send(self, what: str, request: Callable[[], Any]) -> None:
        cache.clear()
        self.written.clear()
        with transaction.atomic():
            with connection.execute_wrapper(self._note):
                answer = request()
                text = b"".join(answer.streaming_content) if answer.streaming else answer.content
            self.sent += 1
            self.taken += answer.status_code < 400
            told = [f"{answer.status_code}"] if answer.status_code >= 500 or MARK.encode() in text else []
            for model in {self.models[table] for table in self.written if table in self.models}:
                told += crossings(model, self.own, self.other)
                told += [f"{model.__name__} changed"] if rows_of(model, self.other) != self.before[model] else []
            transaction.set_rollback(True)
        self.faults += [f"{what}: {', '.join(told)}"] if told else []

    def _note(self, execute: Any, sql: str, *rest: Any) -> Any:
        self.written.update(_WRITES.findall(sql))
        return execute(sql, *rest)
