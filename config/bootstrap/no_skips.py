"""A pytest plugin: no test is skipped silently, and in CI none is skipped at all."""

import os


def in_ci():
    return os.environ.get("CI") == "true"


class NoSkips:
    def __init__(self, *, forbidden):
        self.forbidden = forbidden
        self.skipped = []

    def pytest_runtest_logreport(self, report):
        # pytest files an expected failure under skipped as well; neither showed that anything works.
        if report.skipped:
            self.skipped.append(report.nodeid)

    def pytest_collectreport(self, report):
        if report.skipped:
            self.skipped.append(report.nodeid)

    def pytest_sessionfinish(self, session):
        if self.skipped and self.forbidden and session.exitstatus == 0:
            session.exitstatus = 1

    def pytest_terminal_summary(self, terminalreporter):
        if not self.skipped:
            return
        verdict = "in CI that fails the run" if self.forbidden else "these were NOT tested"
        terminalreporter.section(f"skipped: {len(self.skipped)}; {verdict}")
        for nodeid in self.skipped:
            terminalreporter.write_line(nodeid)


def pytest_configure(config):
    config.pluginmanager.register(NoSkips(forbidden=in_ci()))
