"""The day sheet on a phone without reception: nothing lost, nothing twice, never faster than allowed."""

import json
import random
import uuid
from io import BytesIO

import pytest
from PIL import Image
from playwright.sync_api import expect

from testing.models import Run
from testing.testday import ladder, loading
from testing.testday.going_on import release
from testing.testday.models import Check, DriverStatement, KeptEntry, Loading, Release, RunPhoto, Stop, StruckRun
from testing.testday.recording import call_stop
from tests.factories import CrewMemberFactory, JobFactory, SiteFactory, UserFactory
from tests.testday_factories import LADDER, confirm_all, drive, fresh, load, opened_day
from vehicles.calculations.speeds import RunRecord, progress

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PHONE = 390


@pytest.fixture
def crew(transactional_db):
    engineer = UserFactory(username="engineer", roles=["engineer"], authority_number="SIG-0042")
    driver = UserFactory(username="driver", roles=["driver"])
    member = CrewMemberFactory(user=driver)
    day = opened_day(JobFactory(), site=SiteFactory(), driver=member, engineer=engineer)
    return {"engineer": engineer, "driver": driver, "day": day}


@pytest.fixture
def ready(crew):
    confirm_all(crew["day"], by=crew["engineer"])
    return crew


def phone(open_page, user, day):
    """A phone on the run screen, with the sheet in its store."""
    page = open_page(user, width=PHONE)
    page.goto(f"/day-sheets/{day.pk}/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    until(
        page,
        f"""async () => {{
            for (const name of await caches.keys())
                if (name.startsWith("pages-") && (await (await caches.open(name)).match("/day-sheets/{day.pk}/stop/")))
                    return true;
            return false;
        }}""",
    )
    page.goto(f"/day-sheets/{day.pk}/runs/add/?mass=tm1")
    return page


def enter(page, speed, *, mass="tm1", outcome="clean", cones=(), wind="1.4", picture=None, measured=None, kept=True):
    """One run, decision by decision."""
    name = "Test Mass 1" if mass == "tm1" else "Test Mass 2"
    page.get_by_label(name, exact=True).check()
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Speed aimed at*").select_option(str(speed))
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Wind now").fill(wind)
    page.get_by_label("dry", exact=True).check()
    page.get_by_role("button", name="Next").click()
    page.get_by_label("clean" if outcome == "clean" else "cones moved", exact=True).check()
    page.get_by_role("button", name="Next").click()
    for cone in cones:
        page.locator(f"[data-cone='{cone}']").click()
    if cones:
        page.get_by_role("button", name="Next").click()
    page.get_by_label("Speed measured at entry").fill(f"{measured or speed + 0.6}")
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Next").click()
    if picture:
        page.get_by_label("Photo", exact=True).set_input_files(picture)
    page.get_by_role("button", name="Record this run").click()
    if kept:
        page.get_by_text("Undo this run").wait_for()


def large_photo():
    """As a camera gives it, in a form that the phone reads and writes anew."""
    data = BytesIO()
    Image.new("RGB", (2400, 1200), "grey").save(data, "PNG")
    return {"name": "cone.png", "mimeType": "image/png", "buffer": data.getvalue()}


def until(page, question):
    """Ask until the page says yes: its own waiting does not wait for promises."""
    for _ in range(100):
        if page.evaluate(question):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"never so: {question}")


def sent(page):
    until(page, "async () => !(await dayStore.entries()).length")
    assert not list(KeptEntry.objects.values_list("reason", "entry"))


def offered(page, mass="Test Mass 1"):
    page.get_by_label(mass, exact=True).check()
    page.get_by_role("button", name="Next").click()
    options = page.get_by_label("Speed aimed at*").locator("option").all_text_contents()
    page.get_by_role("button", name="Back").click()
    return options


