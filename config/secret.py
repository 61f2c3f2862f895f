"""The secret key of this machine, made once and kept beside the data."""

import contextlib
import os
import tempfile
from pathlib import Path

from django.core.management.utils import get_random_secret_key


def secret_key(data_dir: Path) -> str:
    """Read the key, or make it."""
    path = data_dir / "secret_key"
    if not path.exists():
        data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
        with tempfile.NamedTemporaryFile("w", dir=data_dir) as whole:
            whole.write(get_random_secret_key())
            whole.flush()
            # Linking is all or nothing: of two processes one wins, and nobody reads half a key.
            with contextlib.suppress(FileExistsError):
                os.link(whole.name, path)
    return path.read_text()
