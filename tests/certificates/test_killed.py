"""kill -9 at a hundred random moments of issuing: a whole certificate or none, and numbers without gaps."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection

from certificates.chain import ISSUED
from certificates.check import verify_chain
from certificates.models import Certificate, RegisterLine
from jobs.models import AuditEntry, Job
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 100


def database_of_this_test():
    """The address of the test database, for a process of its own."""
    at = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{at['NAME']}"
    return f"postgres://{at['USER']}:{at['PASSWORD'] or ''}@{at['HOST']}:{at['PORT']}/{at['NAME']}"


def test_killed_at_a_hundred_moments(tmp_path):
    UserFactory(username="engineer", roles=["engineer"], authority_number="SIG-0042")
    connection.close()
    seed = int.from_bytes(os.urandom(4))
    done = subprocess.run(
        [sys.executable, Path(__file__).parent / "killing.py", str(ROUNDS), str(seed)],
        env=os.environ
        | {
            "DJANGO_SETTINGS_MODULE": "config.settings",
            # Its papers lead to this machine, as those of the demo do.
            "JOBBOOK_DEMO": "1",
            "DATABASE_URL": database_of_this_test(),
            "JOBBOOK_DATA_DIR": str(Path(settings.MEDIA_ROOT).parent),
            "PYTHONPATH": str(settings.BASE_DIR),
        },
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, f"seed {seed}: {done.stderr}"
    print(done.stdout)
    killed, whole = map(int, re.match(r"(\d+) killed, (\d+) whole", done.stdout).groups())
    # Both happened often enough to mean something.
    assert killed >= ROUNDS // 3
    issued = Certificate.objects.order_by("position")
    assert [c.position for c in issued] == list(range(1, len(issued) + 1))
    assert [int(c.number[-4:]) for c in issued] == list(range(1, len(issued) + 1))
    assert len(issued) == RegisterLine.objects.count() == AuditEntry.objects.filter(what=ISSUED).count()
    assert len(issued) == Job.objects.filter(stage="done").count() >= whole
    assert list(verify_chain()) == [], f"seed {seed}"
