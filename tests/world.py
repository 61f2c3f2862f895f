"""The demo as a world to walk through: for each parameter of an address, something that exists in it."""

import uuid

from django.core.files.base import ContentFile
from django.core.management import call_command
from django.urls import reverse

from certificates.models import Certificate
from jobs.models import Job, User
from testing.models import (
    BallastStock,
    CalendarFeed,
    CrewMember,
    Instrument,
    InsuranceCover,
    RuleSetEdition,
    SignedTriage,
    Site,
    TestDay,
)
from testing.testday import offline
from testing.testday.models import LogFile, LoggedPass, Run, RunPhoto
from testing.triage import drafting
from tests import owner_world, register_world
from vehicles.models import Document, Modification


def build():
    """Load the demo and name one thing of each kind."""
    call_command("load_demo", verbosity=0)
    closed = Job.objects.get(certificate__isnull=False)
    day = TestDay.objects.order_by("pk").last()
    job = day.booking.job
    edition = RuleSetEdition.objects.get(key="NSW-2016-11")
    draft = drafting.start(by=User.objects.get(username="admin"), edition=edition)
    return {
        "job": {"number": job.number},
        "token": {"token": closed.owner_token},
        "paper": {"token": closed.owner_token, "key": "certificate"},
        "own document": {"number": job.number, "pk": _paper_of(job).pk},
        "old file": {"kind": "job", "pk": closed.pk},
        "document": {"number": closed.number, "pk": Document.objects.filter(vehicle=closed.vehicle).first().pk},
        "modification": {"number": job.number, "pk": Modification.objects.filter(vehicle=job.vehicle).first().pk},
        "kind": {"number": job.number, "kind": "body_lift"},
        "step": {"number": job.number, "step": "triage"},
        "code": {"number": job.number, "code": "LT2"},
        "signed": {"number": job.number, "pk": SignedTriage.objects.filter(job=job).first().pk},
        "site": {"pk": Site.objects.first().pk},
        "crew": {"pk": CrewMember.objects.first().pk},
        "blackout": {"pk": Site.objects.first().pk, "blackout": 1},
        "barred": {"pk": CrewMember.objects.first().pk, "barred": 1},
        "instrument": {"pk": _calibrated().pk},
        "ballast": {"pk": BallastStock.objects.first().pk},
        "feed": {"token": CalendarFeed.objects.create(user=User.objects.get(username="engineer")).token},
        "cover": {"number": job.number, "pk": InsuranceCover.objects.filter(job=job).first().pk},
        "day": {"pk": day.pk},
        "run": {"pk": TestDay.objects.first().pk, "number": 1},
        "mass": {"pk": day.pk, "mass": "tm1"},
        "exception": {"pk": day.pk, "key": "tilt_meter"},
        "kept entry": {"pk": day.pk, "about": "entry", "key": _kept_entry(day).pk},
        "run photo": {"pk": day.pk, "number": _run_photo(day).pk},
        "logged pass": {"pk": day.pk, "number": _logged_pass(day).pk},
        "measured": {"number": job.number, "kind": "brake"},
        "certificate": {"number": Certificate.objects.first().number},
        "edition": {"key": edition.key},
        "draft": {"pk": draft.pk},
        "draft number": {"pk": draft.pk, "name": "seat.luggage_kg"},
        **owner_world.things(job),
        **register_world.things(Certificate.objects.first()),
        "none": {},
    }


def _paper_of(job):
    """A paper of an open job: one of a closed file cannot be set aside."""
    return Document.objects.create(
        vehicle=job.vehicle, kind="paper", caption="Receipt", content_type="application/pdf", sha256="0" * 64,
        original_name="receipt.pdf", file=ContentFile(b"%PDF-1.4", name="receipt"),
    )  # fmt: skip


def _calibrated():
    """An instrument with the paper of its calibration."""
    instrument = Instrument.objects.first()
    instrument.document_type = "application/pdf"
    instrument.document.save("calibration.pdf", ContentFile(b"%PDF-1.4"))
    return instrument


def _kept_entry(day):
    entry = {"kind": "telegram", "sent_as": str(uuid.uuid4()), "data": {}}
    offline.take_all(day=day, by=day.opened_by, sent={"entries": [entry]})
    return day.kept_entries.get()


