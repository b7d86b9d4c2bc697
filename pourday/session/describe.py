"""Facts in words: one plain line each, for undo, review and the printed record."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.plan.jug_names import the_jug
from pourday.plan.model import PREPARATIONS, VESSEL_PREPARATION, Plan
from pourday.plan.products import show_dose
from pourday.session import events as ev
from pourday.session.act_id import ActId, read_act_id
from pourday.session.alarm_words import ALARM_WORDS
from pourday.session.candle import OF_CANDLES
from pourday.session.describe_candles import say_candle_fact
from pourday.session.describe_equipment import equipped_words
from pourday.session.describe_heap import say_heap_fact
from pourday.session.events import Fact
from pourday.session.heap import OF_HEAP
from pourday.session.looks import LOOK_WORDS
from pourday.times import clock, span
from pourday.units import show_length, show_mass, show_temperature

_PUT = {"bath": "stood in the bath", "bench": "stood on the bench", "hand": "taken in hand"}


@dataclass(frozen=True, slots=True)
class _Figures:
    """Weights, temperatures and colours as this plan shows them."""

    plan: Plan

    def mass(self, kg: float | None) -> str:
        """A weight; `not weighed` for None."""
        return "not weighed" if kg is None else show_mass(kg, self.plan.units, self.plan.scale_step)

    def planned(self, kg: float | None) -> str:
        """What was planned, to stand behind what was weighed; empty where nothing was."""
        return "" if kg is None else f", planned {self.mass(kg)}"

    def degrees(self, celsius: float) -> str:
        """A temperature to a tenth."""
        return show_temperature(celsius, self.plan.units, 1)

    def vessel(self, layer: int | None) -> str:
        return "in the pot" if layer is None else f"in the jug of {self.colour(layer)}"

    def colour(self, layer: int) -> str:
        """The colour's name, or the layer's number where it has none."""
        named = self.plan.layers[layer].colour if 0 <= layer < len(self.plan.layers) else ""
        return named or f"layer {layer + 1}"


def say_fact(fact: Fact, plan: Plan) -> str:
    """The fact as one sentence without a full stop, in the units of the plan."""
    shown = _Figures(plan)
    if isinstance(fact, OF_CANDLES):
        return say_candle_fact(fact, plan.units, plan.scale_step)
    if isinstance(fact, OF_HEAP):
        return say_heap_fact(fact, plan.units, plan.scale_step)
    match fact:
        case ev.Reading():
            where = f"{fact.place} {fact.mould}".strip()
            if fact.jug is not None:
                where = the_jug(plan, fact.jug).removeprefix("the ")
            doubt = f", in doubt: {fact.doubt}" if fact.doubt else ""
            means = f"probe {fact.probe}, by itself" if fact.probe else fact.means
            return f"read {shown.degrees(fact.celsius)} in the {where} ({means}){doubt}"
        case ev.RescueChosen():
            return f"chose for {fact.mould or 'the stove'} ({fact.card}): {fact.option}{_promise(fact, plan)}"
        case ev.RescueEnded():
            lost = f", {shown.mass(fact.lost)} lost" if fact.lost is not None else ""
            ended = f"{fact.card} {fact.mould} came out {fact.came}{lost}: {fact.says}"
            return ended.replace("  ", " ").rstrip(": ")
        case ev.Weighed():
            what = "the pour into" if fact.what == "pour" else "the candle from"
            entry = "" if fact.pour is None else f" of entry {fact.pour}"
            doubt = f", in doubt: {fact.doubt}" if fact.doubt else ""
            return f"weighed {what} {fact.mould}{entry}: {shown.mass(fact.kg)}{doubt}"
        case ev.Spilled():
            source = (
                f"over the rim of {fact.mould}"
                if fact.mould
                else shown.vessel(fact.layer).replace("in ", "out of ", 1)
            )
            return f"spilled {source}: {shown.mass(fact.kg)}"
        case ev.LeftOver():
            return f"left over {shown.vessel(fact.layer)}: {shown.mass(fact.kg)}"
        case ev.Relieved():
            depth = f", {show_length(fact.depth, plan.units)} deep" if fact.depth else ""
            return f"opened relief holes in {fact.mould}{depth}"
        case ev.Waived():
            return _waived(fact, shown)
        case _:
            return _wax_moved(fact, shown)


def _wax_moved(fact: Fact, shown: _Figures) -> str:
    """Wax put into the pot, a jug or a mould, and out of it."""
    match fact:
        case ev.WaxAdded():
            return f"added wax {fact.what}: {shown.mass(fact.kg)}".replace("  ", " ")
        case ev.JugMade():
            made = f"made the jug of {shown.colour(fact.layer)}: {shown.mass(fact.kg)}"
            return made + shown.planned(fact.planned_kg)
        case ev.JugWeighed():
            return f"weighed the wax in the jug of {shown.colour(fact.layer)}: {shown.mass(fact.kg)}"
        case ev.JugDosed():
            return _dosed(fact, shown)
        case ev.JugStands():
            return f"{_PUT[fact.where]}: {the_jug(shown.plan, fact.layer)}"
        case ev.JugSeen():
            return f"looked into the jug of {shown.colour(fact.layer)}: {'set' if fact.has_set else 'liquid'}"
        case ev.JugReheated():
            return f"melted the jug of {shown.colour(fact.layer)} again"
        case ev.Poured():
            at = f" at {shown.degrees(fact.celsius)}" if fact.celsius is not None else ""
            part = f", broken off at about {fact.share:.0%}" if fact.share < 1 else ""
            into = f"poured {fact.part} {shown.colour(fact.layer)} into {fact.mould}{at}"
            return f"{into}: {shown.mass(fact.kg)}{shown.planned(fact.planned_kg)}{part}"
        case ev.Emptied():
            into = f" into the jug of {shown.colour(fact.into)}" if fact.into is not None else ""
            out = f"out of {fact.mould} again, {shown.colour(fact.from_layer)} and above"
            return f"{out}: {fact.how}{into}, {shown.mass(fact.kg)}"
        case _:
            return _plain(fact, shown.plan)


def _dosed(fact: ev.JugDosed, shown: _Figures) -> str:
    """A scent or dye with its name, lot, weight and heat, as far as they were told."""
    named = f"{fact.product or fact.what}{f' (lot {fact.lot})' if fact.lot else ''}"
    at = "" if fact.celsius is None else f" at {shown.degrees(fact.celsius)}"
    into = f"{fact.what} into the jug of {shown.colour(fact.layer)}{at}"
    units, step = shown.plan.units, shown.plan.scale_step
    weight = shown.mass(None) if fact.kg is None else show_dose(fact.kg, units, step)
    planned = "" if fact.planned_kg is None else f", planned {show_dose(fact.planned_kg, units, step)}"
    return f"{into}: {named}, {weight}{planned}"


def _promise(fact: ev.RescueChosen, plan: Plan) -> str:
    """What was said to come of it, where figures were given."""
    parts = []
    if fact.warm_to_c is not None:
        parts.append(f"surface to {show_temperature(fact.warm_to_c, plan.units)}")
    if fact.pour_c is not None:
        parts.append(f"pour at {show_temperature(fact.pour_c, plan.units)}")
    if fact.thin is not None:
        parts.append(f"{show_length(fact.thin, plan.units)} first")
    if fact.remelt is not None:
        parts.append(f"{show_length(fact.remelt, plan.units)} to melt again at the edge")
    return f"; {', '.join(parts)}" if parts else ""


def _plain(fact: Fact, plan: Plan) -> str:
    """The plan, and what is done and seen without a figure."""
    match fact:
        case ev.Opened():
            return f"session opened{' (demo)' if fact.demo else ''}, pourday {fact.program}"
        case ev.Equipped():
            told = equipped_words(fact, plan.units)
            return f"at the stove: {'; '.join(f'{what} {says}' for what, says in told)}".rstrip(": ")
        case ev.PlanDrafted():
            return "plan changed"
        case ev.PlanFixed():
            return "the day began with this plan"
        case ev.PlanRevised():
            return f"plan revised {fact.why}".strip()
        case ev.Prepared():
            item = next((p.text for p in (*PREPARATIONS, VESSEL_PREPARATION) if p.id == fact.item), fact.item)
            return f"prepared: {item} - {fact.mark}"
        case ev.BurnerSet():
            return f"burner {'turned low' if fact.state == 'low' else fact.state}"
        case ev.WaterSeen():
            return f"looked at the water: {'topped up' if fact.topped_up else 'enough'}"
        case ev.SealSeen():
            return f"looked underneath {fact.mould}: {'it weeps' if fact.weeps else 'dry'}"
        case ev.Looked():
            return f"looked at {fact.mould}: {LOOK_WORDS[fact.cue]}"
        case ev.Demoulded():
            return f"demoulding {fact.mould}: {fact.release}"
        case ev.Noted():
            return f"note: {fact.text}"
        case _:
            return _program(fact)


def _waived(fact: ev.Waived, shown: _Figures) -> str:
    """What was left out; a drop, the load of the pot, a cure and the end of a day are marked so when they are done."""
    act = read_act_id(fact.act)
    match act.what:
        case "drop" | "add wax" | "load pot" if fact.why:
            return fact.why
        case "cure" if fact.why:
            return f"{act.moulds} {fact.why}"
        case "end" if fact.why:
            return f"{fact.why} for the day"
        case _:
            return f"left out: {_act_name(act, shown)} {fact.why}".strip()


def _act_name(act: ActId, shown: _Figures) -> str:
    """An act as a person would name it; at which of several times it was is nothing to anybody."""
    what = act.what.replace("back ", "on return, ", 1) if act.what.startswith("back ") else act.what
    colour = "" if act.layer is None else shown.colour(act.layer)
    return " ".join(part for part in (what, colour, act.moulds, act.name) if part)


def _program(fact: Fact) -> str:
    """Who is at the stove, and what the program says and rings."""
    match fact:
        case ev.WentAway():
            return f"went away{f', back by {clock(fact.back_by.timestamp())}' if fact.back_by else ''}"
        case ev.CameBack():
            return "came back"
        case ev.HardStop():
            return f"must leave by {clock(fact.at.timestamp())}" if fact.at else "need not leave any more"
        case ev.WatchAnswered():
            return "said that somebody is at the stove"
        case ev.AlarmRaised():
            return f"ALARM, {ALARM_WORDS.get(fact.alarm, fact.alarm)}: {fact.says}"
        case ev.AlarmAcknowledged():
            return f"got it: the alarm “{ALARM_WORDS.get(fact.alarm, fact.alarm)}”"
        case ev.AlarmEnded():
            return f"the alarm “{ALARM_WORDS.get(fact.alarm, fact.alarm)}” ended"
        case ev.TimerSet():
            return f"timer {fact.name} until {clock(fact.due.timestamp())}"
        case ev.TimerEnded():
            return f"timer {fact.name} ended"
        case ev.Told():
            return f"the screen said {fact.word}"
        case _:
            return _record(fact)


def _record(fact: Fact) -> str:
    """What happened to the record itself: its clock, its opening and ending, what was taken back."""
    match fact:
        case ev.GapSeen():
            if fact.cause == "clock changed":
                return (
                    f"the clock was put {'back' if fact.seconds < 0 else 'forward'} by {span(fact.seconds)}"
                )
            return f"gap of {span(fact.seconds)}: {fact.cause}"
        case ev.Stopped():
            return f"program stopped ({fact.how})"
        case ev.Reopened():
            return f"opened again after {span(fact.away)}"
        case ev.ChangeJudged():
            return f"the change came out {fact.came}"
        case ev.Finished():
            return f"finished: {fact.verdict}".rstrip(": ")
        case ev.Undone():
            return f"took back entry {fact.entry}"
        case ev.Corrected():
            return f"corrected entry {fact.entry}"
        case ev.Reasoned():
            return f"reason for entry {fact.entry}: {fact.why}"
        case _:
            return type(fact).__name__
