"""The plan's solver against scipy's, a published optimum, brute force, and its own constraints."""

from __future__ import annotations

import importlib
import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from placements.engine.assignment import Column, Match, Problem, alternatives, solve
from placements.engine.assignment.master import whole
from placements.engine.assignment.solve import PART
from placements.engine.errors import EngineError

solving = importlib.import_module("placements.engine.assignment.solve")  # its function bears the same name


def best_by_scipy(problem: Problem) -> float:
    """Singles and bare as a rectangular assignment: each space takes a work or its own bare column."""
    never = -1e7
    singles = np.where(np.isfinite(problem.singles), problem.singles, never).T
    own = np.where(np.eye(len(problem.bare), dtype=bool), problem.bare[:, None], never)
    table = np.hstack([singles, own])
    rows, columns = linear_sum_assignment(table, maximize=True)
    return float(table[rows, columns].sum())


def best_by_trying(problem: Problem) -> float:
    """Every choice of one column a space; for very small problems."""
    works, spaces = problem.size
    choices = [[Column(j, (), float(problem.bare[j]))] for j in range(spaces)]
    for j in range(spaces):
        choices[j] += [Column(j, (i,), float(problem.singles[i, j])) for i in range(works)]
        choices[j] += [one for one in problem.groups if one.space == j]
    best = -math.inf
    for chosen in itertools.product(*choices):
        used = [i for one in chosen for i in one.works]
        if len(set(used)) == len(used) and not _together(problem, chosen):
            best = max(best, _worth(problem, chosen))
    return best


def _worth(problem: Problem, chosen: tuple[Column, ...]) -> float:
    """The columns' values, each match that they make counted as such; a space and a work belong to one at most."""
    hangs = {(one.space, one.works) for one in chosen}
    made = [
        (set(one.spaces) | {-1 - i for i in one.works}, one.value - sum(problem.singles[i, j] for j, i in parts))
        for one in problem.matches
        if (parts := list(zip(one.spaces, one.works, strict=True))) and all((j, (i,)) in hangs for j, i in parts)
    ]
    gain = max(
        sum(worth for _, worth in some)
        for count in range(len(made) + 1)
        for some in itertools.combinations(made, count)
        if all(not a & b for (a, _), (b, _) in itertools.combinations(some, 2))
    )
    return sum(one.value for one in chosen) + gain


def _together(problem: Problem, chosen: tuple[Column, ...]) -> bool:
    room_of = {i: int(problem.room[one.space]) for one in chosen for i in one.works} if problem.apart else {}
    return any(a in room_of and b in room_of and room_of[a] == room_of[b] for a, b in problem.apart)


def check(problem: Problem, solution) -> None:
    assert [one.space for one in solution.columns] == list(range(problem.size[1]))
    used = [i for one in solution.columns for i in one.works]
    assert len(used) == len(set(used))
    assert not _together(problem, solution.columns)
    assert solution.bound >= solution.objective - 1e-9


def test_or_library_assign100():
    """OR-Library (J. E. Beasley), assignment problem assign100: optimum 305."""
    text = (Path(__file__).parent / "assign100.txt").read_text()
    numbers = [int(one) for line in text.splitlines() if not line.startswith("#") for one in line.split()]
    costs = np.array(numbers[1:], dtype=float).reshape(numbers[0], numbers[0])
    solution = solve(Problem(singles=(1000 - costs).T, bare=np.zeros(100)))
    assert 100 * 1000 - solution.objective == pytest.approx(305)
    assert solution.gap == 0


@pytest.mark.parametrize(("works", "spaces", "seed"), [(30, 12, 1), (12, 30, 2), (120, 60, 3), (400, 150, 4)])
def test_singles_agree_with_scipy(works, spaces, seed):
    rng = np.random.default_rng(seed)
    singles = 100 * rng.random((works, spaces))
    singles[rng.random(singles.shape) < 0.4] = -np.inf
    problem = Problem(singles, rng.choice([45.0, 72.0, 97.0], spaces))
    solution = solve(problem)
    check(problem, solution)
    assert solution.objective == pytest.approx(best_by_scipy(problem))
    assert solution.gap == 0


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_groups_and_works_kept_apart_agree_with_trying_everything(seed):
    rng = np.random.default_rng(seed)
    works, spaces = 5, 4
    singles = 100 * rng.random((works, spaces))
    singles[rng.random(singles.shape) < 0.3] = -np.inf
    groups = [
        Column(
            int(rng.integers(spaces)), tuple(int(i) for i in rng.choice(works, rng.integers(2, 4), replace=False)), v
        )
        for v in rng.uniform(60, 160, 6)
    ]
    problem = Problem(singles, np.full(spaces, 40.0), groups, (), ((0, 1), (2, 3)), np.array([0, 0, 1, 1]))
    solution = solve(problem)
    check(problem, solution)
    assert solution.objective == pytest.approx(best_by_trying(problem))
    assert solution.gap == 0


