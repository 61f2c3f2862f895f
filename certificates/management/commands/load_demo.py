"""Load the demo: a made-up workshop with a job at every step."""

import json

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import transaction
from django.db.models import F

from certificates.demo import people, signing_key, story
from jobs.models import Job, OutboxMessage, User

SCENARIO = settings.BASE_DIR / "fixtures" / "demo" / "scenario.json"


class Command(BaseCommand):
    help = "Loads the demo scenario into an empty database and says how to sign in. Safe to run again."

    def handle(self, **options):
        scenario = json.loads(SCENARIO.read_text(encoding="utf-8"))
        names = {person["username"] for person in scenario["people"]}
        if not User.objects.exists() and not Job.objects.exists():
            self.load(scenario)
        elif not names <= set(User.objects.values_list("username", flat=True)):
            # Well-known passwords have no place among real people.
            self.stdout.write("This database holds people already; the demo adds nobody and nothing.")
            return
        self.stdout.write("Sign in as:")
        for line in people.sign_ins(scenario):
            self.stdout.write(line)
        self.stdout.write(
            f"Certificates are signed with a self-made demo key; its passphrase is {scenario['password']} too."
        )
        for job in Job.objects.filter(owner__user__username="owner")[:1]:
            self.stdout.write(f"The owner's page needs no account: /owner/{job.owner_token}/")

    @transaction.atomic
    def load(self, scenario):
        people.add(scenario)
        for signatory in User.objects.exclude(authority_number=""):
            signing_key.make(signatory, secret=scenario["password"])
        story.add_forecast(scenario)
        story.add_past(scenario)
        for spec in scenario["jobs"]:
            self.stdout.write(f"  {spec['vehicle']}: {spec['story']}")
            story.Story(scenario, spec).tell()
        # What the story wrote in its past left then; only what is written from now on waits for the mail server.
        OutboxMessage.objects.update(state=OutboxMessage.State.SENT, sent_at=F("written_at"))
