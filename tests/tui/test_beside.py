"""Thinking in a process of its own: it answers, is replaced when it ends, and never outlives the screen."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from queue import Empty, SimpleQueue

import psutil
import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.guide.advice.adviser import Adviser
from pourday.guide.advice.steps import AdviceSnapshot
from pourday.plan.model import BlendPart, Plan
from pourday.session import events as ev
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State
from pourday.store.live import LiveSession
from pourday.tui.stove.worker import MOST_STARTS, ForecastWorker

PATIENCE = 60.0


@pytest.fixture
def live(tmp_path: Path) -> Iterator[LiveSession]:
    """Both plugs in and dry, the first layer in A."""
    session = LiveSession.begin(tmp_path, "beside", now=START)
    session.file(ev.PlanFixed(plan=two_pillars()), now=START)
    session.file(ev.JugMade(layer=0), now=START + 1700)
    for letter in "AB":
        session.file(ev.Poured(mould=letter, layer=0, part="plug", planned_kg=0.03), now=START + 1800)
    yield session
    session.close()


class Answers:
    """A thinker beside, and what it answered."""

    def __init__(self) -> None:
        self.found: SimpleQueue[AdviceSnapshot] = SimpleQueue()
        self.lost: SimpleQueue[bool] = SimpleQueue()
        self.beside = ForecastWorker(self.found.put, PersonsClock(), lambda: self.lost.put(True))

    def next(self) -> AdviceSnapshot:
        return self.found.get(timeout=PATIENCE)

    @property
    def pid(self) -> int:
        assert self.beside._process is not None
        return self.beside._process.pid

    def kill(self) -> None:
        """Until its last thread is gone, which is when it takes no more questions."""
        assert self.beside._process is not None
        os.kill(self.pid, signal.SIGKILL)
        self.beside._process.wait(PATIENCE)


@pytest.fixture
def answers() -> Iterator[Answers]:
    found = Answers()
    yield found
    found.beside.stop()


def running(pid: int) -> bool:
    try:
        return psutil.Process(pid).status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False


def soon(holds: Callable[[], bool]) -> bool:
    """Whether it holds before patience ends."""
    until = time.monotonic() + PATIENCE
    while not holds() and time.monotonic() < until:
        time.sleep(0.01)
    return holds()


def test_it_finds_what_the_adviser_finds_at_once(live: LiveSession, answers: Answers) -> None:
    assert answers.beside.ask(live.state, START + 1900)
    found = answers.next()
    here = Adviser().advise(live.state, START + 1900)
    assert found.outlook is not None
    assert found.outlook.state is live.state
    assert found.acts == here.acts
    assert here.outlook is not None
    there, expected = found.outlook.moulds["A"], here.outlook.moulds["A"]
    assert (there.opens, there.best, there.closes, there.cold) == (
        expected.opens, expected.best, expected.closes, expected.cold,
    )  # fmt: skip


def test_what_is_found_of_an_older_state_never_arrives(
    live: LiveSession, answers: Answers, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other process begins only once the second state was asked about."""
    both_asked, slow = tmp_path / "asked", tmp_path / "python"
    slow.write_text(
        f'#!/bin/sh\nwhile [ ! -e "{both_asked}" ]; do sleep 0.02; done\nexec "{sys.executable}" "$@"\n'
    )
    slow.chmod(0o700)
    monkeypatch.setattr(sys, "executable", str(slow))
    answers.beside.ask(live.state, START + 1900)
    live.file(ev.SealSeen(mould="A", weeps=False), now=START + 2000)
    answers.beside.ask(live.state, START + 2000)
    both_asked.touch()
    assert answers.next().key == (live.session, live.state.last_seq)


def test_a_plan_that_cannot_be_weighed_out_says_why_through_the_pipe(answers: Answers) -> None:
    state = State(session="bare", plan=Plan(blend=(BlendPart(wax="no such wax"),)))
    answers.beside.ask(state, START)
    found, here = answers.next(), Adviser().advise(state, START)
    assert found.trouble is not None
    assert here.trouble is not None
    assert vars(found.trouble) == vars(here.trouble)


