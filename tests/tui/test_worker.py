"""The process that answers beside the screens: it answers, is replaced when it ends or is stuck, and never outlives them."""

from __future__ import annotations

import asyncio
import os
import pickle
import signal
import subprocess
import sys
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import psutil
import pytest
from msgspec.structs import replace

import pourday.tui.worker as worker_module
from pourday.demo.scenario import START, two_pillars
from pourday.errors import Trouble
from pourday.guide.acts.act import awaits
from pourday.guide.advice.adviser import Adviser
from pourday.guide.advice.queries import Failed, Forecast, ForecastQuery, RemainingDay, RemainingDayQuery
from pourday.guide.ahead.alternatives import Shorter, shorter
from pourday.guide.ahead.day import DayForecast, ahead_of_plan, forecast_day
from pourday.guide.outlook.outlook import look_ahead
from pourday.plan.model import BlendPart, Plan
from pourday.session import events as ev
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State
from pourday.store.live import LiveSession
from pourday.tui.home.next_act import UNKNOWN, NextActsQuery
from pourday.tui.rehearse.query import RehearsalQuery
from pourday.tui.worker import MOST_STARTS, NO_MORE, STARTED_AGAIN, ForecastWorker

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


def one_pillar() -> Plan:
    """A day that is worked out in half the time."""
    return replace(two_pillars(), moulds=two_pillars().moulds[:1])


class Asking:
    """A worker, what it answered and what it said of its own end."""

    def __init__(self) -> None:
        self.worker = ForecastWorker()
        self.parts: asyncio.Queue[Any] = asyncio.Queue()
        self.said: asyncio.Queue[str] = asyncio.Queue()
        self.worker.listen(self.said.put_nowait)

    def ask(self, question: Any) -> int:
        return self.worker.ask(question, self.parts.put_nowait, lambda: self.parts.put_nowait("over"))

    def forecast(self, live: LiveSession, now: float = START + 1900) -> int:
        return self.ask(ForecastQuery(live.state, now, frozenset()))

    async def next(self) -> Any:
        return await asyncio.wait_for(self.parts.get(), PATIENCE)

    async def whole(self) -> list[Any]:
        """Every part of the answer that comes next."""
        parts = []
        while (part := await self.next()) != "over":
            parts.append(part)
        return parts

    async def forecasts(self, state: State) -> list[Forecast]:
        """The same of a forecast, each part with what an earlier one had brought already."""
        parts, heats, pot = [], {}, None
        for light in await self.whole():
            part = light.whole(state, heats, pot)
            heats = {letter: mould.heat for letter, mould in part.outlook.moulds.items()}
            pot = part.outlook.pot
            parts.append(part)
        return parts

    async def sentence(self) -> str:
        return await asyncio.wait_for(self.said.get(), PATIENCE)

    @property
    def pid(self) -> int:
        assert self.worker._process is not None
        return self.worker._process.pid


@asynccontextmanager
async def asking() -> AsyncIterator[Asking]:
    one = Asking()
    try:
        yield one
    finally:
        one.worker.close()


def run(test: Callable[[Asking], Awaitable[None]]) -> None:
    """A test inside an event loop, with a worker that is let go of after it."""

    async def whole() -> None:
        async with asking() as one:
            await test(one)

    asyncio.run(whole())


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


# -- what it answers ------------------------------------------------------------------------------------


