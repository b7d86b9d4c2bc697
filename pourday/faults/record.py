"""What is asked: one candle of a batch, the record of what became of it, and what is known of earlier days."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from pourday.burn.candle import Candle, try_candles_of
from pourday.errors import Trouble
from pourday.faults.heat import CandleHeat, heat_of
from pourday.language import tr
from pourday.plan.model import Mould
from pourday.plan.own_layers import layers_of, mould_of
from pourday.plan.weigh import WeighSheet, waxes_of, weigh_sheet
from pourday.session.candle import CandleState, FaultsSeen, faults_seen
from pourday.session.mould import MouldState
from pourday.session.state import State
from pourday.wax.materials import Wax


@dataclass(frozen=True, slots=True)
class TriedBefore:
    """A change that this maker tried because of a fault, and how the next day came out: better, same or worse."""

    fault: str
    cause: str
    came: str


@dataclass(frozen=True, slots=True)
class EarlierDay:
    """What an earlier day of this maker says. Times in s since the epoch."""

    session: str
    t: float
    lots: Mapping[str, str] = field(default_factory=dict)
    """Lot of each wax, by its id, where it was written."""
    tried: TriedBefore | None = None


def faults_said(batch: State, log: State | None, letter: str) -> FaultsSeen:
    """What was said of a candle's faults, in the record of its batch and in that of what became of it (`log`)."""
    blank = CandleState(letter)
    logged = log.candles if log is not None else {}
    return faults_seen(batch.candles.get(letter, blank), logged.get(letter, blank))


@dataclass(frozen=True)
class CandleRecord:
    """One candle that was poured. Raises `Trouble` where its plan cannot be weighed out, or it was not poured."""

    batch: State
    letter: str
    log: State | None = None
    """The record of what became of the batch's candles."""
    earlier: tuple[EarlierDay, ...] = ()

    def __post_init__(self) -> None:
        mould = self.batch.moulds.get(self.letter)
        if mould is None or not mould.pours:
            there = [letter for letter, each in sorted(self.batch.moulds.items()) if each.pours]
            instead = (
                tr("There is {there}.", there=", ".join(there)) if there else tr("Pour first, then ask.")
            )
            raise Trouble(
                tr("Nothing was poured into {letter} on that day.", letter=self.letter or tr("that mould")),
                instead=instead,
            )
        # A revision may have taken its mould off the bench.
        mould_of(self.batch.plan, self.letter)

    @property
    def mould_state(self) -> MouldState:
        """What went into the mould."""
        return self.batch.moulds[self.letter]

    @property
    def mould(self) -> Mould:
        """The mould itself."""
        return mould_of(self.batch.plan, self.letter)

    @cached_property
    def sheet(self) -> WeighSheet:
        """The plan weighed out."""
        return weigh_sheet(self.batch.plan)

    @property
    def waxes(self) -> tuple[Wax, ...]:
        """The wax of each layer of the plan."""
        return waxes_of(self.batch.plan, self.sheet.wax)

    @cached_property
    def layers(self) -> tuple[int, ...]:
        """Numbers of the layers this candle has."""
        poured = {pour.layer for pour in self.mould_state.pours}
        return tuple(layer for layer in layers_of(self.batch.plan, self.letter) if layer in poured)

    @cached_property
    def heat(self) -> CandleHeat | None:
        """What is computed of the day in its mould; None where it cannot be."""
        try:
            return heat_of(self.batch, self.sheet, self.mould_state)
        except Trouble:
            return None

    @cached_property
    def candle(self) -> Candle | None:
        """The candle since it left its mould; None while it stands in it."""
        every = try_candles_of(self.batch, self.log)
        return next((candle for candle in every if candle.letter == self.letter), None)

    @property
    def seen(self) -> FaultsSeen:
        """The faults that were said of it, in either record."""
        return faults_said(self.batch, self.log, self.letter)
