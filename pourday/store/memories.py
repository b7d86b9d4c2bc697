"""What is small, changes, and outlives a session: own waxes, kept plans, what each mould weighed.

One hidden file in the sessions folder, in TinyDB's tables. Every change is read, made and renamed into
place under a lock, so two programs at once lose nothing of each other's and a kill leaves the old file
or the new one. What cannot be decoded stays in the file and is told of in `remarks`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, TypeVar

import msgspec

from pourday.errors import Trouble
from pourday.plan.bench import bench
from pourday.plan.model import Mould, Plan, Shape
from pourday.plan.own_layers import shares_of, waxes_in
from pourday.session.candle import batch_label
from pourday.session.state import MouldState, State
from pourday.store.clean import BadLine, cleaned, reason
from pourday.store.disk import DISK, Disk, because, read_file, set_aside
from pourday.store.lock import InUse, Lock
from pourday.store.tables import Tables, parse_tables, write_tables
from pourday.text import plain
from pourday.wax.materials import Wax, families

MEMORIES = ".memories.json"
_LOCK = ".memories.lock"
_WAXES, _PLANS, _WEIGHTS, _ABOUT = "waxes", "plans", "weights", "about"
_WICKS = "wicks"
_KITCHEN = "kitchen"
SCHEMA = 1
"""Version of the memories; a file of a newer one is left alone."""
_LONGEST_NAME = 80
"""Characters of the name of a plan or a wax; a longer one is cut."""
_MOST_TRIES = 100_000
"""Tries for the lock, each some 6 µs: far longer than another program takes to write the file, and
short enough that nobody thinks the screen has died."""
_CLOSE = 5
"""Decimals of a metre or a kilogram within which two moulds are the same one: 3 in and 7.62 cm are."""
_PASSED = ", which passed in "
"""Stands between a wick and the candle it was tested in."""
_SAME_WAX = 0.02
"""Share of each wax by which two candles may differ and still be of the same. Solid densities of the table
lie within 7 % of each other, so this moves a weight by less than 0.2 %, a gram of a large pillar."""


class KeptPlan(msgspec.Struct, frozen=True, kw_only=True):
    """A plan put by for another day."""

    name: str
    kept_at: float
    """Seconds since the epoch, UTC."""
    plan: Plan


class _Weight(msgspec.Struct, frozen=True, kw_only=True):
    """What one finished candle weighed, and the mould it came from."""

    session: str
    letter: str
    mould: str
    shape: Shape
    below_rim: float
    wax: dict[str, float] = {}
    """Share of each wax in it, by id; empty in what an older program kept, which did not say."""
    kg: float
    at: float
    """When the candle left the mould, or was poured; the newest one counts."""


class PassedWick(msgspec.Struct, frozen=True, kw_only=True):
    """A wick that a person passed after burning it, and the candle it was in."""

    session: str
    letter: str
    label: str
    mould: str
    shape: Shape
    below_rim: float
    wax: dict[str, float]
    """Share of each wax in it, by id."""
    wick: str
    at: float
    """When its last burn was weighed, or ended; the newest one counts."""

    @property
    def words(self) -> str:
        """`30 ply, which passed in 251125a-B`."""
        # A wick that was taken over from an older test says so already; what counts is the newest.
        return f"{self.wick.partition(_PASSED)[0]}{_PASSED}{self.label}"


class _KitchenChoice(msgspec.Struct, frozen=True, kw_only=True):
    """What a person decided about the learning of a kitchen."""

    what: Literal["forget day", "forget all", "use none"]
    session: str = ""
    at: float = 0.0
    """When it was decided: of `forget all`, days until then do not count."""


@dataclass(frozen=True)
class KitchenChoices:
    """Which days of a kitchen count."""

    forgotten: frozenset[str] = frozenset()
    """Sessions that do not."""
    from_t: float = 0.0
    """Days before it do not, seconds since the epoch."""
    use_none: bool = False
    """Nothing that was learned from earlier days is used."""


_T = TypeVar("_T", Wax, KeptPlan, _Weight, PassedWick, _KitchenChoice)


class Memories:
    """The memories of one sessions folder, read anew whenever the file changed."""

    def __init__(self, folder: Path, disk: Disk = DISK) -> None:
        self.remarks: list[str] = []
        """Whole sentences about what of the file could not be read, and what became of it."""
        self._folder, self._disk = folder, disk
        self._path = folder / MEMORIES
        self._seen: tuple[int, int, int] | None = None
        self._tables: Tables = {}

    # -- own waxes ----------------------------------------------------------------------------------

    def own_waxes(self) -> dict[str, Wax]:
        """The person's own waxes by id, in the order they were kept."""
        return {wax.id: wax for wax in self._all(_WAXES, Wax)}

    def keep_wax(self, wax: Wax) -> None:
        """Keep a wax, in the place of an older one of this id. Raises `Trouble`."""
        document = _document(wax)
        if not document["id"] or document["id"] in families():
            raise Trouble(
                f"A wax of your own cannot be called “{document['id'][:_LONGEST_NAME]}”.",
                "Every wax needs an id, and one that the wax table does not have.",
                "Choose another name.",
            )
        self._change(_WAXES, lambda old: old.get("id") == document["id"], [document])

    def forget_wax(self, id: str) -> None:  # noqa: A002
        """Forget a wax; nothing happens where there is none of this id. Raises `Trouble`."""
        self._change(_WAXES, lambda old: old.get("id") == id, [])

    # -- kept plans ---------------------------------------------------------------------------------

    def plans(self) -> list[KeptPlan]:
        """Kept plans, the newest first."""
        return sorted(self._all(_PLANS, KeptPlan), key=lambda kept: -kept.kept_at)

    def keep_plan(self, name: str, plan: Plan, now: float) -> None:
        """Keep a plan under a name, in the place of an older one of this name. Raises `Trouble`."""
        named = plain(name, _LONGEST_NAME)
        if not named:
            raise Trouble("The plan was not kept.", "It has no name.", "Give it one.")
        kept = KeptPlan(name=named, kept_at=now, plan=plan)
        self._change(_PLANS, lambda old: old.get("name") == named, [_document(kept)])

    def forget_plan(self, name: str) -> None:
        """Forget a kept plan; nothing happens where there is none of this name. Raises `Trouble`."""
        self._change(_PLANS, lambda old: old.get("name") == name, [])

    # -- what moulds weighed ------------------------------------------------------------------------

    def weight_of(self, mould: Mould, plan: Plan) -> float | None:
        """What the last weighed candle from such a mould weighed, kg; None where none was.

        Such a mould: the same shape and fill line, and the same name, where it has one. Waxes differ in
        density, so the candle must have been of the wax that this plan pours into the mould. One of a wax
        that nobody kept counts where there is no such candle.
        """
        key, wax = _key(mould.name, mould.shape, mould.below_rim), waxes_in(plan, mould)
        weights = [w for w in self._all(_WEIGHTS, _Weight) if _key(w.mould, w.shape, w.below_rim) == key]
        same = [w for w in weights if w.wax and _same_wax(w.wax, wax)] or [w for w in weights if not w.wax]
        return max(same, key=lambda weight: (weight.at, weight.session, weight.letter)).kg if same else None

    def remember_weights(self, state: State) -> None:
        """Remember what the finished candles of a session weighed; never those of a demo.

        Doing it again changes nothing, and a weight that was put right or taken back follows. A folder
        that refuses is no trouble: `remarks` says so, and the session has the weights when it is opened again.
        """
        fresh = [] if state.demo or not state.session else [_document(weight) for weight in _weights(state)]
        try:
            known = [w for w in self._read().get(_WEIGHTS, {}).values() if w.get("session") == state.session]
            if known != fresh:
                self._change(_WEIGHTS, lambda old: old.get("session") == state.session, fresh)
        except Trouble as trouble:
            self.remarks.append(str(trouble))

    # -- wicks that passed ----------------------------------------------------------------------------

    def wick_of(self, mould: Mould, plan: Plan) -> PassedWick | None:
        """The wick that last passed a burn test in such a mould and the wax this plan pours into it; None where none did.

        Such a mould: as for `weight_of`.
        """
        key, wax = _key(mould.name, mould.shape, mould.below_rim), waxes_in(plan, mould)
        same = [
            wick
            for wick in self._all(_WICKS, PassedWick)
            if _key(wick.mould, wick.shape, wick.below_rim) == key and _same_wax(wick.wax, wax)
        ]
        return max(same, key=lambda wick: (wick.at, wick.session, wick.letter)) if same else None

    def remember_wicks(self, batch: State, log: State) -> None:
        """Remember which wicks of a batch passed, by the record of its candles; never those of a demo.

        Doing it again changes nothing, and a judgement that was taken back follows. A folder that refuses is no
        trouble: `remarks` says so.
        """
        fresh = [] if batch.demo or not batch.session else [_document(wick) for wick in _passed(batch, log)]
        try:
            known = [w for w in self._read().get(_WICKS, {}).values() if w.get("session") == batch.session]
            if known != fresh:
                self._change(_WICKS, lambda old: old.get("session") == batch.session, fresh)
        except Trouble as trouble:
            self.remarks.append(str(trouble))

    # -- what of a kitchen's days counts --------------------------------------------------------------

    def kitchen_choices(self) -> KitchenChoices:
        """Which days of this kitchen count, as a person chose."""
        rows = self._all(_KITCHEN, _KitchenChoice)
        return KitchenChoices(
            frozenset(row.session for row in rows if row.what == "forget day"),
            max((row.at for row in rows if row.what == "forget all"), default=0.0),
            any(row.what == "use none" for row in rows),
        )

    def forget_day(self, session: str, now: float, *, forget: bool = True) -> None:
        """Let a day teach nothing, or let it teach again. Raises `Trouble`."""
        fresh = [_document(_KitchenChoice(what="forget day", session=session, at=now))] if forget else []
        self._change(_KITCHEN, lambda old: old.get("session") == session, fresh)

    def forget_all_days(self, now: float) -> None:
        """Let no day until now teach anything. Raises `Trouble`."""
        fresh = _document(_KitchenChoice(what="forget all", at=now))
        self._change(_KITCHEN, lambda old: old.get("what") == "forget all", [fresh])

    def use_no_days(self, now: float, *, none: bool) -> None:
        """Use nothing that was learned from earlier days, or use it again. Raises `Trouble`."""
        fresh = [_document(_KitchenChoice(what="use none", at=now))] if none else []
        self._change(_KITCHEN, lambda old: old.get("what") == "use none", fresh)

    # -- the file -----------------------------------------------------------------------------------

    def _all(self, table: str, kind: type[_T]) -> list[_T]:
        """Everything of one table that can be decoded."""
        rows = []
        for document in self._read().get(table, {}).values():
            try:
                rows.append(cleaned(msgspec.convert(document, kind)))
            except (msgspec.ValidationError, BadLine, RecursionError) as error:
                name = plain(str(document.get("name") or document.get("session") or "?"), 40)
                self._remark(f"In {MEMORIES}, “{name}” of the {table} is left alone. {reason(error)}")
        return rows

    def _remark(self, says: str) -> None:
        if says not in self.remarks:
            self.remarks.append(says)

    def _read(self) -> Tables:
        """The tables of the file, read again only when it has changed; broken ones count as empty, with a remark."""
        try:
            status = self._disk.stat(self._path)
            seen = (status.st_ino, status.st_mtime_ns, status.st_size)
            if seen != self._seen:
                self._tables = parse_tables(read_file(self._disk, self._path))
                self._seen = seen
        except FileNotFoundError:
            self._seen, self._tables = None, {}
        except OSError as error:
            self._seen, self._tables = None, {}
            self._remark(f"{MEMORIES} cannot be read. {because(error)}")
        except (ValueError, RecursionError) as error:
            self._seen, self._tables = None, {}
            why = "" if type(error) is ValueError else f" {reason(error)}"
            self._remark(f"{MEMORIES} is broken and counts as empty; nothing of it is deleted.{why}")
        return self._tables

    def _change(
        self, table: str, drop: Callable[[Mapping[str, Any]], bool], add: Sequence[dict[str, Any]]
    ) -> None:
        """Drop and add in one table, as one step that happens wholly or not at all. Raises `Trouble`."""
        from pourday.store.index import edited

        with self._alone():
            try:
                tables = self._under_lock()
                tables[_ABOUT] = {"1": {"pourday": "memories", "schema": SCHEMA}}
                write_tables(self._path, edited(tables, table, drop, add), self._disk)
            except OSError as error:
                raise _refused(because(error)) from None
            finally:
                self._seen = None

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """With the file's lock held, so that no other program changes it meanwhile. Raises `Trouble`."""
        lock = self._lock()
        try:
            yield
        finally:
            lock.release()

    def _lock(self) -> Lock:
        """The file's lock, tried for as long as another program may need. Raises `Trouble`."""
        for _ in range(_MOST_TRIES):
            try:
                return Lock.take(self._folder / _LOCK, self._disk)
            except InUse:
                continue
            except OSError as error:
                raise _refused(because(error)) from None
        raise _refused("Another program holds the file.", "Try again in a moment.")

    def _under_lock(self) -> Tables:
        """What stands in the file now; a broken one is set aside and counts as empty."""
        try:
            data = read_file(self._disk, self._path)
        except FileNotFoundError:
            return {}
        try:
            tables = parse_tables(data)
        except (ValueError, RecursionError):
            aside = set_aside(self._disk, self._folder, f"{MEMORIES}.broken", data)
            self._remark(f"{MEMORIES} was broken; as it was, it is kept in {aside.name}.")
            return {}
        schemas = [document.get("schema") for document in tables.get(_ABOUT, {}).values()]
        if any(isinstance(schema, int) and schema > SCHEMA for schema in schemas):
            raise _refused(f"{MEMORIES} was written by a newer pourday.", "Update this one.")
        return tables


