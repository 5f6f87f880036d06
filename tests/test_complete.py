"""A run that leaves out a test it collected fails, alone and on several processes: tried on runs of their own."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest_plugins = ["pytester"]

ROOT = Path(__file__).resolve().parent.parent
CONFTEST = """
import pytest
from tests.complete import Complete

def pytest_configure(config):
    config.pluginmanager.register(Complete())

{more}
"""
TWO_OF_ONE_NAME = """
class Twice(pytest.Module):
    def collect(self):
        for item in super().collect():
            yield item
            if item.name == "test_b":
                yield pytest.Function.from_parent(self, name="test_b", callobj=item.obj)

def pytest_pycollect_makemodule(module_path, parent):
    return Twice.from_parent(parent, path=module_path)
"""
ONE_SWALLOWED = """
@pytest.hookimpl(tryfirst=True)
def pytest_runtest_protocol(item, nextitem):
    return True if item.name == "test_b" else None
"""
ALONE: tuple[str, ...] = ()
PARALLEL = ("-n2", "--dist", "worksteal")


@pytest.fixture
def run(pytester, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    monkeypatch.setenv("PYTEST_DISABLE_PLUGIN_AUTOLOAD", "1")
    pytester.makepyfile(test_small="def test_a(): pass\ndef test_b(): pass\ndef test_c(): pass\n")

    def made(more, *options):
        pytester.makeconftest(CONFTEST.format(more=more))
        return pytester.runpytest_subprocess("-p", "xdist", *options)

    return made


@pytest.mark.parametrize("how", [ALONE, PARALLEL], ids=["alone", "parallel"])
def test_a_whole_run_is_green(run, how):
    result = run("", *how)
    assert result.ret == 0
    result.assert_outcomes(passed=3)


def test_two_tests_of_one_name_fail_a_run_on_several_processes(run):
    result = run(TWO_OF_ONE_NAME, *PARALLEL)
    result.assert_outcomes(passed=4)
    assert result.ret == 1
    result.stdout.fnmatch_lines(["1 of 4 tests*", "1 × test_small.py::test_b (a name that tests share*"])


def test_a_test_that_is_passed_over_fails_a_run(run):
    result = run(ONE_SWALLOWED, *ALONE)
    result.assert_outcomes(passed=2)
    assert result.ret == 1
    result.stdout.fnmatch_lines(["1 of 3 tests*", "1 × test_small.py::test_b"])


@pytest.mark.parametrize("option", ["--collect-only", "-k=test_a", "--maxfail=1"])
def test_what_was_not_asked_for_is_not_missed(run, option):
    assert run("", option).ret == 0
