"""The settings of the house over a data folder that is thrown away."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

_SCRATCH = Path(tempfile.mkdtemp(prefix="job-book-tests-"))
atexit.register(shutil.rmtree, _SCRATCH, ignore_errors=True)
os.environ["JOBBOOK_DATA_DIR"] = str(_SCRATCH)

from config.settings import *  # noqa: E402, F403  the folder must be named before settings are read

EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
# A slow hash is right for people and wasted on a cast that signs in a thousand times.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# Papers of the tests lead to this machine, as those of the demo do.
DEMO = True
