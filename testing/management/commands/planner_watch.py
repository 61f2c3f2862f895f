from django.core.management.base import BaseCommand

from testing.scheduling.watch import watch


class Command(BaseCommand):
    help = (
        "For cron, every quarter of an hour: asks for forecasts, clears holds that ran out, marks bookings at risk, "
        "sends what is due. Safe to run twice, safe to kill."
    )

    def handle(self, **options):
        watch(self.stdout.write)
