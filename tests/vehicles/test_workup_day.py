"""`manage.py workup` with a case file that speaks of the test day."""

import json

import pytest

from tests.calculations.day_cases import LOG, RUN, log_text, weather, whole
from tests.vehicles.test_workup_command import run


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "case.json"
    path.write_text(json.dumps(whole(weather=weather(), runs=[RUN], log=LOG)), encoding="utf-8")
    (tmp_path / "run.csv").write_text(log_text(), encoding="utf-8")
    return path


def test_weather_ladder_and_log_stand_below_the_work_up(case):
    code, out, err = run(str(case))
    assert (code, err) == (0, "")
    for title in ("WEATHER WINDOWS, THE BEST FIRST", "RUNS SO FAR", "RUN LOG", "HOW THE DAY'S NUMBERS CAME ABOUT"):
        assert title in out
    assert "LT2, Lane-change test: REQUIRED" in out


def test_json_has_them_under_day(case):
    code, out, err = run(str(case), "--format", "json")
    assert (code, err) == (0, "")
    day = json.loads(out)["day"]
    assert day["windows"][0]["hours"] == 11
    assert [step["next_kmh"] for step in day["ladder"]] == [90, 80]
    assert day["passes"][0]["entry_kmh"] == 80.0
    assert {"formula", "inputs", "source", "value"} <= day["working"][0].keys()


def test_a_log_that_is_not_there_is_named(case):
    (case.parent / "run.csv").unlink()
    code, out, err = run(str(case))
    assert (code, out) == (2, "")
    assert "run.csv: cannot be read (No such file or directory), a log as CSV is needed" in err


@pytest.mark.parametrize("content", [b"time,place\n0,1\n1,2\n", b"\xff\xfe"])
def test_a_log_that_cannot_be_read_is_named(case, content):
    (case.parent / "run.csv").write_bytes(content)
    code, out, err = run(str(case))
    assert (code, out) == (2, "")
    assert err.startswith("log: ") and len(err.splitlines()) == 1
