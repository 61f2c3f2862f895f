from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from certificates import head, papers
from certificates.check import verify_chain
from certificates.models import Certificate


class Command(BaseCommand):
    help = (
        "Checks every seal, its place in the register, what happened afterwards, imports, the search and all PDFs. "
        "Exit 0: all hold. Exit 1: says which not."
    )

    def add_arguments(self, parser):
        parser.add_argument("--no-files", action="store_true", help="leave the PDFs out: the register alone")
        parser.add_argument("--against", type=Path, metavar="FILE", help="a head of the register that was kept outside")

    def handle(self, *, no_files, against, **options):
        problems = 0
        for problem in self._problems(no_files, against):
            self.stdout.write(str(problem))
            problems += 1
        if problems:
            raise CommandError(f"The register does not hold: {problems} found.", returncode=1)
        for name in [] if no_files else papers.strays():
            self.stdout.write(f"Note: {name} belongs to no certificate; an interrupted signature leaves such a file.")
        _, seal = head.head()["certificates"]
        self.stdout.write(f"{Certificate.objects.count()} certificates, every seal holds. The last seal is {seal}.")

    def _problems(self, no_files, against):
        if against:
            yield from head.faults(against.read_text(encoding="utf-8"))
        yield from verify_chain(with_files=not no_files)
