"""The settings read anew in a process of their own, as an installation with this environment reads them."""

import os
import subprocess
import sys

from config import settings as house


def python_with(tmp_path, *arguments, **environment):
    # Django's own as well: the browser tests of this run may have set one.
    ours = ("JOBBOOK_", "DATABASE_", "DJANGO_")
    clean = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    env = clean | {"JOBBOOK_DATA_DIR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "config.settings"} | environment
    command = [sys.executable, *arguments]
    return subprocess.run(command, env=env, cwd=house.BASE_DIR, capture_output=True, text=True, check=False)


def settings_with(tmp_path, *names, **environment):
    shown = ", ".join(f"s.{name}" for name in names)
    return python_with(tmp_path, "-c", f"from config import settings as s; print({shown})", **environment)