@pytest.mark.parametrize("part", [PART, 2], ids=["solved at once", "polished part by part"])
@settings(max_examples=100, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_matches_agree_with_trying_everything(part, seed):
    rng = np.random.default_rng(seed)
    works, spaces = 5, 4
    singles = 100 * rng.random((works, spaces))
    matches = []
    for _ in range(6):
        a, b = (int(i) for i in rng.choice(works, 2, replace=False))
        j, k = (int(space) for space in 2 * rng.integers(2) + rng.permutation(2))
        matches.append(Match((j, k), (a, b), float(singles[a, j] + singles[b, k] + rng.uniform(0, 30))))
    groups = [Column(int(rng.integers(spaces)), (0, 1), float(rng.uniform(60, 160)))]
    rooms = np.array([0, 0, 1, 1])
    problem = Problem(singles, np.full(spaces, 40.0), groups, matches, ((0, 3),), rooms)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(solving, "PART", part)
        solution = solve(problem)
    check(problem, solution)
    assert solution.objective == pytest.approx(best_by_trying(problem))
    assert solution.gap == 0
    for one in solution.columns:
        if one.twin is not None:
            assert solution.columns[one.twin].twin == one.space


def test_a_match_decides_between_works_that_are_worth_the_same():
    singles = np.array([[90.0, 90.0], [90.0, 90.0], [89.0, 89.0], [89.0, 89.0]])
    match = Match((0, 1), (2, 3), 178.0 + 3.0)
    solution = solve(Problem(singles, np.zeros(2), (), [match]))
    assert [(one.works, one.twin) for one in solution.columns] == [((2,), 1), ((3,), 0)]
    (other,) = alternatives(Problem(singles, np.zeros(2), (), [match]), solution, 1)
    assert {one.works for one in other.columns} != {(2,), (3,)}


@pytest.mark.parametrize("spaces", [2, 3])
def test_a_match_of_works_that_must_not_share_a_room_is_passed_over(spaces):
    """The linear program takes half of such a match, which a dive must not take for the whole of it."""
    singles = np.array([[90.0, 80.0, 0.0], [70.0, 60.0, 0.0], [50.0, 50.0, 0.0], [50.0, 50.0, 0.0]])[:, :spaces]
    match = Match((0, 1), (0, 1), 300.0)
    problem = Problem(singles, np.full(spaces, 10.0), (), [match], ((0, 1),), np.zeros(spaces, dtype=int))
    solution = solve(problem)
    check(problem, solution)
    assert solution.objective == pytest.approx(best_by_trying(problem))
    assert solution.objective == pytest.approx(90 + 50 + 10 * (spaces - 2))
    assert solution.gap == 0


def test_a_plan_no_larger_than_a_part_is_solved_once(monkeypatch):
    """Polishing part by part would solve the whole of it again and again, each time to its limit."""
    calls = []
    monkeypatch.setattr(solving, "whole", lambda *given, **more: calls.append(1) or whole(*given, **more))
    pairs = [Column(0, (0, 1), 100.0), Column(1, (1, 2), 100.0), Column(2, (0, 2), 100.0)]
    solve(Problem(np.full((3, 3), 10.0), np.zeros(3), pairs))
    assert len(calls) == 1


def test_a_fractional_program_is_closed_by_the_integer_solve():
    """Three pairs out of three works in three spaces: half of each pays more than any whole choice."""
    pairs = [Column(0, (0, 1), 100.0), Column(1, (1, 2), 100.0), Column(2, (0, 2), 100.0)]
    problem = Problem(np.full((3, 3), -np.inf), np.full(3, 1.0), pairs)
    solution = solve(problem)
    assert (solution.objective, solution.bound, solution.gap) == (102.0, 102.0, 0.0)


def test_a_bare_wall_wins_where_it_is_worth_more():
    problem = Problem(np.array([[60.0, 90.0]]), np.array([45.0, 97.0]))
    assert [one.works for one in solve(problem).columns] == [(0,), ()]


def test_nothing_to_hang_leaves_every_space_bare():
    assert [one.works for one in solve(Problem(np.empty((0, 3)), np.ones(3))).columns] == [(), (), ()]


def test_no_space_at_all_is_an_empty_plan():
    solution = solve(Problem(np.empty((3, 0)), np.empty(0)))
    assert (solution.columns, solution.objective, solution.gap) == ((), 0.0, 0.0)


def test_alternatives_are_distinct_and_no_better():
    rng = np.random.default_rng(5)
    problem = Problem(60 + 40 * rng.random((12, 10)), np.full(10, 45.0))
    best = solve(problem)
    others = alternatives(problem, best, 3)
    plans = [{(one.space, one.works) for one in plan.columns} for plan in (best, *others)]
    assert len(others) == 3
    for one, other in itertools.combinations(plans, 2):
        assert len(one - other) >= 2  # at least 15 % of ten hung spaces
    for plan in others:
        check(problem, plan)
        assert plan.objective <= best.objective + 1e-6


@pytest.mark.parametrize(
    "problem",
    [
        pytest.param(Problem(np.zeros((2, 2)), np.zeros(3)), id="bare of another size"),
        pytest.param(Problem(np.full((2, 2), np.nan), np.zeros(2)), id="unknown value"),
        pytest.param(Problem(np.zeros((2, 2)), np.zeros(2), [Column(0, (1, 1), 5.0)]), id="a work twice"),
        pytest.param(Problem(np.zeros((2, 2)), np.zeros(2), [Column(4, (0, 1), 5.0)]), id="unknown space"),
        pytest.param(Problem(np.zeros((2, 2)), np.zeros(2), (), [Match((0, 0), (0, 1), 5.0)]), id="a space twice"),
        pytest.param(Problem(np.zeros((2, 2)), np.zeros(2), (), (), ((0, 1),)), id="apart without rooms"),
    ],
)
def test_a_problem_that_contradicts_itself_is_refused(problem):
    with pytest.raises(EngineError):
        solve(problem)
