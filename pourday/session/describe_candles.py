"""Facts about candles and their burns in words."""

from __future__ import annotations

from pourday.session import events as ev
from pourday.session.candle import CandleFact
from pourday.times import span
from pourday.units import Units, show_length, show_mass, show_temperature


def say_candle_fact(fact: CandleFact, units: Units, step: float) -> str:
    """The fact as one sentence without a full stop; `step` is the scale's, in kg."""
    who = fact.mould
    match fact:
        case ev.CandleLabelled():
            return f"candle {who} is labelled {fact.label}"
        case ev.FinishDone():
            return f"candle {who}: {fact.what}"
        case ev.DefectSeen():
            where = f" ({fact.where})" if fact.where else ""
            return f"candle {who} shows {fact.defect}{where}{_when(fact.when)}"
        case ev.NoFaultSeen():
            return f"candle {who} shows no fault{_when(fact.when)}"
        case ev.PhotoTaken():
            return f"photo of candle {who}: {fact.path}"
        case ev.CandleGoes():
            return f"candle {who}: {'to be melted again' if fact.to == 'melt again' else f'for {fact.to}'}"
        case ev.WickJudged():
            return f"wick of {who} judged: {fact.came}; {fact.says}".rstrip("; ")
        case ev.CandleLit():
            return f"lit candle {who}{_before(fact, units, step)}"
        case ev.BurnSeen():
            return f"candle {who} after {span(fact.look)}: {seen_words(fact, units) or 'nothing'}"
        case ev.BurnEnded():
            ended = {"went out": "went out by itself", "burned down": "burned down to its end"}
            return f"candle {who} {ended.get(fact.how, f'was {fact.how}')}"
        case ev.AfterGlow():
            glow = [] if fact.glow is None else [f"glowed {fact.glow:.0f} s"]
            relit = [] if fact.relit is None else ["took fire again" if fact.relit else "stayed out"]
            return f"candle {who} {' and '.join(glow + relit) or 'went cold'}"
        case ev.WeighedCold():
            height = "" if fact.height is None else f", {show_length(fact.height, units)} high"
            return f"weighed candle {who} cold: {show_mass(fact.kg, units, step)}{height}"


def _when(when: ev.SeenWhen | None) -> str:
    """`, seen at demoulding`; empty where it was not told."""
    at = {"demoulding": "at demoulding", "after cure": "after the cure", "burn test": "in a burn test"}
    return "" if when is None else f", seen {at[when]}"


def _before(fact: ev.CandleLit, units: Units, step: float) -> str:
    """What was told of a candle before it was lit, each with its comma."""
    parts = [f"wick {fact.wick}"] if fact.wick else []
    if fact.trimmed is not None:
        parts.append(f"trimmed to {show_length(fact.trimmed, units)}")
    if fact.kg is not None:
        parts.append(show_mass(fact.kg, units, step))
    if fact.room_c is not None:
        parts.append(f"room {show_temperature(fact.room_c, units)}")
    if fact.draught is not None:
        parts.append("no draught" if fact.draught == "none" else "a draught")
    return "".join(f", {part}" for part in parts)


def seen_words(seen: ev.BurnSeen, units: Units) -> str:
    """What one look saw, in a line; empty where nothing was said."""
    lengths = (
        ("flame", seen.flame),
        ("pool", seen.across),
        ("the other way", seen.across_other),
        ("deep", seen.depth),
        ("wall", seen.wall),
    )
    parts = [f"{name} {show_length(m, units)}" for name, m in lengths if m is not None]
    if seen.mushroom is not None:
        parts.append("mushroom on the wick" if seen.mushroom else "no mushroom")
    if seen.soot is not None:
        parts.append({"none": "no soot", "wisps": "wisps of soot", "steady": "steady soot"}[seen.soot])
    if seen.leaning is not None:
        parts.append("leaning" if seen.leaning else "upright")
    if seen.second_flame is not None:
        parts.append(
            f"a second flame for {seen.second_flame:.0f} s" if seen.second_flame else "no second flame"
        )
    return ", ".join(parts)
