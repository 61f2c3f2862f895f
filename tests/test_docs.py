"""The documents say what is so."""

import re
import subprocess
from pathlib import Path

import pytest

from vehicles.calculations import ranges

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CARD = {
    "README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml", "config", "jobs", "vehicles", "testing",
    "certificates", "templates", "tests", "fixtures",
}  # fmt: skip


def test_the_top_level_holds_what_the_house_has_and_nothing_else():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {line.split("/")[0] for line in listed.splitlines()}
    assert {name for name in top if not name.startswith(".")} == CARD


@pytest.mark.parametrize("command", ["python3 manage.py demo", "python3 manage.py test"])
def test_the_two_commands_stand_in_the_readme_alone_in_their_block(command):
    assert f"```sh\n{command}\n```" in README


def test_ci_runs_exactly_the_test_command():
    assert re.search(r'^part "[^"]+" python3 manage\.py test$', (ROOT / ".ci/run").read_text(), re.MULTILINE)


def test_the_workup_command_of_the_readme_works():
    command = re.search(r"^python3 manage\.py workup (\S+)$", README, re.MULTILINE)
    assert (ROOT / command[1]).is_file()


def test_the_table_of_a_real_installation_names_every_variable_that_the_site_reads():
    apps = ("config", "jobs", "vehicles", "testing", "certificates")
    code = [path for app in apps for path in (ROOT / app).rglob("*.py")]
    read = re.compile(r'environ(?:\.get\(|\[)\s*["\']((?:JOBBOOK_|DATABASE_)\w+)')
    of_the_site = [path for path in code if "bootstrap" not in path.parts]
    used = {name for path in of_the_site for name in read.findall(path.read_text(encoding="utf-8"))} | {"DATABASE_URL"}
    section = DEVELOPERS.split("## A real installation")[1].split("\n## ")[0]
    rows = [line.split("|")[1] for line in section.splitlines() if line.startswith("| `")]
    assert set(re.findall(r"`(\w+)`", " ".join(rows))) == used


def test_every_picture_and_link_leads_somewhere():
    targets = re.findall(r"\]\(([^)#]+)\)", README + DEVELOPERS)
    missing = [target for target in targets if not target.startswith("http") and not (ROOT / target).exists()]
    assert targets
    assert missing == []


def test_every_place_that_the_developers_page_names_exists():
    paths = re.findall(
        r"`((?:config|jobs|vehicles|testing|certificates|templates|tests|fixtures)/[\w./-]*)`", DEVELOPERS
    )
    missing = [path for path in paths if "APP" not in path and not (ROOT / path).exists()]
    assert len(paths) > 20
    assert missing == []


TABLES = {
    "vehicle": ranges.VEHICLE,
    "crew": ranges.CREW,
    "places": ranges.PLACES,
    "corner weights": ranges.CORNERS,
    "axle lift": ranges.AXLE_LIFT,
    "step of a lift": ranges.LIFT_STEP,
    "row of seats": ranges.SEAT_ROW,
    "modification": ranges.MODIFICATION,
    "track change": ranges.TRACK_CHANGE,
}


@pytest.mark.parametrize(
    "line", [f"| {table} | `{row.name}` | {row} |" for table, rows in TABLES.items() for row in rows.values()]
)
def test_the_ranges_are_listed_as_they_are_checked(line):
    assert line in DEVELOPERS, f"missing in DEVELOPERS.md: {line}"
