"""SoftHSM is asked for where its tool or its module is missing, and only there."""

import pytest

from config.bootstrap import softhsm


def here(name):
    return f"/usr/bin/{name}"


@pytest.mark.parametrize(
    ("which", "module"),
    [(lambda name: None, lambda: "module.so"), (here, lambda: None)],
    ids=["no tool", "no module"],
)
def test_missing_it_is_named(which, module):
    assert softhsm.missing_packages(which=which, module=module) == ["softhsm2"]


def test_present_nothing_is_installed():
    assert softhsm.missing_packages(which=here, module=lambda: "module.so") == []


@pytest.mark.parametrize("place", ["softhsm", "x86_64-linux-gnu/softhsm"])
def test_the_module_is_found_where_the_package_puts_it(tmp_path, place):
    assert softhsm.module([tmp_path]) is None
    (tmp_path / place).mkdir(parents=True)
    there = tmp_path / place / "libsofthsm2.so"
    there.touch()
    assert softhsm.module([tmp_path]) == there
