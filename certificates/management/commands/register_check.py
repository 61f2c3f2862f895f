from django.core.management.base import BaseCommand, CommandError

from certificates.chain import verify_chain
from certificates.models import Certificate


class Command(BaseCommand):
    help = "Checks every seal, its place in the register and both PDFs. Exit 0: all hold. Exit 1: says which not."

    def add_arguments(self, parser):
        parser.add_argument("--no-files", action="store_true", help="leave the PDFs out: the register alone")

    def handle(self, *, no_files, **options):
        problems = 0
        for problem in verify_chain(with_files=not no_files):
            self.stdout.write(str(problem))
            problems += 1
        if problems:
            raise CommandError(f"The register does not hold: {problems} found.", returncode=1)
        last = Certificate.objects.order_by("-position").first()
        head = f" The last seal is {last.seal}." if last else ""
        self.stdout.write(f"{Certificate.objects.count()} certificates, every seal holds.{head}")
