from django.core.management.base import BaseCommand
from django.utils.formats import date_format

from jobs.retention import erasing, rule


class Command(BaseCommand):
    help = "Says what is kept how long and lists the files that are past it; erases them only with --erase."

    def add_arguments(self, parser):
        parser.add_argument("--erase", action="store_true", help="erase what is past its years")

    def handle(self, *, erase, **options):
        for term in rule.terms():
            self.stdout.write(f"{term.what}: {term.long}. {term.why} ({term.source})")
        if erase:
            # Each line stands for an act that is done: whoever stops the command sees how far it came.
            said = [self.stdout.write(self._line(old, gone)) for old, gone in erasing.erase_all()]
            self.stdout.write(f"Files erased: {len(said)}.")
            return
        for old in erasing.old_files():
            self.stdout.write(self._line(old, {**erasing.goes(old), **erasing.stays(old)}))
        self.stdout.write(f"Files past their years: {rule.count()}. --erase erases what goes.")

    def _line(self, old, parts):
        said = ", ".join(f"{what}: {told}" for what, told in parts.items())
        return f"{old.file}, {old.because} on {date_format(old.day)}: {said}"
