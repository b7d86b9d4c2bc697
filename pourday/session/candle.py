"""What became of one candle since it left its mould, at one moment. Times in s since the epoch, UTC; kg; m; °C."""

from __future__ import annotations

from dataclasses import dataclass, replace

import msgspec

from pourday.session import events as ev

OF_CANDLES = (
    ev.CandleLabelled,
    ev.FinishDone,
    ev.DefectSeen,
    ev.NoFaultSeen,
    ev.PhotoTaken,
    ev.CandleGoes,
    ev.CandleLit,
    ev.BurnSeen,
    ev.BurnEnded,
    ev.AfterGlow,
    ev.WeighedCold,
    ev.WickJudged,
)
"""The facts that are about one candle."""
CandleFact = (
    ev.CandleLabelled
    | ev.FinishDone
    | ev.DefectSeen
    | ev.NoFaultSeen
    | ev.PhotoTaken
    | ev.CandleGoes
    | ev.CandleLit
    | ev.BurnSeen
    | ev.BurnEnded
    | ev.AfterGlow
    | ev.WeighedCold
    | ev.WickJudged
)


@dataclass(frozen=True, slots=True)
class BurnLook:
    """One look at a burning candle: everything that was said of it."""

    t: float
    """When the first of it was said."""
    seen: ev.BurnSeen


@dataclass(frozen=True, slots=True)
class Burn:
    """One cycle: from lighting a candle to its weight when it is cold again."""

    lit_at: float
    before: ev.CandleLit
    looks: tuple[BurnLook, ...] = ()
    ended_at: float | None = None
    """None while it burns."""
    how: ev.WentOut | None = None
    glow: float | None = None
    """s"""
    relit: bool | None = None
    cold_at: float | None = None
    cold_kg: float | None = None
    cold_height: float | None = None

    @property
    def lit(self) -> bool:
        """Whether it burns."""
        return self.ended_at is None

    def look(self, mark: float) -> BurnLook | None:
        """What was seen at the look the program asked for so many s after lighting; None where nothing was."""
        return next((look for look in self.looks if look.seen.look == mark), None)


@dataclass(frozen=True, slots=True)
class CandleState:
    """One candle, known by the letter of the mould it came from."""

    letter: str
    label: str = ""
    """What a person wrote under it; empty where nobody did."""
    finish: tuple[ev.Finish, ...] = ()
    defects: tuple[ev.DefectSeen, ...] = ()
    no_fault: tuple[ev.NoFaultSeen, ...] = ()
    """Times that somebody looked for faults and saw none."""
    photos: tuple[str, ...] = ()
    goes: ev.Goes | None = None
    burns: tuple[Burn, ...] = ()
    judged: ev.WickJudged | None = None

    @property
    def burning(self) -> Burn | None:
        """The cycle it is in now; None where it does not burn."""
        return self.burns[-1] if self.burns and self.burns[-1].lit else None


@dataclass(frozen=True, slots=True)
class FaultsSeen:
    """The faults of one candle, as they were said."""

    defects: tuple[ev.DefectSeen, ...] = ()
    none: bool = False
    """Somebody looked and saw none, and nobody saw one at any other time."""

    @property
    def told(self) -> bool:
        """Whether anything was said at all."""
        return bool(self.defects) or self.none


def faults_seen(*lives: CandleState) -> FaultsSeen:
    """What was said of a candle's faults in several records: that of its batch, and that of what became of it."""
    defects = tuple(defect for life in lives for defect in life.defects)
    return FaultsSeen(defects, not defects and any(life.no_fault for life in lives))


def batch_label(batch: str, letter: str) -> str:
    """What to scratch under a candle: `251125a-B` for mould B of 2025-11-25-a; else the batch's name in full.

    >>> batch_label("2025-11-25-a", "B")
    '251125a-B'
    """
    digits = batch.replace("-", "")
    short = digits[2:] if digits[:8].isdigit() and len(digits) <= 12 else batch
    return f"{short}-{letter}"


def with_fact(candle: CandleState, fact: CandleFact, t: float) -> CandleState:
    """The candle after one more fact about it, which happened at `t`.

    What is said of a burn belongs to the newest one; where there is none it changes nothing.
    """
    match fact:
        case ev.CandleLabelled():
            return replace(candle, label=fact.label)
        case ev.FinishDone():
            done = candle.finish
            return candle if fact.what in done else replace(candle, finish=(*done, fact.what))
        case ev.DefectSeen():
            return replace(candle, defects=(*candle.defects, fact))
        case ev.NoFaultSeen():
            return replace(candle, no_fault=(*candle.no_fault, fact))
        case ev.PhotoTaken():
            return replace(candle, photos=(*candle.photos, fact.path))
        case ev.CandleGoes():
            return replace(candle, goes=fact.to)
        case ev.WickJudged():
            return replace(candle, judged=fact)
        case ev.CandleLit():
            return candle if candle.burning else replace(candle, burns=(*candle.burns, Burn(t, fact)))
        case _:
            if not candle.burns:
                return candle
            return replace(candle, burns=(*candle.burns[:-1], _burn_with(candle.burns[-1], fact, t)))


def _burn_with(
    burn: Burn, fact: ev.BurnSeen | ev.BurnEnded | ev.AfterGlow | ev.WeighedCold, t: float
) -> Burn:
    """A burn after one more thing was said of it."""
    match fact:
        case ev.BurnSeen():
            return replace(burn, looks=_looks_with(burn.looks, fact, t))
        case ev.BurnEnded():
            return replace(burn, ended_at=t, how=fact.how) if burn.lit else burn
        case ev.AfterGlow():
            glow = burn.glow if fact.glow is None else fact.glow
            return replace(burn, glow=glow, relit=burn.relit if fact.relit is None else fact.relit)
        case ev.WeighedCold():
            height = burn.cold_height if fact.height is None else fact.height
            return replace(burn, cold_at=t, cold_kg=fact.kg, cold_height=height)


def _looks_with(looks: tuple[BurnLook, ...], fact: ev.BurnSeen, t: float) -> tuple[BurnLook, ...]:
    """The looks with one more thing said: of the look it names, where that was begun, else a new one."""
    said = {
        name: value
        for name in fact.__struct_fields__
        if (value := getattr(fact, name)) is not None and name not in ("mould", "look")
    }
    for at, look in enumerate(looks):
        if look.seen.look == fact.look:
            more = BurnLook(look.t, msgspec.structs.replace(look.seen, **said))
            return (*looks[:at], more, *looks[at + 1 :])
    return (*looks, BurnLook(t, fact))
