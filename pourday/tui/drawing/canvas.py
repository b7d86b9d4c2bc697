"""The one widget: shows lines, and repaints only those that changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Offset, Region
from textual.message import Message
from textual.selection import Selection
from textual.strip import Strip
from textual.widget import Widget

from pourday.tui.drawing.lines import TARGET, Line, fit, target_at
from pourday.tui.terminal.theme import DARK, Palette, style


class Canvas(Widget, can_focus=False):
    """A widget as large as its screen, showing the lines last given to `show`."""

    DEFAULT_CSS = "Canvas { width: 1fr; height: 1fr; }"

    class Pointed(Message):
        """Something was clicked or tapped, or the wheel was turned."""

        def __init__(self, target: str, place: tuple[int, int] | None = None) -> None:
            super().__init__()
            self.target = target
            """What stands there, as `lines.target_of` gives it; empty where nothing does."""
            self.place = place
            """The cell (column, row) that was clicked; None of a wheel, which has none."""

    def __init__(self, palette: Palette = DARK, first: Callable[[], None] | None = None) -> None:
        """`first` is called to `show` something just before the canvas is painted for the first time."""
        super().__init__()
        self.palette = palette
        self._first = first
        self._lines: list[Line] = []
        self._strips: list[Strip] = []
        self._painting = False
        self._down: Offset | None = None
        """Where the button went down: one that comes up elsewhere has selected text."""

    # -- the pointer --------------------------------------------------------------------------------

    def on_mouse_down(self, event: events.MouseDown) -> None:
        self._down = event.offset

    def on_click(self, event: events.Click) -> None:
        event.stop()
        event.prevent_default()  # Textual's own would select everything at the second of two clicks.
        if event.offset == self._down:
            self.post_message(self.Pointed(self.target(event.x, event.y), (event.x, event.y)))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        event.stop()
        self.post_message(self.Pointed("down"))

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        event.stop()
        self.post_message(self.Pointed("up"))

    # -- text that is selected with it ---------------------------------------------------------------

    def get_selection(self, selection: Selection) -> tuple[str, str] | None:
        return selection.extract(self.plain()), "\n"

    def selection_updated(self, selection: Selection | None) -> None:  # noqa: ARG002
        self.refresh()

    # -- drawing ------------------------------------------------------------------------------------

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines; rows that say the same as before are left alone."""
        width = self.size.width
        fresh = [fit(line, width) for line in lines[: self.size.height]]
        fresh += [fit((), width)] * (self.size.height - len(fresh))
        changed = {y for y, line in enumerate(fresh) if y >= len(self._lines) or line != self._lines[y]}
        self._strips = [
            self._strip(line).apply_offsets(0, y)
            if y in changed or y >= len(self._strips)
            else self._strips[y]
            for y, line in enumerate(fresh)
        ]
        self._lines = fresh
        if self._painting:
            return  # They are about to be painted as it is.
        for y in changed:
            self.refresh(Region(0, y, width, 1))

    def repaint(self, palette: Palette) -> None:
        """Take another palette; the next `show` draws every row anew."""
        self.palette = palette
        self._lines = []

    def render_lines(self, crop: Region) -> list[Strip]:
        # Without this, an empty frame would be painted first, and the whole of it once more.
        if not self._strips and self._first is not None:
            self._painting = True
            self._first()
            self._painting = False
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        if y < len(self._strips):
            selection = self.text_selection
            span = None if selection is None else selection.get_span(y)
            return self._strips[y] if span is None else self._selected(y, *span)
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

    def _selected(self, y: int, start: int, end: int) -> Strip:
        """A row with some of its characters, up to `end` (-1: to its end), shown as selected."""
        drawn: list[Segment] = []
        at = 0
        for text, job in self._lines[y]:
            usual = style(self.palette, job.partition(TARGET)[0])
            inside = usual + Style(reverse=not usual.reverse)
            stop = len(text) if end < 0 else max(0, min(len(text), end - at))
            begin = max(0, min(stop, start - at))
            cuts = ((text[:begin], usual), (text[begin:stop], inside), (text[stop:], usual))
            drawn += [Segment(part, how) for part, how in cuts if part]
            at += len(text)
        return Strip(drawn, self.size.width).apply_offsets(0, y)
