import csv
from collections import Counter
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from certificates import importing
from certificates.import_rows import COLUMNS
from jobs.models import User


class Command(BaseCommand):
    help = (
        "Imports certificates from before this system from a CSV file and a folder of PDFs. Start with --dry-run: "
        "it says what is wrong with each line and writes nothing. Run again after a crash: what is in is left alone. "
        f"Columns: {', '.join(COLUMNS)}."
    )

    def add_arguments(self, parser):
        parser.add_argument("csv", type=Path)
        parser.add_argument("--pdfs", type=Path, help="the folder in which the PDFs lie that the column pdf names")
        parser.add_argument("--dry-run", action="store_true", help="look at every line and write nothing")
        parser.add_argument("--report", type=Path, help="write what became of each line into this CSV file")
        parser.add_argument("--by", help="the account that imports, by its username")

    def handle(self, *, csv, pdfs, dry_run, report, by, **options):
        person = User.objects.filter(username=by).first()
        if by and person is None:
            raise CommandError(f"“{by}” is no account of this house.")
        outcomes = []
        try:
            for outcome in importing.run(file=csv, pdfs=pdfs, by=person, dry_run=dry_run):
                outcomes.append(outcome)
                if outcome.why:
                    self.stdout.write(f"line {outcome.line}, {outcome.number or 'no number'}: {outcome.why}")
        except (importing.NoCsv, OSError) as trouble:
            raise CommandError(str(trouble)) from trouble
        finally:
            if report:
                _write(report, outcomes)
        counts = Counter(outcome.result for outcome in outcomes)
        self.stdout.write(", ".join(f"{count} {result}" for result, count in sorted(counts.items())) or "no line")
        if counts[importing.REFUSED]:
            raise CommandError("Some lines were refused; mend them and run it again.", returncode=1)


def _write(path, outcomes):
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["line", "number", "result", "why"])
        writer.writerows([one.line, one.number, one.result, one.why] for one in outcomes)
