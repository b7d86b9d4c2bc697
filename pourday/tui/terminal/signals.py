"""What the program does to be noticed: bells, the title of the terminal, desktop notices, a program of the person's own.

A prompt ("go and look at A") rings once. An alarm rings three times, and again and again, ever slower, until a key is pressed. Everything that goes to
the terminal goes through the one `write` that draws the screen, so nothing is torn; texts are cleaned first.
"""

from __future__ import annotations

import os
import signal
import subprocess
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Literal

from pourday.language import tr
from pourday.text import plain

Kind = Literal["prompt", "alarm"]
Notify = Literal["off", "osc9", "osc777"]

KEEP_TITLE, GIVE_TITLE_BACK = "\x1b[22;2t", "\x1b]2;\x1b\\\x1b[23;2t"
"""Put the terminal's title on its stack, and take it from there; where there is no stack, an empty title is left."""
ALARM_AT = (0.0, 0.5, 1.0)
"""The bells of one call of an alarm, s: further apart than a terminal needs to sound them one by one."""
AGAIN_AFTER = (4.0, 4.0, 8.0, 15.0, 30.0)
"""Seconds between the calls of an alarm nobody answers: they slow down, they do not stop."""
LOOK_EVERY = 0.05
"""Seconds between two looks whether the alarm program has ended."""
LONGEST_END = 0.5
"""Seconds for which a program that was ended is waited for."""
LONGEST_RUN = 60.0
"""Seconds after which an alarm program that has not ended is ended."""
FLASH = 1.0
"""Seconds of one flash of a mark, lit and unlit."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign with its word: the sign may flash, the word never does."""

    sign: str
    word: str


MARKS: dict[Kind, Mark] = {"prompt": Mark("●", tr("NOW")), "alarm": Mark("▲", tr("ALARM"))}


def lit(real: float) -> bool:
    """Whether a flashing sign shows at this moment: once a second, half of it."""
    return real % FLASH < FLASH / 2


def title_text(word: str, alarm: bool) -> str:
    """What stands in the terminal's title: `POUR A · pourday`."""
    said = plain(word, 60)
    return " ".join(part for part in ("▲" if alarm else "", f"{said} ·" if said else "", "pourday") if part)


def title_sequence(text: str) -> str:
    """The terminal sequence that gives the window this title."""
    return f"\x1b]2;{plain(text, 100)}\x1b\\"


def notice_sequence(how: Notify, text: str) -> str:
    """A desktop notice in one of the two ways terminals know; empty where it is off."""
    said = plain(text, 160)
    if how == "osc9":
        return f"\x1b]9;{said}\x1b\\"
    if how == "osc777":
        # Semicolons part the fields of this one.
        return f"\x1b]777;notify;pourday;{said.replace(';', ',')}\x1b\\"
    return ""


class Bell:
    """When the bell rings: at once for a single call, again and again for an alarm that sounds.

    `real` is s of a clock that is never set, from any beginning: only what lies between two calls counts.
    """

    def __init__(self) -> None:
        self._calls = 0
        """How often the alarm that sounds now has called,"""
        self._next_call = 0.0
        """and when it calls again."""
        self._pending: list[float] = []
        """When single bells are still to ring, in order."""

    def alarm(self, sounding: bool, real: float) -> bool:
        """Whether a call of an alarm begins now; asked a few times a second while there is one, and while there is none."""
        if not sounding:
            if self._calls:
                self._calls, self._next_call, self._pending = 0, 0.0, []
            return False
        if real < self._next_call:
            return False
        self._next_call = real + AGAIN_AFTER[min(self._calls, len(AGAIN_AFTER) - 1)]
        self._calls += 1
        self.call("alarm", real)
        return True

    def call(self, kind: Kind, real: float) -> None:
        """Have the bells of one call rung from now on."""
        self._pending = [real + after for after in (ALARM_AT if kind == "alarm" else ALARM_AT[:1])]

    def due(self, real: float) -> bool:
        """Whether one bell is to ring now."""
        if not self._pending or real < self._pending[0]:
            return False
        self._pending = [at for at in self._pending if at > real]
        return True