def _run_photo(day):
    """A run of a day to come cannot be driven through the services; what is asked here is who may see its photo."""
    run = Run.objects.create(
        day=day, number=1, mass="tm1", aimed_kmh=80, outcome="clean", surface="dry", counts=False,
        not_counting_because="Entered for the walk through the world", sent_as=uuid.uuid4(), by=day.opened_by,
    )  # fmt: skip
    picture = ContentFile(b"picture", name="run.png")
    return RunPhoto.objects.create(
        run=run, file=picture, content_type="image/png", sha256="0" * 64, sent_as=uuid.uuid4(), by=day.opened_by
    )


def _logged_pass(day):
    log = LogFile.objects.create(
        day=day, instrument="Logger", original_name="runs.csv", kind="csv", file=ContentFile(b"t", name="log"),
        sha256="0" * 64, by=day.opened_by,
    )  # fmt: skip
    return LoggedPass.objects.create(log=log, number=1, found={"entry_kmh": 80.2, "cautions": []}, by=day.opened_by)


# Which of the world's things an address takes; what is not named here takes a job's number.
TAKES = {
    "none": [
        *(
            "home",
            "login",
            "logout",
            "own_password",
            "health",
            "jobs:book",
            "jobs:book_in",
            "jobs:keep_draft",
            "jobs:forget_draft",
        ),
        *(
            "testing:find",
            "testing:take",
            "testing:offer",
            "testing:new_feed",
            "testing:add_instrument",
            "testing:add_ballast",
        ),
        *("jobs:returning", "jobs:keep_view", "jobs:remove_view"),
        *("testing:planner", "testing:add_site", "testing:add_crew_member", "testing:my_days"),
        "testing:day_sheet_worker",
        *("testing:rules", "testing:bring_in_draft"),
    ],
    "token": ["jobs:owner_page"],
    "paper": ["jobs:owner_paper"],
    "document": ["jobs:document"],
    "own document": ["jobs:set_aside", "jobs:bring_back"],
    "modification": ["jobs:edit_modification", "jobs:remove_modification"],
    "kind": ["jobs:add_modification"],
    "step": ["jobs:send_back"],
    "code": ["testing:decide"],
    "signed": ["testing:signed_triage"],
    "site": [
        *("testing:site", "testing:forecast", "testing:enter_forecast", "testing:upload_forecast"),
        *("testing:explain_columns", "testing:fetch_forecast", "testing:past_weather", "testing:site_blackouts"),
    ],
    "crew": ["testing:crew_member", "testing:barred_owners"],
    "blackout": ["testing:remove_blackout"],
    "barred": ["testing:remove_barred"],
    "instrument": ["testing:instrument", "testing:calibration"],
    "ballast": ["testing:ballast"],
    "feed": ["testing:feed"],
    "cover": ["testing:remove_cover"],
    "day": [
        *("testing:day_sheet", "testing:confirm_checks", "testing:add_run", "testing:sign_statement"),
        *("testing:stop", "testing:roll_limit", "testing:countersign", "testing:sync"),
        *("testing:logs", "testing:log_columns", "testing:log_passes"),
    ],
    "run": ["testing:strike_run", "testing:undo_run", "testing:correct_run", "testing:add_run_photo"],
    "mass": ["testing:go_on", "testing:load"],
    "exception": ["testing:accept_exception", "testing:take_back_check"],
    "kept entry": ["testing:settle"],
    "run photo": ["testing:run_photo"],
    "measured": ["testing:measurement"],
    "logged pass": ["testing:logged_pass"],
    "edition": ["testing:edition", "testing:export_edition", "testing:check_edition", "testing:start_draft"],
    "draft": [
        *("testing:rule_draft", "testing:draft_head", "testing:draft_effect", "testing:publish_draft"),
        *("testing:discard_draft", "testing:export_draft"),
    ],
    "draft number": ["testing:draft_number", "testing:remove_number"],
}


def url_of(name, world):
    both = (*TAKES.items(), *owner_world.TAKES.items(), *register_world.TAKES.items())
    takes = next((key for key, names in both if name in names), "job")
    return reverse(name, kwargs=world[takes])