def test_it_finds_what_the_adviser_finds_at_once(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        one.forecast(live)
        rough, coarse, fine = await one.forecasts(live.state)
        assert [part.provisional for part in (rough, coarse, fine)] == [True, False, False]
        found = coarse
        here = Adviser().advise(live.state, START + 1900)
        assert found.outlook.state is live.state
        there, expected = found.outlook.moulds["A"], here.outlook.moulds["A"]
        assert (there.opens, there.best, there.closes, there.cold) == (
            expected.opens, expected.best, expected.closes, expected.cold,
        )  # fmt: skip

    run(test)


@pytest.mark.usefixtures("worker_of_its_own")
def test_what_is_found_of_an_older_state_never_arrives(
    live: LiveSession, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other process begins only once the second state was asked about."""
    both_asked, slow = tmp_path / "asked", tmp_path / "python"
    slow.write_text(
        f'#!/bin/sh\nwhile [ ! -e "{both_asked}" ]; do sleep 0.02; done\nexec "{sys.executable}" "$@"\n'
    )
    slow.chmod(0o700)
    monkeypatch.setattr(sys, "executable", str(slow))

    async def test(one: Asking) -> None:
        first = one.forecast(live)
        live.file(ev.SealSeen(mould="A", weeps=False), now=START + 2000)
        one.worker.drop(first)
        one.forecast(live, START + 2000)
        both_asked.touch()
        assert {part.key for part in await one.whole()} == {(live.session, live.state.last_seq)}

    run(test)


def test_readings_that_are_known_there_are_counted_all_the_same(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        for n in range(3):
            live.file(ev.Reading(place="pot", celsius=70.0 + n, typed=f"{70 + n}"), now=START + 1900 + 60 * n)
            now = START + 1900 + 60 * n
            one.forecast(live, now)
            pot = (await one.forecasts(live.state))[-1].outlook.pot
            assert pot.at(now) == Adviser().advise(live.state, now).outlook.pot.at(now)

    run(test)


def test_a_plan_that_cannot_be_weighed_out_says_why_through_the_pipe() -> None:
    state = State(session="bare", plan=Plan(blend=(BlendPart(wax="no such wax"),)))

    async def test(one: Asking) -> None:
        one.ask(ForecastQuery(state, START))
        found, here = await one.next(), Adviser().advise(state, START)
        assert vars(found.trouble) == vars(here.trouble)

    run(test)


def test_the_ways_out_of_a_rescue_come_as_they_would_be_worked_out_here(live: LiveSession) -> None:
    live.file(ev.Poured(mould="A", layer=0, part="layer", planned_kg=0.2), now=START + 1900)
    live.file(ev.Looked(mould="A", cue="pulled away"), now=START + 9000)

    async def test(one: Asking) -> None:
        news: asyncio.Queue[bool] = asyncio.Queue()
        adviser = Adviser(one.worker, news=lambda: news.put_nowait(True))
        question = None
        while question is None or awaits(question):
            acts = adviser.advise(live.state, START + 9100).acts
            question = next(act.question for act in acts if act.kind == "decide")
            adviser.work_out(question)
            if awaits(question):
                await asyncio.wait_for(news.get(), PATIENCE)
        here = Adviser().advise(live.state, START + 9100).acts
        assert list(question.choices) == list(next(a.question for a in here if a.kind == "decide").choices)
        assert len(question.choices) > 1

    run(test)


def test_the_rest_of_the_day_is_answered(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        one.forecast(live)
        await one.whole()
        one.ask(RemainingDayQuery(START + 1905, PersonsClock()))
        day = await one.next()
        assert isinstance(day, RemainingDay)
        assert day.end is not None

    run(test)


def test_a_new_fact_is_forecast_while_the_rest_of_the_day_is_still_worked_out(tmp_path: Path) -> None:
    """It has the same steps all the same as a day that was worked out in one go."""
    live = LiveSession.begin(tmp_path, "interrupted", now=START)
    live.file(ev.PlanFixed(plan=one_pillar()), now=START)
    live.close()
    sent: list[tuple[int, Any]] = []
    in_work = worker_module._AnswersInWork(sent.append)

    def finish() -> None:
        while not in_work.idle:
            in_work.step()

    in_work.take((1, ForecastQuery(live.state, START + 10, frozenset()), 0))
    finish()
    in_work.take((2, RemainingDayQuery(START + 13, PersonsClock()), 0))
    in_work.step()
    in_work.step()
    in_work.take((3, ForecastQuery(live.state, START + 20, frozenset()), 0))
    finish()
    parts = [(number, part) for number, part in sent if number > 1 and part is not None]
    assert [number for number, _ in parts] == [3, 2]
    whole = forecast_day(live.state, look_ahead(live.state, START + 10), START + 13, clock=PersonsClock())
    assert parts[1][1].steps == whole.steps


def test_a_rehearsal_brings_the_day_and_then_what_would_shorten_it() -> None:
    async def test(one: Asking) -> None:
        one.ask(RehearsalQuery(one_pillar(), START, PersonsClock()))
        says, day, *ways = await one.whole()
        assert isinstance(says, str), "when it begins; there is something to say only where that is moved"
        here = ahead_of_plan(one_pillar(), START, clock=PersonsClock())
        assert isinstance(day, DayForecast)
        assert (day.steps, day.end, day.lit) == (here.steps, here.end, here.lit)
        cut, expected = (found.course("A").section(START + 9000) for found in (day, here))
        assert abs(cut.celsius - expected.celsius).max() < 0.01
        assert [w.says for w in ways] == [w.says for w in shorter(here, clock=PersonsClock())]
        assert len(ways) >= 3
        assert all(isinstance(way, Shorter) for way in ways)

    run(test)


def test_a_plan_that_cannot_be_rehearsed_says_why() -> None:
    async def test(one: Asking) -> None:
        one.ask(RehearsalQuery(Plan(blend=(BlendPart(wax="no such wax"),)), START, PersonsClock()))
        assert isinstance((await one.whole())[0], Trouble)

    run(test)


def test_what_sessions_ask_for_next_comes_for_all_of_them_whatever_one_of_them_is(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        one.ask(NextActsQuery(live.folder, (live.session, "no such session"), START + 1900))
        (found,) = await one.whole()
        assert "A B" in found[live.session].says or "A" in found[live.session].says
        assert found["no such session"] == UNKNOWN

    run(test)


def test_first_answers_come_before_what_makes_others_finer(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        order: list[str] = []
        worker = one.worker
        worker.ask(RehearsalQuery(one_pillar(), START, PersonsClock()), lambda _: order.append("day"))
        worker.ask(
            ForecastQuery(live.state, START + 1900, frozenset()),
            lambda _: order.append("forecast"),
            lambda: one.parts.put_nowait("over"),
        )
        await one.next()
        # The day may have been begun before the second question was there: its sentence then comes first.
        # Rough, a forecast is no answer yet: nothing comes between it and the coarse one.
        assert order.count("forecast") == 3
        begins = order.index("forecast")
        assert order[begins : begins + 2] == ["forecast", "forecast"]
        assert begins <= 1

    run(test)


def test_what_goes_wrong_there_is_answered_in_words_and_the_next_question_is_taken(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        one.ask(RehearsalQuery("no plan", START, PersonsClock()))  # type: ignore[arg-type]
        failed = (await one.whole())[0]
        assert isinstance(failed, Failed)
        assert failed.why
        one.forecast(live)
        assert isinstance(await one.next(), Forecast)

    run(test)


# -- how it ends ----------------------------------------------------------------------------------------


@pytest.mark.usefixtures("worker_of_its_own")
def test_a_process_that_was_killed_says_so_and_is_started_again_but_not_for_ever(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        for start in range(MOST_STARTS):
            one.forecast(live)
            assert len(await one.whole()) == 3
            os.kill(one.pid, signal.SIGKILL)
            assert await one.sentence() == (STARTED_AGAIN if start < MOST_STARTS - 1 else NO_MORE)
        one.forecast(live)
        assert one.worker._process is None
        assert len(await one.whole()) == 1, "from then on it is answered here, and coarse only"

    run(test)


def test_a_question_that_was_taken_by_a_process_that_then_dies_is_over_and_can_be_asked_anew(
    live: LiveSession,
) -> None:
    async def test(one: Asking) -> None:
        one.forecast(live)
        await one.whole()
        os.kill(one.pid, signal.SIGSTOP)
        one.forecast(live)
        os.kill(one.pid, signal.SIGKILL)
        assert await one.next() == "over"
        assert await one.sentence() == STARTED_AGAIN
        one.forecast(live)
        assert isinstance(await one.next(), Forecast)

    run(test)


def test_a_process_that_is_stuck_is_replaced(live: LiveSession, monkeypatch: pytest.MonkeyPatch) -> None:
    async def test(one: Asking) -> None:
        one.forecast(live)
        await one.whole()
        pid = one.pid
        os.kill(pid, signal.SIGSTOP)
        one.worker.watch()
        assert one.pid == pid, "nothing is asked: nobody knows, and nobody waits"
        one.forecast(live)
        one.worker.watch()
        assert one.pid == pid, "it may only be slow"
        with monkeypatch.context() as later:
            later.setattr(worker_module, "awake", lambda: time.monotonic() + worker_module.PATIENCE + 1)
            one.worker.watch()
        assert await one.sentence() == STARTED_AGAIN
        assert not running(pid)
        one.parts = asyncio.Queue()
        one.forecast(live)
        assert isinstance(await one.next(), Forecast)

    run(test)


def test_asking_never_waits_for_a_process_that_reads_nothing(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        one.forecast(live)
        await one.whole()
        os.kill(one.pid, signal.SIGSTOP)
        one.worker.ask(RehearsalQuery(Plan(title="x" * 3_000_000), START, PersonsClock()), lambda _: None)
        one.forecast(live, START + 1960)
        os.kill(one.pid, signal.SIGCONT)
        assert isinstance(await one.next(), Forecast)

    run(test)


@pytest.mark.usefixtures("worker_of_its_own")
def test_where_no_process_can_be_started_no_better_forecast_is_waited_for(
    live: LiveSession, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rough one that came was the last, and no flame is told to be lit by a rough one: the sentence stayed “Working out”."""
    monkeypatch.setattr(sys, "executable", "")
    adviser = Adviser(ForecastWorker())
    adviser.advise(live.state, START + 1900)
    for fact in (ev.Reading(place="pot", celsius=70.0), ev.BurnerSet(state="off")):
        live.file(fact, now=START + 2000)
        adviser.advise(live.state, START + 2001)
        assert not adviser.waits


@pytest.mark.usefixtures("worker_of_its_own")
def test_an_answer_that_will_not_come_is_told(live: LiveSession, monkeypatch: pytest.MonkeyPatch) -> None:
    """A process that ends before it answers, here one that cannot think at all."""
    monkeypatch.setattr(sys, "executable", "/bin/true")

    async def test(one: Asking) -> None:
        one.forecast(live)
        assert await one.next() == "over"
        assert await one.sentence() == STARTED_AGAIN

    run(test)


@pytest.mark.usefixtures("worker_of_its_own")
@pytest.mark.parametrize("python", ["", "/no/such/python"])
def test_where_no_process_can_be_started_it_is_answered_here(
    live: LiveSession, monkeypatch: pytest.MonkeyPatch, python: str
) -> None:
    monkeypatch.setattr(sys, "executable", python)

    async def test(one: Asking) -> None:
        one.forecast(live)
        assert isinstance(await one.next(), Forecast)

    run(test)


@pytest.mark.usefixtures("worker_of_its_own")
def test_after_closing_no_process_is_left(live: LiveSession) -> None:
    async def test(one: Asking) -> None:
        one.forecast(live)
        await one.whole()
        pid = one.pid
        one.forecast(live)
        one.worker.close()
        assert not running(pid)
        await asyncio.sleep(0.2)
        assert one.parts.empty()

    run(test)


OWNER = """
import asyncio, pickle, sys
from pourday.guide.advice.queries import ForecastQuery
from pourday.tui.worker import ForecastWorker
async def own():
    worker = ForecastWorker()
    state, now = pickle.load(sys.stdin.buffer)
    worker.ask(ForecastQuery(state, now, frozenset()), lambda _: print(worker._process.pid, flush=True))
    await asyncio.sleep(60)
asyncio.run(own())
"""


@pytest.mark.parametrize(
    "how",
    [signal.SIGKILL, *(pytest.param(x, marks=pytest.mark.slow) for x in (signal.SIGTERM, signal.SIGHUP))],
)
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


@pytest.mark.usefixtures("worker_of_its_own")
def test_many_workers_leave_no_descriptor_or_process_behind(live: LiveSession) -> None:
    # The tests' own fork server and its tracker may be there, for which this file is not answerable.
    there = {child.pid for child in psutil.Process().children()}
    before = psutil.Process().num_fds()

    async def one_after_another() -> None:
        for i in range(12):
            async with asking() as one:
                one.forecast(live)
                if i % 4 == 0:
                    await one.next()

    asyncio.run(one_after_another())
    assert {child.pid for child in psutil.Process().children()} <= there
    assert soon(lambda: psutil.Process().num_fds() == before)
