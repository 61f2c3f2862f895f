"""The job book over a long life: 200,000 jobs, 2,000 of them open, beside a young book and Django's own list."""

import pytest
from django.contrib import admin
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import path

from config.urls import urlpatterns as ours
from jobs import lines
from jobs.models import BookLine, Job, Owner
from jobs.views.book import PER_PAGE
from tests.benchmarks.clock import best_of, side_by_side
from tests.factories import JobFactory, UserFactory
from vehicles.models import Vehicle

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db, pytest.mark.urls(__name__)]

YOUNG, OPEN, ALL = 200, 2_000, 200_000
ROUNDS = 5


class PlainList(admin.ModelAdmin):
    """Django's change list as the documentation sets it up: the same columns, search and page, joined in one query."""

    list_display = ("number", "vehicle", "owner", "stage", "stage_since")
    list_select_related = ("vehicle", "owner")
    list_filter = ("stage",)
    list_per_page = PER_PAGE
    ordering = ("stage", "stage_since")
    search_fields = ("number", "vehicle__plate", "vehicle__vin", "owner__name", "owner__phone")


plain = admin.AdminSite(name="plain")
plain.register(Job, PlainList)
urlpatterns = [path("plain/", plain.urls), *ours]


def multiply(row, numbers, **changed):
    """Copies of a row inside the database; ``changed`` gives the columns that differ, in terms of n.n."""
    first, last = numbers
    columns = [field.column for field in row._meta.concrete_fields]
    quoted = ", ".join(map(connection.ops.quote_name, columns))
    picked = ", ".join(changed.get(column, f"t.{connection.ops.quote_name(column)}") for column in columns)
    table, key = row._meta.db_table, row._meta.pk.column
    counting = f"WITH RECURSIVE n(n) AS (SELECT {first} UNION ALL SELECT n + 1 FROM n WHERE n < {last})"  # noqa: S608
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} ({quoted}) SELECT {picked} FROM {table} t, ({counting} SELECT n FROM n) n "  # noqa: S608
            f"WHERE t.{key} = {row.pk}"
        )


def grow(template, numbers, *, stage, actor):
    """That many jobs more, each with a vehicle, an owner and a line of its own."""
    key = "n.n"
    multiply(template.vehicle, numbers, id=key, plate="'P' || n.n", vin="'6T1' || (10000000000000 + n.n)")
    multiply(template.owner, numbers, id=key, name="'Olive Owner ' || n.n", phone="'0491 5' || n.n")
    multiply(template, numbers, id=key, number="'J' || n.n", vehicle_id=key, owner_id=key, stage=f"'{stage}'")
    search = "'j' || n.n || ' p' || n.n || ' 6t1' || (10000000000000 + n.n) || ' banksia tourer olive owner'"
    multiply(template.line, numbers, job_id=key, actor=actor, search=search)


def settle():
    """What a database does by itself in the night."""
    with connection.cursor() as cursor:
        for model in (Job, BookLine, Vehicle, Owner):
            cursor.execute(f"ANALYZE {model._meta.db_table}")


def test_a_long_life_costs_next_to_nothing_and_the_book_is_three_times_faster_than_the_admin(db):
    desk = UserFactory(roles=["desk", "engineer"], is_staff=True, is_superuser=True)
    client = Client()
    client.force_login(desk)
    template = JobFactory()
    lines.work_out(template.pk)
    template = Job.objects.with_people().select_related("line").get(pk=template.pk)

    first = 1_000_000
    actors = "1 + n.n % 5"
    grow(template, (first, first + YOUNG // 2 - 1), stage="triage", actor=actors)
    grow(template, (first + YOUNG // 2, first + YOUNG - 1), stage="done", actor="9")
    settle()

    def book(**asked):
        response = client.get("/jobs/", asked)
        assert len(response.context["lines"]) == min(asked.pop("shows", PER_PAGE), PER_PAGE)

    def pages(show):
        show()
        show(q="olive p1000")
        show(late="1")

    def queries():
        with CaptureQueriesContext(connection) as seen:
            client.get("/jobs/")
        return len(seen)

    BookLine.objects.filter(actor__lt=9).update(due_at="2020-01-01T00:00:00Z")
    young, young_queries = best_of(lambda: pages(book), rounds=ROUNDS), queries()

    grow(template, (first + YOUNG, first + ALL - OPEN - 1), stage="done", actor="9")
    grow(template, (first + ALL - OPEN, first + ALL - 1), stage="triage", actor=actors)
    settle()
    assert Job.objects.count() >= ALL
    assert BookLine.objects.filter(actor__lt=9).count() >= OPEN
    BookLine.objects.filter(actor__lt=9).update(due_at="2020-01-01T00:00:00Z")

    def plain_list(**asked):
        assert client.get("/plain/jobs/job/", {"q": asked["q"]} if "q" in asked else {}).status_code == 200

    old, theirs = side_by_side(lambda: pages(book), lambda: pages(plain_list), rounds=ROUNDS)
    told = f"young {young:.4f} s, old {old:.4f} s ({old / young:.2f} ×), admin {theirs:.4f} s ({theirs / old:.1f} ×)"
    print(told)
    assert queries() == young_queries
    assert old <= 1.5 * young, told
    assert theirs >= 3 * old, told