def _weights(state: State) -> list[_Weight]:
    """What each finished candle of a session weighed. One that lacks its last layer tells nothing of a mould."""
    moulds = {standing.letter: standing.mould for standing in bench(state.plan)}
    return [
        _Weight(
            session=state.session,
            letter=letter,
            mould=moulds[letter].name,
            shape=moulds[letter].shape,
            below_rim=moulds[letter].below_rim,
            wax=waxes_in(state.plan, moulds[letter]),
            kg=mould.candle_kg,
            at=_when(mould),
        )
        for letter, mould in state.moulds.items()
        if letter in moulds and mould.candle_kg and _is_whole(state.plan, moulds[letter], mould)
    ]


def _passed(batch: State, log: State) -> list[PassedWick]:
    """The wicks of a batch that a person passed."""
    moulds = {standing.letter: standing.mould for standing in bench(batch.plan)}
    return [
        PassedWick(
            session=batch.session,
            letter=letter,
            label=candle.label or batch_label(batch.session, letter),
            mould=moulds[letter].name,
            shape=moulds[letter].shape,
            below_rim=moulds[letter].below_rim,
            wax=waxes_in(batch.plan, moulds[letter]),
            wick=candle.judged.wick,
            at=max((b.cold_at or b.ended_at or b.lit_at for b in candle.burns), default=log.last_t),
        )
        for letter, candle in log.candles.items()
        if letter in moulds and candle.judged and candle.judged.came == "passed" and candle.judged.wick
    ]


