"""One throttle for every door: counted in the database, by keyed hashes of who tries."""

import pytest

from jobs import throttle
from jobs.models import Visits
from jobs.owners.throttle import FROM_ALL, FROM_ONE_ADDRESS, Guesses
from jobs.throttle import Limit, place_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def clock(monkeypatch):
    class Clock:
        now = 1_800_000_000.0

    monkeypatch.setattr(throttle, "time", lambda: Clock.now)
    return Clock


def test_so_many_and_no_more_until_the_stretch_is_over(clock):
    limit = Limit("tests", most=3, seconds=60)
    assert [limit.over("one") for _ in range(5)] == [False, False, False, True, True]
    assert not limit.over("two")
    assert not Limit("another door", most=3, seconds=60).over("one")
    clock.now += limit.wait_s()
    assert not limit.over("one")


def test_a_good_try_is_given_back(clock):
    limit = Limit("tests", most=1, seconds=60)
    for _ in range(5):
        assert not limit.over("one")
        limit.give_back("one")


def test_what_is_over_is_thrown_away_and_no_address_is_kept(clock, rf):
    limit = Limit("tests", most=1, seconds=60)
    for _ in range(4):
        limit.over(place_of(rf.get("/", REMOTE_ADDR="192.0.2.77")))
        clock.now += 60
    rows = list(Visits.objects.values())
    assert 1 <= len(rows) <= 2
    assert "192.0.2.77" not in str(rows)


def test_the_count_of_another_process_is_the_same_count(clock):
    assert [Limit("tests", most=2, seconds=60).over("one") for _ in range(3)][-1]


def test_behind_a_proxy_the_last_hop_counts_and_not_what_a_visitor_claims(rf, settings):
    settings.HTTPS = True
    one = rf.get("/", HTTP_X_FORWARDED_FOR="203.0.113.5, 192.0.2.1", REMOTE_ADDR="10.0.0.1")
    same = rf.get("/", HTTP_X_FORWARDED_FOR="198.51.100.9, 192.0.2.1", REMOTE_ADDR="10.0.0.1")
    other = rf.get("/", HTTP_X_FORWARDED_FOR="192.0.2.2", REMOTE_ADDR="10.0.0.1")
    assert place_of(one) == place_of(same) != place_of(other)
    settings.HTTPS = False
    assert place_of(one) == place_of(other)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2001:db8:1:2::1", "2001:db8:1:2:ffff::9", True),
        ("2001:db8:1:2::1", "2001:db8:1:3::1", False),
        ("192.0.2.1", "192.0.2.2", False),
        ("no address", "", False),
    ],
)
def test_of_a_long_address_the_network_counts(rf, one, other, same):
    places = [place_of(rf.get("/", REMOTE_ADDR=address)) for address in (one, other)]
    assert (places[0] == places[1]) == same


def test_wrong_owner_links_from_one_place_and_from_all(clock, rf):
    guesses = Guesses()
    one, other = (rf.get("/", REMOTE_ADDR=address) for address in ("192.0.2.1", "192.0.2.2"))
    assert [guesses.wrong(one) for _ in range(FROM_ONE_ADDRESS + 1)] == [False] * FROM_ONE_ADDRESS + [True]
    assert not guesses.wrong(other)
    many = [rf.get("/", REMOTE_ADDR=f"198.51.100.{n}") for n in range(FROM_ALL)]
    assert [guesses.wrong(request) for request in many][-1]
