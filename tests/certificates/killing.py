"""Issues certificates and is killed at random moments of it. Started by test_killed.py in a process of its own.

Each attempt is a child of its own, killed with SIGKILL: no clean-up of any kind runs in it. The moments are
spread evenly over the time that one whole issue takes here. Most of that time goes into drawing the papers; in
every attempt but each third they are one line long, so that most moments fall between the writes.
"""

import os
import random
import signal
import sys
import time

import django

django.setup()

from django.db import connection  # noqa: E402

from certificates import sealing  # noqa: E402
from certificates.models import Certificate  # noqa: E402
from certificates.services import issue  # noqa: E402
from jobs.models import User  # noqa: E402
from tests.certificates_factories import untested_job  # noqa: E402


def child(job, engineer, *, short):
    """Start issuing in a process of its own."""
    connection.close()
    if process := os.fork():
        return process
    if short:
        for kind in ("certificate", "report"):
            setattr(sealing.pdf, kind, lambda record, **details: b"%PDF " + record["number"].encode())
    issue(job=job, by=engineer)
    os._exit(0)


def measured(engineer, *, short):
    """Seconds of one whole issue, the slower of two."""
    times = []
    for _ in range(2):
        job = untested_job(engineer)
        start = time.perf_counter()
        os.waitpid(child(job, engineer, short=short), 0)
        times.append(time.perf_counter() - start)
    return max(times)


def attempt(job, engineer, delay, *, short):
    """Whether the child was killed before it was done."""
    process = child(job, engineer, short=short)
    time.sleep(delay)
    os.kill(process, signal.SIGKILL)
    return os.WIFSIGNALED(os.waitpid(process, 0)[1])


def main(rounds, seed):
    engineer = User.objects.get(username="engineer")
    chance = random.Random(seed)
    # Once here, so that no child has to load the libraries.
    issue(job=untested_job(engineer), by=engineer)
    longest = {short: measured(engineer, short=short) for short in (True, False)}
    job, killed, whole = untested_job(engineer), 0, 0
    for number in range(rounds):
        short = number % 3 > 0
        killed += attempt(job, engineer, chance.uniform(0, longest[short]), short=short)
        if Certificate.objects.filter(job=job).exists():
            whole += 1
            job = untested_job(engineer)
    # Whoever was killed last left nothing that stands in the way of the next one.
    issue(job=job, by=engineer)
    print(f"{killed} killed, {whole} whole, {longest[False] * 1000:.0f} ms each, short {longest[True] * 1000:.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
