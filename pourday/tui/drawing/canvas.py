"""The one widget: shows lines, and repaints only those that changed."""

from __future__ import annotations

from collections.abc import Sequence

from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from pourday.tui.drawing.lines import TARGET, Line, fit, target_at
from pourday.tui.terminal.theme import DARK, Palette, style


class Canvas(Widget, can_focus=False):
    """A widget as large as its screen, showing the lines last given to `show`."""

    DEFAULT_CSS = "Canvas { width: 1fr; height: 1fr; }"

    def __init__(self, palette: Palette = DARK) -> None:
        super().__init__()
        self.palette = palette
        self._lines: list[Line] = []
        self._strips: list[Strip] = []

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines; rows that say the same as before are left alone."""
        width = self.size.width
        fresh = [fit(line, width) for line in lines[: self.size.height]]
        fresh += [fit((), width)] * (self.size.height - len(fresh))
        changed = {y for y, line in enumerate(fresh) if y >= len(self._lines) or line != self._lines[y]}
        self._strips = [
            self._strip(line) if y in changed or y >= len(self._strips) else self._strips[y]
            for y, line in enumerate(fresh)
        ]
        self._lines = fresh
        for y in changed:
            self.refresh(Region(0, y, width, 1))

    def repaint(self, palette: Palette) -> None:
        """Take another palette; the next `show` draws every row anew."""
        self.palette = palette
        self._lines = []

    def render_line(self, y: int) -> Strip:
        if y < len(self._strips):
            return self._strips[y]
        return Strip.blank(self.size.width, style(self.palette, "ink"))

    def target(self, x: int, y: int) -> str:
        """What a click on this cell stands for; empty where that is nothing."""
        return target_at(self._lines[y], x) if 0 <= y < len(self._lines) else ""

    def plain(self) -> str:
        """What is shown, as text, for tests."""
        return "\n".join("".join(text for text, _ in line).rstrip() for line in self._lines)

    def _strip(self, line: Line) -> Strip:
        segments = [Segment(text, style(self.palette, job.partition(TARGET)[0])) for text, job in line]
        return Strip(segments, self.size.width)
