"""Compute the whole work-up of one case file, without a database."""

import json
import os
import sys
from contextlib import contextmanager
from pathlib import Path

from django.core.management.base import BaseCommand

from vehicles.calculations.case_file import read_whole_text
from vehicles.calculations.day import day_for
from vehicles.calculations.errors import CaseError
from vehicles.calculations.log_formats import LogProblem, text_of
from vehicles.calculations.sheet import sheet
from vehicles.calculations.sheet_day import sheet_day
from vehicles.calculations.workup import work_up
from vehicles.reference import ballast_stock, price_book, rule_set

STANDARD_OUTPUT, STANDARD_ERROR = 1, 2


@contextmanager
def result_alone(stream):
    """Standard output for the result alone: what a solver prints by itself goes to standard error."""
    try:
        number = stream.fileno()
    except OSError:
        number = None
    if number != STANDARD_OUTPUT:
        yield stream
        return
    with os.fdopen(os.dup(number), "w", encoding=stream.encoding) as own:
        os.dup2(STANDARD_ERROR, number)
        yield own


class Command(BaseCommand):
    help = "Compute the whole work-up of one case file: category, height, masses, course, speeds, cost."
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("case", metavar="CASE.json", help="the case file, or - for standard input")
        parser.add_argument("--format", choices=("text", "json"), default="text", help="how to print it")

    def handle(self, *args, **options):
        try:
            case, day = read_whole_text(self.read(options["case"]))
            log_text = self.log_of(day, options["case"])
        except CaseError as error:
            for problem in error.problems:
                self.stderr.write(str(problem), style_func=str)
            sys.exit(2)
        except LogProblem as problem:
            self.stderr.write(f"log: {problem}", style_func=str)
            sys.exit(2)
        with result_alone(self.stdout) as out:
            done = work_up(case, rules=rule_set(case.jurisdiction), prices=price_book(), stock=ballast_stock())
            out.write(f"{self.told(done, self.day_of(day, done, log_text), options['format'])}\n")

    def told(self, done, day, format):
        """The work-up as it is printed, and the day below it where the case file says something of it."""
        if format == "json":
            data = done.as_dict() | ({"day": day.as_dict()} if day else {})
            return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)
        return "\n\n".join((sheet(done), *((sheet_day(day),) if day else ())))

    def log_of(self, day, case):
        """The text of the log that a case file names, beside that file."""
        if day.log is None:
            return None
        return text_of(self.read(str(Path("." if case == "-" else case).parent / day.log.file), what="a log as CSV"))

    def day_of(self, day, done, log_text):
        if not day.given:
            return None
        try:
            return day_for(day, done=done, log_text=log_text)
        except LogProblem as problem:
            self.stderr.write(f"log: {problem}", style_func=str)
            sys.exit(2)

    def read(self, name, *, what="a case file in JSON or -"):
        """The bytes of the file, or of standard input."""
        if name == "-":
            return sys.stdin.buffer.read()
        try:
            return Path(name).read_bytes()
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            self.stderr.write(f"{name}: cannot be read ({reason}), {what} is needed", style_func=str)
            sys.exit(2)
