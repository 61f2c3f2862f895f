"""The cast, once for all tests."""

import gc

import hypothesis
import pytest
from django.db import connection

from jobs.append_only import close_table, open_table
from tests import world as demo_world
from tests.append_only_tables import each_table
from tests.factories import CrewMemberFactory, JobFactory, OwnerFactory, SiteFactory, UserFactory

# How long one example takes says more about the machine than about the code.
hypothesis.settings.register_profile("house", deadline=None, suppress_health_check=[hypothesis.HealthCheck.too_slow])
hypothesis.settings.load_profile("house")


# Looking for circles after every 700 objects is a tenth of the suite's time; what is measured runs as the product does.
_AS_IN_THE_PRODUCT = gc.get_threshold()
gc.set_threshold(50_000, 20, 50)


@pytest.fixture(autouse=True)
def _measured_as_in_the_product(request):
    if not request.node.get_closest_marker("benchmark"):
        yield
        return
    seldom = gc.get_threshold()
    gc.collect()
    gc.set_threshold(*_AS_IN_THE_PRODUCT)
    yield
    gc.set_threshold(*seldom)


@pytest.fixture(autouse=True)
def _files_of_this_test_only(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "files"


@pytest.fixture(scope="session", autouse=True)
def _nobody_left_connected(django_db_setup, django_db_blocker):
    """The server of the browser tests answers in threads; one that is still there keeps PostgreSQL from cleaning up."""
    yield
    if connection.vendor == "postgresql":
        with django_db_blocker.unblock(), connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )


@pytest.fixture
def desk(db):
    return UserFactory(username="desk", roles=["desk"])


@pytest.fixture
def engineer(db):
    return UserFactory(username="engineer", roles=["engineer"], authority_number="SIG-0042")


@pytest.fixture
def driver_user(db):
    return UserFactory(username="driver", roles=["driver"])


@pytest.fixture
def other_driver_user(db):
    return UserFactory(username="other-driver", roles=["driver"])


@pytest.fixture
def owner_user(db):
    return UserFactory(username="owner", roles=["owner"])


@pytest.fixture
def auditor(db):
    return UserFactory(username="auditor", roles=["auditor"])


@pytest.fixture
def admin_user(db):
    return UserFactory(username="admin", roles=["admin"], is_staff=True)


@pytest.fixture
def as_(client):
    """`as_(desk).get(...)`: the client, signed in as that person."""

    def sign_in(user):
        client.force_login(user)
        return client

    return sign_in


@pytest.fixture
def job(db):
    return JobFactory()


@pytest.fixture
def owned_job(owner_user):
    return JobFactory(owner=OwnerFactory(user=owner_user))


@pytest.fixture
def site(db):
    return SiteFactory()


@pytest.fixture
def driver(driver_user):
    return CrewMemberFactory(user=driver_user)


@pytest.fixture(autouse=True)
def _emptying_after_transactional_tests(request):
    """Such tests end by emptying every table; only for that moment the written-once tables open."""
    transactional = {"transactional_db", "live_server"} & set(request.fixturenames)
    marker = request.node.get_closest_marker("django_db")
    if not transactional and not (marker and marker.kwargs.get("transaction")):
        yield
        return
    request.getfixturevalue("transactional_db")
    each_table(close_table)
    yield
    each_table(open_table)


@pytest.fixture
def world(db):
    return demo_world.build()
