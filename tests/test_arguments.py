"""What a shell needs of the command line: completion, and a help whose pages turn."""

from __future__ import annotations

import os
import pty
import shutil
import subprocess
import sys

import pytest

from pourday.arguments import SHELLS, command_line


@pytest.mark.parametrize("shell", SHELLS)
def test_completion_names_every_command(shell, capsys):
    with pytest.raises(SystemExit) as ended:
        command_line().parse_args(["--completion", shell])
    assert ended.value.code == 0
    script = capsys.readouterr().out
    for command in ("demo", "resume", "follow", "fire", "unpack"):
        assert command in script
    assert "--by-hand" in script or "by-hand" in script
    parses = shutil.which(shell)
    if parses:
        subprocess.run([parses, "-n"], input=script, text=True, check=True, timeout=30)


def test_help_longer_than_the_terminal_goes_through_the_pager():
    """At a terminal of 24 lines, through $PAGER, which here marks each line; into a pipe it is plain."""
    master, slave = pty.openpty()
    env = {**os.environ, "PAGER": "sed s/^/paged:/", "LINES": "24", "COLUMNS": "80", "TERM": "xterm"}
    command = [sys.executable, "-m", "pourday", "--help"]
    with subprocess.Popen(command, stdin=slave, stdout=slave, stderr=slave, env=env) as process:
        os.close(slave)
        said = b""
        while True:
            try:
                data = os.read(master, 65536)
            except OSError:
                break
            if not data:
                break
            said += data
        assert process.wait(timeout=60) == 0
    os.close(master)
    assert b"paged:usage: pourday" in said
    plain = subprocess.run(command, capture_output=True, text=True, check=True, env=env, timeout=60)
    assert plain.stdout.startswith("usage: pourday")
