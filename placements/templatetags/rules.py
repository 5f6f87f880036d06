"""What a rule is called where only its name is at hand."""

from __future__ import annotations

from functools import cache

from django import template

from placements.engine.rulebook import catalogue

register = template.Library()


@cache
def _titles() -> dict[str, str]:
    return {entry.id: entry.title for entry in catalogue()}


@register.filter
def rule_title(rule: str) -> str:
    return _titles().get(rule, rule)
