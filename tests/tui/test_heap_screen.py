"""Wax that nobody knows at a terminal: begun from the first screen, killed while its curve is taken, and gone on with."""

from __future__ import annotations

import signal

from pourday.store.library import list_sessions
from pourday.store.reading import read_session


def heap_of(folder):
    (row,) = [row for row in list_sessions(folder) if row.stage == "heap"]
    state = read_session(folder, row.session).state
    assert state.heap is not None
    return state.heap


def test_begun_by_a_key_killed_while_the_curve_is_taken_and_gone_on_with(kitchen):
    program = kitchen.run(size=(80, 24))
    program.wait_for("unknown wax")
    program.type("h")
    program.wait_for("What have you got?")
    program.pump(0.6)  # A key at once would not count: nobody has read the question yet.
    for keys, said in (
        ("2", "Over water only"), ("x", "melt it"), ("x", "What colour"), ("red\r", "What does it smell"), ("\r", "How often"),
        ("\r", "small warm tin"), ("60\r", "around the tin"), ("21\r", "Tin on cork"), (" ", "at each beat"),
        ("71.5\r", "1 reading"), ("70,6\r", "2 readings"),
    ):  # fmt: skip
        program.type(keys)
        program.wait_for(said)
        program.pump(0.6)
    program.type("69.")
    program.pump(0.3)
    program.kill()
    assert program.ended() == -signal.SIGKILL
    assert [c for _, c in heap_of(kitchen.folder).curves[0].readings] == [71.5, 70.6]
    program = kitchen.run("resume")
    shown = program.wait_for("Opened again", "2 readings")
    assert "Traceback" not in shown
    program.type("69.9\r")
    program.wait_for("3 readings")
    program.resize(40, 12)
    program.wait_for("READ", "3 readings")
    program.resize(120, 40)
    program.wait_for("a thumbnail")
    program.type("q")
    program.ended()
    assert len(heap_of(kitchen.folder).curves[0].readings) == 3
    (row,) = list_sessions(kitchen.folder)
    assert "3 readings over" in kitchen.plain("show", row.session).stdout
