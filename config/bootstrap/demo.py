"""`python3 manage.py demo`: everything from a bare machine to a job book in the browser."""

import argparse
import os
import subprocess
import sys

from . import environment, libraries, system
from .places import MANAGE
from .port import DEFAULT, HOST, check_free, port_number
from .speech import StopError, say


def options(arguments):
    parser = argparse.ArgumentParser(
        prog="manage.py demo", description="Set up what is missing, load the demo scenario and serve it."
    )
    parser.add_argument("--port", type=port_number, default=DEFAULT, help=f"port on {HOST} (default {DEFAULT})")
    parser.add_argument("--no-serve", action="store_true", help="stop once the scenario is loaded")
    return parser.parse_args(arguments)


def run(arguments):
    """Set up, migrate, load, say how to sign in, and become the server."""
    chosen = options(arguments)
    if not chosen.no_serve:
        check_free(chosen.port)
    say("Demo: setting up what is missing, then loading a made-up workshop into a database on this machine.")
    system.provide(environment, libraries)
    python = environment.provide()
    env = own_environment(chosen.port)
    say("Bringing the database up to date ...")
    run_django(python, env, "migrate", "--verbosity", "0")
    say("Loading the demo scenario (what is there already stays) ...")
    sign_ins = run_django(python, env, "load_demo", stdout=subprocess.PIPE).stdout
    if not chosen.no_serve:
        check_free(chosen.port)
        print(f"\nThe job book is at http://{HOST}:{chosen.port}/  (Ctrl-C ends it; nothing is lost)\n")
    print(sign_ins, flush=True)
    if not chosen.no_serve:
        # Becoming the server, not starting one: Ctrl-C and signals reach it and nothing is left over.
        address = f"{HOST}:{chosen.port}"
        os.execve(python, [python, str(MANAGE), "runserver", "--noreload", "--skip-checks", address], env)  # noqa: S606


def own_environment(port=DEFAULT):
    """The demo stays on the embedded database: made-up people have no place in a real one."""
    # Links on pages, papers and in letters lead to where this demo is served.
    env = {**os.environ, "DJANGO_RUNSERVER_HIDE_WARNING": "true", "JOBBOOK_DEMO": "1", "JOBBOOK_PORT": str(port)}
    if env.pop("DATABASE_URL", None):
        say("DATABASE_URL is set; the demo leaves that database alone and uses the embedded one.")
    return env


def run_django(python, env, *command, stdout=None):
    done = subprocess.run(
        [python, str(MANAGE), *command],
        env=env,
        stdout=stdout,
        text=True,
        check=False,
        stdin=subprocess.DEVNULL,
    )
    if done.returncode:
        sys.stdout.write(done.stdout or "")
        raise StopError(f"`manage.py {command[0]}` ended with an error; its own words are above.")
    return done
