"""What the stove's controller knows of the session: the guide's word, and facts put on record with one sentence about each."""

from __future__ import annotations

from collections.abc import Callable

from pourday.errors import Trouble
from pourday.guide.advice.adviser import Advice, Adviser
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.describe import say_facts
from pourday.session.events import Fact
from pourday.session.fold import last_redoable, last_undoable
from pourday.store.live import LiveSession
from pourday.times import clock

HEARD_EVERY = 60.0
"""An answer to the watch goes on record at most this often, s."""


class Recorder:
    """Asks the guide, puts facts on record, and keeps `message`: the one sentence about the last of them."""

    def __init__(self, live: LiveSession, adviser: Adviser, on_filed: Callable[[Fact], None] | None) -> None:
        self.live = live
        self.adviser = adviser
        self.advice: Advice = Advice(live.state, None, None)
        self.message = ""
        self.quiet = False
        """A key was pressed since the bell began."""
        self._on_filed = on_filed
        self.before_filing: Callable[[float], None] | None = None
        """Puts on record what was measured before a person files something, so that the record is in order of time."""

    def look(self, now: float) -> Advice:
        """The guide's word at this moment; what it has to put on record is filed."""
        self.advice = self.adviser.advise(self.live.state, now)
        if self.advice.to_file and not self.live.readonly and not self.live.unsaved:
            for fact in self.advice.to_file:
                if self.live.over:
                    break
                self.live.file(fact, now=now, by="program")
                if isinstance(fact, ev.AlarmRaised):
                    self.quiet = False
            self.advice = self.adviser.advise(self.live.state, now)
        if self.adviser.trouble and not self.message:
            self.message = tr("{trouble} Go by what you see.", trouble=self.adviser.trouble)
        return self.advice

    def heard(self, now: float) -> None:
        """Any key answers the watch."""
        state = self.live.state
        if state.burner != "off" and now - state.heard_at > HEARD_EVERY and not self.live.readonly:
            self.file(ev.WatchAnswered(), now)
            self.look(now)

    def file(self, fact: Fact, now: float) -> bool:
        """File one fact; True once it is on disk, False where it is refused or not saved yet.

        The guide is not asked: what was filed is confirmed before anybody thinks about what follows from it.
        """
        if self.before_filing is not None:
            self.before_filing(now)
        try:
            self.live.file(fact, now=now)
        except Trouble as trouble:
            self.message = str(trouble)
            return False
        if self._on_filed is not None:
            self._on_filed(fact)
        return not self.live.unsaved

    def file_all(self, facts: tuple[Fact, ...], now: float) -> None:
        """File what one answer says, and say what of it is on disk."""
        said = say_facts([fact for fact in facts if self.file(fact, now)], self.live.state.plan)
        if said:
            self.message = tr("Filed: {sentences}", sentences=said).rstrip("?.") + "."

    def finish(self, now: float) -> None:
        """End the session; its record is kept."""
        try:
            self.live.finish("", now=now)
        except Trouble as trouble:
            self.message = str(trouble)

    def undo(self, now: float) -> None:
        """Take back the last thing said."""
        try:
            entries = self._taken_back(now)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        if not entries:
            self.message = tr("There is nothing to take back.")
        else:
            said = say_facts([entry.fact for entry in entries], self.live.state.plan)
            when = clock(entries[0].t, now)
            self.message = tr(
                "Taken back: {said} ({when}). It stays readable in the record; u brings it back.",
                said=said,
                when=when,
            )
            if self._on_filed is not None:
                self._on_filed(self.live.entries[-1].fact)

    def redo(self, now: float) -> None:
        """Bring back what was taken back last; all of what one press took."""
        try:
            back = self._brought_back(now)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        if not back:
            self.message = tr(
                "There is nothing to bring back: nothing was taken back, or something was said since."
            )
        else:
            said = say_facts([entry.fact for entry in back], self.live.state.plan)
            self.message = tr("Brought back: {said} ({clock}).", said=said, clock=clock(back[0].t, now))
            if self._on_filed is not None:
                self._on_filed(self.live.entries[-1].fact)

    def _brought_back(self, now: float) -> list[ev.Entry]:
        """Bring back what was taken back last, with all that the same press had taken back; the entries, oldest
        first."""
        back: list[ev.Entry] = []
        first: ev.Entry | None = None
        while (last := last_redoable(self.live.entries)) is not None:
            if first is not None and last.logged_at != first.logged_at:
                break
            first = first or last
            entry = self.live.redo(now=now)
            if entry is None:
                break
            back.insert(0, entry)
        return back

    def _taken_back(self, now: float) -> list[ev.Entry]:
        """Take back the last thing said, with all that the same answer or "done" had filed, such as both moulds of
        one look; the entries."""
        entries: list[ev.Entry] = []
        while (last := last_undoable(self.live.entries)) is not None:
            if entries and last.logged_at != entries[0].logged_at:
                break
            self.live.undo(now=now)
            entries.append(last)
        return entries
