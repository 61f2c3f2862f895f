"""certificates:register, where every certificate is found again."""

import html
import re
from datetime import date, timedelta
from urllib.parse import urlencode

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from certificates import lines
from certificates.models import Certificate
from tests.certificates_factories import record_for
from tests.factories import JobFactory, OwnerFactory

URL = reverse("certificates:register")


def entry(position, *, by, owner="Olive Owner", issued_on=date(2026, 3, 4), **vehicle):
    """A line of the register. Its seal is none: finding is what is tried here."""
    job = JobFactory(owner=OwnerFactory(name=owner), **{f"vehicle__{name}": value for name, value in vehicle.items()})
    number = f"SIG-0042-2026-{position:04d}"
    certificate = Certificate.objects.create(
        number=number,
        position=position,
        job=job,
        record=record_for(job, number=number, issued_on=issued_on),
        previous_seal=f"{position - 1:064x}",
        seal=f"{position:064x}",
        plate=job.vehicle.plate,
        vin=job.vehicle.vin,
        owner_name=job.owner.name,
        issued_on=issued_on,
        issued_by=by,
        issued_at=f"{issued_on}T00:00:00Z",
    )
    lines.add(certificate)
    return certificate


@pytest.fixture
def three(engineer):
    return [
        entry(1, by=engineer, owner="Olive Adams", plate="ABC12D", vin="6T1BANKS1A0111111"),
        entry(2, by=engineer, owner="Bruno Quoll", plate="QQQ99Q", vin="6T1BANKS1A0222222"),
        entry(3, by=engineer, owner="Olive Quoll", plate="ZZZ00Z", issued_on=date(2026, 6, 30)),
    ]


def named(position):
    return f"SIG-0042-2026-{position:04d}"


def numbers(response):
    page = response.context["page"]
    return [line.number for line in page.lines] if page else []


def test_all_are_listed_newest_first_and_each_opens(three, auditor, as_):
    response = as_(auditor).get(URL)
    assert numbers(response) == [named(3), named(2), named(1)]
    for certificate in three:
        assert reverse("certificates:certificate", args=[certificate.number]) in response.content.decode()


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "SIG-0042-2026-0002"}, [2]),
        ({"q": "2026-0002"}, [2]),
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
    assert numbers(as_(auditor).get(URL, query)) == [named(position) for position in found]


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


@pytest.mark.parametrize(
    "where", ["older_than=x", "newer_than=-1", "older_than=1e9", f"newer_than={'9' * 40}", "older_than="]
)
def test_a_place_that_is_none_shows_the_newest(three, auditor, as_, where):
    assert len(numbers(as_(auditor).get(f"{URL}?{where}"))) == 3


def test_long_registers_turn_pages_and_keep_the_search(engineer, auditor, as_):
    for position in range(1, 53):
        entry(position, by=engineer, issued_on=date(2026, 1, 1) + timedelta(days=position))
    client = as_(auditor)
    first = client.get(URL, {"q": "olive"})
    assert numbers(first) == [named(position) for position in range(52, 2, -1)]
    (older,) = re.findall(r'href="(\?q=olive&amp;older_than=\d+)"', first.content.decode())
    second = client.get(URL + html.unescape(older))
    assert numbers(second) == [named(2), named(1)]
    (newer,) = re.findall(r'href="(\?q=olive&amp;newer_than=\d+)"', second.content.decode())
    assert numbers(client.get(URL + html.unescape(newer))) == numbers(first)
    oldest = client.get(URL, {"q": "olive", "oldest": "1"})
    assert numbers(oldest) == [named(position) for position in range(50, 0, -1)]
    assert "older_than" not in oldest.content.decode()


def test_the_lines_cost_the_same_number_of_queries_however_many(three, engineer, auditor, as_):
    client = as_(auditor)
    few = queries_of(client)
    for position in range(10, 40):
        entry(position, by=engineer)
    assert len(numbers(client.get(URL))) == 33
    assert queries_of(client) == few


def queries_of(client):
    with CaptureQueriesContext(connection) as seen:
        client.get(URL)
    return len(seen)


def test_an_empty_register_says_how_it_fills(auditor, as_):
    assert "No certificate has been issued yet." in as_(auditor).get(URL).content.decode()


@pytest.mark.parametrize(("who", "status"), [("desk", 200), ("admin_user", 200), ("driver_user", 403)])
def test_who_may_read_it(request, as_, who, status):
    assert as_(request.getfixturevalue(who)).get(URL).status_code == status


@pytest.mark.parametrize("query", [{"to": "9999-12-31"}, {"from": "9999-12-31"}, {"from": "0001-01-01"}])
def test_the_first_and_the_last_day_that_can_be_written_break_nothing(three, auditor, as_, query):
    client = as_(auditor)
    found = client.get(URL, query)
    assert len(numbers(found)) == (0 if query.get("from") == "9999-12-31" else 3)
    exported = b"".join(client.get(reverse("certificates:export"), query)).decode()
    assert exported.count("SIG-0042") == 2 * len(numbers(found))
    drawn = client.post(reverse("certificates:draw") + f"?{urlencode(query)}", {"size": "2"})
    assert drawn.status_code == (302 if numbers(found) else 200)


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "O'Neil"}, [2, 1]),
        ({"q": "o'neil-smith"}, [1]),
        ({"q": "Neil-Smith"}, [1]),
        ({"q": "Sean O'Neil"}, [1]),
        ({"q": "O'Nobody"}, []),
        ({"q": "ZZZ-00"}, [3]),
        ({"owner": "O'Neil"}, [2, 1]),
        ({"engineer": "---"}, []),
        ({"modification": "--"}, []),
        ({"owner": "'"}, []),
        ({"owner": " "}, [3, 2, 1]),
        ({"plate": "-"}, []),
    ],
    ids=str,
)
def test_names_of_several_words_are_found_and_signs_alone_find_nothing(engineer, auditor, as_, query, found):
    entry(1, by=engineer, owner="Sean O'Neil-Smith", plate="ABC12D")
    entry(2, by=engineer, owner="Siobhan O'Neil", plate="QQQ99Q")
    entry(3, by=engineer, owner="Olive Adams", plate="ZZZ00Z")
    assert numbers(as_(auditor).get(URL, query)) == [named(position) for position in found]


def test_a_place_beyond_the_last_line_is_not_an_empty_register(three, auditor, as_):
    page = as_(auditor).get(URL, {"older_than": "1"}).content.decode()
    assert "No certificate has been issued yet" not in page
    assert "Nothing is listed beyond this place." in page
