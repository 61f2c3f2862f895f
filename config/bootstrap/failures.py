"""Why pip or apt-get failed, in plain words."""

NETWORK = (
    "The network, or the server that the packages come from, cannot be reached.\n"
    "Check the connection (and the proxy settings, if this place uses one), then run the same command\n"
    "again; it goes on from where it stopped."
)
DISK_FULL = "The disk is too full. Free at least 1.5 GB where this folder lies, then run the same command again."
HASH = (
    "A downloaded package is not the one that config/requirements.lock names (its hash differs), so it\n"
    "was not installed. Run the same command again; if it happens again, the package server or something\n"
    "on the way to it changes files: do not work around it, ask whoever runs the network."
)
CERTIFICATE = (
    "The package server's certificate is not trusted by this machine. Check the machine's date and time,\n"
    "and whether the network inspects traffic with a certificate of its own that Python must be told about."
)
NO_PACKAGE = (
    "The package server does not offer a version that config/requirements.lock names for this Python and\n"
    "this processor. Python 3.11 on a 64-bit Intel or AMD processor is what the job book is tested with."
)
LOCKED = "Another installation is running on this machine. Wait until it has ended, then try again."
NO_RIGHT = "This account may not write where it has to. Run it from an account that owns this folder."

# Order matters: pip reports a missing network as a missing package in its last line.
SIGNS = (
    (("no space left on device", "enough free space", "errno 28"), DISK_FULL),
    (("do not match the hashes",), HASH),
    (("certificate_verify_failed", "certificate verification failed"), CERTIFICATE),
    (
        (
            "temporary failure in name resolution",
            "temporary failure resolving",
            "name or service not known",
            "failed to establish a new connection",
            "could not resolve",
            "unable to connect",
            "network is unreachable",
            "connection refused",
            "connection timed out",
            "read timed out",
            "proxyerror",
            "failed to fetch",
        ),
        NETWORK,
    ),
    (("could not get lock", "unable to acquire the dpkg"), LOCKED),
    (("permission denied", "read-only file system"), NO_RIGHT),
    (("no matching distribution found", "could not find a version that satisfies"), NO_PACKAGE),
)


def in_words(output, *, doing):
    """Say why `doing` failed; the tool's own last lines follow, for whoever has to look deeper."""
    lowered = output.lower()
    reason = next((words for signs, words in SIGNS if any(sign in lowered for sign in signs)), None)
    last_lines = "\n".join(f"    {line[:160]}" for line in output.strip().splitlines()[-6:])
    said = reason or "The reason is in the last lines below."
    return f"{doing} did not work.\n{said}\n\nThe last lines of the tool itself:\n{last_lines}"
