"""The first screen: what is open or due on top, then what was finished; or where to begin.

It is painted before the folder is read, so that a key finds somebody at home.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourday.errors import Trouble
from pourday.guide.words import clock, local
from pourday.tui.base import LineScreen
from pourday.tui.clocks import WallClock
from pourday.tui.lines import EMPTY, Line, fit, line, wrap

if TYPE_CHECKING:
    from pourday.store.library import Summary

JUST_AFTER = 0.04
"""Seconds from being shown to reading the folder: two or three frames."""


class HomeScreen(LineScreen):
    def __init__(self) -> None:
        super().__init__()
        self.clock = WallClock()
        self.at = 0
        self.message = ""
        self.sessions: list[Summary] = []
        self.known = False
        """Whether the folder was read yet."""
        self.next_acts: dict[str, str] = {}
        """What each open session asks for next; worked out one a heartbeat, after the screen is there."""

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.set_timer(JUST_AFTER, self._read)

    def _read(self) -> None:
        from pourday.store.library import list_sessions

        self.known = True
        self.next_acts = {}
        try:
            self.sessions = list_sessions(self.pourday.folder)
        except Trouble as trouble:
            self.sessions, self.message = [], str(trouble)
        self.draw()

    def tick(self) -> None:
        waiting = (s for s in self.sessions if not s.finished and not s.trouble)
        session = next((s for s in waiting if s.session not in self.next_acts), None)
        if session is not None and self.pourday.warm:
            self.next_acts[session.session] = self._next_act(session)
            self.draw()

    def _next_act(self, session: Summary) -> str:
        from pourday.guide.adviser import Adviser
        from pourday.store.reading import read_session

        now = self.clock.now()
        try:
            state = read_session(self.pourday.folder, session.session).state
            advice = Adviser().advise(state, now)
        except Trouble:
            return ""
        if advice.now is None or not advice.acts:
            return "plan it" if advice.now is None else ""
        act = advice.acts[0] if advice.now.word == "WAIT" else advice.now.act
        when = "about" if act.due > now else "due"
        return f"{act.word} {' '.join(act.moulds)}".rstrip() + f", {when} {clock(act.due, now)}"

    def lines(self, cells: int, rows: int) -> list[Line]:
        head = [line("Candles on the stove and in the cure", "glow bold"), EMPTY]
        body: list[Line] = []
        for index, session in enumerate(self.sessions):
            body.append(fit(self._row(session, index == self.at), cells))
        if not body and self.known:
            body = [
                line("Nothing here yet.", "ink"),
                EMPTY,
                line("n   plan a new session", "ink"),
                line("d   watch a demo: a whole simulated day", "ink"),
            ]
        foot = [*wrap(self.message, cells, "late", most=4)]
        keys = "Enter open · n new plan · d demo · q leave"
        room = rows - len(head) - len(foot) - 1
        start = max(0, min(self.at - room + 2, len(body) - room))
        shown = body[start : start + room]
        return [*head, *shown, *[EMPTY] * (room - len(shown)), *foot, fit(line(keys, "soft"), cells)]

    def _row(self, session: Summary, chosen: bool) -> Line:
        mark = "› " if chosen else "  "
        job = "glow bold" if chosen else "ink"
        if session.trouble:
            return ((mark, job), (session.session, job), (f"  {session.trouble}", "late"))
        demo = "  demo" if session.demo else ""
        last = f"{local(session.last):%d %b %H:%M}" if session.last else ""
        due = self.next_acts.get(session.session, "")
        return (
            (mark, job),
            (f"{session.stage:<9}", "glow" if not session.finished else "soft"),
            (f"{session.title or session.session:<34} ", job),
            (due or last, "ink" if due else "soft"),
            (demo, "soft"),
        )

    def pressed(self, key: str, character: str | None) -> None:  # noqa: ARG002
        self.message = ""
        match key:
            case "up" | "down":
                step = 1 if key == "down" else -1
                self.at = max(0, min(len(self.sessions) - 1, self.at + step))
            case "enter" | "space":
                self._open()
            case "n":
                self._begin()
            case "d":
                self._begin_demo()
            case "q" | "escape":
                self.leave()
            case _:
                pass

    def _open(self) -> None:
        if not self.known:
            self._read()
        if not self.sessions:
            return
        chosen = self.sessions[self.at]
        if chosen.trouble:
            self.message = chosen.trouble
            return
        try:
            self.pourday.resume(chosen.session)
        except Trouble as trouble:
            self.message = str(trouble)

    def _begin_demo(self) -> None:
        try:
            self.pourday.begin_demo()
        except Trouble as trouble:
            self.message = str(trouble)

    def _begin(self) -> None:
        from pourday.store.live import LiveSession

        now = self.clock.now()
        try:
            live = LiveSession.begin(self.pourday.folder, f"{local(now):%Y-%m-%d}", now=now)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        self.pourday.open_session(live)
