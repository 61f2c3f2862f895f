"""What `manage.py test` runs, and what it says about what it did not run."""

import os
import sys

import pytest

from config.bootstrap import suite
from config.bootstrap.speech import StopError


def test_one_database_without_a_server_and_two_with():
    server = "postgres://jobbook@127.0.0.1:5433/postgres"
    assert suite.databases({}) == [("SQLite", None)]
    assert suite.databases({suite.POSTGRES: server}) == [("SQLite", None), ("PostgreSQL", server)]


def test_the_first_run_is_on_the_embedded_database_whatever_the_shell_says():
    shell = {"DATABASE_URL": "postgres://somewhere/real", "HOME": "/home/desk"}
    assert suite.environment_for(shell, browser=None, database_url=None) == {"HOME": "/home/desk"}
    second = suite.environment_for(shell, browser="/usr/bin/chromium", database_url="postgres://test")
    assert second["DATABASE_URL"] == "postgres://test"
    assert second["JOBBOOK_CHROMIUM"] == "/usr/bin/chromium"


def test_an_untested_postgresql_is_said_with_how_to_test_it():
    said = "\n".join(suite.summary({"SQLite": (0, 61.2)}, seconds=75.4))
    assert "SQLite: passed in 61 s" in said
    assert "PostgreSQL was NOT tested" in said
    assert "JOBBOOK_TEST_POSTGRES_URL=postgres://" in said
    assert said.endswith("Total time, set-up included: 75 s")


def test_a_failure_on_either_database_is_named():
    said = "\n".join(suite.summary({"SQLite": (0, 60), "PostgreSQL": (1, 70)}, seconds=131))
    assert "PostgreSQL: FAILED in 70 s" in said
    assert "NOT tested" not in said


def test_two_databases_are_tested_side_by_side_and_what_measures_times_afterwards_alone():
    both, *alone = suite.stages([], ["SQLite", "PostgreSQL"])
    elsewhere = ["--ignore=tests/calculations", "--ignore=vehicles/calculations", "--ignore=tests/benchmarks"]
    assert both["SQLite"] == ("SQLite", elsewhere)
    assert both["PostgreSQL"] == ("PostgreSQL", [*elsewhere, "--ignore=tests/bootstrap"])
    database, arguments = both["The calculation module"]
    assert database == "SQLite" and "--cov-fail-under=100" in arguments and "tests/calculations" in arguments
    assert alone == [{name: (name, ["tests/benchmarks"])} for name in ("SQLite", "PostgreSQL")]


def test_one_database_misses_nothing_of_it():
    beside, alone = suite.stages([], ["SQLite"])
    assert list(beside) == ["SQLite", "The calculation module"]
    assert alone == {"SQLite": ("SQLite", ["tests/benchmarks"])}


def test_what_somebody_chose_is_run_as_it_was_asked_for():
    chosen = ["-k", "name"]
    assert suite.stages(chosen, ["SQLite", "PostgreSQL"]) == [
        {name: (name, chosen)} for name in ("SQLite", "PostgreSQL")
    ]


def test_what_runs_beside_is_told_afterwards_and_either_failure_counts(tmp_path, monkeypatch, capfd):
    monkeypatch.setattr(suite, "ROOT", tmp_path)
    (tmp_path / "config" / "bootstrap").mkdir(parents=True)
    (tmp_path / "config" / "bootstrap" / "no_skips.py").write_text("")
    (tmp_path / "test_one.py").write_text("def test_one(): pass")
    (tmp_path / "test_two.py").write_text("def test_two(): assert False, 'as it should'")
    plain = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
    files = {"SQLite": "test_one.py", "PostgreSQL": "test_two.py"}
    calls = {name: (["-p", "no:django", file], plain) for name, file in files.items()}
    results = suite._together(sys.executable, calls)
    assert [results[name][0] for name in calls] == [0, 1]
    said = capfd.readouterr().out
    assert said.index("1 passed") < said.index("as it should")


def test_a_failure_in_any_stage_counts_and_the_times_add_up():
    found = suite._added({"SQLite": (0, 10), "PostgreSQL": (1, 20)}, {"SQLite": (2, 5), "PostgreSQL": (0, 5)})
    assert found == {"SQLite": (2, 15), "PostgreSQL": (1, 25)}


def test_in_ci_a_missing_server_stops_the_run(monkeypatch):
    monkeypatch.setenv("CI", "true")
    monkeypatch.delenv(suite.POSTGRES, raising=False)
    with pytest.raises(StopError, match="JOBBOOK_TEST_POSTGRES_URL is not set"):
        suite.run([])


@pytest.fixture
def no_browser(monkeypatch):
    def missing():
        raise StopError("No Chromium here.")

    monkeypatch.delenv("CI", raising=False)
    monkeypatch.delenv(suite.POSTGRES, raising=False)
    monkeypatch.setattr(suite.environment, "provide", lambda: "python")
    monkeypatch.setattr(suite.system, "provide", lambda *needs: None)
    monkeypatch.setattr(suite.chromium, "require", missing)
    runs = []
    monkeypatch.setattr(
        suite, "_together", lambda python, calls: {name: runs.append(call[0]) or (0, 1) for name, call in calls.items()}
    )
    return runs


def test_all_tests_need_the_browser(no_browser):
    with pytest.raises(StopError, match="No Chromium here"):
        suite.run([])
    assert no_browser == []


def test_a_chosen_few_run_without_it_and_that_is_said(no_browser, capsys):
    assert suite.run(["tests/jobs", "-k", "name"]) == 0
    assert no_browser == [["tests/jobs", "-k", "name"]]
    assert "Going on without" in capsys.readouterr().err