def test_one_decision_at_a_time_with_the_cone_tapped_on_the_drawing(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    assert page.get_by_label("Wind now").is_hidden() and page.get_by_label("Test Mass 1", exact=True).is_visible()
    enter(page, 80, outcome="cones", cones=(3, 7), picture=large_photo())
    sent(page)
    run = Run.objects.get()
    assert (run.outcome, run.cones, run.cones_moved, run.by) == ("cones", [3, 7], 2, ready["driver"])
    kept = RunPhoto.objects.get()
    with kept.file.open() as file, Image.open(file) as taken:
        assert kept.run == run and kept.content_type == "image/jpeg" and taken.size == (2000, 1000)
    expect(page.get_by_text("repeat at 80 km/h with the cones reset")).to_be_visible()
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_text("Test Mass 1, aimed at 80 km/h")).to_be_visible()
    assert page.get_by_label("Wind now").input_value() == ""
    page.get_by_role("button", name="Still as just now: 1.4 m/s, dry").click()
    assert page.get_by_label("Wind now").input_value() == "1.4" and page.get_by_label("dry", exact=True).is_checked()
    assert page.faults == []


def test_a_session_without_reception_with_the_tab_killed(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    context = page.context
    context.set_offline(True)
    enter(page, 80)
    expect(page.get_by_text("Not sent yet: 1")).to_be_visible()
    assert offered(page) == ["90 km/h", "80 km/h", "70 km/h", "60 km/h"]
    enter(page, 90, outcome="cones", cones=(5,))
    assert offered(page)[0] == "90 km/h"
    page.get_by_label("Test Mass 1", exact=True).check()
    page.close()

    page = context.new_page()
    page.goto(f"/day-sheets/{ready['day'].pk}/runs/add/?mass=tm1")
    expect(page.get_by_text("Not sent yet: 2")).to_be_visible()
    enter(page, 90)
    assert offered(page)[0] == "100 km/h"
    # What stops the climb at once stops it on a phone that cannot ask.
    told = "{ overspeed_kmh: 5, roll_deg: 10 }, { aimed_kmh: '100', measured_kmh: '%s' }"
    assert page.evaluate(f"dayAhead.alarms({told % '105'})") == []
    assert page.evaluate(f"dayAhead.alarms({told % '105.1'})") == ["105.1 km/h were driven with 100 km/h aimed at"]
    assert not Run.objects.exists()

    context.set_offline(False)
    sent(page)
    runs = list(Run.objects.order_by("number"))
    assert [(run.aimed_kmh, run.outcome, run.counts) for run in runs] == [
        (80, "clean", True),
        (90, "cones", True),
        (90, "clean", True),
    ]
    assert all(run.driven_at < run.at for run in runs)
    assert ladder.progress_of(fresh(ready["day"]))[0].next_kmh == 100


def test_an_answer_that_never_came_back_is_no_second_run(open_page, ready):
    """The server took the entries, the phone did not hear of it: it sends them again."""
    page = phone(open_page, ready["driver"], ready["day"])

    def lost(route):
        """Only what carries an entry: the questions in between are answered."""
        if json.loads(route.request.post_data)["entries"]:
            route.fetch()
            route.abort()
        else:
            route.continue_()

    page.route("**/sync/", lost)
    enter(page, 80)
    page.get_by_text("Not sent yet: 1").filter(has_text="No reception.").wait_for()
    assert Run.objects.count() == 1
    page.unroute("**/sync/")
    page.get_by_role("button", name="Send now").click()
    sent(page)
    assert Run.objects.count() == 1


def test_a_line_that_hangs_holds_up_nobody(open_page, ready):
    """Requests that never come back: runs and STOP are on the device, nothing is frozen, and all arrives later."""
    page = phone(open_page, ready["driver"], ready["day"])
    hanging = []
    page.context.route("**/sync/", lambda route: hanging.append(route))
    enter(page, 80)
    enter(page, 90)
    assert offered(page)[0] == "100 km/h"
    page.get_by_role("button", name="STOP", exact=True).click()
    page.get_by_text("Nothing more is driven until the engineer decides").wait_for()
    assert page.evaluate("dayStore.entries().then((all) => all.map((one) => one.kind))") == ["run", "run", "stop"]
    assert hanging and not Run.objects.exists()
    page.context.unroute("**/sync/")
    page.reload()
    sent(page)
    assert Run.objects.filter(counts=True).count() == 2
    assert Stop.objects.get().by == ready["driver"]
    assert all(step.stopped for step in ladder.progress_of(fresh(ready["day"])))


def test_a_stop_of_somebody_else_reaches_a_phone_in_the_hand(open_page, ready):
    """The phone is on the run screen, half way through a run, and nobody touches it."""
    page = phone(open_page, ready["driver"], ready["day"])
    page.get_by_label("Test Mass 1", exact=True).check()
    page.get_by_role("button", name="Next").click()
    assert page.get_by_label("Speed aimed at*").locator("option").count() == 3
    call_stop(day=ready["day"], by=ready["engineer"], reason="A dog on the strip", sent_as=uuid.uuid4())
    bar = page.locator("[data-stop-bar]")
    expect(bar.get_by_text("A dog on the strip")).to_be_visible()
    expect(page.get_by_label("Speed aimed at*").locator("option")).to_have_count(0)
    release(day=fresh(ready["day"]), mass="tm1", by=ready["engineer"], reason="Caught")
    expect(page.get_by_label("Speed aimed at*").locator("option")).to_have_count(3)
    expect(bar.get_by_text("A dog on the strip")).to_be_hidden()
    expect(page.get_by_role("button", name="STOP", exact=True)).to_be_visible()
    assert page.faults == []


FULL = "() => { dayStore.add = () => Promise.reject(new DOMException('full', 'QuotaExceededError')); }"


def test_a_store_that_takes_nothing_loses_no_stop_and_no_run(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    page.evaluate(FULL)
    enter(page, 80)
    until(page, "async () => (await daySync.waiting()).length === 0")
    expect(page.get_by_text("clean at 80 km/h opens 90 km/h")).to_be_visible()
    page.context.set_offline(True)
    enter(page, 90, kept=False)
    expect(page.get_by_role("alert").get_by_text("NOT kept")).to_be_visible()
    stop = page.get_by_role("button", name="STOP", exact=True)
    stop.click()
    expect(page.get_by_text("This phone could not keep the STOP")).to_be_visible()
    expect(stop).to_be_enabled()
    page.context.set_offline(False)
    stop.click()
    page.get_by_text("Nothing more is driven until the engineer decides").wait_for()
    assert Stop.objects.get().by == ready["driver"]
    assert Run.objects.get().counts


def test_a_photo_that_cannot_be_stored_doubles_no_run(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    page.evaluate(
        """() => {
            const add = dayStore.add;
            dayStore.add = (entry) => (entry.kind === "photo" ? Promise.reject(new Error("full")) : add(entry));
        }"""
    )
    enter(page, 80, picture=large_photo())
    expect(page.get_by_role("alert").get_by_text("The photo is NOT kept")).to_be_visible()
    sent(page)
    page.reload()
    assert not page.get_by_text("What you had typed is still here").count()
    assert Run.objects.count() == 1


def test_a_photo_that_is_refused_stays_with_the_reason(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    enter(page, 80, picture={"name": "a.heic", "mimeType": "image/heic", "buffer": b"no picture of any kind"})
    expect(page.get_by_text("is not taken")).to_be_visible()
    expect(page.get_by_text("allowed kind")).to_be_visible()
    assert Run.objects.get().counts and not RunPhoto.objects.exists()
    page.goto(f"/day-sheets/{ready['day'].pk}/")
    page.get_by_role("button", name="Throw it away").click()
    sent(page)
    page.evaluate("""async () => {
        const run = await daySync.add("run", { mass: "tm1" });
        await daySync.add("photo", { run, blob: new Blob(["x"]) });
        daySync.send();
    }""")
    expect(page.get_by_text("is not taken: its run was kept aside and has no number.")).to_be_visible()
    expect(page.get_by_text("kept aside for the engineer, not on the sheet. Speed aimed at")).to_be_visible()


def test_two_phones_and_one_run_lose_neither_entry(open_page, ready):
    first = phone(open_page, ready["driver"], ready["day"])
    second = phone(open_page, ready["engineer"], ready["day"])
    for page in (first, second):
        page.context.set_offline(True)
    enter(first, 80)
    enter(second, 80, outcome="cones", cones=(2,))
    for page in (first, second):
        page.context.set_offline(False)
        sent(page)
    one, other = Run.objects.order_by("number")
    assert other.contests == one
    step = ladder.progress_of(fresh(ready["day"]))[0]
    assert step.stopped and "two phones" in step.reason

    second.goto(f"/day-sheets/{ready['day'].pk}/")
    second.get_by_role("link", name="Settle").click()
    second.get_by_label("is right, strike out run 1").check()
    second.get_by_label("Reason*").fill("I stood at the cone.")
    second.get_by_role("button", name="Settle it").click()
    second.wait_for_load_state()
    assert StruckRun.objects.get().run == one
    assert ladder.progress_of(fresh(ready["day"]))[0].next_kmh == 80


def test_a_phone_that_did_not_hear_of_a_failure_opens_nothing(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    enter(page, 80)
    sent(page)
    page.context.set_offline(True)
    device = page.evaluate("dayStore.device()")
    drive(ready["day"], by=ready["engineer"], aimed=80, outcome="cones", cones_moved=1, device=device)
    enter(page, 90)
    page.context.set_offline(False)
    sent(page)
    late = Run.objects.order_by("number").last()
    assert not late.counts and "90 km/h is not open" in late.not_counting_because
    page.goto(f"/day-sheets/{ready['day'].pk}/")
    word = page.locator("[data-aside]").get_by_text("90 km/h is not open")
    expect(word).to_be_visible()
    page.get_by_role("button", name="I have read this").click()
    expect(word).to_be_hidden()


def test_the_engineer_decides_how_to_go_on_without_reception(open_page, ready):
    page = phone(open_page, ready["engineer"], ready["day"])
    page.context.set_offline(True)
    enter(page, 80, measured=86)
    expect(page.get_by_text("86 km/h were driven with 80 km/h aimed at; stop")).to_be_visible()
    sheet = f"/day-sheets/{ready['day'].pk}/"
    page.goto(sheet)
    page.get_by_role("link", name="Decide how to go on").first.click()
    expect(page.get_by_text("86 km/h were driven")).to_be_visible()
    page.get_by_label("Reason*").fill("Cruise control was set wrongly")
    page.get_by_role("button", name="Go on at this mass").click()
    expect(page.get_by_text("On this phone the climb goes on at this mass")).to_be_visible()
    page.goto(f"{sheet}runs/add/?mass=tm1")
    enter(page, 80)
    assert offered(page)[0] == "90 km/h"
    page.context.set_offline(False)
    sent(page)
    assert Release.objects.get().decided_at < Release.objects.get().at
    assert [run.counts for run in Run.objects.order_by("number")] == [True, True]
    assert ladder.progress_of(fresh(ready["day"]))[0].next_kmh == 90


def test_undo_without_reception(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    page.context.set_offline(True)
    enter(page, 80, measured=86)
    expect(page.get_by_text("86 km/h were driven with 80 km/h aimed at; stop")).to_be_visible()
    page.goto(f"/day-sheets/{ready['day'].pk}/runs/add/?mass=tm1")
    page.get_by_role("button", name="Undo this run").click()
    page.get_by_text("Undone.").wait_for()
    assert offered(page)[0] == "80 km/h"
    page.context.set_offline(False)
    sent(page)
    assert StruckRun.objects.get().run == Run.objects.get()


def test_checks_loading_and_the_drivers_word_without_reception(open_page, crew):
    page = phone(open_page, crew["driver"], crew["day"])
    page.goto(f"/day-sheets/{crew['day'].pk}/")
    page.context.set_offline(True)
    form = page.locator("form.checks")
    for box in form.get_by_role("checkbox").all():
        box.check()
    for note in form.locator("[data-must-with]").all():
        note.fill("no. 7, calibrated until 30/06/2027")
    form.get_by_role("button").click()
    expect(form.get_by_role("checkbox").first).to_be_disabled()
    loading, runs = f"/day-sheets/{crew['day'].pk}/load/tm1/", f"/day-sheets/{crew['day'].pk}/runs/add/?mass=tm1"
    page.goto(loading)
    page.get_by_role("button", name="Record this loading").click()
    page.get_by_text("This is not the test mass: the restraint is not confirmed").wait_for()
    page.goto(runs)
    page.get_by_label("Test Mass 1", exact=True).check()
    expect(page.get_by_text("Runs wait for: The loading is not Test Mass 1")).to_be_visible()
    page.goto(loading)
    page.get_by_label("Everything aboard is restrained").check()
    page.get_by_role("button", name="Record this loading").click()
    page.get_by_text("It is sent when there is reception").wait_for()
    page.goto(runs)
    page.get_by_label("Test Mass 2", exact=True).check()
    expect(page.get_by_text("The vehicle is loaded to Test Mass 1: load it to Test Mass 2")).to_be_visible()
    enter(page, 80)
    page.goto(f"/day-sheets/{crew['day'].pk}/")
    expect(page.get_by_role("link", name="Record a run: 90 km/h or below")).to_be_visible()
    expect(page.get_by_role("button", name="Undo this run")).to_be_visible()
    page.goto(f"/day-sheets/{crew['day'].pk}/statement/")
    page.get_by_label("Yes, it is safe to drive").check()
    page.get_by_role("button", name="Sign", exact=True).click()
    expect(page.get_by_text("Test Mass 2, confidence as a whole: rate from 10 to 1.")).to_be_visible()
    page.get_by_label("No, it is not safe to drive").check()
    page.get_by_label("Remark", exact=True).fill("Wanders under brakes")
    page.get_by_label("Your name, typed*").fill(crew["day"].booking.driver.name)
    page.get_by_role("button", name="Sign", exact=True).click()
    page.get_by_text("It is sent when there is reception").wait_for()
    page.context.set_offline(False)
    page.wait_for_url(f"**/day-sheets/{crew['day'].pk}/")
    sent(page)
    signed = DriverStatement.objects.get()
    assert not signed.safe and signed.signed_at < signed.at
    assert Check.objects.count() > 10 and not KeptEntry.objects.exists()
    assert list(Loading.objects.values_list("met", flat=True)) == [False, True]
    assert Run.objects.get().counts, Run.objects.get().not_counting_because


def test_what_is_being_typed_survives_a_killed_tab(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    context = page.context
    context.set_offline(True)
    page.get_by_label("Test Mass 1", exact=True).check()
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Speed aimed at*").select_option("70")
    page.close()
    page = context.new_page()
    page.goto(f"/day-sheets/{ready['day'].pk}/runs/add/?mass=tm1")
    expect(page.get_by_text("What you had typed is still here.")).to_be_visible()
    assert page.get_by_label("Speed aimed at*").input_value() == "70"
    page.goto(f"/day-sheets/{ready['day'].pk}/runs/add/?mass=tm2")
    assert page.get_by_label("Test Mass 2", exact=True).is_checked() and page.get_by_label("Wind now").is_hidden()
    expect(page.get_by_text("What you had typed is still here.")).to_be_hidden()


def test_the_next_person_on_the_device_sends_nothing_of_the_one_before(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    entry = {"day": ready["day"].pk, "user": ready["engineer"].pk, "kind": "run", "sent_as": "x", "data": {}}
    page.evaluate("entry => dayStore.add(entry)", entry)
    page.reload()
    page.get_by_text("1 of other days or other people").wait_for()
    assert not Run.objects.exists() and not KeptEntry.objects.exists()
    assert page.evaluate("dayStore.entries().then((all) => all.length)") == 1


def test_the_run_screen_is_seen(open_page, ready, look):
    load(ready["day"], by=ready["engineer"], mass="tm1")
    page = phone(open_page, ready["driver"], ready["day"])
    look(page, "run-screen")
    page.get_by_label("Test Mass 1", exact=True).check()
    page.get_by_role("button", name="Next").click()
    look(page, "run-speed")


def test_the_phone_judges_a_loading_as_the_server_does(open_page, ready):
    page = phone(open_page, ready["driver"], ready["day"])
    day, rng = ready["day"], random.Random(20261126)
    for _ in range(60):
        mass = rng.choice(["tm1", "tm2"])
        target, lowest, highest = loading.limits(day, mass)
        places = {
            item.key: round(item.kg + rng.choice([0, 0, 0, 9.9, 10.4, -10.4, 40]), 1)
            for item in loading.plan(day, mass)
        }
        front = rng.choice([None, round(target / 2, 1), 2600.5])
        rear = front and rng.choice(
            [round(target - front, 1), round(lowest - front + 0.1, 1), round(highest - front + 0.2, 1)]
        )
        said = {"places": places, "front_kg": front, "rear_kg": rear, "restrained": rng.random() > 0.3}
        data = {f"place_{key}": f"{kg:,.1f}" for key, kg in places.items()}
        data |= {
            "mass": mass,
            "front_kg": f"{front or ''}",
            "rear_kg": f"{rear or ''}",
            "restrained": "on" * said["restrained"],
        }
        axles = {"front": rng.choice([None, 1200.0, 1480.5]), "rear": rng.choice([None, 1456.9, 1900.0])}
        day.work_up["masses"]["axles"] = {axle: {f"{mass}_kg": kg} for axle, kg in axles.items()}
        judged = page.evaluate(
            """([data, axles]) => {
                const mass = daySync.state().masses.find((one) => one.mass === data.mass);
                return dayLoading.reasons({ ...mass, load: { ...mass.load, axles } }, data);
            }""",
            [data, axles],
        )
        assert judged == list(loading.judge(day, mass=mass, **said).reasons), said


def test_the_phones_ladder_is_the_ladder_of_the_calculation_module(open_page, ready):
    """Both answer alike on random histories: next speed, passed, stopped, and the reason word for word."""
    page = phone(open_page, ready["driver"], ready["day"])
    rng = random.Random(20261202)
    for _ in range(400):
        runs = [
            {
                "mass": rng.choice(["tm1", "tm1", "tm2"]),
                "aimed": (aimed := rng.choice([50, 60, 70, 80, 80, 90, 90, 100, 110])),
                "measured": rng.choice([aimed + 0.5, aimed + 0.5, aimed - 1, aimed - 17.3, aimed + 5.5, 2, None]),
                "outcome": rng.choice(["clean", "clean", "clean", "cones", "aborted"]),
                "counts": rng.random() > 0.1,
            }
            for _ in range(rng.randrange(14))
        ]
        releases = sorted(rng.sample(range(len(runs) + 1), rng.randrange(min(3, len(runs) + 1))))
        asked = {"ladder": LADDER, "runs": runs, "mass": "tm1", "failures": 3, "releases": releases}
        said = page.evaluate("asked => dayLadder.progress(asked)", asked)
        records = [
            RunRecord(mass=r["mass"], aimed_kmh=r["aimed"], measured_kmh=r["measured"], outcome=r["outcome"],
                      counts=r["counts"])
            for r in runs
        ]  # fmt: skip
        step = progress(ladder=LADDER, runs=records, mass="tm1", failures_allowed=3, releases=releases)
        assert said == {
            "mass": "tm1", "next": step.next_kmh, "passed": step.passed, "stopped": step.stopped, "reason": step.reason,
            "cautions": list(step.cautions),
        }, runs  # fmt: skip
