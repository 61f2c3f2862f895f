"""A skipped test never passes in CI, and never goes unsaid elsewhere."""

import os
import subprocess
import sys

import pytest

from config.bootstrap.places import ROOT

PASSING = "def test_runs():\n    assert 1 + 1 == 2\n"
SKIPPED = PASSING + "import pytest\n@pytest.mark.skip\ndef test_left_out():\n    assert False\n"
EXPECTED_TO_FAIL = PASSING + "import pytest\n@pytest.mark.xfail\ndef test_left_out():\n    assert False\n"
NOT_IMPORTED = "import pytest\npytest.importorskip('no_such_module_anywhere')\n"


def run_pytest(folder, source, *, ci):
    (folder / "test_sample.py").write_text(source)
    (folder / "test_other.py").write_text(PASSING)
    env = {name: value for name, value in os.environ.items() if not name.startswith(("CI", "PYTEST", "DJANGO"))}
    env |= {"PYTHONPATH": str(ROOT)} | ({"CI": "true"} if ci else {})
    command = [sys.executable, "-m", "pytest", "-p", "config.bootstrap.no_skips", "-p", "no:cacheprovider"]
    return subprocess.run(command, cwd=folder, env=env, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("source", [SKIPPED, EXPECTED_TO_FAIL, NOT_IMPORTED])
def test_a_skip_fails_the_run_in_ci(tmp_path, source):
    done = run_pytest(tmp_path, source, ci=True)
    assert done.returncode == 1, done.stdout
    assert "skipped: 1; in CI that fails the run" in done.stdout


def test_a_skip_is_named_elsewhere(tmp_path):
    done = run_pytest(tmp_path, SKIPPED, ci=False)
    assert done.returncode == 0, done.stdout
    assert "these were NOT tested" in done.stdout
    assert "test_sample.py::test_left_out" in done.stdout


def test_a_run_without_skips_passes_in_ci(tmp_path):
    done = run_pytest(tmp_path, PASSING, ci=True)
    assert done.returncode == 0, done.stdout
    assert "skipped" not in done.stdout
