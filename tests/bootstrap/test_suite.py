"""What `manage.py test` runs, and what it says about what it did not run."""

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
    monkeypatch.setattr(suite, "_pytest", lambda python, arguments, name, env: runs.append(arguments) or (0, 1))
    return runs


def test_all_tests_need_the_browser(no_browser):
    with pytest.raises(StopError, match="No Chromium here"):
        suite.run([])
    assert no_browser == []


def test_a_chosen_few_run_without_it_and_that_is_said(no_browser, capsys):
    assert suite.run(["tests/jobs", "-k", "name"]) == 0
    assert no_browser == [["tests/jobs", "-k", "name"]]
    assert "Going on without" in capsys.readouterr().err
