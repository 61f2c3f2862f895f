from django.core.management.base import BaseCommand
from django.db import transaction

from certificates.line_check import rebuild


class Command(BaseCommand):
    help = "Makes the search of the register anew from the sealed records."

    def handle(self, **options):
        with transaction.atomic():
            count = rebuild()
        self.stdout.write(f"{count} lines can be searched.")
