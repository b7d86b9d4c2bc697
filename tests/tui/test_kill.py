"""SIGKILL in the middle of typing: what the screen confirmed is on record, in order and once, and the day goes on."""

from __future__ import annotations

import os
import random
import re
import signal
import time

import pytest

from pourday.session import events as ev
from pourday.times import span

FILED = re.compile(rb"(\d+\.\d) \xc2\xb0C (?:filed\.|kept[,;] )")


def test_killed_while_a_number_is_half_typed_it_comes_back_to_the_same_screen(kitchen):
    kitchen.fresh = True
    stove = kitchen.at_the_stove()
    for keys, said in (
        ("h", "burner on"),
        ("61.2b\r", "bath: 61.2 °C filed."),  # A jug that is not drawn yet would be asked about.
        ("t30 wick\r", "Timer wick until"),
    ):
        stove.type(keys)
        stove.wait_for(said)
    timer = re.search(r"Timer wick until (\d\d:\d\d)", stove.text())[1]
    stove.type("88.")
    stove.wait_for("88.▏")
    before = kitchen.entries()
    stove.kill()
    assert stove.ended() == -signal.SIGKILL
    time.sleep(1.2)

    stove = kitchen.run("resume")
    shown = stove.wait_for("is it lit?", "burner UNKNOWN", "Opened again after")
    assert f"{timer}  TIMER" in shown
    assert "88.▏" not in shown
    after = kitchen.entries()
    assert after[: len(before)] == before
    again = after[len(before)].fact
    assert isinstance(again, ev.Reopened)
    assert 1.2 < again.away < 600
    assert f"Opened again after {span(again.away)}." in shown
    assert kitchen.facts(ev.Stopped) == []

    stove.type(" ")
    stove.wait_for("The burner is:")
    stove.type("l")
    stove.wait_for("Filed: burner on.", "burner ON")
    stove.type("z")
    stove.wait_for("Taken back: burner on")
    stove.wait_for("burner UNKNOWN")


def test_a_torn_last_line_is_set_aside_and_said_when_the_day_goes_on(kitchen):
    session = kitchen.begin()
    whole = kitchen.entries()
    with open(kitchen.folder / f"{session}.journal", "ab") as journal:
        journal.write(b'{"seq":4,"at":"2026-11-25T12:')
    stove = kitchen.run("resume")
    stove.wait_for("is it lit?", "Opened again after", "set aside")
    assert kitchen.entries()[: len(whole)] == whole
    assert isinstance(kitchen.entries()[len(whole)].fact, ev.Reopened)


def test_closed_for_two_days_the_time_away_is_shown_and_recorded(kitchen):
    kitchen.begin(ago=2 * 86_400)
    stove = kitchen.run("resume")
    stove.wait_for("Opened again after 2 days.", "is it lit?")
    (again,) = kitchen.facts(ev.Reopened)
    assert again.away == pytest.approx(2 * 86_400, abs=60)


def kill_at_random(kitchen, rounds: int, seed: int) -> int:
    """Type numbered readings in bursts and kill, again and again; how many the screen confirmed.

    Every other round is killed right after the screen confirmed something, the rest at any moment.
    """
    chance = random.Random(seed)
    session = kitchen.begin(session=f"2026-11-25-kill-{seed}")
    typed: list[str] = []
    confirmed: list[str] = []
    for round_ in range(rounds):
        stove = kitchen.run("resume", session)
        waits = round_ % 2 == 0
        if not waits and chance.random() < 0.3:
            stove.pump(chance.random() * 0.7)
        else:
            stove.wait_for("is it lit?")
            until = time.monotonic() + chance.random() * 0.4
            while True:
                burst = [f"{40 + (len(typed) + k) / 10:.1f}" for k in range(chance.choice((1, 1, 2, 5)))]
                typed += burst
                keys = "".join(f"\t{number}\r" for number in burst)
                os.write(stove.master, (keys + chance.choice(("", "9", "\t8"))).encode())
                stove.pump(chance.random() * 0.06)
                os.write(stove.master, b"\x7f\x7f")
                if time.monotonic() >= until:
                    break
            if waits:
                # The last one typed alone: a confirmation that keys follow at once need not be seen.
                stove.pump(0)
                typed.append(f"{40 + len(typed) / 10:.1f}")
                os.write(stove.master, f"{typed[-1]}\r".encode())
                last = typed[-1].encode()
                stove.until(lambda _, stove=stove, last=last: last in FILED.findall(stove.raw))
        stove.kill()
        assert stove.ended() == -signal.SIGKILL
        seen = [number.decode() for number in FILED.findall(stove.raw)]
        confirmed += list(dict.fromkeys(seen))
        filed = [r.typed for r in kitchen.facts(ev.Reading, session)]
        assert len(set(filed)) == len(filed), "filed twice"
        assert filed == [number for number in typed if number in set(filed)], "out of order"
        assert set(confirmed) <= set(filed), "confirmed and lost"
        entries = kitchen.entries(session)
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
    stove = kitchen.run("resume", session)
    stove.wait_for("is it lit?")
    stove.close()
    return len(set(confirmed))


def test_eight_kills_while_typing_lose_nothing_the_screen_confirmed(kitchen):
    """Three hundred in the slow suite, and a thousand over everything: test_kills_everywhere.py."""
    assert kill_at_random(kitchen, 8, 1) >= 4


@pytest.mark.slow
def test_three_hundred_kills_while_typing_lose_nothing_the_screen_confirmed(kitchen):
    kitchen.fresh = True  # some of them while it is still loading
    assert sum(kill_at_random(kitchen, 15, seed) for seed in range(2, 22)) >= 150
