"""Changing the studio's own numbers, and seeing first what a change would do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.db import transaction

from placements import access, scenes
from placements.engine.errors import UnknownRule
from placements.engine.rulebook import Rulebook
from placements.models import HouseRule, Revision, RevisionState
from placements.selectors.assessments import plan_found
from studio.errors import Invalid, Missing
from studio.models import Project, Studio, User
from studio.queue import send_after_commit
from studio.reader import units_of

#: New values by rule and limit.
Changes = Mapping[tuple[str, str], float]


@dataclass(frozen=True, slots=True)
class Effect:
    """What a changed number does to one open revision: keys of its exceptions and stops, before and after."""

    revision: Revision
    before: frozenset[str]
    after: frozenset[str]
    texts: tuple[str, ...]
    gone: tuple[str, ...] = ()

    @property
    def fewer(self) -> int:
        return len(self.before) - len(self.after)


def house_rule_set(
    *,
    by: User,
    studio: Studio,
    rule: str,
    limit: str,
    value: float,
    project: Project | None = None,
    reason: str = "",
) -> HouseRule:
    """Give one limit the studio's (or, with `project`, one project's) own value; as `house_rules_set`."""
    (row,) = house_rules_set(by=by, studio=studio, changes={(rule, limit): value}, project=project, reason=reason)
    return row


@transaction.atomic
def house_rules_set(
    *, by: User, studio: Studio, changes: Changes, project: Project | None = None, reason: str = ""
) -> list[HouseRule]:
    """Give limits the studio's (or, with `project`, one project's) own values: all of them, or none.

    Raises:
        Invalid: no such rule or limit, a value outside its range, or a low end above its high end.
    """
    _expect_principal(by, studio, project)
    known = {
        (row.rule, row.limit): row
        for row in HouseRule.objects.select_for_update(of=("self",)).filter(studio=studio, project=project)
    }
    _expect_sound(_with(numbers(studio, project), changes))
    rows = []
    for (rule, limit), value in changes.items():
        row = known.get((rule, limit)) or HouseRule(studio=studio, project=project, rule=rule, limit=limit)
        row.value, row.reason, row.changed_by = value, reason.strip()[:250], by
        row._history_user = by
        row.save()
        rows.append(row)
    send_after_commit("placements.tasks.reviews_refresh", studio.pk, project.pk if project else None)
    return rows


@transaction.atomic
def house_rule_reset(*, by: User, studio: Studio, rule: str, limit: str, project: Project | None = None) -> None:
    """Go back to the default (or, in a project, to the studio's number)."""
    _expect_principal(by, studio, project)
    row = HouseRule.objects.filter(studio=studio, project=project, rule=rule, limit=limit).first()
    if row is None:
        raise Missing(f"{rule}.{limit} has no value of your own: there is nothing to reset.")
    merged = numbers(studio, project)
    merged[rule].pop(limit)
    if project is not None:
        for name, values in studio_numbers(studio).items():
            if name == rule and limit in values:
                merged[rule][limit] = values[limit]
    _expect_sound(merged)
    row._history_user = by
    row.delete()
    send_after_commit("placements.tasks.reviews_refresh", studio.pk, project.pk if project else None)


def house_rules_preview(*, studio: Studio, changes: Changes, project: Project | None = None) -> list[Effect]:
    """What the changes would do to every open revision that they reach; nothing is stored.

    Raises:
        Invalid: as `house_rules_set`.
    """
    _expect_sound(_with(numbers(studio, project), changes))
    revisions = Revision.objects.filter(
        state__in=(RevisionState.DRAFT, RevisionState.IN_REVIEW), plan__project__client__studio=studio
    ).select_related("plan__project__client__studio")
    if project is not None:
        revisions = revisions.filter(plan__project=project)
    effects = []
    for revision in revisions.prefetch_related("plan__project__house_rules").order_by("plan__project__name"):
        job = revision.plan.project
        # A project's own number stays above the studio's.
        own = {(row.rule, row.limit) for row in job.house_rules.all()} if project is None else set()
        reaching = {name: value for name, value in changes.items() if name not in own}
        if not reaching:
            continue
        merged = _with(scenes.house_rules_of(job), reaching)
        _expect_sound(merged)
        words = units_of(job)
        scene = scenes.placed_scene(revision)
        before, after = (
            {
                finding.key: finding
                for finding in plan_found(revision=revision, words=words, scene=judged)
                if finding.asks
            }
            for judged in (scene, scene.under(merged))
        )
        fresh = tuple(finding.finding.text for key, finding in after.items() if key not in before)
        gone = tuple(finding.finding.text for key, finding in before.items() if key not in after)
        effects.append(Effect(revision, frozenset(before), frozenset(after), fresh, gone))
    return effects


def _expect_principal(by: User, studio: Studio, project: Project | None) -> None:
    access.require(by=by, studio=studio, roles=access.PRINCIPAL, to="change a house rule")
    if project is not None and project.client.studio_id != studio.pk:
        raise Missing("There is no such project.")


def _with(house_rules: dict[str, dict[str, float]], changes: Changes) -> dict[str, dict[str, float]]:
    for (rule, limit), value in changes.items():
        house_rules.setdefault(rule, {})[limit] = value
    return house_rules


def studio_numbers(studio: Studio) -> dict[str, dict[str, float]]:
    """The studio's own numbers, by rule and limit: only what differs from the defaults."""
    merged: dict[str, dict[str, float]] = {}
    for row in HouseRule.objects.filter(studio=studio, project=None):
        merged.setdefault(row.rule, {})[row.limit] = row.value
    return merged


def numbers(studio: Studio, project: Project | None) -> dict[str, dict[str, float]]:
    """The numbers that hold in the studio or the project, where they differ from the defaults."""
    return scenes.house_rules_of(project) if project is not None else studio_numbers(studio)


def _expect_sound(house_rules: dict[str, dict[str, float]]) -> None:
    try:
        Rulebook(house_rules)
    except UnknownRule as error:
        raise Invalid(
            f"This house rule is not possible: {error}.",
            faults=[{"where": "value", "detail": part} for part in str(error).split("; ")],
        ) from error
