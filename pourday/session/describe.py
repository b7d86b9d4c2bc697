"""Facts in words: one plain line each, for undo, review and the printed record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from msgspec.structs import replace

from pourday.language import tr, word
from pourday.plan.jug_names import called_jug, the_jug
from pourday.plan.model import PREPARATIONS, VESSEL_PREPARATION, Plan
from pourday.plan.products import show_dose
from pourday.session import events as ev
from pourday.session.act_id import BACK, ActId, read_act_id
from pourday.session.alarm_words import ALARM_WORDS
from pourday.session.candle import OF_CANDLES
from pourday.session.describe_candles import say_candle_fact
from pourday.session.describe_equipment import equipped_words
from pourday.session.describe_heap import say_heap_fact
from pourday.session.events import Fact
from pourday.session.heap import OF_HEAP
from pourday.session.looks import LOOK_WORDS
from pourday.times import clock, letters, span
from pourday.units import show_length, show_mass, show_temperature

_PUT = {"bath": tr("stood in the bath"), "bench": tr("stood on the bench"), "hand": tr("taken in hand")}


@dataclass(frozen=True, slots=True)
class _Figures:
    """Weights, temperatures and colours as this plan shows them."""

    plan: Plan

    def mass(self, kg: float | None) -> str:
        """A weight; `not weighed` for None."""
        return tr("not weighed") if kg is None else show_mass(kg, self.plan.units, self.plan.scale_step)

    def planned(self, kg: float | None) -> str:
        """What was planned, to stand behind what was weighed; empty where nothing was."""
        return "" if kg is None else tr(", planned {mass}", mass=self.mass(kg))

    def degrees(self, celsius: float) -> str:
        """A temperature to a tenth."""
        return show_temperature(celsius, self.plan.units, 1)

    def vessel(self, layer: int | None) -> str:
        return tr("in the pot") if layer is None else tr("in the jug of {colour}", colour=self.colour(layer))

    def colour(self, layer: int) -> str:
        """The colour's name, or the layer's number where it has none."""
        return self.named(layer) or tr("layer {layer}", layer=layer + 1)

    def named(self, layer: int) -> str:
        """The colour's name; empty where it has none."""
        return self.plan.layers[layer].colour if 0 <= layer < len(self.plan.layers) else ""


_OF_A_MOULD = (ev.Poured, ev.Looked, ev.SealSeen, ev.Relieved)
"""Facts that one answer often says of several moulds."""


def say_facts(facts: Iterable[Fact], plan: Plan) -> str:
    """Several facts in one sentence, without a full stop; what is said alike of moulds in a row is said of them together."""
    said: list[tuple[str, str, Fact]] = []
    for fact in facts:
        mould, alike = "", say_fact(fact, plan)
        if isinstance(fact, _OF_A_MOULD):
            mould, alike = fact.mould, say_fact(replace(fact, mould="?"), plan)
        if mould and said and said[-1][1] == alike:
            said[-1] = (said[-1][0] + mould, alike, fact)
        else:
            said.append((mould, alike, fact))
    return "; ".join(
        say_fact(replace(fact, mould=letters(moulds)), plan)
        if len(moulds) > 1 and isinstance(fact, _OF_A_MOULD)
        else say_fact(fact, plan)
        for moulds, _, fact in said
    )


