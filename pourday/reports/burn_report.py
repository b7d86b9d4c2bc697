"""The candles of a batch and their burns as text, with two small pictures: rate over cycles, pool over hours."""

from __future__ import annotations

from pourday.burn.candle import Candle, try_candles_of
from pourday.burn.limits import limits_words
from pourday.burn.pool import USUAL_PACE, pace, pools, wall_left
from pourday.burn.rate import Rate, burn_rate, life_of, trend
from pourday.burn.verdict import judge
from pourday.language import dated, figures, tr, word
from pourday.plan.model import Plan
from pourday.session.candle import Burn
from pourday.session.describe_candles import seen_words
from pourday.session.state import State
from pourday.times import clock, local, span
from pourday.units import show_length, show_mass

BLOCKS = "▁▂▃▄▅▆▇█"


def burn_report(batch: State, log: State | None) -> list[str]:
    """Every candle with what was done to it and seen on it since its mould; nothing where nothing was said of any."""
    if log is None or not log.candles:
        return []
    lines = ["", tr("Candles:")]
    for candle in try_candles_of(batch, log):
        lines += candle_lines(candle, batch.plan)
    return lines


def candle_lines(candle: Candle, plan: Plan) -> list[str]:
    """One candle: its life, its burns, what they come to."""
    units, step, life = plan.units, plan.scale_step, candle.life
    weight = tr("not weighed") if candle.kg is None else show_mass(candle.kg, units, step)
    size = tr(
        "{width} by {height}",
        width=show_length(round(candle.width, 3), units),
        height=show_length(round(candle.height, 3), units),
    )
    lines = [
        tr(
            "  {label}  {size}, {weight}, wick {wick}",
            label=candle.label,
            size=size,
            weight=weight,
            wick=candle.wick,
        )
    ]
    done = [*life.finish, *([tr("for {goes}", goes=word(life.goes))] if life.goes else [])]
    lines += [f"    {', '.join(done)}"] if done else []
    lines += [
        f"    {word(defect.defect)}{f' ({word(defect.where)})' if defect.where else ''}"
        for defect in life.defects
    ]
    lines += [tr("    photo {path}", path=path) for path in life.photos]
    for number, burn in enumerate(life.burns, 1):
        lines += _burn_lines(candle, number, burn, plan)
    return [*lines, *(f"    {says}" for says in summary_lines(candle, plan))] if life.burns else lines


def _burn_lines(candle: Candle, number: int, burn: Burn, plan: Plan) -> list[str]:
    """One cycle: when, at which age, each look, its end, its rate."""
    units = plan.units
    lasted = (
        tr("still burning") if burn.ended_at is None else f"{span(burn.ended_at - burn.lit_at)}, {burn.how}"
    )
    age = candle.age_days(burn.lit_at)
    head = tr(
        "    cycle {number}: lit {when} {clock}, at {age:.1f} days; {lasted}",
        number=number,
        when=dated(local(burn.lit_at), "%d %b %Y"),
        clock=clock(burn.lit_at),
        age=age,
        lasted=lasted,
    )
    lines = [head]
    lines += [
        tr(
            "      after {span:<8} {seen_words}",
            span=span(look.t - burn.lit_at),
            seen_words=seen_words(look.seen, units),
        )
        for look in burn.looks
    ]
    after = [] if burn.glow is None else [tr("glowed {glow:.0f} s", glow=burn.glow)]
    after += [tr("took fire again")] if burn.relit else []
    rate = burn_rate(burn, plan.scale_step)
    after += [rate.words] if rate is not None else []
    return [*lines, *([f"      {', '.join(after)}"] if after else [])]


def summary_lines(candle: Candle, plan: Plan) -> list[str]:
    """What all cycles come to: rate, pool, life, limits, and the sentence about the wick with its reasons."""
    units, burns = plan.units, candle.life.burns
    rates = tuple(rate for burn in burns if (rate := burn_rate(burn, plan.scale_step)) is not None)
    lines = [tr("rate     {rate_picture}", rate_picture=rate_picture(rates))] if rates else []
    drift = trend(rates)
    if drift is not None:
        lines.append(tr('         {change:+.0%} from the first cycle to the last{sure}', change=drift.change, sure='' if drift.sure else tr(', no more than the scale may be wrong')))  # fmt: skip
    newest = next((burn for burn in reversed(burns) if pools(burn)), None)
    if newest is not None:
        lines.append(tr("pool     {pool_picture}", pool_picture=pool_picture(candle, newest, plan)))
        speed = pace(newest)
        if speed is not None:
            lines.append(tr('         {speed:.0f} mm an hour at first; about {usual_pace:.0f} is usual (common practice)', speed=speed * 3600000.0, usual_pace=USUAL_PACE * 3600000.0))  # fmt: skip
    walls = [w for burn in burns for look in burn.looks[-1:] if (w := wall_left(candle, look)) is not None]
    life = life_of(candle, rates, min(walls) if walls else None)
    if life is not None:
        low, high = round(life.low / 3600), round(life.high / 3600)
        hours = (
            tr("about {high} h", high=high) if low == high else tr("{low} to {high} h", low=low, high=high)
        )
        lines.append(tr("life     estimate: {hours} in all; {why}", hours=hours, why=word(life.why)))
    lines.append(tr("limits   {limits_words}", limits_words=limits_words(burns, units)))
    verdict = judge(candle, plan.scale_step, units)
    lines.append(tr("wick     {says}", says=verdict.says))
    if verdict.speaks_for:
        lines.append(tr("         for: {speaks_for}", speaks_for="; ".join(verdict.speaks_for)))
    if verdict.speaks_against:
        lines.append(
            tr("         against: {speaks_against}", speaks_against="; ".join(verdict.speaks_against))
        )
    if candle.life.judged is not None:
        lines.append(tr("         you judged it: {came}", came=word(candle.life.judged.came)))
    return lines


def rate_picture(rates: tuple[Rate, ...]) -> str:
    """`▆▅▅  5.6, 5.1, 5.0 g/h ± 0.3`: a block a cycle, from nothing to the fastest."""
    most = max(rate.kg_per_s for rate in rates) or 1.0
    bars = "".join(BLOCKS[min(7, int(rate.kg_per_s / most * 7.999))] for rate in rates)
    each = ", ".join(figures("{grams_per_hour:.1f}", grams_per_hour=rate.grams_per_hour) for rate in rates)
    error = max(0.1, *(rate.error * 3.6e6 for rate in rates))
    return tr("{bars}  {each} g/h ± {error:.1f}", bars=bars, each=each, error=error)


def pool_picture(candle: Candle, burn: Burn, plan: Plan) -> str:
    """`▃▅▆▇  28, 41, 47, 49 of 75 mm`: a block a look, from nothing to the whole width."""
    seen = pools(burn)
    width = max(candle.width, 1e-3)
    bars = "".join(BLOCKS[max(0, min(7, int(pool.across / width * 7.999)))] for pool in seen)
    each = ", ".join(show_length(round(pool.across, 3), plan.units).removesuffix(" mm") for pool in seen)
    return tr(
        "{bars}  {each} of {length}", bars=bars, each=each, length=show_length(round(width, 3), plan.units)
    )
