"""What is small, changes, and outlives a session: own waxes, kept plans, what each mould weighed.

One hidden file in the sessions folder (`TableFile`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.bench import bench
from pourday.plan.model import Mould, Plan, Shape
from pourday.plan.own_layers import shares_of, waxes_in
from pourday.session.candle import batch_label
from pourday.session.state import MouldState, State
from pourday.store.disk import DISK, Disk
from pourday.store.table_file import TableFile, document_of
from pourday.text import plain
from pourday.wax.materials import Wax, families

MEMORIES = ".memories.json"
_WAXES, _PLANS, _WEIGHTS = "waxes", "plans", "weights"
_WICKS = "wicks"
_KITCHEN = "kitchen"
SCHEMA = 1
"""Version of the memories; a file of a newer one is left alone."""
MOST_VERSIONS = 50
"""Versions of one plan that are kept."""
_LONGEST_NAME = 80
"""Characters of the name of a plan or a wax; a longer one is cut."""
_CLOSE = 5
"""Decimals of a metre or a kilogram within which two moulds are the same one: 3 in and 7.62 cm are."""
_PASSED = tr(", which passed in ")
"""Stands between a wick and the candle it was tested in."""
_SAME_WAX = 0.02
"""Share of each wax by which two candles may differ and still be of the same. Solid densities of the table
lie within 7 % of each other, so this moves a weight by less than 0.2 %, a gram of a large pillar. Chosen."""


Merged = Literal["there", "added", "differs"]
"""What came of taking in another machine's: it is here already, it came, or it is another one of this name."""


class KeptPlan(msgspec.Struct, frozen=True, kw_only=True):
    """A plan put by for another day: a recipe, with a name and a version. Every figure of it is kept, none is a default."""

    name: str
    version: Annotated[int, msgspec.Meta(ge=1, le=1_000_000)] = 1
    """Counts up with every plan that is kept under this name and says something else."""
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