def say_fact(fact: Fact, plan: Plan) -> str:
    """The fact as one sentence without a full stop, in the units of the plan."""
    shown = _Figures(plan)
    if isinstance(fact, OF_CANDLES):
        return say_candle_fact(fact, plan.units, plan.scale_step)
    if isinstance(fact, OF_HEAP):
        return say_heap_fact(fact, plan.units, plan.scale_step)
    match fact:
        case ev.Reading():
            where = f"{word(fact.place)} {fact.mould}".strip()
            if fact.jug is not None:
                where = called_jug(plan, fact.jug)
            doubt = tr(", in doubt: {doubt}", doubt=fact.doubt) if fact.doubt else ""
            means = tr("probe {probe}, by itself", probe=fact.probe) if fact.probe else word(fact.means)
            return tr(
                "read {degrees} in the {where} ({means}){doubt}",
                degrees=shown.degrees(fact.celsius),
                where=where,
                means=means,
                doubt=doubt,
            )
        case ev.RescueChosen():
            return tr(
                "chose for {mould} ({card}): {option}{promise}",
                mould=fact.mould or tr("the stove"),
                card=word(fact.card),
                option=word(fact.option),
                promise=_promise(fact, plan),
            )
        case ev.RescueEnded():
            lost = tr(", {mass} lost", mass=shown.mass(fact.lost)) if fact.lost is not None else ""
            ended = tr(
                "{card} {mould} came out {came}{lost}: {says}",
                card=word(fact.card),
                mould=fact.mould,
                came=word(fact.came),
                lost=lost,
                says=fact.says,
            )
            return ended.replace("  ", " ").rstrip(": ")
        case ev.Weighed():
            what = tr("the pour into") if fact.what == "pour" else tr("the candle from")
            entry = "" if fact.pour is None else tr(" of entry {pour}", pour=fact.pour)
            doubt = tr(", in doubt: {doubt}", doubt=fact.doubt) if fact.doubt else ""
            return tr(
                "weighed {what} {mould}{entry}: {mass}{doubt}",
                what=what,
                mould=fact.mould,
                entry=entry,
                mass=shown.mass(fact.kg),
                doubt=doubt,
            )
        case ev.Spilled():
            source = (
                tr("over the rim of {mould}", mould=fact.mould)
                if fact.mould
                else shown.vessel(fact.layer).replace("in ", "out of ", 1)
            )
            return tr("spilled {source}: {mass}", source=source, mass=shown.mass(fact.kg))
        case ev.LeftOver():
            return tr("left over {vessel}: {mass}", vessel=shown.vessel(fact.layer), mass=shown.mass(fact.kg))
        case ev.Relieved():
            depth = tr(", {length} deep", length=show_length(fact.depth, plan.units)) if fact.depth else ""
            return tr("opened relief holes in {mould}{depth}", mould=fact.mould, depth=depth)
        case ev.Waived():
            return _waived(fact, shown)
        case _:
            return _wax_moved(fact, shown)


def _wax_moved(fact: Fact, shown: _Figures) -> str:
    """Wax put into the pot, a jug or a mould, and out of it."""
    match fact:
        case ev.WaxAdded():
            return tr("added wax {what}: {mass}", what=word(fact.what), mass=shown.mass(fact.kg)).replace(
                "  ", " "
            )
        case ev.JugMade():
            made = tr(
                "made the jug of {colour}: {mass}", colour=shown.colour(fact.layer), mass=shown.mass(fact.kg)
            )
            return made + shown.planned(fact.planned_kg)
        case ev.JugWeighed():
            return tr(
                "weighed the wax in the jug of {colour}: {mass}",
                colour=shown.colour(fact.layer),
                mass=shown.mass(fact.kg),
            )
        case ev.JugDosed():
            return _dosed(fact, shown)
        case ev.JugStands():
            return f"{_PUT[fact.where]}: {the_jug(shown.plan, fact.layer)}"
        case ev.JugSeen():
            return tr(
                "looked into the jug of {colour}: {has_set}",
                colour=shown.colour(fact.layer),
                has_set=tr("set") if fact.has_set else tr("liquid"),
            )
        case ev.JugReheated():
            return tr("melted the jug of {colour} again", colour=shown.colour(fact.layer))
        case ev.Poured():
            at = tr(" at {degrees}", degrees=shown.degrees(fact.celsius)) if fact.celsius is not None else ""
            part = tr(", broken off at about {share:.0%}", share=fact.share) if fact.share < 1 else ""
            colour = shown.colour(fact.layer)
            # A layer without a colour is called by its number: `layer 1`, not `layer layer 1`.
            what = (
                colour
                if fact.part == "layer" and not shown.named(fact.layer)
                else f"{word(fact.part)} {colour}"
            )
            into = tr("poured {what} into {mould}{at}", what=what, mould=fact.mould, at=at)
            return f"{into}: {shown.mass(fact.kg)}{shown.planned(fact.planned_kg)}{part}"
        case ev.Emptied():
            into = (
                tr(" into the jug of {colour}", colour=shown.colour(fact.into))
                if fact.into is not None
                else ""
            )
            out = tr(
                "out of {mould} again, {colour} and above",
                mould=fact.mould,
                colour=shown.colour(fact.from_layer),
            )
            return f"{out}: {word(fact.how)}{into}, {shown.mass(fact.kg)}"
        case _:
            return _plain(fact, shown.plan)


