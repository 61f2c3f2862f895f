"""Random histories of a test day: runs, retries, two phones, stops, rulings. What must hold in every one of them."""

import uuid
from datetime import timedelta

from django.db import connection
from django.utils import timezone
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from jobs.refused import Refused
from testing.models import Run, StruckRun
from testing.testday import going_on, ladder, offline, recording, settling, signing
from testing.testday.models import Countersignature, KeptEntry, Stop
from testing.testday.result import result
from tests.factories import CrewMemberFactory, JobFactory, SiteFactory, UserFactory
from tests.testday_factories import LADDER, confirm_all, drive, fresh, load, opened_day, ratings

SPEEDS = st.sampled_from([*LADDER, *LADDER, 70])
MASS = st.sampled_from(["tm1", "tm2"])
OUTCOME = st.sampled_from(["clean", "clean", "clean", "clean", "cones", "aborted"])
PHONE = st.sampled_from(["one", "two"])
# How far the measured speed lay from the speed aimed at.
OFF = st.sampled_from([0.3, 0.3, 0.3, -16, 12])
WIND = st.sampled_from(["1.2", "1.2", "1.2", "3.4", ""])


class Day(RuleBasedStateMachine):
    """A day with two phones. ``sent`` is everything that any phone ever sent, by its mark."""

    @initialize()
    def open(self):
        self.engineer = UserFactory(roles=["engineer"], authority_number="SIG-0042")
        self.driver = UserFactory(roles=["driver"])
        member = CrewMemberFactory(user=self.driver)
        self.day = opened_day(JobFactory(), site=SiteFactory(), driver=member, engineer=self.engineer)
        confirm_all(self.day, by=self.engineer)
        self.sent, self.waiting = {}, {"one": [], "two": []}
        self.refused = 0
        # The test's own book of decisions: the mass, and the marks of what was known when it was taken.
        self.decisions = []

    def steps(self):
        return {step.mass: step for step in ladder.progress_of(fresh(self.day))}

    @rule(mass=MASS, aimed=SPEEDS, outcome=OUTCOME, wind=WIND)
    def drive_with_reception(self, mass, aimed, outcome, wind):
        allowed = ladder.open_speeds(self.day, self.steps()[mass])
        moved = 1 if outcome == "cones" else 0
        try:
            run = drive(
                self.day, by=self.driver, mass=mass, aimed=aimed, outcome=outcome, cones_moved=moved,
                wind_mps=float(wind) if wind else None, device="one",
            )  # fmt: skip
        except Refused:
            self.refused += 1
            assert aimed not in allowed or hasattr(fresh(self.day), "statement")
        else:
            assert aimed in allowed
            self.sent[str(run.sent_as)] = aimed

    @rule(mass=MASS)
    def drive_the_open_speed(self, mass):
        speed = self.steps()[mass].next_kmh
        if speed and not hasattr(fresh(self.day), "statement"):
            self.sent[str(drive(self.day, by=self.driver, mass=mass, aimed=speed, device="one").sent_as)] = speed

    @rule(phone=PHONE, mass=MASS, aimed=SPEEDS, off=OFF, outcome=OUTCOME, wind=WIND, lift=st.booleans())
    def write_down_without_reception(self, phone, mass, aimed, off, outcome, wind, lift):
        entry = {
            "kind": "run",
            "sent_as": str(uuid.uuid4()),
            "at": timezone.now().isoformat(),
            "data": {
                "mass": mass, "aimed_kmh": aimed, "measured_kmh": aimed + off, "outcome": outcome,
                "cones": ["4"] if outcome == "cones" else [], "cones_moved": "", "wind_mps": wind, "surface": "dry",
                "wheel_lift": "on" if lift else "",
            },
        }  # fmt: skip
        self.waiting[phone].append(entry)
        self.sent[entry["sent_as"]] = aimed

    @rule(phone=PHONE, times=st.integers(1, 3), forget=st.booleans())
    def reception(self, phone, times, forget):
        """Sent once or several times over; the phone forgets only what was answered."""
        entries = self.waiting[phone]
        for _ in range(times):
            sent = {"device": phone, "now": timezone.now().isoformat(), "entries": entries}
            answers = offline.take_all(day=fresh(self.day), by=self.driver, sent=sent)
            assert [answer["sent_as"] for answer in answers] == [entry["sent_as"] for entry in entries]
        if forget:
            self.waiting[phone] = []

    def marks(self):
        day = fresh(self.day)
        return {str(mark) for rows in (day.runs, day.stops) for mark in rows.values_list("sent_as", flat=True)}

    def decided(self, known, act):
        before = set(self.day.releases.values_list("pk", flat=True))
        act()
        for made in self.day.releases.exclude(pk__in=before):
            self.decisions.append((made.mass, known))

    @rule(mass=MASS)
    def engineer_lets_it_go_on(self, mass):
        try:
            self.decided(
                self.marks(),
                lambda: going_on.release(day=fresh(self.day), mass=mass, by=self.engineer, reason="looked at it"),
            )
        except Refused:
            self.refused += 1

    @rule(mass=MASS, data=st.data(), minutes_ago=st.integers(0, 10))
    def engineer_decides_on_a_phone_that_knows_a_part(self, mass, data, minutes_ago):
        known = {mark for mark in sorted(self.marks()) if data.draw(st.booleans())}
        entry = {
            "kind": "release",
            "sent_as": str(uuid.uuid4()),
            "at": (timezone.now() - timedelta(minutes=minutes_ago)).isoformat(),
            "data": {"mass": mass, "reason": "looked", "known_run": ["", *known], "known_stop": ["", *known]},
        }
        sent = {"device": "three", "now": timezone.now().isoformat(), "entries": [entry]}
        self.decided(known, lambda: offline.take_all(day=fresh(self.day), by=self.engineer, sent=sent))
        if KeptEntry.objects.filter(sent_as=entry["sent_as"]).exists():
            self.sent[entry["sent_as"]] = None

    @rule(data=st.data())
    def engineer_settles(self, data):
        if items := settling.open_items(fresh(self.day)):
            item = data.draw(st.sampled_from(items))
            ruling = data.draw(st.sampled_from([key for key, _ in item.rulings]))
            settling.settle(
                day=fresh(self.day), by=self.engineer, about=item.about, key=item.key, ruling=ruling, reason="seen"
            )

    @rule(data=st.data(), correct=st.booleans())
    def engineer_strikes_or_corrects(self, data, correct):
        if runs := list(self.day.runs.filter(struck=None)):
            run = data.draw(st.sampled_from(runs))
            if correct:
                self.correct(run)
            else:
                recording.strike_run(run=run, by=self.engineer, reason="wrong mass")

    def correct(self, run):
        mark = uuid.uuid4()
        try:
            recording.correct_run(run=run, by=self.engineer, reason="misread", sent_as=mark, measured_kmh=79.0)
        except Refused:
            self.refused += 1
            assert ladder.contested(fresh(self.day), run)
        else:
            self.sent[str(mark)] = run.aimed_kmh

    @rule(phone=PHONE, minutes_ago=st.integers(0, 20))
    def somebody_stops_the_runs(self, phone, minutes_ago):
        moment = timezone.now() - timedelta(minutes=minutes_ago)
        data = {"reason": "a noise"}
        entry = {"kind": "stop", "sent_as": str(uuid.uuid4()), "at": moment.isoformat(), "data": data}
        sent = {"device": phone, "now": timezone.now().isoformat(), "entries": [entry, entry]}
        before = Stop.objects.filter(day=self.day).count()
        closed = hasattr(fresh(self.day), "statement")
        offline.take_all(day=fresh(self.day), by=self.driver, sent=sent)
        assert Stop.objects.filter(day=self.day).count() == before + (not closed)
        if closed:
            self.sent[entry["sent_as"]] = None

    @rule()
    def the_last_run_is_undone(self):
        run = self.day.runs.filter(struck=None, by=self.driver).last()
        if run is None:
            return
        try:
            recording.undo_run(run=run, by=self.driver)
        except Refused:
            self.refused += 1

    @rule(safe=st.booleans())
    def driver_signs(self, safe):
        name = self.day.booking.driver.name
        try:
            signing.sign_statement(
                day=fresh(self.day), by=self.driver, safe=safe, remark="said", signed_name=name, ratings=ratings()
            )
        except Refused:
            self.refused += 1

    @rule(safe=st.booleans())
    def signatory_signs(self, safe):
        try:
            signing.countersign(day=fresh(self.day), by=self.engineer, safe=safe, remark="", signed_name="x")
        except Refused:
            self.refused += 1

    @invariant()
    def nothing_is_lost_and_nothing_doubled(self):
        if not hasattr(self, "day"):
            return
        waiting = {entry["sent_as"] for entries in self.waiting.values() for entry in entries}
        stored = [str(mark) for mark in Run.objects.filter(day=self.day).values_list("sent_as", flat=True)]
        kept = [str(mark) for mark in KeptEntry.objects.filter(day=self.day).values_list("sent_as", flat=True)]
        assert len(stored) == len(set(stored)) and not set(stored) & set(kept)
        assert set(self.sent) <= waiting | set(stored) | set(kept)
        assert set(stored) | set(kept) <= set(self.sent)

    @invariant()
    def never_above_what_is_clean_below(self):
        if not hasattr(self, "day"):
            return
        for mass, step in self.steps().items():
            for speed in ladder.open_speeds(self.day, step):
                below = [rung for rung in LADDER if rung < speed]
                assert not below or self.clean(mass, below[-1]), f"{mass}: {speed} opens without {below[-1]}"

    @invariant()
    def what_nobody_let_go_on_after_keeps_its_mass_stopped(self):
        """An alarm or a stop of which no decision knew: no speed is open, and nothing is passed."""
        if not hasattr(self, "day"):
            return
        for mass, step in self.steps().items():
            let_go = {mark for of, known in self.decisions if of == mass for mark in known}
            stops = {str(mark) for mark in self.day.stops.values_list("sent_as", flat=True)}
            runs = self.day.runs.filter(struck=None, mass=mass)
            alarms = [run for run in runs if self.alarmed(run) and not self.marks_of(run) & let_go]
            if alarms or stops - let_go:
                assert step.stopped and step.next_kmh is None and not step.passed, (alarms, stops - let_go)

    def alarmed(self, run):
        return run.wheel_lift or (run.measured_kmh is not None and run.measured_kmh - run.aimed_kmh > 5)

    def marks_of(self, run):
        """Its own, and of what it corrects where that said the same."""
        own = {str(run.sent_as)}
        return own | self.marks_of(run.corrects) if run.corrects_id else own

    def clean(self, mass, speed):
        runs = Run.objects.filter(day=self.day, mass=mass, aimed_kmh=speed, struck=None, outcome="clean", counts=True)
        return runs.filter(measured_kmh__gte=speed, wheel_lift=False, wind_mps__lte=3).exists()

    @invariant()
    def no_pass_without_both_masses_and_both_signatures(self):
        if not hasattr(self, "day") or not result(self.day.booking.job).passed:
            return
        assert all(self.clean(mass, speed) for mass in ("tm1", "tm2") for speed in LADDER)
        signed = Countersignature.objects.get(statement__day=self.day)
        assert signed.safe and signed.statement.safe
        assert not settling.open_items(fresh(self.day))

    @invariant()
    def no_run_stands_twice_unseen(self):
        """Two standing runs of two phones within the same moment: somebody has told them apart, or still has to."""
        if not hasattr(self, "day"):
            return
        settled = self.day.settlements.filter(about="contest").values_list("key", flat=True)
        for run in self.day.runs.filter(struck=None, corrects=None).exclude(contests=None):
            if not hasattr(run.contests, "struck") and run.pk not in settled:
                assert any(item.key == run.pk for item in settling.open_items(fresh(self.day)))

    @invariant()
    def struck_runs_stay(self):
        """Nothing that was on the sheet at any moment is gone at a later one."""
        if not hasattr(self, "day"):
            return
        now = {
            name: set(rows.objects.values_list("pk", flat=True)) for name, rows in (("run", Run), ("struck", StruckRun))
        }
        for name, kept in now.items():
            assert self.__dict__.setdefault(f"_{name}", set()) <= kept
            self.__dict__[f"_{name}"] = kept


class TestHistories(TestCase, Day.TestCase):
    # The rules are judged in Python: many histories on one database, some on the other.
    settings = settings(
        max_examples=25 if connection.vendor == "sqlite" else 8,
        stateful_step_count=25,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )


def test_the_shortest_way_to_a_pass_is_found_by_the_same_rules(db):
    """The invariants above would hold in a world where nothing ever passes: here one does."""
    day = Day()
    day.open()
    for mass in ("tm1", "tm2"):
        load(day.day, by=day.driver, mass=mass)
        for _ in LADDER:
            day.drive_the_open_speed(mass)
    day.driver_signs(True)
    day.signatory_signs(True)
    assert result(day.day.booking.job).passed and day.refused == 0
    day.no_pass_without_both_masses_and_both_signatures()