def _is_whole(plan: Plan, mould: Mould, poured: MouldState) -> bool:
    """Whether the last layer that the plan has for a mould was poured."""
    wanted = [layer for layer, share in enumerate(shares_of(plan, mould)) if share > 0]
    return bool(wanted) and poured.poured(wanted[-1], "layer") is not None


def _when(mould: MouldState) -> float:
    """When the candle left its mould, or was poured where it has not."""
    if mould.demoulded_at is not None:
        return mould.demoulded_at
    return mould.pours[-1].t


def _key(name: str, shape: Shape, below_rim: float) -> tuple[str, object, float]:
    """What two moulds have in common that are the same one."""
    return plain(name).casefold(), _rounded(msgspec.to_builtins(shape)), round(below_rim, _CLOSE)


def _same_wax(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    """Whether two candles are of the same wax, from the share of each wax in them, by id."""
    return all(abs(one.get(wax, 0.0) - other.get(wax, 0.0)) <= _SAME_WAX for wax in {*one, *other})


def _rounded(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _rounded(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(item) for item in value]
    return round(value, _CLOSE) if isinstance(value, float | int) else value


def _document(value: Wax | KeptPlan | _Weight | PassedWick | _KitchenChoice) -> dict[str, Any]:
    """As it is written, and surely readable again. Raises `Trouble` for what is not."""
    try:
        document: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(cleaned(value)))
        msgspec.convert(document, type(value))
    except (msgspec.MsgspecError, BadLine, UnicodeError, RecursionError, TypeError) as error:
        raise _refused(reason(error)) from None
    return document


def _refused(why: str, instead: str = "") -> Trouble:
    return Trouble("It was not kept.", why, instead)
