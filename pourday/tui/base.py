"""What every screen shares: one canvas, one path for keys, a heartbeat, a help page, and a word where there is no room."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.screen import Screen

from pourday.language import tr
from pourday.tui.drawing.canvas import Canvas
from pourday.tui.drawing.lines import Line, wrap
from pourday.tui.program import Program
from pourday.tui.terminal.held import LIGHT, MACHINE
from pourday.tui.terminal.keys import BY_ID, FIRE_ALWAYS, HELP_ALWAYS, PRINT_ALWAYS, character_of
from pourday.tui.terminal.theme import Palette

HEARTBEAT = 0.25
"""Seconds between two looks at the clock, so that a displayed second is never late by more."""
MOST_LEAVES = 99
"""Further than any help goes; drawing stops at its end."""
SMALLEST = (40, 12)
"""Columns and rows below which nothing but a word fits."""


class LineScreen(Screen[None]):
    """A screen that is all lines. Keys come to `pressed` one after another, in the order they were typed."""

    AUTO_FOCUS = None
    HELP: ClassVar[str] = ""
    """Which of the help pages is this screen's; opened by F2, and by / where that is not typed."""
    fire_up = False
    """Whether the fire card lies over the screen: opened by F1, and by its letter where that is not typed."""
    _pressed_here = False
    """Whether a key was pressed since this screen came to the top; a key held since before belongs to another."""
    _waiting: tuple[str, str | None] | None = None
    """A key that may be the first repeat of one that is held, until the next one tells."""
    help_at: int | None = None
    """The page of help that lies over the screen, if any."""

    @property
    def pourday(self) -> Program:
        assert isinstance(self.app, Program)
        return self.app

    def compose(self) -> ComposeResult:
        self.canvas = Canvas(self.pourday.palette, first=self.draw)
        yield self.canvas

    def on_mount(self) -> None:
        self.repaint(self.pourday.palette)
        self.set_interval(self.heartbeat(), self._beat)
        self.call_after_refresh(self.draw)

    def heartbeat(self) -> float:
        """Seconds between two beats."""
        return HEARTBEAT

    def on_resize(self) -> None:
        self.call_after_refresh(self.draw)

    def on_screen_resume(self) -> None:
        self._pressed_here = False
        self.pourday.signals.title(self.words())
        self.call_after_refresh(self.draw)

    def on_key(self, event: events.Key) -> None:
        """A key from the terminal: drop what a held key repeats, unless the key is a light one here.

        Where only the next key can tell whether it was held, it waits that long.
        """
        event.stop()
        event.prevent_default()
        if self.app.screen is not self:
            # Typed in one go with the key that left this screen: it is meant for the one that is there now.
            passed_on = events.Key(event.key, event.character)
            passed_on.time = event.time  # When it was typed tells a held key.
            self.app.screen.post_message(passed_on)
            return
        self.pourday.signals.hush()
        held = self.pourday.held
        repeats = held.repeats(event.key, event.time)
        began_here, self._pressed_here = self._pressed_here, True
        waiting, self._waiting = self._waiting, None
        if waiting is not None and not (repeats and held.by_machine):
            self._act_on(*waiting)
        light = began_here and self.may_repeat(event.key, event.character)
        taps = began_here and repeats and not held.by_machine and self.may_tap(event.key)
        if repeats and not light and not taps:
            return
        if (held.doubtful or taps) and not light:
            self._waiting = event.key, event.character
            self.set_timer(MACHINE, self._take_waiting)
        else:
            self._act_on(event.key, event.character)

    def _take_waiting(self) -> None:
        """No repeat came after it: it was a finger's."""
        waiting, self._waiting = self._waiting, None
        if waiting is not None and self.app.screen is self:
            self._act_on(*waiting)

    def _act_on(self, key: str, character: str | None) -> None:
        """A key that counts: leave, help, or what this screen does with it."""
        if key == "ctrl+c":
            self.leave()
            return
        if key == PRINT_ALWAYS:
            self.print_papers()
        elif not (self._turns_fire(key) or self._turns_help(key)):
            self.pressed(key, character)
        self.draw()

    def on_canvas_pointed(self, message: Canvas.Pointed) -> None:
        """A click or tap does what the keys do that stand there, by the same way and with the same guards."""
        message.stop()
        self.pourday.signals.hush()
        if self.app.screen is not self or not message.target:
            return
        again = message.place is not None and self.pourday.clicked.repeats(str(message.place), message.time)
        if again and self.pourday.click_acted:
            return
        if message.target.startswith("#"):
            # The first click may only choose a row and the second, at once, act on it; a third is one too many.
            self.pourday.click_acted = self.pointed(int(message.target[1:]))
            self.draw()
            return
        parts = message.target.split("+")
        keys = [self.pourday.keys.key(BY_ID[part[1:]]) if part.startswith(":") else part for part in parts]
        self.pourday.click_acted = not all(
            self.may_repeat(key, character_of(key)) or self.may_tap(key) for key in keys
        )
        for key in keys:
            self.on_key(events.Key(key, character_of(key)))

    def on_text_selected(self) -> None:
        """What is selected with the mouse goes to the clipboard (OSC 52)."""
        selected = self.get_selected_text()
        if selected and selected.strip():
            self.app.copy_to_clipboard(selected)

    def on_paste(self, event: events.Paste) -> None:
        """A paste from the terminal; as a key, it belongs to the screen that is on top now."""
        event.stop()
        if self.app.screen is not self:
            self.app.screen.post_message(events.Paste(event.text))
            return
        self.pourday.signals.hush()
        if self.help_at is None and not self.fire_up:
            self.pasted(event.text)
            self.draw()

    @property
    def opened_from_another(self) -> bool:
        """Whether a screen of ours lies under this one."""
        return any(isinstance(under, LineScreen) for under in self.app.screen_stack[:-1])

    def go_back(self) -> None:
        """To the screen this one was opened from, or out of the program."""
        if self.opened_from_another:
            self.pourday.left_session()
            self.app.pop_screen()
        else:
            self.pourday.exit()

    def draw(self) -> None:
        """Draw the screen, once it has a size."""
        if not self.is_attached:
            return
        size = self.canvas.size
        if size.width and size.height:
            self.canvas.show(self._shown(size.width, size.height))

    def repaint(self, palette: Palette) -> None:
        """Everything anew, in another palette."""
        self.styles.background = palette.ground if palette.ground.startswith("#") else "ansi_default"
        self.canvas.repaint(palette)
        self.draw()

    def _beat(self) -> None:
        self.pourday.signals.tick_now()
        self.tick()

    # -- the fire card and help ---------------------------------------------------------------------------------------

    def _turns_fire(self, key: str) -> bool:
        """Whether the key was for the fire card, which lies over everything: opens it, puts it away."""
        if not self.HELP:  # The stove has its own, which the sentence under it goes by.
            return False
        letter = self.pourday.keys.key(BY_ID["fire"])
        typed = len(letter) == 1 and self.typing() and self.help_at is None and not self.fire_up
        is_fire_key = key == FIRE_ALWAYS or (key == letter and not typed)
        if self.fire_up:
            self.fire_up = not (is_fire_key or key in ("escape", "enter", "space", "slash", "q"))
            return True
        self.fire_up = is_fire_key
        return is_fire_key

    def _turns_help(self, key: str) -> bool:
        """Whether the key was for help: opens it, turns its pages, puts it away."""
        if not self.HELP:
            return False
        if self.help_at is None:
            if key == HELP_ALWAYS or (key == "slash" and not self.typing()):
                self.help_at = 0
                return True
            return False
        steps = {"down": 1, "pagedown": 1, "right": 1, "space": 1, "up": -1, "pageup": -1, "left": -1}
        if key in steps:
            self.help_at = max(0, min(self.help_at + steps[key], MOST_LEAVES))
        elif key in ("escape", "enter", "slash", HELP_ALWAYS, "q"):
            self.help_at = None
        return True

    def _shown(self, cells: int, rows: int) -> list[Line]:
        """Lines of the screen as it is: too small, under its help, or its own."""
        # What lies over a screen is loaded beside the first one, which does without.
        if self.fire_up:
            from pourday.tui.drawing.cards import draw_fire

            return draw_fire(cells, rows)[:rows]
        if cells < SMALLEST[0] or rows < SMALLEST[1]:
            return self.tiny(cells, rows)[:rows]
        if self.help_at is None or not self.HELP:
            return self.lines(cells, rows)
        from pourday.tui.drawing.help import HelpKey, draw_help
        from pourday.tui.drawing.help_text import PAGES

        page = PAGES[self.HELP]
        keys = [HelpKey(shows, says, says) for shows, says in page.keys]
        return draw_help(page, tr("Keys: {title}", title=page.title), keys, cells, rows, self.help_at)

    # -- for each screen to say ---------------------------------------------------------------------

    def lines(self, cells: int, rows: int) -> list[Line]:
        """What the screen shows, in so many cells and rows."""
        raise NotImplementedError

    def tiny(self, cells: int, rows: int) -> list[Line]:  # noqa: ARG002
        """What to say in a window that is too small for anything."""
        return wrap(tr("Make the window larger: 40 by 12 at least. Nothing is lost."), cells, "ink bold")

    def pressed(self, key: str, character: str | None) -> None:
        """What a key does here; `character` is what it types, if anything."""
        raise NotImplementedError

    def pointed(self, row: int) -> bool:  # noqa: ARG002
        """A row was clicked: stand on it; on the one that one stands on, do what Enter does. Whether something was done."""
        return False

    def pasted(self, text: str) -> None:
        """Text from the clipboard: never a key, and nothing where this screen takes none."""

    def print_papers(self) -> None:
        """Write the papers that belong to this screen, and say where they are; nothing where it has none."""

    def may_repeat(self, key: str, character: str | None) -> bool:
        """Whether a held key goes on doing what it does: it moves, or it types."""
        typed = character is not None and character.isprintable()
        return key in LIGHT or (typed and self.typing())

    def may_tap(self, key: str) -> bool:  # noqa: ARG002
        """Whether a key counts however soon it is tapped again, though a keyboard that repeats it does not."""
        return False

    def typing(self) -> bool:
        """Whether a / would be typed into something."""
        return False

    def words(self) -> str:
        """What stands in the terminal's title."""
        return "pourday"

    def tick(self) -> None:
        """A quarter of a second has passed."""

    def leave(self) -> None:
        """Somebody asked the whole program to end (ctrl+q, ctrl+c)."""
        self.pourday.exit()
