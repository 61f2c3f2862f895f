"""The people of the demo, their sites, crew, instruments and ballast."""

from datetime import timedelta

from django.contrib.auth.models import Group
from django.utils import timezone

from jobs.models import Authority, User
from jobs.workshop import settings
from testing.models import BallastStock, CrewMember, Instrument, Site


def sign_ins(scenario):
    """How to sign in as each of the people, one line each."""
    width = max(len(person["username"]) for person in scenario["people"])
    return [
        f"  {person['username']:<{width}}  password {scenario['password']}  {person['as']}"
        for person in scenario["people"]
    ]


def add(scenario):
    """Accounts with the demo's password, sites and crew."""
    for person in scenario["people"]:
        first, _, last = person["name"].partition(" ")
        user = User.objects.create_user(
            person["username"],
            password=scenario["password"],
            first_name=first,
            last_name=last,
            authority_number=person.get("authority", ""),
            is_staff=person.get("staff", False),
        )
        user.groups.set(Group.objects.filter(name__in=person["roles"]))
    _authorities(scenario)
    settings.load_demo()
    for site in scenario["sites"]:
        Site.objects.create(**site)
    for member in scenario["crew"]:
        _crew_member(**member)
    for instrument in scenario["instruments"]:
        _instrument(**instrument)
    for ballast in scenario["ballast"]:
        BallastStock.objects.create(**ballast)


def _authorities(scenario):
    """The workshop's list of who signs where, as the administrator entered it."""
    admin = User.objects.filter(groups__name="admin").first()
    for user in User.objects.exclude(authority_number=""):
        for code in sorted({job["jurisdiction"] for job in scenario["jobs"]}):
            Authority.objects.create(
                user=user,
                jurisdiction=code,
                number=user.authority_number,
                valid_from=_in_days(-700),
                valid_to=_in_days(1100),
                added_by=admin,
            )


def _instrument(*, calibrated_days, valid_days, **facts):
    Instrument.objects.create(calibrated_on=_in_days(calibrated_days), valid_to=_in_days(valid_days), **facts)


def _in_days(number):
    return timezone.localdate() + timedelta(days=number) if number else None


def _crew_member(*, name, drives, username=None, valid_days=None, **facts):
    CrewMember.objects.create(
        name=name,
        drives=drives,
        user=User.objects.filter(username=username).first() if username else None,
        evidence_valid_to=_in_days(valid_days),
        **facts,
    )
