"""Due dates for the page and for calendars (iCalendar, RFC 5545), and the load drawn week by week."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from django.conf import settings
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from icalendar import Calendar, Event

from placements.drawings.pen import BOLE, FONT, INK, PENCIL, VERDIGRIS, group, label, line, n, tag
from placements.models import DueDate
from placements.selectors.dates import Due, Load

#: How often a calendar should look again.
AGAIN = dt.timedelta(hours=6)
NAMES, STEP, ROW, BAR = 170.0, 56.0, 26.0, 16.0


def by_week(dates: Sequence[Due]) -> list[tuple[dt.date, list[Due]]]:
    """In order of their days, under the Monday of each week."""
    weeks: dict[dt.date, list[Due]] = {}
    for due in sorted(dates, key=lambda due: (due.date.day, due.date.pk)):
        weeks.setdefault(due.date.day - dt.timedelta(days=due.date.day.weekday()), []).append(due)
    return list(weeks.items())


def calendar_of(dates: Iterable[DueDate], name: str) -> bytes:
    """The dates as whole days. A date that moved keeps its UID, with a higher SEQUENCE, so that a calendar moves it."""
    calendar = Calendar()
    calendar.add("prodid", "-//Overmantel//Dates//EN")
    calendar.add("version", "2.0")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", AGAIN, parameters={"VALUE": "DURATION"})
    for date in dates:
        event = Event()
        event.add("uid", f"due-{date.pk}@{settings.BASE_URL.split('//')[-1].split('/')[0]}")
        event.add("dtstamp", date.updated_at)
        event.add("last-modified", date.updated_at)
        event.add("sequence", date.times_changed)
        event.add("dtstart", date.day)
        event.add("dtend", date.day + dt.timedelta(days=1))
        event.add("summary", f"{date.get_kind_display()}: {date.project}")
        event.add("description", f"{date.project.client}")
        event.add("location", date.project.address_note)
        event.add("url", settings.BASE_URL + reverse("project_dates", args=[date.project_id]))
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def load_drawing(loads: Sequence[Load], first: dt.date, what: str) -> SafeString:
    """A row a person, a column a week: a bar as long as there is to do, with its number; `what` it counts."""
    weeks = len(loads[0].weeks) if loads else 0
    most = max((count for load in loads for count in load.weeks), default=0) or 1
    monday = first - dt.timedelta(days=first.weekday())
    heads = [
        label(f"{monday + dt.timedelta(weeks=week):%-d %b}", NAMES + week * STEP, 14, 10.5, "start")
        for week in range(weeks)
    ]
    names, bars, numbers = [], [], []
    for place, load in enumerate(loads):
        y = 22 + place * ROW
        names.append(label(load.whose, 0, y + 12, 12, "start"))
        for week, count in enumerate(load.weeks):
            x = NAMES + week * STEP
            if count:
                wide = (STEP - 24) * count / most
                box = {"x": x, "y": y, "width": wide, "height": BAR, "stroke": "none", "fill-opacity": "0.55"}
                bars.append(tag("rect", box))
                numbers.append(label(str(count), x + wide + 4, y + 12, 11, "start"))
    high = 26 + len(loads) * ROW
    edges = [NAMES + week * STEP - 4 for week in range(weeks)]
    drawn = (
        group("words", "".join(heads), fill=PENCIL)
        + group("rules", "".join(line(x, 18, x, high, stroke_width=0.5) for x in edges), stroke=PENCIL)
        + group("names", "".join(names), fill=INK)
        + group("bars", "".join(bars), fill=VERDIGRIS)
        + group("value", "".join(numbers), fill=BOLE)
    )
    said = "; ".join(f"{load.whose}: {', '.join(map(str, load.weeks))}" for load in loads)
    attributes = {
        "class": "load",
        "viewBox": f"0 0 {n(NAMES + weeks * STEP)} {n(high)}",
        "role": "img",
        "aria-label": f"{what}, week by week. {said}",
        "font-family": FONT,
    }
    # `label` and `tag` escape every text.
    return mark_safe(tag("svg", attributes, drawn))
