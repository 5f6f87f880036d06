"""What a reader reads: units, time zone and paper, by whoever said it nearest to them."""

from __future__ import annotations

from typing import Any, cast
from zoneinfo import ZoneInfo

from .models import Client, Project, Studio
from .units import Style, Units


def units_for(user: Any, *owners: Project | Client | Studio | None) -> Units:
    """The reader's own units, else those of what they look at."""
    own: Style | None = getattr(user, "unit_style", None)
    return Units(own) if own else units_of(*owners)


def units_of(*owners: Project | Client | Studio | None) -> Units:
    """The units of the first owner that has any, of a project its client's, else its studio's: stored and printed words
    are set in these. Feet and inches where nobody has any.
    """
    for one in owners:
        rows = (one.client, one.client.studio) if isinstance(one, Project) else (one,)
        for row in rows:
            if row and row.unit_style:
                return Units(cast(Style, row.unit_style))
    return Units()


def zone_for(user: Any) -> ZoneInfo:
    """The reader's own clock."""
    return ZoneInfo(user.time_zone)


def zone_of(project: Project) -> ZoneInfo:
    """The clock on site; where that is not known, the studio's."""
    return ZoneInfo(project.time_zone or project.client.studio.time_zone)


def paper_for(studio: Studio, asked: str = "") -> str:
    """The paper that was asked for, else the studio's."""
    return asked or studio.paper
