"""Who changed what in a project, when, from what to what: history rows, steps and decisions in one trail."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from placements.models import Comment, Decision, HouseRule, Placement, Revision, SignOff, Transition
from studio.models import Artwork, Client, Project, Room, User, Wall, WallItem

#: What the trail leaves out: bookkeeping that says nothing to a reader.
_SILENT = {"id", "created_at", "updated_at", "version", "palette_lab", "hues", "picture"}
_ACTIONS = {"+": "added", "~": "changed", "-": "removed"}


@dataclass(frozen=True, slots=True)
class TrailEntry:
    """One change. `before` and `after` hold only what changed, by field name; `where` is a wall or the whole studio."""

    at: dt.datetime
    who: str
    what: str
    subject: str
    action: str
    before: dict[str, Any]
    after: dict[str, Any]
    note: str = ""
    where: str = ""


def audit_trail(
    project: Project, *, since: dt.datetime | None = None, until: dt.datetime | None = None
) -> list[TrailEntry]:
    """Every change of a project between two moments, the newest first; the same queries however long it is."""
    names = _names(project)
    entries = [
        *_history("Project", Project.history.filter(id=project.pk), names),
        *_history("Client", Client.history.filter(id=project.client_id), names),
        *_history("Room", Room.history.filter(project_id=project.pk), names),
        *_history("Wall", Wall.history.filter(room__project_id=project.pk), names),
        *_history("On the wall", WallItem.history.filter(wall__room__project_id=project.pk), names),
        *_history("Work", Artwork.history.filter(project_id=project.pk), names),
        *_history("Piece", Placement.history.filter(revision__plan__project_id=project.pk), names),
        *_history("House rule", HouseRule.history.filter(_reaching(project)), names),
        *_steps(project),
        *_decisions(project),
        *_signatures(project),
        *_comments(project),
    ]
    chosen = [
        entry for entry in entries if (since is None or entry.at >= since) and (until is None or entry.at < until)
    ]
    return sorted(chosen, key=lambda entry: entry.at, reverse=True)


def _reaching(project: Project) -> Q:
    """The project's own house rules and those of its whole studio."""
    return Q(project_id=project.pk) | Q(project_id=None, studio_id=project.client.studio_id)


def _names(project: Project) -> dict[str, dict[int, str]]:
    """What ids in history rows are called: rows that still exist by their name, others by their number."""
    walls = {wall.pk: str(wall) for wall in Wall.objects.filter(room__project=project)}
    return {
        "wall": walls,
        "hung_wall": walls,
        "revision": {revision.pk: str(revision) for revision in Revision.objects.filter(plan__project=project)},
        "room": {room.pk: str(room) for room in Room.objects.filter(project=project)},
        "artwork": {
            artwork.pk: artwork.title
            for artwork in Artwork.objects.filter(studio=project.client.studio_id).only("title")
        },
        "user": {one.pk: str(one) for one in User.objects.filter(memberships__studio=project.client.studio_id)},
    }


def _history(what: str, rows: Any, names: dict[str, dict[int, str]]) -> Iterator[TrailEntry]:
    """Each history row against the one before it of the same object."""
    last: dict[int, dict[str, Any]] = {}
    for row in rows.order_by("id", "history_date", "history_id").select_related("history_user"):
        now = _values(row, names)
        was = last.get(row.id, {})
        if row.history_type == "~":
            changed = [name for name in now if was.get(name) != now[name]]
            if not changed and was:
                last[row.id] = now
                continue
            before, after = {name: was.get(name) for name in changed}, {name: now[name] for name in changed}
        else:
            before, after = ({}, now) if row.history_type == "+" else (now, {})
        last[row.id] = now
        yield TrailEntry(
            at=row.history_date,
            who=str(row.history_user or ""),
            what=what,
            subject=_subject(now),
            action=_ACTIONS[row.history_type],
            before=_said(before),
            after=_said(after),
            note=row.history_change_reason or "",
            where=_where(what, now),
        )


def _values(row: Any, names: dict[str, dict[int, str]]) -> dict[str, Any]:
    values = {}
    for field in row.tracked_fields:
        if field.name in _SILENT:
            continue
        value = getattr(row, field.attname)
        if field.is_relation:
            known = names.get("user" if field.related_model is User else field.name, {})
            value = known.get(value, value)
        values[field.name] = value
    return values


def _where(what: str, values: dict[str, Any]) -> str:
    if what == "House rule":
        return "" if values.get("project") else "the whole studio"
    return str(values.get("wall") or "")


def _subject(values: dict[str, Any]) -> str:
    if values.get("rule"):
        return f"{values['rule']}.{values['limit']}"
    for name in ("artwork", "title", "name", "label", "code"):
        if values.get(name):
            return str(values[name])
    return ""


def _said(values: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value not in (None, "", [], False)} if values else {}


def _steps(project: Project) -> Iterable[TrailEntry]:
    for transition in Transition.objects.filter(revision__plan__project=project).select_related("by", "revision"):
        yield TrailEntry(
            transition.created_at,
            str(transition.by or "the hanger's link"),
            "Plan",
            str(transition.revision).capitalize(),
            "stepped",
            {"state": transition.get_from_state_display()} if transition.from_state else {},
            {"state": transition.get_to_state_display()},
            transition.note,
        )


def _decisions(project: Project) -> Iterable[TrailEntry]:
    rows = Decision.objects.filter(finding__revision__plan__project=project).select_related(
        "by", "withdrawn_by", "finding__revision", "finding__wall"
    )
    for decision in rows:
        subject = f"{decision.finding.wall}: {decision.finding.text}"
        verdict = {"decision": decision.get_verdict_display()}
        yield TrailEntry(
            decision.created_at, str(decision.by or ""), "Decision", subject, "decided", {}, verdict, decision.reason
        )
        if decision.withdrawn_at is not None:
            yield TrailEntry(
                decision.withdrawn_at, str(decision.withdrawn_by or ""), "Decision", subject, "withdrawn", verdict, {}
            )


def _signatures(project: Project) -> Iterable[TrailEntry]:
    for off in SignOff.objects.filter(revision__plan__project=project).select_related("revision"):
        subject = str(off.revision).capitalize()
        yield TrailEntry(
            off.created_at, off.name, "Signature", subject, "signed", {}, {"sha256": off.sha256}, off.statement
        )


def _comments(project: Project) -> Iterable[TrailEntry]:
    for comment in Comment.objects.filter(project=project).select_related("wall", "artwork"):
        about = str(comment.wall or comment.artwork or project)
        yield TrailEntry(comment.created_at, comment.author_name, "Comment", about, "said", {}, {"text": comment.text})
