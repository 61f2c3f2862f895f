"""A file of hours whose columns nobody has explained yet: kept, explained once, remembered."""

from django.db import transaction

from testing.models import WaitingFile, WeatherColumns
from testing.scheduling import climate, keeping
from testing.scheduling.forecast_forms import signature


def keep_waiting(*, site, user, form):
    """Keep the file of a form until its columns are explained; the latest of a person and site replaces the earlier."""
    facts = {
        "name": form.origin,
        "text": form.waiting,
        "past": form.past,
        "unit": form.cleaned_data["unit"],
    }
    waiting, _ = WaitingFile.objects.update_or_create(site=site, user=user, defaults=facts)
    return waiting


@transaction.atomic
def explained(*, site, user, waiting, form):
    """Remember what the columns are and take the file."""
    cleaned = form.cleaned_data
    WeatherColumns.objects.update_or_create(
        header=signature(form.names),
        defaults={
            "names": form.names,
            "columns": form.columns(cleaned),
            "unit": cleaned["unit"],
            "rain_unit": cleaned["rain_unit"],
            "times": cleaned["times"],
            "clock": cleaned["clock"],
            "made_by": user,
        },
    )
    waiting.delete()
    return keep(site=site, readings=cleaned["readings"], past=waiting.past, origin=waiting.name, by=user)


def keep(*, site, readings, past, origin, by):
    """Keep hours as a forecast or as the past of the site."""
    if past:
        return climate.store_past(site=site, readings=readings)
    return keeping.store(site=site, readings=readings, origin=origin, by=by)
