"""Keys from the terminal, so that nothing it sends can leave the program deaf or press what nobody pressed.

Textual's own reader ends at the first byte that is no UTF-8 and at the first key code that is no character,
reads an escape sequence inside a paste as keys, and one that it does not know letter by letter.
"""

from __future__ import annotations

import os
import selectors
from codecs import getincrementaldecoder

from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.events import Key, Resize
from textual.message import Message
from textual.messages import InBandWindowResize

from pourday.tui.terminal.clocks import real
from pourday.tui.terminal.input import ESC, Pasting, Sequences

PIECE = 4096
"""Bytes read at once."""
POLL = 0.1
"""Seconds between two looks whether the program ends, or a lone Esc is to be taken for one."""


class KeyboardDriver(LinuxDriver):
    """Textual's driver with a reader of our own."""

    def write(self, data: str) -> None:
        """To the terminal, and into the cast where one is kept."""
        super().write(data)
        cast = getattr(self._app, "cast", None)
        if cast is not None:
            cast.sized(*self._get_terminal_size())
            cast.wrote(data)

    def run_input_thread(self) -> None:
        """Read until the program ends or nobody types any more."""
        decode = getincrementaldecoder("utf-8")("replace").decode
        pasting, sequences, reader, quiet = Pasting(real), Sequences(), Reader(self._debug), 0.0
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(POLL):
                    try:
                        data = os.read(self.fileno, PIECE)
                    except OSError:  # The terminal is gone; who looks for it once a second will find so.
                        return
                    if not data:
                        return
                    quiet, whole = 0.0, sequences.whole(pasting.clean(decode(data)))
                else:
                    quiet += POLL
                    whole = sequences.nothing_more(quiet)
                for one in whole:
                    for message in reader.read(one):
                        self.process_message(message)


class Reader:
    """Textual's names for keys and reports, asked for one at a time."""

    def __init__(self, debug: bool = False) -> None:
        self._debug = debug
        self._parser = XTermParser(debug)

    def read(self, one: str) -> list[Message]:
        """What one character or one whole sequence says; nothing where it is not known."""
        if one == ESC:
            return [Key("escape", ESC)]
        try:
            messages = list(self._parser.feed(one))
        except Exception:  # A code that no character has.
            messages = []
        if not messages and len(one) > 1:
            # It would wait for more, and then take it all for keys.
            self._parser = XTermParser(self._debug)
            if len(one) == 2:
                messages = [
                    k for k in self._parser._sequence_to_key_events(one[1], alt=True) if "alt+" in k.key
                ]
        return [m for m in messages if not isinstance(m, _UNTOLD) and not _is_half(m)]


_UNTOLD = (Resize, InBandWindowResize)
"""The window's size comes from the system; one that is typed could be any."""


def _is_half(message: Message) -> bool:
    """Whether it is a key for half a character, which can be written nowhere."""
    return isinstance(message, Key) and "\ud800" <= (message.character or "") <= "\udfff"
