"""What the burns say of a wick: one sentence, what in the readings speaks for it, and what against.

The rules are the trade's (common practice, no source): a tunnel or a drowned wick asks for one size up; soot, a tall flame
or a melting rim for one down. What a draught, scent, dye or a short cure did is no fault of the wick's size, so
those are looked for first. Weights of the signs are estimates. The person decides.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median
from typing import Literal

from pourday.burn.candle import HEAVY_DYE, HEAVY_SCENT, Candle
from pourday.burn.limits import FLAME
from pourday.burn.pool import WALL_WANTED, wall_left
from pourday.burn.rate import DRIFT, burn_rate, trend
from pourday.language import tr
from pourday.session.candle import Burn, BurnLook
from pourday.session.events import WickVerdict
from pourday.times import days
from pourday.units import Units, show_length

THICK = 0.020
"""m of wall from which one size up is asked for. Common practice, no source."""
TALL = 0.050
"""m of flame from which one size down is asked for (common practice, no source), and"""
LOW = 0.015
"""m under which one size up is. Common practice, no source."""
DEEP = 0.013
"""m of pool that is deeper than it should be. Common practice, no source."""
AWAKE = 3000.0
"""s of burning after which a flame stands as it will: the first look at one hour, or a little before it (estimate)."""
SETTLED = 2 * 3600.0
"""s of burning after which a pool tells of its wick. Estimate."""
LOPSIDED = 0.15
"""Difference of the pool's two ways, share of their mean, that a steady flame does not make: estimate."""
SINKS = 0.75
"""Flame of the last look as a share of the first hour's under which a wick is clogging: estimate."""

Points = Literal["up", "down", "draught", "clogged", "young"]


@dataclass(frozen=True, slots=True)
class Sign:
    """One thing in the readings."""

    points: Points
    weight: float
    says: str


@dataclass(frozen=True, slots=True)
class BurnVerdict:
    """What the readings say."""

    came: WickVerdict | None
    """None while there is too little to say anything."""
    says: str
    """One sentence, with its reason."""
    speaks_for: tuple[str, ...] = ()
    speaks_against: tuple[str, ...] = ()


def judge(candle: Candle, step: float, units: Units) -> BurnVerdict:
    """The verdict on the wick of one candle from all its cycles; `step` is the scale's, kg."""
    burns = tuple(burn for burn in candle.life.burns if not burn.lit)
    settled = [(burn, last) for burn in burns if (last := _settled_look(burn)) is not None]
    drowned = [burn for burn in burns if burn.how == "went out"]
    if not settled and not drowned:
        return BurnVerdict(
            None, tr("Too little to judge by: burn it for two hours at least, and measure the pool.")
        )
    walls = [wall for _, last in settled if (wall := wall_left(candle, last)) is not None]
    signs = (*_outside(candle, burns), *_size(candle, burns, walls, units), *_clogging(burns, step))
    return _weighed(candle, signs, walls, burns, units)


def _settled_look(burn: Burn) -> BurnLook | None:
    """The last look of a cycle that was old enough to tell."""
    old = [look for look in burn.looks if look.t - burn.lit_at >= SETTLED - 300]
    measured = [
        look
        for look in old
        if look.seen.across is not None or look.seen.wall is not None or look.seen.flame is not None
    ]
    with_pool = [look for look in measured if look.seen.across is not None or look.seen.wall is not None]
    best = with_pool or measured
    return best[-1] if best else None


def _outside(candle: Candle, burns: tuple[Burn, ...]) -> tuple[Sign, ...]:
    """Signs of a draught, and of a cure cut short."""
    signs = []
    if any(burn.before.draught == "some" for burn in burns):
        signs.append(Sign("draught", 1.0, tr("there was a draught")))
    uneven = [
        abs(look.seen.across - look.seen.across_other) / mean
        for burn in burns
        for look in burn.looks
        if look.seen.across is not None
        and look.seen.across_other is not None
        and (mean := (look.seen.across + look.seen.across_other) / 2) > 0.01
    ]
    if uneven and median(uneven) > LOPSIDED:
        signs.append(
            Sign(
                "draught",
                1.5,
                tr("the pool is {median:.0%} wider one way than the other", median=median(uneven)),
            )
        )
    young = [age for burn in burns if (age := candle.age_days(burn.lit_at)) < candle.cure.test_from]
    if len(young) * 2 > len(burns):
        says = tr(
            "it was burned at {age}, before {cure} of cure",
            age=days(min(young)),
            cure=days(candle.cure.test_from),
        )
        signs.append(Sign("young", 1.5, says))
    return tuple(signs)


