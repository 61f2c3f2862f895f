from pathlib import Path

from django.core.mail import send_mail
from django.core.management.base import BaseCommand

from certificates import head


class Command(BaseCommand):
    help = "Prints the head of the register, to be kept outside; can write it to a file or mail it as well."

    def add_arguments(self, parser):
        parser.add_argument("--file", type=Path, help="write it into this file")
        parser.add_argument("--mail", action="append", default=[], metavar="ADDRESS", help="send it to this address")

    def handle(self, *, file, mail, **options):
        text = head.as_text()
        self.stdout.write(text, ending="")
        if file:
            file.write_text(text, encoding="utf-8")
        if mail:
            send_mail("Head of the certification register", text, None, mail)
            self.stdout.write(f"Sent to {', '.join(mail)}.")
