"""Where things are."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MANAGE = ROOT / "manage.py"
LOCK = ROOT / "config" / "requirements.lock"
VENV = ROOT / ".venv"
