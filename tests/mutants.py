"""Mutants: small faults put into the code one at a time, to see whether a test notices.

    python -m tests.mutants AREA [--sample 40] [--seed 1] [--seconds 300]

A mutant lives in the memory of one process: no file is changed, so any number may run beside one another. It is killed
when a test of its area fails, survives when all pass, and is unjudged when they take too long or cannot run. Survivors
are listed: each asks for a test, or is no fault at all. The goal is that at most 15 % of those judged survive.
"""

from __future__ import annotations

import argparse
import importlib.abc
import importlib.machinery
import importlib.util
import multiprocessing
import os
import random
import sys
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parent.parent
ENGINE, TESTS = "placements/engine", "tests/placements"
#: What is mutated, and the tests that should notice; a test file named after the module runs first.
AREAS: dict[str, tuple[list[str], list[str]]] = {
    "rules": (
        [f"{ENGINE}/rules/pairing/*.py", f"{ENGINE}/rules/arrangement/*.py"],
        [f"{TESTS}/engine/rules", *(f"{TESTS}/engine/test_{name}.py" for name in ("plain", "assess", "scoring"))],
    ),
    "hanging": (
        [f"{ENGINE}/hanging/*.py", f"{ENGINE}/fixings.py", f"{ENGINE}/weights.py"],
        [f"{TESTS}/engine/hanging", f"{TESTS}/engine/test_fixings.py", f"{TESTS}/engine/test_weights.py"],
    ),
    "groups": ([f"{ENGINE}/groups/*.py"], [f"{TESTS}/engine/groups", f"{TESTS}/engine/rules"]),
    "plan": ([f"{ENGINE}/plan/*.py"], [f"{TESTS}/engine/test_proposal.py", "tests/judging/test_expectations.py"]),
    "services": (["placements/services/*.py"], [f"{TESTS}/services", f"{TESTS}/api"]),
}
#: Faults that a person might make. Not among them: operators on types, which only annotations have.
OPERATORS = (
    "AddNot",
    "NumberReplacer",
    "ReplaceAndWithOr",
    "ReplaceOrWithAnd",
    "ReplaceTrueWithFalse",
    "ReplaceFalseWithTrue",
    "ReplaceUnaryOperator_USub_UAdd",
    *(
        f"ReplaceComparisonOperator_{pair}"
        for pair in ("Lt_LtE", "LtE_Lt", "Gt_GtE", "GtE_Gt", "Lt_Gt", "Gt_Lt", "Eq_NotEq", "NotEq_Eq", "Is_IsNot")
    ),
    *(f"ReplaceBinaryOperator_{pair}" for pair in ("Add_Sub", "Sub_Add", "Mul_Div", "Div_Mul", "BitAnd_BitOr")),
)
#: The engine's own tests ask for no server and no settings: without those they start in a tenth of the time.
PURE = (
    *("-c", os.devnull, f"--rootdir={ROOT}", "--import-mode=importlib", "--noconftest"),
    *("-p", "no:django", "-p", "no:schemathesis", "-p", "no:xdist"),
)
TESTS_PASSED, TESTS_FAILED, COLLECTION_FAILED = 0, 1, 2
GOAL = 0.15