def _dosed(fact: ev.JugDosed, shown: _Figures) -> str:
    """A scent or dye with its name, lot, weight and heat, as far as they were told."""
    named = f"{fact.product or fact.what}{(tr(' (lot {lot})', lot=fact.lot) if fact.lot else '')}"
    at = "" if fact.celsius is None else tr(" at {degrees}", degrees=shown.degrees(fact.celsius))
    into = tr(
        "{what} into the jug of {colour}{at}", what=word(fact.what), colour=shown.colour(fact.layer), at=at
    )
    units, step = shown.plan.units, shown.plan.scale_step
    weight = shown.mass(None) if fact.kg is None else show_dose(fact.kg, units, step)
    planned = (
        ""
        if fact.planned_kg is None
        else tr(", planned {dose}", dose=show_dose(fact.planned_kg, units, step))
    )
    return f"{into}: {named}, {weight}{planned}"


def _promise(fact: ev.RescueChosen, plan: Plan) -> str:
    """What was said to come of it, where figures were given."""
    parts = []
    if fact.warm_to_c is not None:
        parts.append(tr("surface to {temperature}", temperature=show_temperature(fact.warm_to_c, plan.units)))
    if fact.pour_c is not None:
        parts.append(tr("pour at {temperature}", temperature=show_temperature(fact.pour_c, plan.units)))
    if fact.thin is not None:
        parts.append(tr("{length} first", length=show_length(fact.thin, plan.units)))
    if fact.remelt is not None:
        parts.append(tr("{length} to melt again at the edge", length=show_length(fact.remelt, plan.units)))
    return f"; {', '.join(parts)}" if parts else ""


def _plain(fact: Fact, plan: Plan) -> str:
    """The plan, and what is done and seen without a figure."""
    match fact:
        case ev.Opened():
            return tr(
                "session opened{demo}, pourday {program}",
                demo=tr(" (demo)") if fact.demo else "",
                program=fact.program,
            )
        case ev.Equipped():
            told = equipped_words(fact, plan.units)
            return tr(
                "at the stove: {told}", told="; ".join((f"{what} {says}" for what, says in told))
            ).rstrip(": ")
        case ev.PlanDrafted():
            return tr("plan changed")
        case ev.PlanFixed():
            return tr("the day began with this plan")
        case ev.PlanRevised():
            return tr("plan revised {why}", why=word(fact.why)).strip()
        case ev.Prepared():
            item = next((p.text for p in (*PREPARATIONS, VESSEL_PREPARATION) if p.id == fact.item), fact.item)
            return tr("prepared: {item} - {mark}", item=item, mark=word(fact.mark))
        case ev.BurnerSet(knob="lower"):
            return tr("burner turned low, lower than before")
        case ev.BurnerSet(knob="higher"):
            return tr("burner turned low, higher than before")
        case ev.BurnerSet():
            return tr("burner {state}", state=tr("turned low") if fact.state == "low" else word(fact.state))
        case ev.WaterSeen():
            return tr(
                "looked at the water: {topped_up}",
                topped_up=tr("topped up") if fact.topped_up else tr("enough"),
            )
        case ev.SealSeen():
            return tr(
                "looked underneath {mould}: {weeps}",
                mould=fact.mould,
                weeps=tr("it weeps") if fact.weeps else tr("dry"),
            )
        case ev.Looked():
            return tr("looked at {mould}: {look_words}", mould=fact.mould, look_words=LOOK_WORDS[fact.cue])
        case ev.Demoulded():
            return tr("demoulding {mould}: {release}", mould=fact.mould, release=word(fact.release))
        case ev.Noted():
            return tr("note: {typed}", typed=fact.text)
        case _:
            return _program(fact)


