from django.core.management.base import BaseCommand

from certificates import retention


class Command(BaseCommand):
    help = "Says what is kept how long and what is past its term; erases that only with --erase."

    def add_arguments(self, parser):
        parser.add_argument("--erase", action="store_true", help="erase what is past its term")

    def handle(self, *, erase, **options):
        for rule in retention.rules():
            term = "for good" if rule.years is None else f"{rule.years} years after the last certificate"
            self.stdout.write(f"{rule.what}: {term}. {rule.why} ({rule.source})")
        if erase:
            self.stdout.write(f"Contact of {retention.erase()} owners erased.")
        else:
            self.stdout.write(f"{len(retention.due())} jobs with contact past its term; --erase erases it.")
