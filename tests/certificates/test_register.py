"""certificates:register, where every certificate is found again."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from certificates.models import Certificate
from tests.factories import JobFactory, OwnerFactory

URL = reverse("certificates:register")


def entry(position, *, by, owner="Olive Owner", issued_on=date(2026, 3, 4), **vehicle):
    """A line of the register. Its seal is none: finding is what is tried here."""
    job = JobFactory(owner=OwnerFactory(name=owner), **{f"vehicle__{name}": value for name, value in vehicle.items()})
    return Certificate.objects.create(
        number=f"C2026-{position:04d}",
        position=position,
        job=job,
        record={},
        previous_seal=f"{position - 1:064x}",
        seal=f"{position:064x}",
        plate=job.vehicle.plate,
        vin=job.vehicle.vin,
        owner_name=job.owner.name,
        issued_on=issued_on,
        issued_by=by,
        issued_at=f"{issued_on}T00:00:00Z",
    )


@pytest.fixture
def three(engineer):
    return [
        entry(1, by=engineer, owner="Olive Adams", plate="ABC12D", vin="6T1BANKS1A0111111"),
        entry(2, by=engineer, owner="Bruno Quoll", plate="QQQ99Q", vin="6T1BANKS1A0222222"),
        entry(3, by=engineer, owner="Olive Quoll", plate="ZZZ00Z", issued_on=date(2026, 6, 30)),
    ]


def numbers(response):
    return [line.number for line in response.context["page"]]


def test_all_are_listed_newest_first_and_each_opens(three, auditor, as_):
    response = as_(auditor).get(URL)
    assert numbers(response) == ["C2026-0003", "C2026-0002", "C2026-0001"]
    for certificate in three:
        assert reverse("certificates:certificate", args=[certificate.number]) in response.content.decode()


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "C2026-0002"}, [2]),
        ({"q": "abc12d"}, [1]),
        ({"q": "ABC-12D"}, [1]),
        ({"q": "0222222"}, [2]),
        ({"q": "quoll"}, [3, 2]),
        ({"q": "olive quoll"}, [3]),
        ({"q": "nobody"}, []),
        ({"q": "%"}, []),
        ({"from": "2026-04-01"}, [3]),
        ({"to": "2026-04-01"}, [2, 1]),
        ({"from": "2026-03-04", "to": "2026-03-04"}, [2, 1]),
        ({"q": "quoll", "to": "2026-03-04"}, [2]),
    ],
    ids=str,
)
def test_found_by_number_plate_vin_owner_and_date(three, auditor, as_, query, found):
    assert numbers(as_(auditor).get(URL, query)) == [f"C2026-{position:04d}" for position in found]


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"from": "yesterday"}, "Issued from: this is no date. Allowed: a day such as 2026-03-04."),
        ({"from": "2026-02-30"}, "Issued from: this is no date. Allowed: a day such as 2026-03-04."),
        ({"from": "2026-06-30", "to": "2026-03-04"}, "The last day is before the first, 30/06/2026."),
        ({"q": "x" * 101}, "Ensure this value has at most 100 characters (it has 101)."),
    ],
    ids=["words", "no such day", "turned round", "too long"],
)
def test_what_cannot_be_searched_is_said_at_the_field(three, auditor, as_, query, said):
    response = as_(auditor).get(URL, query)
    assert response.status_code == 200
    assert said in response.content.decode()
    assert numbers(response) == []


def test_a_nul_in_the_address_is_refused_and_breaks_nothing(three, auditor, as_):
    assert as_(auditor).get(URL, {"q": "a\0b"}).status_code == 400


@pytest.mark.parametrize("page", ["0", "-1", "99", "x", "1e9"])
def test_a_page_that_is_none_shows_one_that_is(three, auditor, as_, page):
    assert len(numbers(as_(auditor).get(URL, {"page": page}))) == 3


def test_long_registers_turn_pages_and_keep_the_search(engineer, auditor, as_):
    for position in range(1, 53):
        entry(position, by=engineer, issued_on=date(2026, 1, 1) + timedelta(days=position))
    response = as_(auditor).get(URL, {"q": "olive"})
    assert len(numbers(response)) == 50
    assert 'href="?q=olive&amp;page=2"' in response.content.decode()
    assert numbers(as_(auditor).get(URL, {"q": "olive", "page": "2"})) == ["C2026-0002", "C2026-0001"]


def test_the_lines_cost_the_same_number_of_queries_however_many(three, auditor, as_, django_assert_max_num_queries):
    client = as_(auditor)
    with django_assert_max_num_queries(10):
        client.get(URL)


def test_an_empty_register_says_how_it_fills(auditor, as_):
    assert "No certificate has been issued yet." in as_(auditor).get(URL).content.decode()


@pytest.mark.parametrize(("who", "status"), [("desk", 200), ("admin_user", 200), ("driver_user", 403)])
def test_who_may_read_it(request, as_, who, status):
    assert as_(request.getfixturevalue(who)).get(URL).status_code == status