def _size(candle: Candle, burns: tuple[Burn, ...], walls: list[float], units: Units) -> tuple[Sign, ...]:
    """Signs of a wick too small or too large."""
    signs = [*_of_wall(candle, walls, units)]
    looks = [look.seen for burn in burns for look in burn.looks if look.t - burn.lit_at >= AWAKE]
    flames = [seen.flame for seen in looks if seen.flame is not None]
    if flames:
        flame = median(flames)
        if max(flames) > FLAME.figure:
            signs.append(
                Sign("down", 3.0, tr("the flame rose to {length}", length=show_length(max(flames), units)))
            )
        elif flame > TALL:
            signs.append(
                Sign("down", 2.0, tr("the flame stands {length} high", length=show_length(flame, units)))
            )
        elif flame < LOW:
            low = 0.5 + (LOW - flame) / LOW
            signs.append(
                Sign("up", low, tr("the flame is only {length} high", length=show_length(flame, units)))
            )
    if any(burn.how == "went out" for burn in burns):
        signs.append(Sign("up", 2.0, tr("it drowned and went out by itself")))
    soots = [seen.soot for seen in looks if seen.soot is not None]
    if soots.count("steady") * 3 > len(soots):
        signs.append(Sign("down", 1.5, tr("it soots steadily")))
    elif (len(soots) - soots.count("none")) * 2 > len(soots):
        signs.append(Sign("down", 0.5, tr("wisps of soot rise")))
    depths = [seen.depth for seen in looks if seen.depth is not None]
    if depths and median(depths) > DEEP:
        signs.append(
            Sign("down", 0.75, tr("the pool is {length} deep", length=show_length(median(depths), units)))
        )
    if _mushrooms(burns):
        signs.append(Sign("down", 0.5, tr("the wick grows a mushroom")))
    return tuple(signs)


def _mushrooms(burns: tuple[Burn, ...]) -> bool:
    """Whether a knob of soot stood on the wick in most of the looks that tell."""
    looks = [look.seen.mushroom for burn in burns for look in burn.looks if look.t - burn.lit_at >= AWAKE]
    told = [mushroom for mushroom in looks if mushroom is not None]
    return sum(told) * 2 > len(told)


def _of_wall(candle: Candle, walls: list[float], units: Units) -> list[Sign]:
    """What the wall that was left says: a vessel's should be gone, a pillar's stay."""
    if not walls:
        return []
    wall = median(walls)
    shown = show_length(round(wall, 3), units)
    if candle.in_vessel:
        return (
            [Sign("up", 2.0, tr("{shown} of wax stays at the glass", shown=shown))]
            if wall > WALL_WANTED[0]
            else []
        )
    least, most = WALL_WANTED
    if min(walls) <= 0:
        return [Sign("down", 3.0, tr("the wall melts through"))]
    if wall < least:
        return [Sign("down", 2.0, tr("only {shown} of wall is left", shown=shown))]
    if wall > THICK:
        return [Sign("up", 2.0, tr("a wall of {shown} is left: it tunnels", shown=shown))]
    if wall > most:
        # Between what a pillar keeps and what asks for a change, the sign grows with the wall.
        return [
            Sign(
                "up",
                0.5 + 1.5 * (wall - most) / (THICK - most),
                tr("the wall is thick, {shown}", shown=shown),
            )
        ]
    return []


def flame_kept(burns: Iterable[Burn]) -> list[float]:
    """Of each burn that tells it, its last flame height over its tallest in the first hour: under 1 where the flame sinks."""
    ratios = []
    for burn in burns:
        aged = [(look.t - burn.lit_at, look.seen.flame) for look in burn.looks if look.seen.flame]
        early = [flame for age, flame in aged if 900 <= age < 1.2 * 3600]
        late = [flame for age, flame in aged if age >= SETTLED - 300]
        if early and late:
            ratios.append(late[-1] / max(early))
    return ratios


