"""A record to be read: planned beside actual, and what happened."""

from __future__ import annotations

from pourday.reports.story import story
from pourday.store.live import LiveSession
from pourday.tui.base import LineScreen
from pourday.tui.lines import Line, fit, line


class ReviewScreen(LineScreen):
    def __init__(self, live: LiveSession) -> None:
        super().__init__()
        self.live = live
        self.top = 0
        self._text = story(live.state, live.entries)

    def lines(self, cells: int, rows: int) -> list[Line]:
        room = rows - 2
        self.top = max(0, min(self.top, len(self._text) - room))
        body = [
            fit(line(text, "glow bold" if self.top + i == 0 else "ink"), cells)
            for i, text in enumerate(self._text[self.top : self.top + room])
        ]
        body += [()] * (room - len(body))
        more = f"{self.top + room} of {len(self._text)} lines" if len(self._text) > room else ""
        remark = self.live.remarks[-1] if self.live.remarks else ""
        return [
            *body,
            fit(line(f"{more}  {remark}", "soft"), cells),
            line("Up Down Page move · Esc back", "soft"),
        ]

    def pressed(self, key: str, character: str | None) -> None:  # noqa: ARG002
        step = {
            "up": -1,
            "down": 1,
            "pageup": -15,
            "pagedown": 15,
            "space": 15,
            "home": -(10**6),
            "end": 10**6,
        }
        if key in step:
            self.top += step[key]
        elif key in ("escape", "q"):
            self.leave()

    def leave(self) -> None:
        self.live.close()
        self.go_back()
