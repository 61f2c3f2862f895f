"""Compute the whole work-up of one case file, without a database."""

import json
import os
import sys
from contextlib import contextmanager
from pathlib import Path

from django.core.management.base import BaseCommand

from vehicles.calculations.case_file import read_case_text
from vehicles.calculations.errors import CaseError
from vehicles.calculations.sheet import sheet
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
            case = read_case_text(self.read(options["case"]))
        except CaseError as error:
            for problem in error.problems:
                self.stderr.write(str(problem), style_func=str)
            sys.exit(2)
        with result_alone(self.stdout) as out:
            done = work_up(case, rules=rule_set(case.jurisdiction), prices=price_book(), stock=ballast_stock())
            if options["format"] == "json":
                text = json.dumps(done.as_dict(), indent=2, ensure_ascii=False, allow_nan=False)
            else:
                text = sheet(done)
            out.write(f"{text}\n")

    def read(self, name):
        """The bytes of the file, or of standard input."""
        if name == "-":
            return sys.stdin.buffer.read()
        try:
            return Path(name).read_bytes()
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            self.stderr.write(f"{name}: cannot be read ({reason}), a case file in JSON or - is needed", style_func=str)
            sys.exit(2)
