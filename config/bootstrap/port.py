"""The port that the demo serves on."""

import argparse
import errno
import socket

from .speech import StopError

HOST = "127.0.0.1"
DEFAULT = 8000


def port_number(text):
    """Read a port from the command line."""
    try:
        number = int(text)
    except ValueError:
        number = 0
    if not 1 <= number <= 65535:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port; a port is a whole number from 1 to 65535")
    return number


def check_free(port):
    """Stop with an explanation when nobody could serve on `port`."""
    with socket.socket() as probe:
        # As the server itself does, else a port just left would look taken for a minute.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            raise StopError(explain(port, error)) from error


def explain(port, error):
    other = port + 1 if 1024 <= port < 65535 else DEFAULT + 1
    choose = f"Choose another, for example: python3 manage.py demo --port {other}"
    if error.errno == errno.EADDRINUSE:
        return (
            f"Port {port} on {HOST} is taken: another program, perhaps an earlier demo, is serving there.\n"
            f"Stop that one, or choose another port, for example: python3 manage.py demo --port {other}"
        )
    if error.errno == errno.EACCES:
        return f"Port {port} may only be used by root (all below 1024 are).\n{choose}"
    return f"Port {port} on {HOST} cannot be used ({error.strerror}).\n{choose}"
