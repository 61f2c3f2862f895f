"""Passes that neither the clock nor the order gives to a run wait for the engineer; files that wait are swept."""

import os
from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from testing.testday import ladder, logs, matching, settling, waiting_logs
from testing.testday.models import ColumnMapping, LogFile, LoggedPass
from testing.testday.recording import strike_run
from tests.testday_factories import confirm_all, drive, fresh, opened_day
from tests.testday_logs import RIGHT_EDGES, as_csv, as_gpx, session
from tests.testing.test_day_sheet_logs import READ_BY, bring, name_columns

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    for speed in (80, 90):
        drive(day, by=engineer, aimed=speed, measured_kmh=speed)
    ColumnMapping.objects.create(instrument="Logger 7", columns=READ_BY, by=engineer)
    return day


@pytest.fixture
def asked(as_, engineer, day):
    """Three passes without a date, two runs: a trial at 60 before them."""
    return bring(as_, engineer, day, as_csv(session([60, 80, 90])))


def answer(as_, engineer, asked, **chosen):
    return as_(engineer).post(asked.redirect_chain[-1][0], chosen, follow=True)


def test_a_pass_too_many_is_asked_about_and_nothing_is_kept_before_the_answer(as_, engineer, asked):
    assert not LogFile.objects.exists()
    form = asked.context["form"]
    assert [form[f"pass_{n}"].initial for n in (1, 2, 3)] == ["", "1", "2"]
    assert [form.fields[f"pass_{n}"].label for n in (1, 2, 3)] == [
        "Pass 1, 60.0 km/h", "Pass 2, 80.0 km/h", "Pass 3, 90.0 km/h",
    ]  # fmt: skip
    page = answer(as_, engineer, asked, pass_1="", pass_2="1", pass_3="2").content.decode()
    assert "3 passes found" in page and "1 of its passes belong to no run" in page
    assert [one.run and one.run.number for one in LoggedPass.objects.order_by("number")] == [None, 1, 2]
    assert not default_storage.listdir(waiting_logs.FOLDER)[1]


def test_the_question_follows_the_columns(as_, engineer, day):
    ColumnMapping.objects.all().delete()
    columns = bring(as_, engineer, day, as_csv(session([60, 80, 90])))
    asked = name_columns(as_, engineer, columns)
    assert "Passes of runs.csv" in asked.content.decode() and not LogFile.objects.exists()
    answer(as_, engineer, asked, pass_1="", pass_2="", pass_3="2")
    assert LoggedPass.objects.exclude(run=None).get().run.number == 2


@pytest.mark.parametrize(
    "chosen, words",
    [({"pass_2": "1", "pass_3": "1"}, "Run 1 is Pass 2, 80.0 km/h already"), ({"pass_2": "9"}, "Select a valid choice"),
     ({"pass_2": "1\x00"}, "Select a valid choice")],
)  # fmt: skip
def test_a_bad_answer_is_named_and_keeps_nothing(as_, engineer, asked, chosen, words):
    page = answer(as_, engineer, asked, **chosen)
    assert page.status_code == 200 and words in page.content.decode() and not LogFile.objects.exists()


def test_where_every_run_has_its_pass_nothing_is_asked(as_, engineer, day):
    assert "2 passes found" in bring(as_, engineer, day, as_csv(session([80, 90]))).content.decode()
    third = bring(as_, engineer, day, as_csv(session([60]))).content.decode()
    assert "1 of its passes belong to no run" in third


@pytest.mark.parametrize(("ruling", "of"), [("run-2", 2), ("other", None)])
def test_a_log_that_belongs_elsewhere_no_longer_speaks_of_the_run(engineer, day, ruling, of):
    """The log of the second run was taken for the first: 90 km/h by the log, 80 written."""
    upload = logs.recognise(SimpleUploadedFile("b.csv", as_csv(session([90]))))
    reading = logs.read(day=day, upload=upload, columns=READ_BY, frame=None)
    logs.take(day=day, by=engineer, reading=reading, instrument="Logger 7", runs={1: day.runs.get(number=1)})
    (item,) = settling.open_items(fresh(day))
    assert "90.0 km/h at entry by the log, 80.0 km/h written" in item.text
    assert [key for key, _ in item.rulings] == ["log", "sheet", "run-2", "other"]
    settling.settle(day=fresh(day), by=engineer, about="log", key=item.key, ruling=ruling, reason="seen at the gate")
    assert not settling.open_items(fresh(day))
    standing = LoggedPass.objects.standing()
    assert [one.run.number for one in standing] == ([of] if of else [])
    assert [run.number for run in matching.free_runs(fresh(day))] == ([1] if of else [1, 2])


def test_a_tilt_beyond_the_angle_is_told_though_nobody_wrote_one_down(as_, engineer, day):
    rows = session([80, 90])
    rows[:, 4] *= 5
    bring(as_, engineer, day, as_csv(rows))
    items = settling.open_items(fresh(day))
    assert len(items) == 2 and all("21.0° of tilt by the log, beyond 10°, none written" in item.text for item in items)
    settling.settle(day=fresh(day), by=engineer, about="log", key=items[0].key, ruling="log", reason="It leaned")
    step = ladder.progress_of(fresh(day))[0]
    assert step.stopped and "the body rolled 21°" in step.reason


def test_a_token_is_good_for_its_day_and_for_a_day(as_, engineer, asked, day, monkeypatch):
    address = asked.redirect_chain[-1][0]
    other = reverse("testing:log_passes", args=[day.pk]) + "?log=made-up"
    assert "bring it in again" in as_(engineer).get(other, follow=True).content.decode()
    assert as_(engineer).get(address.replace(f"/{day.pk}/", f"/{day.pk + 1}/")).status_code == 404
    monkeypatch.setattr(waiting_logs, "WAITS", timedelta(0))
    assert "bring it in again" in as_(engineer).get(address, follow=True).content.decode()


def test_what_nobody_came_back_for_is_swept_by_the_next_file(as_, engineer, asked, day):
    (left,) = default_storage.listdir(waiting_logs.FOLDER)[1]
    path = default_storage.path(f"{waiting_logs.FOLDER}/{left}")
    old = (timezone.now() - waiting_logs.WAITS - timedelta(minutes=1)).timestamp()
    os.utime(path, (old, old))
    bring(as_, engineer, day, as_csv(session([70, 80, 90])))
    (kept,) = default_storage.listdir(waiting_logs.FOLDER)[1]
    assert kept != left


def test_a_pass_that_nobody_wrote_down_takes_no_run_of_the_next(as_, engineer, day):
    """Two passes within the time in which a run is written down, and one run: it is of the later, and asked about."""
    strike_run(run=day.runs.get(number=2), by=engineer, reason="never driven")
    run = day.runs.get(number=1)
    began = run.when - timedelta(seconds=180)
    rows = session([80, 80], rate_hz=20, starts=[0, 150])
    asked = bring(as_, engineer, day, as_gpx(rows, began), "a.gpx", **RIGHT_EDGES)
    form = asked.context["form"]
    assert not LogFile.objects.exists()
    assert [form[f"pass_{n}"].initial for n in (1, 2)] == ["", "1"]
    answer(as_, engineer, asked, pass_1="", pass_2="1")
    assert [one.run and one.run.number for one in LoggedPass.objects.order_by("number")] == [None, 1]