@dataclass(frozen=True)
class Mutant:
    """One fault: `source` is the whole module with it in place, `line` where it is [from 1]."""

    path: Path
    line: int
    was: str
    now: str
    source: str

    def __str__(self) -> str:
        return f"{self.path.relative_to(ROOT)}:{self.line}: {self.was}  →  {self.now}"

    @property
    def module(self) -> str:
        return ".".join(self.path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def mutants_of(path: Path) -> list[Mutant]:
    """Every fault that the operators make in a file, but in how its records are kept in memory."""
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    code = path.read_text(encoding="utf-8")
    found = []
    for name in OPERATORS:
        operator = get_operator(f"core/{name}")()
        tree = get_ast(code)
        positions = sum(len(list(operator.mutation_positions(node))) for node in ast_nodes(tree))
        for occurrence in range(positions):
            source = mutate_code(code, operator, occurrence)
            if source and (changed := _changed(code, source)) and not changed[1].startswith("@dataclass"):
                found.append(Mutant(path, *changed, source))
    return found


def _changed(code: str, source: str) -> tuple[int, str, str] | None:
    for number, (was, now) in enumerate(zip(code.splitlines(), source.splitlines(), strict=False), 1):
        if was != now:
            return number, was.strip(), now.strip()
    return None


class _Put(importlib.abc.MetaPathFinder):
    """Finds one module with its fault, where the import system would find it without."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        if fullname != self.mutant.module:
            return None
        loader = _Loader(fullname, str(self.mutant.path))
        loader.source = self.mutant.source
        return importlib.util.spec_from_file_location(fullname, self.mutant.path, loader=loader)


class _Loader(importlib.machinery.SourceFileLoader):
    source: str

    def get_code(self, fullname: str) -> object:  # type: ignore[override]
        return compile(self.source, self.path, "exec", dont_inherit=True)


def judge(mutant: Mutant | None, tests: list[str], seconds: float) -> str:
    """Runs the tests with the mutant in a process of its own: killed, survived or unjudged."""
    process = multiprocessing.get_context("fork").Process(target=_run, args=(mutant, tests))
    process.start()
    process.join(seconds)
    if process.is_alive():
        process.kill()
        process.join()
        return "unjudged"
    outcomes = {TESTS_PASSED: "survived", TESTS_FAILED: "killed", COLLECTION_FAILED: "killed"}
    return outcomes.get(process.exitcode or 0, "unjudged")


def _run(mutant: Mutant | None, tests: list[str]) -> None:
    import pytest

    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    if mutant:
        sys.meta_path.insert(0, _Put(mutant))
        named = [str(path) for path in (ROOT / "tests").rglob(f"test_{mutant.path.stem}.py")]
        tests = [*named, *tests]
    pure = PURE if tests[-1].startswith(f"{TESTS}/engine") else ("-W", "ignore::pytest.PytestAssertRewriteWarning")
    os._exit(int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", *pure, *tests])))


def main(argv: list[str]) -> int | str:
    parser = argparse.ArgumentParser(prog="python -m tests.mutants")
    parser.add_argument("area", choices=AREAS)
    parser.add_argument("--sample", type=int, default=40, help="how many mutants")
    parser.add_argument("--seed", type=int, default=1, help="which of them")
    parser.add_argument("--seconds", type=float, default=300, help="at most for each")
    options = parser.parse_args(argv)
    os.chdir(ROOT)
    patterns, tests = AREAS[options.area]
    files = sorted(path for pattern in patterns for path in ROOT.glob(pattern))
    everything = [mutant for path in files for mutant in mutants_of(path)]
    sample = random.Random(options.seed).sample(everything, min(options.sample, len(everything)))
    _warm()
    if judge(None, tests, options.seconds) != "survived":
        return "The tests fail, or take too long, without any mutant: mend that first."
    counts: Counter[str] = Counter()
    for number, mutant in enumerate(sample, 1):
        started = time.monotonic()
        outcome = judge(mutant, tests, options.seconds)
        counts[outcome] += 1
        print(f"{number}/{len(sample)} {outcome} in {time.monotonic() - started:.0f} s: {mutant}", flush=True)
    judged = counts["killed"] + counts["survived"]
    share = counts["survived"] / judged if judged else 0.0
    print(
        f"{options.area}, seed {options.seed}: {len(sample)} of {len(everything)} mutants; {counts['killed']} killed, "
        f"{counts['survived']} survived ({share:.0%} of those judged), {counts['unjudged']} unjudged"
    )
    return int(share > GOAL)


def _warm() -> None:
    """Loads once what every process needs, and nothing that is mutated; what draws its cases draws the same."""
    from hypothesis import settings

    for name in ("numpy", "scipy.optimize", "shapely", "django.test", "pytest", "PIL.Image"):
        importlib.import_module(name)
    settings.register_profile("mutants", derandomize=True, database=None)
    settings.load_profile("mutants")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
