"""What is remembered of each mould, put together from the days it was used on and from what its owner said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

import msgspec

from pourday.language import tr
from pourday.moulds.use import MouldKey, MouldUse, mould_key
from pourday.plan.model import Mould, Plan, Preparation
from pourday.session.events import Celsius, Name, Text
from pourday.text import plain

LONGEST_ITEM = 80
"""Characters of a line of the preparation list: it goes on record by its words."""


class MouldNote(msgspec.Struct, frozen=True, kw_only=True):
    """What its owner says of a mould. None and empty: nothing."""

    name: Name
    """As it is called in plans."""
    seal: Text = ""
    """How its hole is sealed."""
    agent: Text = ""
    """The release agent that worked."""
    limit_c: Celsius | None = None
    """What it may be poured at, by its maker."""
    holes: Annotated[int, msgspec.Meta(ge=0, le=100)] | None = None
    cleaned_at: Annotated[float, msgspec.Meta(ge=0, le=7.3e9)] | None = None
    """When it was last cleaned, s since the epoch."""
    clean_every: Annotated[int, msgspec.Meta(ge=1, le=1_000)] | None = None
    """Candles after which it is cleaned."""
    note: Text = ""


@dataclass(frozen=True, slots=True)
class MouldMemory:
    """One mould: its uses from the oldest to the newest, and what was said of it."""

    key: MouldKey
    uses: tuple[MouldUse, ...] = ()
    note: MouldNote | None = None
    wall: tuple[float, int] | None = None
    """Its own part of the heat loss at the wall, as a factor, and how many days taught it; None: not learned."""

    @property
    def name(self) -> str:
        """What it is called: by the newest use, else by its owner's note; empty where neither is there."""
        return (
            self.note.name
            if self.note is not None and not self.uses
            else self.newest.name
            if self.uses
            else ""
        )

    @property
    def newest(self) -> MouldUse:
        """The last use. Raises `IndexError` for a mould that was only noted, never used."""
        return self.uses[-1]

    @property
    def limit_c(self) -> float | None:
        """What it may be poured at: as its owner says, else as the newest plan that said so."""
        if self.note is not None and self.note.limit_c is not None:
            return self.note.limit_c
        return next((use.limit_c for use in reversed(self.uses) if use.limit_c is not None), None)

    @property
    def holes(self) -> int | None:
        """How many holes it has: as its owner says, else as the newest plan that said so; None: nobody said."""
        if self.note is not None and self.note.holes is not None:
            return self.note.holes
        return next((use.holes for use in reversed(self.uses) if use.holes is not None), None)

    @property
    def passed(self) -> str:
        """The wick that last passed a burn test in it."""
        return next((use.passed for use in reversed(self.uses) if use.passed), "")

    @property
    def last_fault(self) -> MouldUse | None:
        """The newest use on which something was wrong: a fault of the candle, a seal that wept, a candle that stuck."""
        return next(
            (use for use in reversed(self.uses) if use.faults or use.wept or use.release == "stuck"), None
        )

    @property
    def weights(self) -> list[tuple[Mapping[str, float], float]]:
        """(share of each wax by id, kg of the newest candle of it), the newest first."""
        by_wax: dict[str, tuple[Mapping[str, float], float]] = {}
        for use in reversed(self.uses):
            if use.kg:
                by_wax.setdefault("+".join(sorted(use.wax)), (use.wax, use.kg))
        return list(by_wax.values())

    @property
    def since_cleaned(self) -> int:
        """Candles since it was cleaned, or ever."""
        cleaned = self.note.cleaned_at if self.note is not None else None
        return sum(cleaned is None or use.at > cleaned for use in self.uses)

    @property
    def clean_now(self) -> str:
        """Why it is to be cleaned before the next pour; empty where nothing speaks for it."""
        if not self.uses or not self.since_cleaned:
            return ""
        if self.newest.release == "stuck":
            return tr("its last candle stuck")
        every = self.note.clean_every if self.note is not None else None
        if every is not None and self.since_cleaned >= every:
            return tr("{count} candles since it was cleaned", count=self.since_cleaned)
        return ""


def remembered(
    uses: Iterable[MouldUse], notes: Iterable[MouldNote], walls: Mapping[str, tuple[float, int]] | None = None
) -> dict[MouldKey, MouldMemory]:
    """Every mould by its key, the newest used first. `walls` are learned factors by name and material, as `tall, tin`."""
    by_key: dict[MouldKey, list[MouldUse]] = {}
    for use in uses:
        by_key.setdefault(mould_key(use), []).append(use)
    said = {plain(note.name).casefold(): note for note in notes}
    memories = []
    for key in {**by_key, **said}:
        known = tuple(sorted(by_key.get(key, []), key=lambda use: use.at))
        wall = (
            (walls or {}).get(f"{known[-1].name}, {known[-1].material}") if known and known[-1].name else None
        )
        memories.append(MouldMemory(key, known, said.get(key), wall))
    memories.sort(key=lambda each: (-(each.uses[-1].at if each.uses else 0.0), each.key))
    return {memory.key: memory for memory in memories}


def to_prepare(plan: Plan, moulds: Mapping[MouldKey, MouldMemory]) -> tuple[Preparation, ...]:
    """What to do to the moulds of a plan before the heat goes on, by what is remembered of them: a line a thing and mould."""
    items: list[Preparation] = []
    for mould in dict.fromkeys(_key_and_name(each) for each in plan.moulds if each.count):
        key, name = mould
        memory = moulds.get(key)
        if memory is not None:
            items += [
                Preparation(id=text, text=text)
                for text in map(_item, _things(name or tr("the mould"), memory))
            ]
    return tuple({item.id: item for item in items}.values())


def _key_and_name(mould: Mould) -> tuple[MouldKey, str]:
    return mould_key(mould), mould.name


def _item(text: str) -> str:
    """A line of the list, short enough for the record."""
    return plain(text, LONGEST_ITEM)


def _things(name: str, memory: MouldMemory) -> Sequence[str]:
    """What is to be done to one mould, in words."""
    note, notes = memory.note, []
    if memory.clean_now:
        notes.append(tr("{name}: clean it first, {why}", name=name, why=memory.clean_now))
    if memory.uses and memory.newest.wept:
        notes.append(tr("{name}: its seal wept last time; seal it anew and try it with water", name=name))
    if note is not None and note.seal:
        notes.append(tr("{name}: sealed with {seal}", name=name, seal=note.seal))
    if note is not None and note.agent:
        notes.append(tr("{name}: {agent}, which worked", name=name, agent=note.agent))
    return notes
