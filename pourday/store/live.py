"""The session at the stove: what was confirmed, what it amounts to, and the one way to add to it.

`file` is the whole promise of the program: when it returns and `unsaved` is empty, the entry is on
disk. Where the disk refuses, the entry stays here, in order, and nothing overtakes it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Literal

from pourday import __version__
from pourday.errors import Trouble
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.events import SCHEMA, By, Entry, Fact, moment
from pourday.session.fold import apply, fold, last_redoable, last_undoable, needs_refold
from pourday.session.recent import RecentStates
from pourday.session.state import State
from pourday.store import names
from pourday.store.atomic import write_atomically
from pourday.store.clean import BadLine, written
from pourday.store.disk import DISK, Disk, because, read_file, set_aside
from pourday.store.follow import Follower
from pourday.store.journal import Journal, header_line, why_not_saved
from pourday.store.lock import InUse, Lock
from pourday.store.reading import StoredSession, is_there, read_path, read_session
from pourday.store.record import write_record
from pourday.text import plain


class LiveSession:
    """One session, held by a screen. `now` is seconds since the epoch, UTC, in every call."""

    def __init__(
        self, folder: Path, stored: StoredSession, journal: Journal | None, lock: Lock | None, disk: Disk
    ):
        self.folder = folder
        self.session = stored.session
        self.remarks: list[str] = list(stored.remarks)
        """Sentences about the files that a person may want to know, oldest first."""
        self.trouble: Trouble | None = None
        """Why the entries in `unsaved` are not on disk; None while everything is."""
        self._disk, self._journal, self._lock = disk, journal, lock
        self._entries: list[Entry] = list(stored.entries)
        self._state = stored.state
        self._recent = RecentStates()
        self._unsaved: list[tuple[Entry, bytes]] = []
        self.over = False
        """The program was told to end: it has nothing more to say on its own."""
        self._busy = False
        self._ending: tuple[ev.Stopped, float] | None = None
        self._follower = None if journal or stored.finished else Follower(stored, disk)

    @classmethod
    def create(
        cls,
        folder: Path,
        session: str,
        *,
        now: float,
        demo: bool = False,
        batch: str = "",
        heap: bool = False,
        disk: Disk = DISK,
    ) -> LiveSession:
        """A new session with its first entry on disk. Raises `Trouble`; then nothing was begun.

        `batch`: the session whose candles it is about; empty for a day at the stove. `heap`: it is about wax that
        nobody knows.
        """
        path, name = names.journal_path(folder, session), plain(session, 60)
        refused = tr(
            "The session {name} could not be begun in {folder}.", name=name, folder=plain(str(folder), 300)
        )
        if is_there(names.record_path(folder, session), disk):
            raise Trouble(refused, tr("There is a finished one of this name already."))
        fact = ev.Opened(session=session, program=__version__, demo=demo, batch=batch, heap=heap)
        entry, line = _made(1, fact, "program", now, None)
        try:
            lock = Lock.take(names.lock_path(folder, session), disk)
        except InUse:
            raise Trouble(refused, tr("Another program has just begun one of this name.")) from None
        except OSError as error:
            raise Trouble(refused, because(error), tr("Name another folder with --sessions.")) from None
        try:
            journal = Journal.create(path, session, line, disk)
        except FileExistsError:
            lock.release()
            raise Trouble(refused, tr("There is one of this name already.")) from None
        except OSError as error:
            lock.release()
            raise Trouble(refused, because(error), tr("Name another folder with --sessions.")) from None
        return cls(folder, StoredSession(session, path, False, (entry,), fold([entry])), journal, lock, disk)

    @classmethod
    def begin(
        cls, folder: Path, day: str, *, now: float, demo: bool = False, heap: bool = False, disk: Disk = DISK
    ) -> LiveSession:
        """A new session under the first free name of this day (`2026-11-25`). Raises `Trouble`."""
        try:
            session = names.free_id(folder, day, disk)
        except OSError as error:
            where = plain(str(folder), 300)
            raise Trouble(tr("No session can be begun in {where}.", where=where), because(error)) from None
        return cls.create(folder, session, now=now, demo=demo, heap=heap, disk=disk)

    @classmethod
    def open(cls, folder: Path, session: str, *, now: float, disk: Disk = DISK) -> LiveSession:
        """Carry a session on, filing that it was reopened; or look on, where it cannot be written.

        It is `readonly` when another program writes it, when it is finished, and where the folder
        lets nobody write; `remarks` says which. Raises `Trouble` where it cannot be read.
        """
        record, journal = names.record_path(folder, session), names.journal_path(folder, session)
        if is_there(record, disk) or not is_there(journal, disk):
            stored = read_session(folder, session, disk)
            if stored.finished:
                return cls._finished(stored, disk)
        try:
            lock = Lock.take(names.lock_path(folder, session), disk)
        except InUse as held:
            who = tr(" (process {pid})", pid=held.pid) if held.pid else ""
            says = tr(
                "Another program{who} is writing this session; this one follows it and writes nothing.",
                who=who,
            )
            return cls._watched(folder, session, says, disk)
        except OSError as error:
            says = tr("This session can only be read, not carried on. {because}", because=because(error))
            return cls._watched(folder, session, says, disk)
        try:
            # Only what is read under the lock is surely what the last writer left.
            return cls._carried_on(folder, read_session(folder, session, disk), lock, now, disk)
        except BaseException:
            lock.release()
            raise

    @classmethod
    def _carried_on(
        cls, folder: Path, stored: StoredSession, lock: Lock, now: float, disk: Disk
    ) -> LiveSession:
        """A stored session opened to be written: made new where it is of an older version, and its opening filed."""
        if stored.finished:
            lock.release()
            return cls._finished(stored, disk)
        if stored.schema < SCHEMA:
            stored = _renewed(stored, disk)
        live = cls(folder, stored, Journal(stored.path, stored.text, disk), lock, disk)
        if not lock.sure:
            live.remarks.append(tr("This disk cannot lock files: make sure no other program has it open."))
        if stored.state.finished_at is not None:
            live._settle()
        else:
            away = max(-1e10, min(1e10, now - stored.entries[-1].logged_at.timestamp()))
            live.file(ev.Reopened(program=__version__, away=away), now=now, by="program")
        return live

    @classmethod
    def look_on(cls, folder: Path, session: str, disk: Disk = DISK) -> LiveSession:
        """A session to be read only, whoever writes it; nothing is locked. Raises `Trouble` where it cannot be read."""
        return cls(folder, read_session(folder, session, disk), None, None, disk)

    @classmethod
    def _watched(cls, folder: Path, session: str, says: str, disk: Disk) -> LiveSession:
        live = cls(folder, read_session(folder, session, disk), None, None, disk)
        live.remarks.append(says)
        return live

    @classmethod
    def _finished(cls, stored: StoredSession, disk: Disk) -> LiveSession:
        live = cls(stored.path.parent, stored, None, None, disk)
        live.remarks.append(tr("This session is finished; it can be read, not changed."))
        live._drop_spent_journal()
        return live

    @property
    def state(self) -> State:
        """What all entries amount to, those that are not saved yet among them."""
        return self._state

    @property
    def entries(self) -> Sequence[Entry]:
        """All entries, those that are not saved yet among them. Not to be changed."""
        return self._entries

    @property
    def unsaved(self) -> tuple[Entry, ...]:
        """Entries that are not known to be on disk, in order. While there are any, leaving loses them."""
        return tuple(entry for entry, _ in self._unsaved)

    @property
    def readonly(self) -> bool:
        """Whether it was opened to be read only: then nothing can be filed."""
        return self._journal is None

    def file(self, fact: Fact, *, now: float, by: By = "person", at: float | None = None) -> Entry:
        """Add one fact: checked, folded, journalled, synced; then returned.

        `at`: when it happened, where that was not now. Raises `Trouble`, with nothing added, for a
        fact that is not valid and for a session that can only be read. A disk that refuses raises
        nothing: the entry counts, and stands in `unsaved` with `trouble` saying why.
        """
        if self.readonly:
            raise Trouble(tr("This session can only be read here."), *self.remarks[-1:])
        with self._undisturbed():
            entry, line = _made(len(self._entries) + 1, fact, by, now, at)
            refold = needs_refold(entry.fact)
            state = self._recent.refolded([*self._entries, entry]) if refold else apply(self._state, entry)
            self._recent.after(entry.seq, state)
            self._entries.append(entry)
            self._state = state
            self._unsaved.append((entry, line))
            self._save()
        return entry

    @contextmanager
    def _undisturbed(self) -> Iterator[None]:
        """Nothing else is filed meanwhile, though a signal may ask for it; it comes right after."""
        outermost, self._busy = not self._busy, True
        try:
            yield
        finally:
            if outermost:
                self._busy = False
                if self._ending and not self.readonly:
                    (ending, when), self._ending = self._ending, None
                    self.file(ending, now=when, by="program")

    def end(self, how: Literal["left", "hangup", "terminated"], *, now: float) -> None:
        """File that the program is ending; may be called from a signal handler in the middle of `file`."""
        if self.readonly:
            return
        fact = ev.Stopped(how=how)
        self.over = True
        if self._busy:
            self._ending = fact, now
        else:
            self.file(fact, now=now, by="program")

    def undo(self, *, now: float) -> Entry | None:
        """Take back the newest thing a person said; what was taken back, or None where there is nothing."""
        last = last_undoable(self._entries)
        if last is not None:
            self.file(ev.Undone(entry=last.seq), now=now)
        return last

    def redo(self, *, now: float) -> Entry | None:
        """Bring back what was taken back last, where nothing was said since; what came back, or None."""
        last = last_redoable(self._entries)
        if last is None or not isinstance(last.fact, ev.Undone):
            return None
        back = self._entries[last.fact.entry - 1]
        self.file(ev.Undone(entry=last.seq), now=now)
        return back

    def retry(self) -> bool:
        """Try again to put on disk what is not; True when everything is."""
        with self._undisturbed():
            if self._unsaved:
                self._save()
            saved = not self._unsaved
            if saved and not self.readonly and self._state.finished_at is not None:
                self._settle()
        return saved

    def _save(self) -> None:
        """Put what is not saved yet on the disk; what went wrong stands in `trouble`."""
        journal = self._journal
        assert journal is not None
        known = len(journal.torn_files), journal.rewritten
        try:
            while self._unsaved:
                journal.append(self._unsaved[0][1])
                del self._unsaved[0]
            self.trouble = None
        except (OSError, Trouble) as refusal:
            self.trouble = why_not_saved(refusal, names.journal_path(self.folder, self.session))
        self._remark_on(journal, *known)

    def _remark_on(self, journal: Journal, known: int, rewritten: bool) -> None:
        for path in journal.torn_files[known:]:
            self.remarks.append(tr("The spoilt end of the journal was set aside in {name}.", name=path.name))
        if journal.rewritten and not rewritten:
            self.remarks.append(tr("The journal was gone and has been written again in full."))

    def emergency_copy(self, folder: Path) -> Path:
        """Write the whole session, unsaved entries too, into another folder; where it went.

        The copy is a journal that can be opened like any other. Raises `Trouble`.
        """
        text = self._journal.text() if self._journal else header_line(self.session)
        lines = self._unsaved if self._journal else [(e, ev.encode(e) + b"\n") for e in self._entries]
        data = text + b"".join(line for _, line in lines)
        try:
            for number in range(1, 1_000):
                # A long name is cut, so that one with a number is still a name.
                copy = self.session if number == 1 else f"{self.session[:45].rstrip('-')}-copy-{number}"
                path = names.journal_path(folder, copy)
                exists = is_there(path, self._disk) or is_there(names.record_path(folder, copy), self._disk)
                if not exists:
                    write_atomically(path, data, self._disk)
                    return path
            raise OSError(None, tr("It holds too many copies already."))
        except OSError as error:
            where = plain(str(folder), 300)
            raise Trouble(
                tr("No copy could be written into {where}.", where=where),
                because(error),
                tr("Name another folder."),
            ) from None

    def follow(self) -> tuple[Entry, ...]:
        """Of a session another program writes: the entries that came since the last look.

        Raises `Trouble` where the file can no longer be read; the next call tries again.
        """
        if self._follower is None:
            return ()
        news = self._follower.news()
        for entry in news.entries:
            refold = needs_refold(entry.fact)
            self._entries.append(entry)
            self._state = fold(self._entries) if refold else apply(self._state, entry)
        if news.anew is not None:
            self._entries, self._state = list(news.anew.entries), news.anew.state
        if news.finished:
            self._follower = None
            self.remarks.append(tr("This session is finished; it can be read, not changed."))
        return news.entries

    def finish(self, verdict: str, *, now: float) -> Entry:
        """End the session and put it into its finished file; afterwards it can only be read.

        The end is journalled first, so a kill at any instant leaves a whole session. Where the
        finished file cannot be written the journal stays, `remarks` says so, and the next opening
        tries again. Raises `Trouble`, with nothing added, while entries are not saved.
        """
        if not self.retry() and self.trouble:
            raise Trouble(
                tr("The session cannot be finished while entries are not saved."),
                self.trouble.why,
                self.trouble.instead,
            )
        entry = self.file(ev.Finished(verdict=verdict), now=now)
        self.retry()
        return entry

    def _settle(self) -> None:
        """Turn the journal of a finished session into its record."""
        path = names.record_path(self.folder, self.session)
        try:
            write_record(path, self.session, self._entries, self._disk)
            if read_path(path, self._disk).entries != tuple(self._entries):
                raise Trouble(tr("The finished file does not say what the journal says."))
        except (OSError, Trouble) as refusal:
            why = because(refusal) if isinstance(refusal, OSError) else str(refusal)
            self.remarks.append(
                tr("The finished file could not be written yet; the journal stays. {why}", why=why)
            )
            return
        self.close()
        self._drop_spent_journal()

    def _drop_spent_journal(self) -> None:
        """Take the journal away once every entry of it stands in the finished file."""
        path = names.journal_path(self.folder, self.session)
        try:
            if not is_there(path, self._disk):
                return
            lock = Lock.take(names.lock_path(self.folder, self.session), self._disk)
        except (InUse, OSError, Trouble):
            return
        try:
            spent = read_path(path, self._disk)
            if tuple(self._entries[: len(spent.entries)]) == spent.entries:
                self._disk.remove(path)
                self._disk.sync_folder(self.folder)
            else:
                self.remarks.append(
                    tr("{name} says something else than the finished file; both stay.", name=path.name)
                )
        except (OSError, Trouble):
            self.remarks.append(tr("{name} is no longer needed but could not be taken away.", name=path.name))
        finally:
            lock.release()

    def close(self) -> None:
        """Let go of the session; it can only be read afterwards. What is in `unsaved` is lost."""
        if self._journal is not None:
            self._journal.close()
            self._journal = None
        if self._lock is not None:
            self._lock.release()
            self._lock = None


def _made(seq: int, fact: Fact, by: By, now: float, at: float | None) -> tuple[Entry, bytes]:
    """An entry and its line in the journal. Raises `Trouble` where it cannot be written as one."""
    try:
        logged = moment(now)
        happened = logged if at is None else moment(at)
        return written(Entry(seq=seq, at=happened, logged_at=logged, by=by, fact=fact))
    except BadLine as bad:
        raise Trouble(tr("This cannot be entered."), str(bad)) from None
    except (ValueError, OverflowError, OSError):
        raise Trouble(
            tr("This cannot be entered."), tr("No calendar has the time that was given for it.")
        ) from None


def _renewed(stored: StoredSession, disk: Disk) -> StoredSession:
    """An older journal in this program's schema, the old file set aside beside it."""
    text = header_line(stored.session) + b"".join(ev.encode(entry) + b"\n" for entry in stored.entries)
    try:
        old = read_file(disk, stored.path)
        path = set_aside(disk, stored.path.parent, f"{stored.path.stem}.schema-{stored.schema}", old)
        write_atomically(stored.path, text, disk)
    except OSError as error:
        raise Trouble(
            tr("{name} is of an older pourday and could not be brought up to date.", name=stored.path.name),
            because(error),
        ) from None
    remarks = (
        *stored.remarks,
        tr("The journal was of an older pourday; as it was, it is kept in {name}.", name=path.name),
    )
    return replace(stored, text=text, schema=SCHEMA, remarks=remarks)