def _waived(fact: ev.Waived, shown: _Figures) -> str:
    """What was left out; a drop, the load of the pot, a cure and the end of a day are marked so when they are done."""
    act = read_act_id(fact.act)
    match act.what:
        case "drop" if ": " in fact.why:
            colour, _, seen = fact.why.rpartition(": ")
            return f"{colour}: {word(seen)}"
        case "drop" | "add wax" | "load pot" if fact.why:
            return word(fact.why)
        case "cure" if fact.why:
            return f"{act.moulds} {word(fact.why)}"
        case "end" if fact.why:
            return tr("{why} for the day", why=word(fact.why))
        case _:
            return tr("left out: {act}", act=_left_out(fact, shown))


def say_left_out(fact: ev.Waived, plan: Plan) -> str:
    """The act that was left out, and why where it was said: `look under A nobody was there`."""
    return _left_out(fact, _Figures(plan))


def _left_out(fact: ev.Waived, shown: _Figures) -> str:
    return f"{_act_name(read_act_id(fact.act), shown)} {word(fact.why)}".strip()


def _act_name(act: ActId, shown: _Figures) -> str:
    """An act as a person would name it; at which of several times it was is nothing to anybody."""
    back = act.what.startswith(BACK)
    what = tr("on return, {what}", what=word(act.what[len(BACK) :])) if back else word(act.what)
    colour = "" if act.layer is None else shown.colour(act.layer)
    return " ".join(part for part in (what, colour, act.moulds, act.name) if part)


def _program(fact: Fact) -> str:
    """Who is at the stove, and what the program says and rings."""
    match fact:
        case ev.WentAway():
            return tr(
                "went away{clock}",
                clock=tr(", back by {clock}", clock=clock(fact.back_by.timestamp())) if fact.back_by else "",
            )
        case ev.CameBack():
            return tr("came back")
        case ev.HardStop():
            return (
                tr("must leave by {clock}", clock=clock(fact.at.timestamp()))
                if fact.at
                else tr("need not leave any more")
            )
        case ev.StaysUp():
            return (
                tr("stays up until {clock}", clock=clock(fact.at.timestamp()))
                if fact.at
                else tr("goes to bed as usual")
            )
        case ev.WatchAnswered():
            return tr("said that somebody is at the stove")
        case ev.AlarmRaised():
            return tr("ALARM, {get}: {says}", get=ALARM_WORDS.get(fact.alarm, fact.alarm), says=fact.says)
        case ev.AlarmAcknowledged():
            return tr("got it: the alarm “{get}”", get=ALARM_WORDS.get(fact.alarm, fact.alarm))
        case ev.AlarmEnded():
            return tr("the alarm “{get}” ended", get=ALARM_WORDS.get(fact.alarm, fact.alarm))
        case ev.TimerSet():
            return tr("timer {name} until {clock}", name=fact.name, clock=clock(fact.due.timestamp()))
        case ev.TimerEnded():
            return tr("timer {name} ended", name=fact.name)
        case ev.Told():
            return tr("the screen said {word}", word=fact.word)
        case _:
            return _record(fact)


def _record(fact: Fact) -> str:
    """What happened to the record itself: its clock, its opening and ending, what was taken back."""
    match fact:
        case ev.GapSeen():
            if fact.cause == "clock changed":
                return tr(
                    "the clock was put {seconds} by {span}",
                    seconds=tr("back") if fact.seconds < 0 else tr("forward"),
                    span=span(fact.seconds),
                )
            return tr("gap of {span}: {cause}", span=span(fact.seconds), cause=word(fact.cause))
        case ev.Stopped():
            return tr("program stopped ({how})", how=word(fact.how))
        case ev.Reopened():
            return tr("opened again after {span}", span=span(fact.away))
        case ev.ChangeJudged():
            return tr("the change came out {came}", came=word(fact.came))
        case ev.Finished():
            return tr("finished: {verdict}", verdict=fact.verdict).rstrip(": ")
        case ev.Undone():
            return tr("took back entry {entry}", entry=fact.entry)
        case ev.Corrected():
            return tr("corrected entry {entry}", entry=fact.entry)
        case ev.Reasoned():
            return tr("reason for entry {entry}: {why}", entry=fact.entry, why=word(fact.why))
        case _:
            return type(fact).__name__