class Memories:
    """The memories of one sessions folder, read anew whenever the file changed."""

    def __init__(self, folder: Path, disk: Disk = DISK) -> None:
        self._disk = disk
        self._file = TableFile(folder, MEMORIES, "memories", SCHEMA, disk)
        self.remarks = self._file.remarks
        """Whole sentences about what of the file could not be read, and what became of it."""

    # -- own waxes ----------------------------------------------------------------------------------

    def own_waxes(self) -> dict[str, Wax]:
        """The person's own waxes by id, in the order they were kept."""
        return {wax.id: wax for wax in self._file.all(_WAXES, Wax)}

    def wax_names(self) -> dict[str, str]:
        """The short name of every wax by its id: those of the table and the person's own."""
        return {id_: wax.short_name for id_, wax in {**families(), **self.own_waxes()}.items()}

    def keep_wax(self, wax: Wax) -> None:
        """Keep a wax, in the place of an older one of this id. Raises `Trouble`."""
        document = document_of(wax)
        if not document["id"] or document["id"] in families():
            raise Trouble(
                tr(
                    "A wax of your own cannot be called “{document}”.",
                    document=document["id"][:_LONGEST_NAME],
                ),
                tr("Every wax needs an id, and one that the wax table does not have."),
                tr("Choose another name."),
            )
        self._file.change(_WAXES, lambda old: old.get("id") == document["id"], [document])

    def forget_wax(self, id: str) -> None:  # noqa: A002
        """Forget a wax; nothing happens where there is none of this id. Raises `Trouble`."""
        self._file.change(_WAXES, lambda old: old.get("id") == id, [])

    # -- kept plans ---------------------------------------------------------------------------------

    def plans(self) -> list[KeptPlan]:
        """Kept plans, the newest first; of each name the newest version."""
        newest: dict[str, KeptPlan] = {}
        for kept_plan in self._file.all(_PLANS, KeptPlan):
            if kept_plan.name not in newest or kept_plan.version > newest[kept_plan.name].version:
                newest[kept_plan.name] = kept_plan
        return sorted(newest.values(), key=lambda kept_plan: -kept_plan.kept_at)

    def versions(self, name: str) -> list[KeptPlan]:
        """Every version of a kept plan, the newest first."""
        every = [kept_plan for kept_plan in self._file.all(_PLANS, KeptPlan) if kept_plan.name == name]
        return sorted(every, key=lambda kept_plan: -kept_plan.version)

    def keep_plan(self, name: str, plan: Plan, now: float) -> None:
        """Keep a plan under a name: as a new version, where an older one of this name says something else.

        The newest `MOST_VERSIONS` of a name are kept. Raises `Trouble`.
        """
        named = plain(name, _LONGEST_NAME)
        if not named:
            raise Trouble(tr("The plan was not kept."), tr("It has no name."), tr("Give it one."))

        def versions(old: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
            known = sorted(old, key=_version)
            fresh = document_of(KeptPlan(name=named, kept_at=now, plan=plan))
            if known and known[-1].get("plan") == fresh["plan"]:
                fresh["version"] = _version(known.pop())
            else:
                fresh["version"] = _version(known[-1]) + 1 if known else 1
            return [*(dict(row) for row in known[1 - MOST_VERSIONS :]), fresh]

        self._file.change(_PLANS, lambda old: old.get("name") == named, versions)

    def merge_plan(self, name: str, versions: Sequence[KeptPlan]) -> Merged:
        """Take in what another machine kept under this name, where one of the two went on from what the other has.

        All versions of both are kept then, by time, and the one that was gone on to is the newest. Raises `Trouble`.
        """
        named, came = plain(name, _LONGEST_NAME), list[Merged]()

        def both(old: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
            ours, theirs = sorted(old, key=_version), sorted(map(document_of, versions), key=_version)
            here, there = ([row.get("plan") for row in rows] for rows in (ours, theirs))
            goes_on = bool(theirs) and theirs[-1]["plan"] not in here
            if ours and goes_on and here[-1] not in there:
                came.append("differs")
                return [dict(row) for row in old]
            fresh = [row for row in theirs if row["plan"] not in here]
            newest = theirs[-1] if goes_on else ours[-1] if ours else None
            before = [row for row in (*ours, *fresh) if row is not newest]
            before.sort(key=lambda row: row.get("kept_at", 0.0))
            rows = ([*before, newest] if newest is not None else before)[-MOST_VERSIONS:]
            if [row.get("plan") for row in rows] == here:
                came.append("there")
                return [dict(row) for row in old]
            came.append("added")
            top = max([len(rows), *map(_version, theirs), *(_version(row) + goes_on for row in ours)])
            first = top - len(rows) + 1
            return [{**row, "name": named, "version": first + n} for n, row in enumerate(rows)]

        # Looked at before it is done, so that what changes nothing writes nothing.
        both([row for row in self._file.tables().get(_PLANS, {}).values() if row.get("name") == named])
        if came[-1] == "added":
            self._file.change(_PLANS, lambda old: old.get("name") == named, both)
        return came[-1]

    def forget_plan(self, name: str) -> None:
        """Forget a kept plan with all its versions; nothing happens where there is none of this name. Raises `Trouble`."""
        self._file.change(_PLANS, lambda old: old.get("name") == name, [])

    # -- what moulds weighed ------------------------------------------------------------------------

    def weight_of(self, mould: Mould, plan: Plan) -> float | None:
        """What the last weighed candle from such a mould weighed, kg; None where none was.

        Such a mould: the same shape and fill line, and the same name, where it has one. Waxes differ in
        density, so the candle must have been of the wax that this plan pours into the mould. One of a wax
        that nobody kept counts where there is no such candle.
        """
        key, wax = _key(mould.name, mould.shape, mould.below_rim), waxes_in(plan, mould)
        weights = [w for w in self._file.all(_WEIGHTS, _Weight) if _key(w.mould, w.shape, w.below_rim) == key]
        same = [w for w in weights if w.wax and _same_wax(w.wax, wax)] or [w for w in weights if not w.wax]
        return max(same, key=lambda weight: (weight.at, weight.session, weight.letter)).kg if same else None

    def remember_weights(self, state: State) -> None:
        """Remember what the finished candles of a session weighed; never those of a demo.

        Doing it again changes nothing, and a weight that was put right or taken back follows. A folder
        that refuses is no trouble: `remarks` says so, and the session has the weights when it is opened again.
        """
        fresh = [] if state.demo or not state.session else [document_of(weight) for weight in _weights(state)]
        try:
            known = [
                w for w in self._file.tables().get(_WEIGHTS, {}).values() if w.get("session") == state.session
            ]
            if known != fresh:
                self._file.change(_WEIGHTS, lambda old: old.get("session") == state.session, fresh)
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
            for wick in self._file.all(_WICKS, PassedWick)
            if _key(wick.mould, wick.shape, wick.below_rim) == key and _same_wax(wick.wax, wax)
        ]
        return max(same, key=lambda wick: (wick.at, wick.session, wick.letter)) if same else None

    def remember_wicks(self, batch: State, log: State) -> None:
        """Remember which wicks of a batch passed, by the record of its candles; never those of a demo.

        Doing it again changes nothing, and a judgement that was taken back follows. A folder that refuses is no
        trouble: `remarks` says so.
        """
        fresh = [] if batch.demo or not batch.session else [document_of(wick) for wick in _passed(batch, log)]
        try:
            known = [
                w for w in self._file.tables().get(_WICKS, {}).values() if w.get("session") == batch.session
            ]
            if known != fresh:
                self._file.change(_WICKS, lambda old: old.get("session") == batch.session, fresh)
        except Trouble as trouble:
            self.remarks.append(str(trouble))

    # -- what of a kitchen's days counts --------------------------------------------------------------

    def kitchen_choices(self) -> KitchenChoices:
        """Which days of this kitchen count, as a person chose."""
        rows = self._file.all(_KITCHEN, _KitchenChoice)
        return KitchenChoices(
            frozenset(row.session for row in rows if row.what == "forget day"),
            max((row.at for row in rows if row.what == "forget all"), default=0.0),
            any(row.what == "use none" for row in rows),
        )

    def forget_day(self, session: str, now: float, *, forget: bool = True) -> None:
        """Let a day teach nothing, or let it teach again. Raises `Trouble`."""
        fresh = [document_of(_KitchenChoice(what="forget day", session=session, at=now))] if forget else []
        self._file.change(_KITCHEN, lambda old: old.get("session") == session, fresh)

    def forget_all_days(self, now: float) -> None:
        """Let no day until now teach anything. Raises `Trouble`."""
        fresh = document_of(_KitchenChoice(what="forget all", at=now))
        self._file.change(_KITCHEN, lambda old: old.get("what") == "forget all", [fresh])

    def use_no_days(self, now: float, *, none: bool) -> None:
        """Use nothing that was learned from earlier days, or use it again. Raises `Trouble`."""
        fresh = [document_of(_KitchenChoice(what="use none", at=now))] if none else []
        self._file.change(_KITCHEN, lambda old: old.get("what") == "use none", fresh)

    # -- another machine's ----------------------------------------------------------------------------

    def take_in(self, other: Memories) -> bool:
        """Take in what another folder remembers of sessions that this one remembers nothing of: weights, wicks that
        passed, days that are not to teach. What is here stays as it is; whether anything came. Raises `Trouble`.
        """
        came = False
        for table in (_WEIGHTS, _WICKS, _KITCHEN):
            ours, theirs = (each._file.tables().get(table, {}).values() for each in (self, other))
            known = {_about(row) for row in ours}
            # Not to use any day's teaching is a choice for the machine that it was made on, once one was made here.
            fresh = [
                dict(row)
                for row in theirs
                if _about(row) not in known and not (known and row.get("what") == "use none")
            ]
            if fresh:
                self._file.change(table, lambda _: False, fresh)
                came = True
        return came


def _about(document: Mapping[str, Any]) -> tuple[Any, Any]:
    """What a row of the memories is about: a session, or a choice of none."""
    return document.get("what"), document.get("session")


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


def _version(document: Mapping[str, Any]) -> int:
    """The version a document says it is; 1 of what an older program kept, or what says none."""
    said = document.get("version", 1)
    return said if isinstance(said, int) else 1
