"""Decide every open job again under a draft or another edition, and say what would change."""

import json
import sys

from django.core.management.base import BaseCommand, CommandError

from testing.models import DraftEdition, RuleSetEdition
from testing.triage.drafting import rule_sets
from testing.triage.effect import CHUNK, effects, open_jobs
from vehicles.calculations.errors import RuleDataError


class Command(BaseCommand):
    help = "Re-triage all open jobs under a draft or an edition of the rules. Changes nothing."

    def add_arguments(self, parser):
        which = parser.add_mutually_exclusive_group(required=True)
        which.add_argument("--draft", type=int, metavar="NUMBER", help="the number of a draft")
        which.add_argument("--edition", metavar="NAME", help="the name of an edition, such as AU-VSB14")
        parser.add_argument("--format", choices=("text", "json"), default="text", help="how to print each change")

    def handle(self, *args, **options):
        tried = self.rules(options)
        jobs = open_jobs(tried)
        self.as_json, self.total = options["format"] == "json", jobs.count()
        changed = sum(self.look_at(jobs, tried))
        self.progress(self.total, end="\n")
        self.stderr.write(f"{self.total:,} open jobs decided again; {changed:,} would change.", style_func=str)

    def rules(self, options):
        if options["edition"]:
            held = RuleSetEdition.objects.filter(key=options["edition"]).first()
        else:
            held = DraftEdition.objects.filter(pk=options["draft"]).first()
        if held is None:
            raise CommandError(f"There is no such draft or edition: {options['edition'] or options['draft']}.")
        try:
            return rule_sets(held.data)
        except RuleDataError as error:
            raise CommandError(f"These rules cannot be used: {error}") from error

    def look_at(self, jobs, tried):
        """Yield 1 for every job that would change; jobs are read in chunks and let go."""
        for number, effect in enumerate(effects(jobs.iterator(chunk_size=CHUNK), tried), start=1):
            if effect:
                self.tell(effect)
                yield 1
            if number % CHUNK == 0 and number < self.total:
                self.progress(number)

    def tell(self, effect):
        if self.as_json:
            changes = [{"line": it.what, "was": it.was, "now": it.now, "why": it.why} for it in effect.changes]
            self.stdout.write(json.dumps({"job": effect.job.number, "changes": changes, "problem": effect.problem}))
            return
        self.stdout.write(f"{effect.job.number} {effect.job.vehicle}")
        for each in effect.changes:
            self.stdout.write(f"  {each}")
        if effect.problem:
            self.stdout.write(f"  cannot be decided: {effect.problem}")

    def progress(self, number, end=""):
        self.stderr.write(f"\r{number:,} of {self.total:,} jobs", ending=end, style_func=str)
        sys.stderr.flush()
