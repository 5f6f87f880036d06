"""Finds the rules: every module of `pairing` and `arrangement` is one, and its file's name is the rule's id.

A malformed file is refused when the engine is imported, with what is wrong in it.
"""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil
from types import ModuleType

from ..rule import Rule, limits_of
from . import arrangement, pairing


class MalformedRule(Exception):
    """A file among the rules that does not keep the contract."""


def discover() -> tuple[Rule, ...]:
    """Every rule, by id.

    Raises:
        MalformedRule: naming the file and what it lacks.
    """
    found = []
    for package in (pairing, arrangement):
        for info in pkgutil.iter_modules(package.__path__):
            module = importlib.import_module(f"{package.__name__}.{info.name}")
            found.append(checked(module, package.__name__.rpartition(".")[2]))
    return tuple(sorted(found, key=lambda rule: rule.id))


def checked(module: ModuleType, kind: str) -> Rule:
    """The module's rule, with its docstring.

    Raises:
        MalformedRule: naming the file and what it lacks.
    """
    stem = module.__name__.rpartition(".")[2]
    where = f"rules/{kind}/{stem}.py"
    rule = getattr(module, "RULE", None)
    if not isinstance(rule, Rule):
        raise MalformedRule(f"{where} must end in RULE = Rule(...)")
    faults = []
    if rule.id != stem.replace("_", "-"):
        faults.append(f"its id is {rule.id!r}, the file's name says {stem.replace('_', '-')!r}")
    if rule.kind != kind:
        faults.append(f"its kind is {rule.kind!r} but it lies in {kind}/")
    if not rule.title:
        faults.append("it has no title")
    if rule.weight < 0:
        faults.append(f"its weight {rule.weight} is below zero")
    if not (module.__doc__ or "").strip():
        faults.append("it has no docstring saying what it judges and why")
    if not (dataclasses.is_dataclass(rule.limits) and rule.limits.__dataclass_params__.frozen):  # type: ignore[attr-defined]
        faults.append("its limits are no frozen dataclass")
    else:
        try:
            limits_of(rule.limits)
        except ValueError as error:
            faults.append(str(error))
    if faults:
        raise MalformedRule(f"{where}: " + "; ".join(faults))
    return dataclasses.replace(rule, doc=(module.__doc__ or "").strip())


#: Every rule, by id.
RULES: tuple[Rule, ...] = discover()
