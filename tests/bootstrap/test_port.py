"""A port that is taken, forbidden or no port at all is explained before any work is done."""

import argparse
import errno
import os
import socket

import pytest

from config.bootstrap import demo, environment, system
from config.bootstrap.port import HOST, check_free, explain, port_number
from config.bootstrap.speech import StopError


@pytest.fixture
def taken_port():
    with socket.socket() as other:
        other.bind((HOST, 0))
        other.listen()
        yield other.getsockname()[1]


def test_a_taken_port_is_named_with_a_way_out(taken_port):
    with pytest.raises(StopError) as stopped:
        check_free(taken_port)
    assert f"Port {taken_port} on 127.0.0.1 is taken" in str(stopped.value)
    assert "python3 manage.py demo --port " in str(stopped.value)


def test_the_suggested_port_is_another_one():
    taken = OSError(errno.EADDRINUSE, os.strerror(errno.EADDRINUSE))
    assert explain(8000, taken).endswith("--port 8001")
    assert explain(65535, taken).endswith("--port 8001")


def test_a_free_port_passes():
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    check_free(port)


def test_a_port_for_root_only_is_explained():
    said = explain(80, PermissionError(errno.EACCES, os.strerror(errno.EACCES)))
    assert "Port 80 may only be used by root" in said
    assert "--port 8001" in said


@pytest.mark.parametrize("text", ["0", "65536", "-1", "http", "", "80.5"])
def test_what_is_no_port_is_refused_with_the_range(text):
    with pytest.raises(argparse.ArgumentTypeError, match="whole number from 1 to 65535"):
        port_number(text)


def test_the_demo_looks_at_the_port_before_any_long_work(taken_port, monkeypatch):
    def too_early(*needs):
        raise AssertionError("set-up began although the port is taken")

    monkeypatch.setattr(environment, "provide", too_early)
    monkeypatch.setattr(system, "provide", too_early)
    with pytest.raises(StopError, match="is taken"):
        demo.run(["--port", str(taken_port)])