class AlarmProgram:
    """A program of the person's own, started without a shell, never waited for; what goes wrong is said once.

    It and whatever it starts are one group, which is ended with the alarm, and with the screen.
    """

    def __init__(self) -> None:
        self._thread: threading.Thread | None = None
        self._failed: tuple[str, ...] = ()
        self._why_not = ""
        self._process: subprocess.Popen[bytes] | None = None
        """The last one started; not waited for before its group is ended, so that its number stays its own."""
        self._lock = threading.Lock()
        self._stops = 0

    def start(self, command: Sequence[str]) -> None:
        """Start the program with these words, its name first and then its arguments, unless the last one still runs or these
        very words have failed before. Returns at once; `trouble` says later what went wrong."""
        words = tuple(command)
        if not words or words == self._failed or (self._thread is not None and self._thread.is_alive()):
            return
        # Even starting may hang, on a disk that does not answer: it is done beside the screen.
        self._thread = threading.Thread(
            target=self._run, args=(words, self._stops), daemon=True, name="alarm program"
        )
        self._thread.start()

    def trouble(self) -> str:
        """A sentence about what went wrong since it was last asked, or empty."""
        why_not, self._why_not = self._why_not, ""
        return why_not

    def stop(self) -> None:
        """End it and all it has started, whether or not it has itself ended meanwhile."""
        self._stops += 1
        with self._lock:
            process, self._process = self._process, None
        if process is not None:
            with suppress(ProcessLookupError, PermissionError):
                os.killpg(process.pid, signal.SIGKILL)
            try:
                process.wait(LONGEST_END)
            except subprocess.TimeoutExpired:  # On a disk that does not answer even a kill has to wait.
                threading.Thread(target=process.wait, daemon=True).start()

    def _run(self, words: tuple[str, ...], stops: int) -> None:
        self._end_last()
        why = self._ran(words, stops)
        if why and stops == self._stops:
            self._failed = words
            self._why_not = tr(
                "The alarm program “{words}” {why}. The bell still rings; see the settings.",
                words=plain(words[0], 60),
                why=why,
            )

    def _end_last(self) -> None:
        stops = self._stops
        self.stop()
        self._stops = stops

    def _ran(self, words: tuple[str, ...], stops: int) -> str:
        """What is wrong with how it ran, or empty."""
        try:
            process = subprocess.Popen(
                words,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
            )
        except FileNotFoundError:
            return tr("is not there")
        except PermissionError:
            return tr("may not be started")
        except (OSError, ValueError):
            return tr("cannot be started")
        with self._lock:
            self._process = process
        if stops != self._stops:
            self._end_last()
            return ""
        status = _status_of(process)
        if status is None:
            self._end_last()
        return tr("ended with status {status}", status=status) if status else ""


def _status_of(process: subprocess.Popen[bytes]) -> int | None:
    """How it ended, the process left to be waited for; 0 where somebody ended it meanwhile, None after too long."""
    for _ in range(round(LONGEST_RUN / LOOK_EVERY)):
        try:
            ended = os.waitid(os.P_PID, process.pid, os.WEXITED | os.WNOHANG | os.WNOWAIT)
        except ChildProcessError:
            return 0
        if ended is not None:
            return ended.si_status if ended.si_code == os.CLD_EXITED else -ended.si_status
        time.sleep(LOOK_EVERY)
    return None


class Signals:
    """All of it together, as the settings have it.

    `write` puts a sequence on the terminal, `bell` rings once, `real` only measures how fast things follow each other.
    """

    def __init__(
        self, write: Callable[[str], None], bell: Callable[[], None], real: Callable[[], float]
    ) -> None:
        self._write = write
        self._ring_bell = bell
        self._real = real
        self._title = ""
        self._word: str | None = None
        """The word that the stove said last; None until it said one."""
        self.alarm = ""
        """The alarms nobody acknowledged yet, in words."""
        self._hushed = ""
        """The same as a key last silenced them: those ring no more, a new one does."""
        self.bell = Bell()
        self.program = AlarmProgram()
        self.sound = True
        self.notify: Notify = "off"
        self.command: tuple[str, ...] = ()

    def ring(self, kind: Kind) -> bool:
        """Ring as a prompt or an alarm does, to hear it now; False where the bell is off in the settings."""
        self.bell.call(kind, self._real())
        if kind == "alarm":
            self.program.start(self.command)
        self.tick_now()
        return self.sound

    def look(self, word: str, says: str, alarm: str, quiet: bool, waits: bool) -> None:
        """What the stove says now: its word and sentence, and the alarms nobody acknowledged yet, if any.

        `quiet` says that a key was pressed since the alarm began: it silences, it does not acknowledge.
        `waits` says that there is nothing to do yet: that rings for nobody.
        """
        real = self._real()
        self._hushed = self._hushed if alarm else ""
        self.title(title_text(word, bool(alarm)))
        if self.bell.alarm(bool(alarm) and not quiet and alarm != self._hushed, real):
            self.program.start(self.command)
        if alarm and alarm != self.alarm:
            self._notice(tr("ALARM: {alarm}", alarm=alarm))
        elif not alarm and self._word is not None and word != self._word and not waits:
            self.bell.call("prompt", real)
            self._notice(f"{word}: {says}")
        if self.alarm and not alarm:
            self.program.stop()
        self._word, self.alarm = word, alarm
        self.tick_now()

    def hush(self) -> None:
        """A key was pressed on some screen: the bell of the alarm that sounds is silent from now on."""
        self._hushed = self.alarm

    def leave(self) -> None:
        """The session is left: what sounds for its alarms ends."""
        self.alarm = ""
        self.program.stop()

    def title(self, text: str) -> None:
        if text != self._title:
            self._title = text
            self._write(title_sequence(text))

    def tick_now(self) -> None:
        """Ring what is due; asked at every heartbeat."""
        if self.bell.due(self._real()) and self.sound:
            self._ring_bell()

    def _notice(self, text: str) -> None:
        sequence = notice_sequence(self.notify, text)
        if sequence:
            self._write(sequence)
