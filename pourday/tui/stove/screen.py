"""The screen at the stove: draws what its controller and the guide say, and hands on the keys."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from dataclasses import replace
from typing import Literal

from pourday.demo.station import Station
from pourday.errors import Trouble
from pourday.guide.acts.act import Question, awaits
from pourday.guide.advice.adviser import Advice, Adviser
from pourday.guide.advice.now import with_live_figure
from pourday.language import tr
from pourday.probes.offset import ProbeTest
from pourday.probes.watch import ProbeWatch
from pourday.reports.kitchen_days import known_kitchen
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.session.quiet_hours import PersonsClock
from pourday.store import gap
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.second_screen import offered_page
from pourday.store.settings import save
from pourday.store.settings_probes import probe_sources_of, probe_tests_of
from pourday.times import local, span
from pourday.tui.base import LineScreen
from pourday.tui.drawing.cards import draw_fire
from pourday.tui.drawing.help import Moment, draw_help, working
from pourday.tui.drawing.help_text import PAGES
from pourday.tui.drawing.lines import Line, tall
from pourday.tui.drawing.pages import day_parts, draw_paper, draw_question, is_page
from pourday.tui.printing import written_words
from pourday.tui.probe_reader import ProbeReader
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.foot import foot
from pourday.tui.stove.header import header
from pourday.tui.stove.layout import DrawingCache, Look, draw_stove
from pourday.tui.stove.live_probes import LiveProbes
from pourday.tui.stove.probe_page import draw_probes
from pourday.tui.terminal.clocks import Clock, all_clocks, real
from pourday.tui.terminal.keys import BY_ID, HELP_ALWAYS, OVER_QUESTIONS
from pourday.tui.terminal.signals import FLASH, lit, title_text

DEMO_BEAT = 0.1
"""Seconds between two looks at a simulated kitchen, which has something to decide that often."""
RETRY_EVERY = 2.0
"""Seconds between two tries to save what the disk did not take."""
PAGE_EVERY = 2.0
"""Seconds between two looks whether a second screen is offered."""
AFTER = 0.02
"""Seconds from a filed fact until the guide is asked what follows from it.