def test_the_ways_out_of_a_rescue_can_be_opened_on_this_side(live: LiveSession, answers: Answers) -> None:
    """They are worked out where they are looked at."""
    live.file(ev.Looked(mould="A", cue="pulled away"), now=START + 2000)
    answers.beside.ask(live.state, START + 2000)
    asked = next(act.question for act in answers.next().acts if act.kind == "decide")
    assert asked is not None
    assert [choice.key for choice in asked.choices][-1] == "l"


def test_a_later_agenda_and_the_rest_of_the_day_come_when_asked_for(
    live: LiveSession, answers: Answers
) -> None:
    answers.beside.ask(live.state, START + 1900)
    while not answers.next().idle:
        pass
    answers.beside.ask_rest(START + 1905)
    while (found := answers.next()).rest is None:
        pass
    assert found.rest.end is not None
    answers.beside.ask_acts(START + 1960)
    while (found := answers.next()).since < START + 1960:
        pass
    assert found.acts


def test_a_process_that_was_killed_is_started_again_but_not_for_ever(
    live: LiveSession, answers: Answers
) -> None:
    for _ in range(MOST_STARTS):
        assert answers.beside.ask(live.state, START + 1900)
        assert answers.next().key[0] == live.session
        answers.kill()
    assert not answers.beside.ask(live.state, START + 1900)
    assert not answers.beside.ask_acts(START + 1900)


def test_a_question_that_was_taken_by_a_process_that_then_dies_is_told_as_lost_and_can_be_asked_anew(
    live: LiveSession, answers: Answers
) -> None:
    assert answers.beside.ask(live.state, START + 1900)
    answers.next()
    os.kill(answers.pid, signal.SIGSTOP)
    assert answers.beside.ask(live.state, START + 1900)
    answers.kill()
    assert answers.lost.get(timeout=PATIENCE)
    while not answers.found.empty():
        answers.next()
    assert answers.beside.ask(live.state, START + 1900)
    assert answers.next().key[0] == live.session


def test_an_answer_that_will_not_come_is_told(
    live: LiveSession, answers: Answers, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process that ends before it answers, here one that cannot think at all."""
    monkeypatch.setattr(sys, "executable", "/bin/true")
    # It may be gone before the question is out; then it is not asked.
    assert not answers.beside.ask(live.state, START + 1900) or answers.lost.get(timeout=PATIENCE)
    assert answers.found.empty()


@pytest.mark.parametrize("python", ["", "/no/such/python"])
def test_where_no_process_can_be_started_nothing_is_asked(
    live: LiveSession, answers: Answers, monkeypatch: pytest.MonkeyPatch, python: str
) -> None:
    monkeypatch.setattr(sys, "executable", python)
    assert not answers.beside.ask(live.state, START + 1900)


def test_after_stop_no_process_is_left(live: LiveSession, answers: Answers) -> None:
    answers.beside.ask(live.state, START + 1900)
    answers.next()
    pid = answers.pid
    answers.beside.stop()
    assert not running(pid)
    with pytest.raises(Empty):
        answers.found.get(timeout=0.2)


OWNER = """
import pickle, sys
from pourday.session.quiet_hours import PersonsClock
from pourday.tui.stove.worker import Beside
found = lambda _: print(beside._process.pid, flush=True)
beside = Beside(found, PersonsClock())
beside.ask(*pickle.load(sys.stdin.buffer))
import threading
import time
time.sleep(60)
"""


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM])
def test_it_does_not_outlive_a_screen_that_was_killed(live: LiveSession, how: signal.Signals) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", OWNER], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as owner:
        assert owner.stdin is not None
        assert owner.stdout is not None
        owner.stdin.write(pickle.dumps((live.state, START + 1900)))
        owner.stdin.close()
        pid = int(owner.stdout.readline())
        assert running(pid)
        owner.send_signal(how)
        assert soon(lambda: not running(pid))


def at_rest() -> bool:
    """No process beside this one, and no thread that listens to one."""
    listening = any(thread.name == "beside" for thread in threading.enumerate())
    return not listening and not psutil.Process().children()


def test_thinking_of_many_sessions_leaves_no_descriptor_process_or_thread_behind(live: LiveSession) -> None:
    assert soon(at_rest)
    before = psutil.Process().num_fds()
    for i in range(12):
        one = Answers()
        assert one.beside.ask(live.state, START + 1900)
        if i % 4 == 0:
            one.next()
        one.beside.stop()
    assert soon(at_rest)
    assert soon(lambda: psutil.Process().num_fds() == before)
