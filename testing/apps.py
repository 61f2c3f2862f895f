from django.apps import AppConfig
from django.db.models.signals import post_migrate


class TestingConfig(AppConfig):
    name = "testing"

    role_permissions = {
        "desk": ["view_triage", "view_schedule"],
        "engineer": [
            "view_triage",
            "sign_triage",
            "view_schedule",
            "schedule",
            "run_test_day",
            "view_test_day",
        ],
        "driver": ["drive"],
        "owner": [],
        "auditor": ["view_triage", "view_schedule", "view_test_day"],
        "admin": ["view_triage", "keep_rules", "view_schedule", "view_test_day"],
    }

    def ready(self):
        from jobs import arrivals, coming_in, endings, landing, outbox, owner_page, steps
        from jobs.overview import figures
        from jobs.retention import kinds
        from testing import estimate, overview
        from testing.scheduling import bookings, offered, sheet
        from testing.scheduling.arrivals import booked
        from testing.scheduling.step import STEP as SCHEDULING
        from testing.testday.step import STEP as TEST_DAY
        from testing.triage import decision
        from testing.triage.editions import load_editions
        from testing.triage.step import STEP as TRIAGE

        for step in (TRIAGE, SCHEDULING, TEST_DAY):
            steps.register(step)
        arrivals.register(booked)
        owner_page.register_scope(estimate.scope_for)
        owner_page.register_papers(sheet.papers)
        owner_page.register_mornings(offered.mornings)
        coming_in.register(decision.rules_fixed)
        endings.register(let_go=bookings.let_go)
        kinds.register_for_good("triage, bookings, test days with runs, photos and logs")
        for kind in ("test_booked", "test_moved"):
            outbox.attach_when_sending(kind, sheet.attachments)
        figures.register("first-time-passes", overview.first_time_passes)
        figures.register("postponements", overview.postponements)
        landing.register("jobs.view_job", "jobs:book")
        landing.register("testing.drive", "testing:my_days")
        post_migrate.connect(load_editions, sender=self, dispatch_uid="testing.load_editions")
