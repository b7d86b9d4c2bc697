"""What the burns of one candle say: pool, flame, wick, air, and how long it had cured."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from pourday.burn.candle import Candle
from pourday.burn.pool import WALL_WANTED, wall_left
from pourday.burn.verdict import AWAKE, LOPSIDED, LOW, SETTLED, SINKS, TALL, flame_kept
from pourday.faults.day_evidence import plies_in
from pourday.faults.evidence import Evidence, told, untold
from pourday.faults.record import CandleRecord
from pourday.language import tr
from pourday.plan.wick import chosen_wick, wicks_of
from pourday.session.candle import Burn, BurnLook
from pourday.times import days, span
from pourday.units import Units, show_length, show_share

LONG_TRIM, SHORT_TRIM = 0.009, 0.004
"""m of wick that are long and short; 6 mm is usual (common practice, no source)."""
AN_HOUR_EACH = 0.025
"""m of width for which a candle burns an hour (common practice, no source)."""
BURN_KEYS = ("pool", "flame", "fades", "knob", "trim", "air", "lopsided", "hours_lit", "age")


def burn_evidence(record: CandleRecord) -> list[Evidence]:
    """What the burns of a candle say; where it never burned, only what is known of its wick."""
    candle = record.candle
    rows = [*_wick(record)]
    burns = () if candle is None else tuple(burn for burn in candle.life.burns if not burn.lit)
    if candle is None or not burns:
        return [*rows, *untold(*BURN_KEYS)]
    units = record.batch.plan.units
    rows += [*_pool(candle, burns, units), *_flame(burns, units), *_before(burns, units)]
    longest = max((burn.ended_at or burn.lit_at) - burn.lit_at for burn in burns)
    needed = candle.width / AN_HOUR_EACH * 3600.0
    short = longest < 0.75 * min(needed, 4 * 3600.0)
    says = tr(
        "it burned for {longest} at the longest; its width asks for {wanted}",
        longest=span(longest),
        wanted=span(min(needed, 4 * 3600.0)),
    )
    rows.append(told("hours_lit", "short" if short else "long enough", says))
    ages = [candle.age_days(burn.lit_at) for burn in burns]
    young = sum(age < candle.cure.test_from for age in ages) * 2 > len(ages)
    says = tr(
        "it was burned at {age}; it cures for {cure}",
        age=days(min(ages)),
        cure=days(candle.cure.test_from),
    )
    rows.append(told("age", "young" if young else "cured", says))
    return rows


def _wick(record: CandleRecord) -> Iterator[Evidence]:
    """`wick`: whether it has fewer or more plies than a candle like this starts with."""
    plan, mould = record.batch.plan, record.mould
    plies = plies_in(chosen_wick(plan, mould))
    if plies is None:
        yield from untold("wick")
        return
    start = wicks_of(plan, own=None)[plan.moulds.index(mould)]
    low, high = start.plies
    value = "smaller" if plies < low else "larger" if plies > high else "within"
    shown = f"{low}" if low == high else tr("{low} to {high}", low=low, high=high)
    yield told(
        "wick",
        value,
        tr(
            "the wick has {plies} plies, and a candle like this starts with {shown}", plies=plies, shown=shown
        ),
    )


def _looks(burns: tuple[Burn, ...], after: float) -> list[tuple[Burn, BurnLook]]:
    """(burn, look) of every look that was made at least `after` s into its burn."""
    return [(burn, look) for burn in burns for look in burn.looks if look.t - burn.lit_at >= after]


def _pool(candle: Candle, burns: tuple[Burn, ...], units: Units) -> Iterator[Evidence]:
    """`pool`, `lopsided`: how far the pool came to the wall, and whether further on one side."""
    walls = [
        wall for _, look in _looks(burns, SETTLED - 300) if (wall := wall_left(candle, look)) is not None
    ]
    least, most = WALL_WANTED
    if not walls:
        yield from untold("pool")
    else:
        wall = median(walls)
        most = least if candle.in_vessel else most + 0.002
        value = (
            "narrow" if wall > most else "wide" if not candle.in_vessel and wall < least else "as it should"
        )
        yield told(
            "pool", value, tr("a wall of {length} was left", length=show_length(round(wall, 3), units))
        )
    ways = [
        abs(look.seen.across - look.seen.across_other) / mean
        for _, look in _looks(burns, 900)
        if look.seen.across is not None
        and look.seen.across_other is not None
        and (mean := (look.seen.across + look.seen.across_other) / 2) > 0.01
    ]
    if not ways:
        yield from untold("lopsided")
    else:
        uneven = median(ways)
        says = tr("the pool was {share} wider one way than the other", share=show_share(round(uneven, 2)))
        yield told("lopsided", "lopsided" if uneven > LOPSIDED else "even", says)


def _flame(burns: tuple[Burn, ...], units: Units) -> Iterator[Evidence]:
    """`flame`, `fades`, `knob`: how high the flame stood, whether it sank within a burn, whether the wick grew a
    knob."""
    looks = _looks(burns, AWAKE)
    flames = [look.seen.flame for _, look in looks if look.seen.flame is not None]
    if not flames:
        yield from untold("flame")
    else:
        flame = median(flames)
        value = "tall" if flame > TALL else "low" if flame < LOW else "usual"
        yield told(
            "flame", value, tr("the flame stood {length} high", length=show_length(round(flame, 3), units))
        )
    ratios = flame_kept(burns)
    if not ratios:
        yield from untold("fades")
    else:
        sinks = median(ratios)
        says = (
            tr("the flame sank to {share} within a burn", share=show_share(round(sinks, 2)))
            if sinks < 1
            else tr("the flame did not sink within a burn")
        )
        yield told("fades", "fades" if sinks < SINKS else "steady", says)
    knobs = [look.seen.mushroom for _, look in looks if look.seen.mushroom is not None]
    if not knobs:
        yield from untold("knob")
    else:
        knob = sum(knobs) * 2 > len(knobs)
        yield told(
            "knob",
            "a knob" if knob else "no knob",
            tr("a knob grew on the wick") if knob else tr("no knob grew on the wick"),
        )


def _before(burns: tuple[Burn, ...], units: Units) -> Iterator[Evidence]:
    """`trim`, `air`: how long the wick was when it was lit, and whether there was a draught."""
    trims = [burn.before.trimmed for burn in burns if burn.before.trimmed is not None]
    if not trims:
        yield from untold("trim")
    else:
        trim = max(trims)
        value = "long" if trim > LONG_TRIM else "short" if trim < SHORT_TRIM else "usual"
        yield told("trim", value, tr("the wick was trimmed to {length}", length=show_length(trim, units)))
    airs = [burn.before.draught for burn in burns if burn.before.draught is not None]
    if not airs:
        yield from untold("air")
    else:
        slight = airs.count("some") * 2 > len(airs)
        yield told(
            "air",
            "some" if slight else "none",
            tr("there was a draught when it burned") if slight else tr("there was no draught when it burned"),
        )
