"""What a page over a live record does with a key, whatever burns or melts there: it hears that somebody is there, files, takes
back and brings back, and asks for the reason. It knows nothing of Textual and reads no clock."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.describe import say_fact
from pourday.session.events import Fact
from pourday.session.fold import last_redoable, last_undoable
from pourday.store.live import LiveSession
from pourday.tui.filing import filed

HEARD_EVERY = 60.0
"""s between two answers to the watch that go on record."""
TOO_SOON = 0.5
"""s after a question came up by itself in which a key that answers one does not count."""
REASONS = {"m": "mistyped", "k": "pressed by mistake", "i": "it was not so"}
"""Why something was taken back, by keys that do nothing else here."""


def reason_keys() -> tuple[tuple[str, str], ...]:
    """(key, what it does) while a reason may be said, for the foot of the screen."""
    return (*((key, word(why)) for key, why in REASONS.items()), (tr("any other key"), tr("no reason")))


class LiveController:
    """What such a page knows. What is asked, typed and shown there stands in the subclass."""

    def __init__(self, live: LiveSession) -> None:
        self.live = live
        self.text = ""
        """What is half typed."""
        self.message = ""
        self.quiet = False
        """A key was pressed since the newest alarm began."""
        self.leaving = False
        self.took_back: int | None = None
        """Number of the entry that just took something back, whose reason the next key may say."""
        self._changed_at = -1e9
        """When what is asked came up by itself; long ago where an answer led to it."""
        self._alarms: tuple[str, ...] = ()

    @property
    def plan(self) -> Plan:
        """The plan whose units and scale count here."""
        raise NotImplementedError

    def is_lit(self) -> bool:
        """Whether there is a flame that somebody has to watch."""
        raise NotImplementedError

    def unheard(self, now: float) -> bool:
        """Whether there is such a flame, and nobody was heard for too long."""
        raise NotImplementedError

    def alarms(self, now: float) -> tuple[str, ...]:
        """What needs a hand at once, whole sentences."""
        raise NotImplementedError

    def word(self, now: float) -> tuple[str, str]:
        """(the word of the moment, a sentence under it)."""
        raise NotImplementedError

    def look(self, now: float) -> None:
        """Take the record and the time in: alarms, and what is asked."""
        alarms = self.alarms(now)
        if set(alarms) - set(self._alarms):
            self.quiet = False
        self._alarms = alarms

    def typing(self) -> bool:
        """Whether every sign goes into a text."""
        raise NotImplementedError

    def takes(self, sign: str) -> bool:
        """Whether a sign goes into the number or the words that are asked for."""
        raise NotImplementedError

    def _means_more(self) -> bool:
        """Whether a key that says somebody is there says something else as well, for figures or words are being typed."""
        raise NotImplementedError

    def _typed(self, key: str, sign: str, now: float) -> bool:
        """Whether the key was part of a text or a number, or filed or skipped one."""
        raise NotImplementedError

    def _answered(self, key: str, sign: str, now: float) -> bool:
        """Whether the key chose an answer, or confirmed."""
        raise NotImplementedError

    def _command(self, key: str, sign: str, now: float) -> None:
        """A key that answers nothing."""
        raise NotImplementedError

    def press(self, key: str, character: str | None, now: float) -> None:
        """What a key does."""
        watched = self.unheard(now)
        self.quiet, self.message = True, ""
        if self.is_lit() and now - self.live.state.heard_at > HEARD_EVERY and not self.live.readonly:
            self.file((ev.WatchAnswered(),), silent=True, now=now)
        if watched and not self._means_more():
            # It may have been pressed in a hurry, from afar.
            self.message = tr("Good: somebody is there.")
            self.look(now)
            return
        sign = character if character and character.isprintable() else ""
        took_back, self.took_back = self.took_back, None
        if took_back is not None and not self.typing() and sign.lower() in REASONS:
            self.file((ev.Reasoned(entry=took_back, why=REASONS[sign.lower()]),), now=now)
        elif not self._typed(key, sign, now) and not self._answered(key, sign.lower(), now):
            self._command(key, sign.lower(), now)
        self.look(now)

    def file(
        self, facts: tuple[Fact, ...], *, now: float, silent: bool = False, at: float | None = None
    ) -> None:
        """File facts and say what of them is on disk."""
        well, says = filed(self.live, facts, self.plan, now=now, at=at)
        if not (well and silent):
            self.message = says

    def take_back(self, now: float, *, back: bool) -> bool:
        """Take `back`, or else bring back, all that one answer said: candles lit together were lit by one key. Whether there
        was anything."""
        said: list[str] = []
        first: float | None = None
        try:
            while (entry := (last_undoable if back else last_redoable)(self.live.entries)) is not None:
                if first is not None and entry.logged_at.timestamp() != first:
                    break
                first = entry.logged_at.timestamp()
                done = self.live.undo(now=now) if back else self.live.redo(now=now)
                said += [say_fact(done.fact, self.plan)] if done is not None else []
        except Trouble as trouble:
            self.message = str(trouble)
            return False
        if not said:
            self.message = (
                tr("There is nothing to take back.") if back else tr("There is nothing to bring back.")
            )
            return False
        self.message = f"{(tr('Taken back') if back else tr('Brought back'))}: {'; '.join(said)}."
        self.took_back = self.live.entries[-1].seq if back else None
        return True
