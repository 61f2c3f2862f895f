"""Runs a tool, showing its progress and keeping its words in case it fails."""

import subprocess


def run_watched(command, *, on_line=lambda line: None, env=None):
    """Run `command`; return its exit code and all that it said."""
    lines = []
    with subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        env=env,
    ) as tool:
        for line in tool.stdout:
            lines.append(line)
            on_line(line.rstrip())
    return tool.returncode, "".join(lines)
