"""A run is whole only if everything that was collected was also reported, under a name of its own.

Two tests of one name are told apart by nobody: a run on several processes may run one of them, and be green all the
same.
"""

from __future__ import annotations

from collections import Counter

import pytest


class Complete:
    """Watches one run, alone or as the one that hands tests out to other processes."""

    def __init__(self) -> None:
        self.collected: Counter[str] = Counter()
        self.reported: Counter[str] = Counter()

    def pytest_collection_finish(self, session: pytest.Session) -> None:
        self.collected.update(item.nodeid for item in session.items)

    @pytest.hookimpl(optionalhook=True)
    def pytest_xdist_node_collection_finished(self, node: object, ids: list[str]) -> None:
        self.collected = Counter(ids)  # every process collects the same

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "teardown":  # which every test comes to, once
            self.reported[report.nodeid] += 1

    def missing(self) -> Counter[str]:
        """How often each test was collected and not reported under a name of its own."""
        shared = Counter({name: times - 1 for name, times in self.collected.items() if times > 1})
        return (self.collected - self.reported) | shared

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        stopped = session.shouldstop or session.shouldfail
        worker = hasattr(session.config, "workerinput")
        if session.config.option.collectonly or stopped or worker or session.exitstatus != pytest.ExitCode.OK:
            self.collected.clear()
        elif self.missing():
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        missing = self.missing()
        if not missing:
            return
        terminalreporter.section("collected, and not reported under a name of its own")
        terminalreporter.write_line(f"{missing.total()} of {self.collected.total()} tests, so the run fails:")
        for name, times in sorted(missing.items()):
            shared = " (a name that tests share: give each its own)" if self.collected[name] > 1 else ""
            terminalreporter.write_line(f"{times} × {name}{shared}")
