"""Facts about candles and their burns in words."""

from __future__ import annotations

from pourday.language import tr, word
from pourday.session import events as ev
from pourday.session.candle import CandleFact
from pourday.times import span
from pourday.units import Units, show_length, show_mass, show_temperature


def say_candle_fact(fact: CandleFact, units: Units, step: float) -> str:
    """The fact as one sentence without a full stop; `step` is the scale's, in kg."""
    who = fact.mould
    match fact:
        case ev.CandleLabelled():
            return tr("candle {who} is labelled {label}", who=who, label=fact.label)
        case ev.FinishDone():
            return tr("candle {who}: {what}", who=who, what=word(fact.what))
        case ev.DefectSeen():
            where = f" ({fact.where})" if fact.where else ""
            return tr(
                "candle {who} shows {defect}{where}{when}",
                who=who,
                defect=word(fact.defect),
                where=where,
                when=_when(fact.when),
            )
        case ev.NoFaultSeen():
            return tr("candle {who} shows no fault{when}", who=who, when=_when(fact.when))
        case ev.PhotoTaken():
            return tr("photo of candle {who}: {path}", who=who, path=fact.path)
        case ev.CandleGoes():
            return tr(
                "candle {who}: {to}",
                who=who,
                to=tr("to be melted again") if fact.to == "melt again" else tr("for {to}", to=word(fact.to)),
            )
        case ev.WickJudged():
            return tr(
                "wick of {who} judged: {came}; {says}",
                who=who,
                came=word(fact.came),
                says=fact.says.rstrip("."),
            ).rstrip("; ")
        case ev.CandleLit():
            return tr("lit candle {who}{before}", who=who, before=_before(fact, units, step))
        case ev.BurnSeen():
            return tr(
                "candle {who} after {span}: {seen_words}",
                who=who,
                span=span(fact.look),
                seen_words=seen_words(fact, units) or tr("nothing"),
            )
        case ev.BurnEnded():
            ended = {"went out": tr("went out by itself"), "burned down": tr("burned down to its end")}
            return tr(
                "candle {who} {get}", who=who, get=ended.get(fact.how, tr("was {how}", how=word(fact.how)))
            )
        case ev.AfterGlow():
            glow = [] if fact.glow is None else [tr("glowed {glow:.0f} s", glow=fact.glow)]
            relit = [] if fact.relit is None else [tr("took fire again") if fact.relit else tr("stayed out")]
            return tr("candle {who} {glow}", who=who, glow=tr(" and ").join(glow + relit) or tr("went cold"))
        case ev.WeighedCold():
            height = (
                "" if fact.height is None else tr(", {length} high", length=show_length(fact.height, units))
            )
            return tr(
                "weighed candle {who} cold: {mass}{height}",
                who=who,
                mass=show_mass(fact.kg, units, step),
                height=height,
            )


def _when(when: ev.SeenWhen | None) -> str:
    """`, seen at demoulding`; empty where it was not told."""
    at = {
        "demoulding": tr("at demoulding"),
        "after cure": tr("after the cure"),
        "burn test": tr("in a burn test"),
    }
    return "" if when is None else tr(", seen {at}", at=at[when])


def _before(fact: ev.CandleLit, units: Units, step: float) -> str:
    """What was told of a candle before it was lit, each with its comma."""
    parts = [tr("wick {wick}", wick=fact.wick)] if fact.wick else []
    if fact.trimmed is not None:
        parts.append(tr("trimmed to {length}", length=show_length(fact.trimmed, units)))
    if fact.kg is not None:
        parts.append(show_mass(fact.kg, units, step))
    if fact.room_c is not None:
        parts.append(tr("room {temperature}", temperature=show_temperature(fact.room_c, units)))
    if fact.draught is not None:
        parts.append(tr("no draught") if fact.draught == "none" else tr("a draught"))
    return "".join(f", {part}" for part in parts)


def seen_words(seen: ev.BurnSeen, units: Units) -> str:
    """What one look saw, in a line; empty where nothing was said."""
    lengths = (
        ("flame", seen.flame),
        ("pool", seen.across),
        (tr("the other way"), seen.across_other),
        ("deep", seen.depth),
        ("wall", seen.wall),
    )
    parts = [f"{name} {show_length(m, units)}" for name, m in lengths if m is not None]
    if seen.mushroom is not None:
        parts.append(tr("mushroom on the wick") if seen.mushroom else tr("no mushroom"))
    if seen.soot is not None:
        parts.append(
            {"none": tr("no soot"), "wisps": tr("wisps of soot"), "steady": tr("steady soot")}[seen.soot]
        )
    if seen.leaning is not None:
        parts.append("leaning" if seen.leaning else "upright")
    if seen.second_flame is not None:
        parts.append(
            tr("a second flame for {second_flame:.0f} s", second_flame=seen.second_flame)
            if seen.second_flame
            else tr("no second flame")
        )
    return ", ".join(parts)
