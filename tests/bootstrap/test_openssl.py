"""openssl is asked for where it is missing, and only there."""

from config.bootstrap import openssl


def test_missing_it_is_named():
    assert openssl.missing_packages(which=lambda name: None) == ["openssl"]


def test_present_nothing_is_installed():
    assert openssl.missing_packages(which=lambda name: f"/usr/bin/{name}") == []
