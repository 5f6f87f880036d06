"""Studios take turns: however much one of them has asked for, another's work comes next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db.models import Count, Min, Q


def in_turn(model: Any, *, waiting: Q, working: Q) -> Iterator[int]:
    """The numbers of rows to try to claim, the fairest first, until none is left or the caller has one.

    Of each studio only its oldest waiting row is offered; the studio with the fewest rows in work comes first, then
    the oldest request. When others were faster with all that was offered, what waits then is offered in the same way.
    Two queries a round, however many rows wait.
    """
    offered: set[int] = set()
    while True:
        studio = model.studio_path
        busy = dict(model.objects.filter(working).order_by().values_list(studio).annotate(count=Count("pk")))
        oldest = model.objects.filter(waiting).order_by().values_list(studio).annotate(first=Min("pk"))
        rows = [(busy.get(owner, 0), first) for owner, first in oldest if first not in offered]
        if not rows:
            return
        for _, first in sorted(rows):
            offered.add(first)
            yield first