What is known is painted first: while this thread thinks, the one that writes to the terminal gets no turn.
"""
KNUCKLE = ("done", "heat", "fire", "ack")
"""Keys that can be struck with a knuckle, because hands at a stove are full or waxy: their hints stand out."""
THINKS = Question(tr("Working out what can be done …"), ())
"""Shown until the answers to a question are worked out."""
STILL_THERE = 1800.0
"""Seconds for which a probe is taken to be still where it was by the record, when the program is started again."""
LOOKED_AT = 0.05
"""Seconds in which what the probes send is gathered, so that a flood of lines is drawn twenty times a second at most."""
TURNS = {"down": 1, "pagedown": 1, "right": 1, "up": -1, "pageup": -1, "left": -1}
"""Keys that turn the pages of help."""


class StoveScreen(LineScreen):
    """The stove: one line of time with a session, its controller and the guide; heartbeats work out what is due."""

    def __init__(self, live: LiveSession, clock: Clock, station: Station | None = None) -> None:
        super().__init__()
        self.live = live
        self.clock = clock
        self.station = station
        settings = self.pourday.settings
        persons = PersonsClock(settings.quiet_from, settings.quiet_to)
        self._loop = asyncio.get_running_loop()
        adviser = Adviser(self.pourday.worker, persons, settings.watch_minutes * 60, self._news)
        if not live.state.demo:
            adviser.kitchen = known_kitchen(self.pourday.folder, clock.now())
        self._deaf = self.pourday.worker.listen(self._lost_worker)
        self.controller = StoveController(live, self._filed, adviser=adviser)
        self._watch: gap.Watch | None = None
        """None until the first heartbeat: how long the program takes to open is no time nobody looked."""
        self._retry_at = 0.0
        self._page_at = 0.0
        self._help_at = 0
        self._most = 0
        """How far the page that is open can be scrolled."""
        self._page: tuple[str, Question | None] = ("", None)
        self._kept = DrawingCache()
        self._drawn_of: tuple[object, ...] = ()
        self._lost = ""
        """Why what is looked on at cannot be read just now."""
        self._hearing = False
        """What the probes sent is about to be taken in."""

    # -- drawing ------------------------------------------------------------------------------------

    def lines(self, cells: int, rows: int) -> list[Line]:
        if self.controller.card == "fire":
            return draw_fire(cells, rows)
        if self.controller.card == "help":
            keys = working(self._moment(), self.pourday.keys)
            return draw_help(PAGES["stove"], tr("Keys at the stove"), keys, cells, rows, self._help_at)
        question = self.controller.question
        self._from_the_top(question)
        if self.controller.card == "sheet":
            parts = day_parts(self.controller.advice, self.clock.now())
            title = tr("What is left of this day")
            drawn, self._most = draw_paper(title, parts, cells, rows, self._help_at, self.pourday.keys)
            return drawn
        if self.controller.card == "probes":
            now = self.clock.now()
            only_now = self.pourday.probe_sources is not None
            tests = {} if only_now else probe_tests_of(self.pourday.settings)
            units = self.live.state.plan.units
            return draw_probes(self.controller.probe_card, tests, units, now, cells, rows)
        if awaits(question):
            return draw_question(THINKS, "", header(self._advice(), self.clock.now(), cells), cells, rows)[0]
        if (
            question is not None
            and is_page(question)
            and not self.controller.writing
            and not self.controller.entry.text
        ):
            head = header(self._advice(), self.clock.now(), cells)
            drawn, self._most = draw_question(
                question, self.controller.message, head, cells, rows, self._help_at, self.pourday.keys
            )
            return drawn
        strip = self.station.strip(self.live.state) if self.station else ""
        look = Look(self.controller.chosen, self.controller.finished_view, strip, self.pourday.settings.cells)
        under = foot(self.controller, cells, self.pourday.keys, flash=lit(real()))
        drawn = draw_stove(self._advice(), self.clock.now(), cells, rows, under, look, self._kept)
        # What is common is three rows high, so that a touch screen works with a knuckle.
        return tall(drawn, {self.pourday.keys.key(BY_ID[name]) for name in KNUCKLE})

    def _advice(self) -> Advice:
        """The guide's word with the probes as they stand this moment: their figures wait for no heartbeat."""
        advice, probes = self.controller.advice, self.controller.live_probes
        if probes is None:
            return advice
        first = advice.now
        if first is not None:
            first = with_live_figure(first, probes.probes, self.clock.now(), self.live.state.plan.units)
        return replace(advice, now=first, probes=probes.probes)

    def _from_the_top(self, question: Question | None) -> None:
        """Begin another page with its first line."""
        if self._page != (self.controller.card, question):
            self._page, self._help_at, self._most = (self.controller.card, question), 0, 0

    def tiny(self, cells: int, rows: int) -> list[Line]:
        return self.lines(cells, rows)

    def words(self) -> str:
        first = self.controller.advice.now
        return title_text(first.word if first else "", bool(self._alarm()))

    def _alarm(self) -> str:
        """The alarms nobody acknowledged yet, in words."""
        waiting = [a for a in self.live.state.alarms.values() if a.acknowledged_at is None]
        return " ".join(a.says for a in waiting)

    def _moment(self) -> Moment:
        """What help needs to know of this moment, to list the keys that count now."""
        question = self.controller.question
        return Moment(
            writing=bool(self.controller.writing),
            pending=bool(self.controller.entry.text),
            choices=tuple(question.choices) if question is not None and not awaits(question) else (),
            alarm=bool(self._alarm()),
            agenda=bool(self.controller.advice.acts),
            demo=self.station is not None,
            looking=self.live.readonly or self.live.state.finished_at is not None,
        )

    # -- time ---------------------------------------------------------------------------------------

    def heartbeat(self) -> float:
        """A simulated kitchen runs faster than the clock on the wall; a real one has seconds, and a slow flash."""
        return DEMO_BEAT if self.station is not None else FLASH / 2

    def on_mount(self) -> None:
        self.controller.wake(real())
        self.controller.message = " ".join(
            part for part in (self._carried_on(), self.pourday.remark()) if part
        )
        self._listen()
        self.controller.look(self.clock.now(), real())

    def _listen(self) -> None:
        """Open the probes that are named, where this session can be written: a simulated kitchen has its own thermometer."""
        if self.station is not None or self.live.readonly or self.live.state.finished_at is not None:
            return
        settings, state = self.pourday.settings, self.live.state
        only_now = self.pourday.probe_sources
        sources = probe_sources_of(settings) if only_now is None else only_now
        if not sources:
            return
        # A probe that is named for one run is not the one of that name that was tested.
        tests = probe_tests_of(settings) if only_now is None else {}
        known = [r for r in state.readings if r.probe and self.clock.now() - r.t < STILL_THERE]
        watch = ProbeWatch(sources, tests, known, state.plan.units)
        probes = LiveProbes(self.live, watch, ProbeReader(sources, self.clock.now, self._heard))
        self.controller.listen(probes, self._keep_test)
        old = next((n for n, test in tests.items() if test.is_old(local(self.clock.now()).date())), "")
        if old:
            said = tr(
                "{message} The probe {old} was tested over half a year ago: m shows it.",
                message=self.controller.message,
                old=old,
            )
            self.controller.message = said.strip()
        probes.start()

    def _heard(self) -> None:
        """A probe sent something: taken in by the screen's own loop, and not more often than it can be looked at."""
        if not self._hearing:
            self._hearing = True
            with suppress(RuntimeError):  # The loop has ended meanwhile.
                self._loop.call_soon_threadsafe(self._loop.call_later, LOOKED_AT, self._take_in)

    def _take_in(self) -> None:
        """Take in what the probes sent, and show it."""
        self._hearing = False
        if not self.is_attached or self.pourday.ending:
            return
        known = len(self.live.entries), len(self.live.unsaved)
        if self.controller.hear(self.clock.now()):
            self.draw()
        self._at_work(known)

    def _keep_test(self, name: str, test: ProbeTest) -> None:
        """Into the settings, where it counts from now on. Raises `Trouble` where it cannot be stored."""
        if self.pourday.probe_sources is not None:
            raise Trouble(
                tr("It is not kept: this probe is named for one run."), instead=tr("Name it in the settings.")
            )
        self.pourday.apply(save(self.pourday.loaded.path, f"probe_tests.{name}", test.text))

    def _carried_on(self) -> str:
        """How long nobody watched, and what there is to say of the file, where this session was opened again."""
        last = self.live.entries[-1].fact
        if not isinstance(last, ev.Reopened) or self.live.readonly:
            return ""
        return " ".join([tr("Opened again after {span}.", span=span(last.away)), *self.live.remarks])

    def on_unmount(self) -> None:
        self._deaf()
        if self.controller.live_probes is not None:
            self.controller.live_probes.close()

    def _news(self) -> None:
        """The worker has answered: shown at once where somebody waits for it, else at the next heartbeat."""
        self._loop.call_soon(self._show_news)

    def _show_news(self) -> None:
        """Show what the guide has worked out."""
        if self.is_attached:
            self._drawn_of = ()
            self.tick()

    def _lost_worker(self, says: str) -> None:
        """Say that the process beside the screens has ended, and have everything asked anew."""
        self.controller.adviser.ask_again()
        self.controller.message = says

    def tick(self) -> None:
        """Every second: look for gaps, follow or save the record, play the demo, work out what is due, draw what changed."""
        if self.pourday.ending:
            return
        now = self.clock.now()
        self._look_for_gaps(now)
        known = len(self.live.entries), len(self.live.unsaved)
        if self.live.readonly:
            self._follow()
        elif self.live.unsaved and real() >= self._retry_at:
            self._retry_at = real() + RETRY_EVERY
            self.live.retry()
        self._look_for_page()
        self.controller.hear(now)
        advice = self.controller.look(now, real())
        # A day that plays itself stands still while the guide thinks: on a slow machine it only takes longer. By hand the
        # kitchen goes on with the clock that the person sees.
        waits = (
            self.station is not None
            and self.station.hands_free
            and (
                self.controller.adviser.waits or (advice.now is not None and awaits(advice.now.act.question))
            )
        )
        if (
            self.station is not None
            and not self.live.readonly
            and not waits
            and self.station.tick(advice, now, real(), self._file_as_person)
        ):
            self.controller.message = self.station.did
        self._at_work(known)
        self._signal()
        # Between two seconds only a sign that flashes, or the simulated kitchen, has anything new to show.
        flashing = bool(self._alarm()) or (advice.now is not None and advice.now.act.kind != "wait")
        shown = (id(advice), self.controller.message, lit(real()) if flashing else None)
        if shown != self._drawn_of or self.station is not None:
            self._drawn_of = shown
            self.draw()

    def _follow(self) -> None:
        """Take in what another program added to the session that is only looked at here."""
        lost, self._lost = self._lost, ""
        try:
            self.live.follow()
        except Trouble as trouble:
            self._lost = str(trouble)
        if self._lost or self.controller.message == lost:
            self.controller.message = self._lost

    def _look_for_page(self) -> None:
        """Where a second screen is offered, with the word that lets the next browser in."""
        if real() >= self._page_at:
            self._page_at = real() + PAGE_EVERY
            offered = offered_page(self.live.folder, self.live.session)
            if offered != self.controller.second_screen:
                self.controller.second_screen, self._drawn_of = offered, ()

    def _look_for_gaps(self, now: float) -> None:
        """File the times nobody can have watched: the machine slept, its clock was set, the program stood still."""
        if self._watch is None:
            self._watch = gap.watch(all_clocks())
            return
        self._watch, gaps = gap.look(self._watch, all_clocks())
        if self.station is not None or self.live.readonly:
            return
        known = len(self.live.entries), len(self.live.unsaved)
        for each in gaps:
            self.live.file(ev.GapSeen(seconds=each.seconds, cause=each.cause), now=now, by="program")
            self.controller.startle()
        self._at_work(known)

    def _at_work(self, known: tuple[int, int]) -> None:
        """Count no gap for the time the disk took where something was filed meanwhile.

        A slow disk would feed itself: each gap that is filed would make the next one.
        """
        filed = known != (len(self.live.entries), len(self.live.unsaved)) or bool(self.live.unsaved)
        if self._watch is not None and filed:
            self._watch = gap.busy(self._watch, all_clocks())

    def _signal(self) -> None:
        """Bells, title, notices, and what went wrong with the alarm program."""
        first = self.controller.advice.now
        signals = self.pourday.signals
        word, says = (first.word, first.says) if first else ("", "")
        waits = first is not None and first.act.kind == "wait"
        signals.look(word, says, self._alarm(), self.controller.quiet, waits)
        trouble = signals.program.trouble()
        if trouble:
            self.controller.message = trouble

    # -- keys ---------------------------------------------------------------------------------------

    def pressed(self, key: str, character: str | None) -> None:
        now = self.clock.now()
        # Before the key counts: what it files stands after the gap, and on the clock of after it.
        self._look_for_gaps(now)
        known = len(self.live.entries), len(self.live.unsaved)
        if self.controller.advice.state is not self.live.state:
            self.controller.look(now, real())
        # Otherwise a key answers what is on the screen; what a new second changes is for the next heartbeat.
        self._press(key, character, now)
        self._at_work(known)

    def may_repeat(self, key: str, character: str | None) -> bool:
        demo = self.station is not None and character in ("[", "]")
        return demo or self.controller.is_light(*self._usual(key, character))

    def _press(self, key: str, character: str | None, now: float) -> None:
        """Hand a key to the demo, to help and settings, else to the controller; then look at what it changed."""
        idle = not (
            self.controller.entry.text
            or self.controller.writing
            or self.controller.question
            or self.controller.card
        )
        if self.station is not None and idle and self._demo_key(character):
            return
        if self._turns(key):
            return
        self.controller.press(*self._usual(key, character), now, real())
        if self.controller.leaving:
            self.finish("left")
        elif self.controller.advice.state is not self.live.state:
            self.set_timer(AFTER, self._catch_up)

    def _catch_up(self) -> None:
        """What follows from a fact that was filed."""
        if self.is_attached and self.controller.advice.state is not self.live.state:
            self.tick()

    def pointed(self, row: int) -> bool:
        self.controller.point(row)
        return False

    def pasted(self, text: str) -> None:
        self.controller.paste(text)

    def print_papers(self) -> None:
        self.controller.message = written_words(self.live.folder, ("sheet",), self.live.state)

    def _turns(self, key: str) -> bool:
        """Whether the key was for help or for the settings, which the controller need not know of."""
        stove, keys = self.controller, self.pourday.keys
        meant = keys.binding(key)
        question = stove.question
        paged = question is not None and not awaits(question) and is_page(question)
        paged = paged and not (stove.card or stove.writing)
        if key in TURNS and (stove.card == "sheet" or (paged and not stove.entry.text)):
            self._help_at = max(0, min(self._most, self._help_at + TURNS[key]))
        elif stove.card == "help" and key in TURNS:
            self._help_at = max(0, self._help_at + TURNS[key])
        elif stove.card:
            return False
        elif key == HELP_ALWAYS and meant is None:
            stove.card, self._help_at = "help", 0
        elif stove.writing:
            return False
        elif meant is not None and meant.id == "help":
            stove.card, self._help_at = "help", 0
        elif meant is not None and meant.id == "ahead" and not (stove.entry.text or stove.question):
            self._look_ahead()
        elif meant is not None and meant.id == "settings" and not (stove.entry.text or stove.question):
            self.pourday.open_settings()
        elif meant is not None and meant.id == "faults" and not (stove.entry.text or stove.question):
            self._look_for_faults()
        else:
            return False
        stove.quiet = True
        return True

    def _look_ahead(self) -> None:
        """The rest of the day played ahead, over this screen, which goes on beneath it."""
        if self.live.state.finished_at is None:
            self.pourday.open_rehearsal(None, self.clock.now(), self.live.state)

    def _look_for_faults(self) -> None:
        """What the candles came out like that have left their moulds, over this screen, which goes on beneath it."""
        state = self.live.state
        out = tuple(letter for letter in sorted(state.moulds) if state.came_out(letter))
        if not out:
            self.controller.message = tr(
                "No candle has left its mould yet: its faults are said when one does."
            )
            return
        last = max(out, key=lambda letter: state.moulds[letter].demoulded_at or 0.0)
        self.pourday.open_faults(state, out, "demoulding", self.clock.now, self.live, last)

    def _usual(self, key: str, character: str | None) -> tuple[str, str | None]:
        """The key pressed, as the controller knows it: keys of the person's own are put back into the usual ones here and nowhere else."""
        stove = self.controller
        only: tuple[str, ...] = ()
        if stove.writing:
            only = ("none",)
        elif stove.card:
            only = ("fire", "help", "done")
        elif stove.entry.text:
            only = ("fire", "help", "done", "place")
        elif stove.question is not None:
            only = ("fire", *OVER_QUESTIONS)
        return self.pourday.keys.usual(key, character, only=only)

    def _demo_key(self, character: str | None) -> bool:
        """Whether the key was for the demo: its pause, its speed, its hands."""
        assert self.station is not None
        match character:
            case "p":
                self.station.pause(real())
            case "[":
                self.station.faster(-1, real())
            case "]":
                self.station.faster(+1, real())
            case "y":
                self.station.play(not self.station.hands_free, real())
            case _:
                return False
        return True

    def _filed(self, fact: Fact) -> None:
        """In a demo the kitchen follows what a person files."""
        if self.controller.live_probes is not None:
            self.controller.live_probes.typed(fact, self.clock.now())
        if self.station is None:
            return
        if isinstance(fact, ev.Undone):
            self.station.taken_back(self.live.entries, self.live.state, self.clock.now())
        else:
            self.station.filed(fact, self.live.state, self.clock.now())

    def _file_as_person(self, fact: Fact) -> None:
        """File what the demo's hands did, as if a person had typed it."""
        if isinstance(fact, ev.Finished):
            self.live.finish(fact.verdict, now=self.clock.now())
            return
        self.live.file(fact, now=self.clock.now())
        self._filed(fact)

    # -- leaving ------------------------------------------------------------------------------------

    def finish(self, how: Literal["left", "hangup", "terminated"]) -> None:
        """File that the program stops here, let go of the session, end."""
        if self.controller.live_probes is not None:
            self.controller.live_probes.file(self.clock.now(), all_of_it=True)
        self.live.end(how, now=self.clock.now())
        Memories(self.live.folder).remember_weights(self.live.state)
        self.live.close()
        self.go_back()

    def leave(self) -> None:
        self.controller.leave()
        if self.controller.leaving:
            self.finish("left")
        self.draw()
