"""The named cast and the things they work with. No real person, workshop or vehicle."""

from datetime import date, time, timedelta

import factory
from django.contrib.auth.models import Group
from django.db import transaction
from django.utils import timezone

from jobs.models import BookLine, Counter, Job, Owner, OwnerLink, User
from testing.models import CrewMember, InsuranceCover, Site
from vehicles.models import Modification, Vehicle

PASSWORD = "only-for-tests-4711"


class UserFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    first_name = "Pat"
    last_name = factory.Sequence(lambda n: f"Tester {n}")
    password = factory.django.Password(PASSWORD)

    @factory.post_generation
    def roles(user, create, names):
        for name in names or ():
            user.groups.add(Group.objects.get(name=name))


class OwnerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Owner

    name = factory.Sequence(lambda n: f"Olive Owner {n}")
    phone = "0491 570 006"
    email = factory.Sequence(lambda n: f"owner{n}@example.com")


class VehicleFactory(factory.django.DjangoModelFactory):
    """The four-wheel drive of the work-up's example: complete, so nothing is undecided but the height of its mass."""

    class Meta:
        model = Vehicle

    make = "Banksia"
    model = "Tourer"
    built_year = 2019
    vin = factory.Sequence(lambda n: f"6T1BANKS1A0{n:06d}")
    plate = factory.Sequence(lambda n: f"TST{n:03d}")
    plate_state = "NSW"
    adr_category = "MC"
    gvm_kg = 2950.0
    seats = 5
    empty_mass_kg = 2165.0
    front_axle_kg = 1150.0
    rear_axle_kg = 1015.0
    front_axle_rating_kg = 1480.0
    rear_axle_rating_kg = 1780.0
    overall_width_mm = 1885.0
    overall_length_mm = 4825.0
    wheelbase_mm = 2790.0
    front_overhang_mm = 900.0
    track_front_mm = 1585.0
    track_rear_mm = 1585.0
    overall_height_mm = 1895.0
    fuel = "diesel"
    fuel_tank_l = 87.0
    fuel_level = 0.4
    tyre = "265/65R17"
    esc = True
    market_value_aud = 38000


class ModificationFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Modification

    kind = "suspension_lift"
    values = factory.LazyFunction(lambda: {"front_mm": 50.0, "rear_mm": 50.0})
    vehicle = factory.SubFactory(VehicleFactory)


def _next_number():
    # Numbers are taken inside a transaction, wherever the test stands.
    with transaction.atomic():
        return f"J2026-{Counter.next('job 2026'):04d}"


class JobFactory(factory.django.DjangoModelFactory):
    """A lift with larger tyres, registered in NSW: 77.25 mm, so a lane-change test is due."""

    class Meta:
        model = Job
        skip_postgeneration_save = True

    number = factory.LazyFunction(_next_number)
    vehicle = factory.SubFactory(VehicleFactory)
    owner = factory.SubFactory(OwnerFactory)
    jurisdiction = "NSW"

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        """As `services.open_job` leaves a job: with its line in the book and its owner's link."""
        job = super()._create(model_class, *args, **kwargs)
        BookLine.objects.create(job=job)
        OwnerLink.objects.create(job=job)
        return job

    @factory.post_generation
    def modifications(job, create, given):
        if given is None:
            given = [
                ("suspension_lift", {"front_mm": 50.0, "rear_mm": 50.0}),
                ("tyre_change", {"to": "285/70R17"}),
            ]
        for kind, values in given:
            ModificationFactory(vehicle=job.vehicle, kind=kind, values=values)


class SiteFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Site

    name = factory.Sequence(lambda n: f"Saltbush airstrip {n}")
    place = "Near Saltbush"
    time_zone = "Australia/Sydney"
    length_m = 1400
    width_m = 30
    opens = time(6)
    closes = time(18)
    surface = "sealed, level"
    hire_aud = 480


class CrewMemberFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = CrewMember

    name = factory.Sequence(lambda n: f"Dana Driver {n}")
    drives = True
    skill_evidence = "Twelve years of road testing"
    evidence_valid_to = factory.LazyFunction(lambda: timezone.localdate() + timedelta(days=400))
    mass_kg = 80.0


class CoverFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = InsuranceCover

    arranged_by = "engineer"
    reference = "Wattle Mutual 4471"
    sum_aud = 40000
    valid_from = date(2020, 1, 1)
    valid_to = date(2099, 12, 31)
