"""Keeping ways to hang a wall by name, to compare later."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from placements import access
from placements.models import Option
from studio.errors import Invalid
from studio.models import User, Wall

#: As many options of one wall as anybody compares.
MOST = 20


@transaction.atomic
def option_keep(*, by: User, wall: Wall, name: str, arrangement: dict[str, Any]) -> Option:
    """Keep an arrangement (`pieces` and `bares`) under a name that the wall has not used yet."""
    project = wall.room.project
    access.require(by=by, studio=project.client.studio, roles=access.DESIGN, to="keep an option")
    name = " ".join(name.split())
    longest = Option._meta.get_field("name").max_length or 0
    if not name or len(name) > longest:
        detail = f"Give the option a name of at most {longest} characters."
        raise Invalid(detail, faults=[{"where": "name", "detail": detail}])
    Wall.objects.select_for_update().get(pk=wall.pk)  # two people save under one name: the second is refused
    kept = set(wall.options.values_list("name", flat=True))
    if name in kept:
        detail = f"An option of this wall is called {name} already: give another name."
        raise Invalid(detail, faults=[{"where": "name", "detail": detail}])
    if len(kept) >= MOST:
        detail = f"{MOST} options of this wall are kept already: drop one first."
        raise Invalid(detail, faults=[{"where": "name", "detail": detail}])
    return Option.objects.create(wall=wall, name=name, arrangement=arrangement, kept_by=by)


def option_drop(*, by: User, option: Option) -> None:
    studio = option.wall.room.project.client.studio
    access.require(by=by, studio=studio, roles=access.DESIGN, to="drop an option")
    option.delete()