def _clogging(burns: tuple[Burn, ...], step: float) -> tuple[Sign, ...]:
    """Signs of a wick that draws less and less: the flame sinks within each cycle, the rate from cycle to cycle."""
    ratios = flame_kept(burns)
    signs = []
    if ratios and median(ratios) < SINKS:
        signs.append(
            Sign("clogged", 1.5, tr("the flame sinks to {median:.0%} within a cycle", median=median(ratios)))
        )
    rates = tuple(rate for burn in burns if (rate := burn_rate(burn, step)) is not None)
    drift = trend(rates)
    if drift is not None and drift.sure and drift.change < -DRIFT:
        signs.append(
            Sign(
                "clogged",
                1.0,
                tr("it burns {change:.0%} slower than in its first cycle", change=-drift.change),
            )
        )
    return tuple(signs)


def _weighed(
    candle: Candle, signs: tuple[Sign, ...], walls: list[float], burns: tuple[Burn, ...], units: Units
) -> BurnVerdict:
    """The signs weighed against each other."""
    cycles, mushrooms = len(burns), _mushrooms(burns)
    weight = {
        points: sum(sign.weight for sign in signs if sign.points == points)
        for points in ("up", "down", "draught", "clogged", "young")
    }
    if weight["draught"] >= 1.5:
        return _verdict(
            "other cause", tr("A draught, not the wick: burn it again in still air."), signs, ("draught",)
        )
    # A wick that is too small sinks as well, yet grows no mushroom; one that clogs does.
    if weight["clogged"] >= 1.0 and mushrooms:
        if candle.scent_load >= HEAVY_SCENT or candle.dye_load >= HEAVY_DYE:
            what = "scent" if candle.scent_load >= HEAVY_SCENT else "dye"
            says = tr("The wick clogs with {what}: take less {what} before you change the wick.", what=what)
            return _verdict("other cause", says, signs, ("clogged",))
        says = tr("The wick clogs without heavy scent or dye: try another family of wicks.")
        return _verdict("other family", says, signs, ("clogged",))
    if weight["young"]:
        says = tr("Burned too young: test again after {days} of cure.", days=days(candle.cure.test_from))
        return _verdict("other cause", says, signs, ("young",))
    if min(weight["up"], weight["down"]) >= 1.5:
        says = tr("Too hot and too narrow at once: try another family of wicks, not another size.")
        return _verdict("other family", says, signs, ("up", "down"))
    net = weight["up"] - weight["down"]
    if net >= 1.0:
        return _verdict("one up", tr("One size up: {first}.", first=_first(signs, "up")), signs, ("up",))
    if net <= -1.0:
        return _verdict(
            "one down", tr("One size down: {first}.", first=_first(signs, "down")), signs, ("down",)
        )
    if not walls:
        return BurnVerdict(None, tr("Measure the pool or the wall before you judge this wick."))
    if cycles < 2:
        return BurnVerdict(
            None, tr("Good so far; one cycle is too little to pass a wick."), _good(walls, units)
        )
    return BurnVerdict(
        "passed",
        tr("This wick suits: {good}.", good=_good(walls, units)[0]),
        _good(walls, units),
        tuple(sign.says for sign in signs),
    )


def _verdict(
    came: WickVerdict, says: str, signs: tuple[Sign, ...], points: tuple[Points, ...]
) -> BurnVerdict:
    return BurnVerdict(
        came,
        says,
        tuple(sign.says for sign in signs if sign.points in points),
        tuple(sign.says for sign in signs if sign.points not in points),
    )


def _first(signs: tuple[Sign, ...], points: Points) -> str:
    """The heaviest sign that points there."""
    return max((sign for sign in signs if sign.points == points), key=lambda sign: sign.weight).says


def _good(walls: list[float], units: Units) -> tuple[str, ...]:
    return (
        tr("the pool leaves a wall of about {length}", length=show_length(round(median(walls), 3), units)),
    )
