"""Coming back to a session: how long nobody was there, where everything stands now, and what to ask first.

How things stand is computed until somebody looks; what they answer is a fact and replaces the estimate. A melt
goes on from a reading of the pot, a wait for a surface by the time that really passed, and a pour that was broken
off is planned anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourday.errors import Trouble
from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.mould_looks import cue_question
from pourday.guide.outlook.absence import LEAST, absence, lit_on_leaving
from pourday.guide.outlook.mould_now import MouldNow, mould_now
from pourday.guide.outlook.outlook import Outlook, room_c
from pourday.guide.outlook.pot import pot_forecast
from pourday.guide.outlook.wax_left import in_moulds, left_out_of, wax_left
from pourday.language import tr, word
from pourday.plan.replan import rest_sheet
from pourday.session import events as ev
from pourday.session.act_id import ActId, read_act_id
from pourday.session.events import Part
from pourday.session.state import LIT, Span, State
from pourday.times import clock, letters_short, span

DRY_AFTER = 45 * 60.0
"""Seconds after which a lit burner may have boiled the bath away: water is looked at every 10-15 min
(common practice, no source), a bath holds about an hour's boiling (estimate)."""
LEAST_DRAWN = 0.002
"""kg below which nothing is drawn from the pot. An estimate of ours."""
COLD_BY = 5.0
"""K above the room below which a pot is cold to the hand. An estimate of ours."""
DRY = tr(
    "Lit for that long, the bath may be dry: burner off, no water into a dry hot pot, let it cool first."
)
_PARTS: dict[str, Part] = {"plug": "plug", "layer": "layer", "pour": "layer", "top-up": "top-up"}
"""The part of a layer that each act of pouring puts into a mould."""


@dataclass(frozen=True, slots=True)
class PotNow:
    """The pot as it is computed: low, likely, high, °C."""

    celsius: tuple[float, float, float]
    if_off: tuple[float, float, float] | None
    """Had the burner gone off as somebody left; None where that is not the question."""
    wax: str
    """set, setting or liquid; by the whole spread."""
    says: str
    short: str


@dataclass(frozen=True, slots=True)
class OnReturn:
    """What is open on return, the burner first."""

    away: float
    """Seconds nobody was there."""
    left_at: float
    """When nobody was there any more, seconds since the epoch."""
    burner: str
    """What is known of the burner, in a sentence."""
    away_says: str
    fell_due: tuple[tuple[float, str], ...]
    """(when, what), in order of time."""
    pot: PotNow | None
    moulds: tuple[MouldNow, ...]
    burner_short: str = ""

    @property
    def short(self) -> tuple[str, ...]:
        """All but what fell due (the acts ask for that), in few words for a small screen; moulds that stand alike
        share a line."""
        pot = (self.pot.short,) if self.pot else ()
        away = tr(
            "Away {span}, since {clock}.",
            span=span(self.away),
            clock=clock(self.left_at, self.left_at + self.away),
        )
        alike: dict[str, str] = {}
        for mould in self.moulds:
            alike[mould.short] = f"{alike.get(mould.short, '')} {mould.letter}".strip()
        return (self.burner_short, away, *pot, *(f"{names} {short}" for short, names in alike.items()))

    @property
    def lines(self) -> tuple[str, ...]:
        """Everything in the order in which it matters."""
        return (
            self.burner,
            *((self.away_says,) if self.away >= LEAST else ()),
            *((self.pot.says,) if self.pot else ()),
            *(mould.says for mould in self.moulds),
            *(tr("Fell due: {what}", what=what) for _, what in self.fell_due),
        )


def what_is_open(state: State, outlook: Outlook, now: float, ahead: Sequence[Act] = ()) -> OnReturn:
    """Where the session stands now, whether or not anybody was away.

    `ahead` is the agenda, its times moved by the person's quiet hours; what of it came due meanwhile is told.
    """
    gap = absence(state, now)
    left_at = gap.start if gap else state.heard_at
    away = (gap.end or now) - gap.start if gap else 0.0
    return OnReturn(
        away=away,
        left_at=left_at,
        burner=_burner(state, now),
        away_says=tr(
            "Nobody was here for {span}, since {clock}.", span=span(away), clock=clock(left_at, now)
        ),
        fell_due=_fell_due(state, outlook, ahead, left_at, now),
        pot=_pot(state, outlook, left_at, now),
        moulds=tuple(
            stands
            for letter in sorted(state.moulds)
            if (stands := mould_now(state, outlook, letter, now)) is not None
        ),
        burner_short=_burner_short(state, now),
    )


def _burner(state: State, now: float) -> str:
    """How the burner stands, in a sentence for a large screen; `_burner_short` is for a small one."""
    if state.burner != "unknown":
        return (
            tr("The burner was seen off.")
            if state.burner == "off"
            else tr("The burner is {burner}.", burner=word(state.burner))
        )
    known = "lit" if lit_on_leaving(state) else "off"
    dry = f" {DRY}" if _may_be_dry(state, now) else ""
    return tr(
        "BURNER FIRST: nobody knows whether it is lit; when last seen it was {known}.{dry}",
        known=known,
        dry=dry,
    )


def _burner_short(state: State, now: float) -> str:
    """The same in few words, for a small screen."""
    if state.burner != "unknown":
        return (
            tr("Burner seen off.")
            if state.burner == "off"
            else tr("Burner is {burner}.", burner=word(state.burner))
        )
    known = "lit" if lit_on_leaving(state) else "off"
    return tr(
        "BURNER FIRST: last seen {known}.{may_be_dry}",
        known=known,
        may_be_dry=tr(" Bath may be dry.") if _may_be_dry(state, now) else "",
    )


def _may_be_dry(state: State, at: float) -> bool:
    """Whether a burner that was lit when last seen may have boiled the bath away by then, however often since
    the program was opened and left unanswered."""
    if state.burner != "unknown" or not lit_on_leaving(state):
        return False
    left_at = min((g.start for g in state.gaps if g.end == state.burner_since), default=state.burner_since)
    return at - left_at >= DRY_AFTER


def _fell_due(
    state: State, outlook: Outlook, ahead: Sequence[Act], left_at: float, now: float
) -> tuple[tuple[float, str], ...]:
    """Acts that fell due and windows that closed between `left_at` and `now`: (when, in words), the earliest first."""
    due = [
        (act.due, f"{act.word} {letters_short(act.moulds)}".rstrip() + f", {clock(act.due, now)}")
        for act in ahead
        if left_at < act.due <= now and act.kind != "burner?"
    ]
    shut = [
        (m.closes, tr("{letter}'s window closed, {clock}", letter=letter, clock=clock(m.closes, now)))
        for letter, m in outlook.moulds.items()
        if m.closes is not None and not m.empty and left_at < m.closes <= now and not _topped(state, letter)
    ]
    return tuple(sorted([*due, *shut]))


def _pot(state: State, outlook: Outlook, left_at: float, now: float) -> PotNow | None:
    """The pot as it is computed; twice where a burner that was lit may have gone off. None where it matters no more."""
    if outlook.pot is None or not _draws(state):
        return None
    celsius = outlook.pot.at(now)
    off = None
    if state.burner == "unknown" and lit_on_leaving(state):
        spans = (
            *state.burner_spans[:-2],
            replace(state.burner_spans[-2], end=max(left_at, state.burner_spans[-2].start)),
        )
        alone = replace(state, burner="off", burner_spans=spans)
        kg = outlook.pot.setup.kg
        off = pot_forecast(alone, outlook.wax, kg, room_c(state), outlook.boiling_c, now, law=outlook.law).at(
            now
        )
    read = state.last_reading("pot")
    last = tr(", last read {span} ago", span=span(now - read.t)) if read else tr(", never read")
    shown = _spread(outlook, celsius)
    says = tr(
        "Pot ~{degrees} ({shown}){last}: wax {wax}.",
        degrees=outlook.degrees(celsius[1]),
        shown=shown,
        last=last,
        wax=_wax(outlook, celsius),
    )
    short = tr("Pot ~{degrees}: wax {wax}.", degrees=outlook.degrees(celsius[1]), wax=_wax(outlook, celsius))
    if off is not None:
        says = tr(
            "Pot: still lit ~{lit} ({lit_spread}), off since you left ~{off} ({off_spread}, wax {wax}){last}. A reading tells.",
            lit=outlook.degrees(celsius[1]),
            lit_spread=shown,
            off=outlook.degrees(off[1]),
            off_spread=_spread(outlook, off),
            wax=_wax(outlook, off),
            last=last,
        )
        short = tr(
            "Pot ~{lit} if lit, ~{off} if off.",
            lit=outlook.degrees(celsius[1]),
            off=outlook.degrees(off[1]),
        )
    return PotNow(celsius, off, _wax(outlook, off or celsius), says, short)


def _spread(outlook: Outlook, celsius: tuple[float, float, float]) -> str:
    """A range of temperatures in words: (low, likely, high) °C."""
    return tr("{low} to {high}", low=outlook.degrees(celsius[0]), high=outlook.degrees(celsius[2]))


def _wax(outlook: Outlook, celsius: tuple[float, float, float]) -> str:
    """What the wax is like at (low, likely, high) °C, said only as far as low and high agree."""
    low, _, high = celsius
    if low > outlook.wax.liquidus_c:
        return tr("liquid")
    return tr("set hard") if high < outlook.wax.solidus_c else tr("setting or partly set")


def acts(state: State, outlook: Outlook, now: float) -> list[Act]:
    """The questions of the return that are not answered or skipped yet, as acts, the first one first."""
    gap = absence(state, now)
    if gap is None or state.away_since is not None or state.stage in ("setup", "finished"):
        return []
    back = gap.end or now
    questions = [
        *_ask_burner(state, back),
        *_ask_pot(state, outlook, back),
        *_ask_moulds(state, outlook, gap, back),
    ]
    still_open = [act for act in questions if act.id not in state.waived]
    # A second before the return, and in this order: ahead of all that fell due meanwhile.
    return [
        replace(act, due=back - 1 + index * 1e-3)
        for index, act in enumerate(still_open or ([] if state.stage == "cure" else [_read(gap, back, now)]))
    ]


def _read(gap: Span, back: float, now: float) -> Act:
    """Once everything is asked: what is open has been read, and the day goes on."""
    return Act(
        id=ActId("back read", nth=round(back)),
        kind="back",
        word=tr("BACK"),
        says=tr(
            "Nobody was here from {left} to {back}. What is open stands below; “done” when you have read it.",
            left=clock(gap.start, now),
            back=clock(back, now),
        ),
        why=tr("Forecasts went on by real time; what you saw and read outranks them."),
        due=back,
        records=(ev.CameBack(),),
        urgency=Urgency.QUICK,
    )


def _ask_burner(state: State, back: float) -> list[Act]:
    """The act of looking at the burner, unless somebody has since coming back."""
    if state.burner != "unknown":
        return []
    burner = ActId("back burner", nth=round(back))
    skip = Choice("x", tr("skip"), (ev.Waived(act=str(burner)),))
    dry = _may_be_dry(state, back)
    return [
        Act(
            id=burner,
            kind="burner?",
            word=tr("HEAT?"),
            says=tr("Look at the burner first: is it lit?"),
            why=tr("Nobody watched the stove meanwhile; until somebody has looked it counts as lit."),
            due=back,
            caution=DRY if dry else tr("Until somebody has looked it counts as lit."),
            question=Question(
                tr("The burner is:"),
                (
                    Choice("o", tr("off, and was"), (ev.BurnerSet(state="off"),)),
                    Choice("l", tr("lit"), (ev.BurnerSet(state="on"),)),
                    Choice("w", tr("lit, low"), (ev.BurnerSet(state="low"),)),
                    # Lit until now is what the forecast of the pot has to know of it.
                    Choice(
                        "t",
                        tr("was lit, turned off now"),
                        (ev.BurnerSet(state="on"), ev.BurnerSet(state="off")),
                    ),
                    skip,
                ),
            ),
            urgency=Urgency.FIRST,
        )
    ]


def _ask_pot(state: State, outlook: Outlook, back: float) -> list[Act]:
    """The act of reading the pot; none where it was read since, never was warm, is cold for sure, or serves nothing more."""
    read = state.last_reading("pot", doubted=True)
    heated = read is not None or any(span.what in LIT for span in state.burner_spans)
    answered = read is not None and read.t >= back
    if not heated or answered or not _draws(state) or _surely_set(state, outlook, back):
        return []
    pot = ActId("back pot", nth=round(back))
    return [
        Act(
            id=pot,
            kind="read",
            word=tr("READ POT"),
            says=tr(
                "Stir what is liquid, read the pot and type it. Target {degrees}.",
                degrees=outlook.degrees(outlook.melt_c),
            ),
            why=tr("A melt goes on from a reading, not from where it was."),
            due=back,
            question=Question(
                tr("Type what the pot reads, or:"), (Choice("x", tr("skip"), (ev.Waived(act=str(pot)),)),)
            ),
            place=("pot", ""),
            urgency=Urgency.BEFORE_HEAT,
        )
    ]


def _surely_set(state: State, outlook: Outlook, back: float) -> bool:
    """Whether nobody needs a thermometer: the burner was found off, and the pot is as cold as the room."""
    if state.burner != "off" or outlook.pot is None:
        return False
    return outlook.pot.at(back)[2] < room_c(state) + COLD_BY


def _draws(state: State) -> bool:
    """Whether wax is still to be drawn from the pot; jugs alone are no reason to read it."""
    if not any(not _topped(state, letter) for letter in state.moulds):
        return False
    try:
        rest = rest_sheet(state.plan, in_moulds(state), wax_left(state), left_out_of(state))
    except Trouble:
        return True
    return any(each.draw > LEAST_DRAWN for each in rest.lines)


def _topped(state: State, letter: str) -> bool:
    """Whether nothing is to be poured into a mould any more but a further top-up."""
    return state.filled(letter)


def _ask_moulds(state: State, outlook: Outlook, gap: Span, back: float) -> list[Act]:
    """For each mould the question of a pour that was asked for, and a look at it unless nothing can be learned from one."""
    acts: list[Act] = []
    for letter in sorted(state.moulds):
        mould = state.moulds[letter]
        acts += _ask_pour(state, outlook, letter, gap, back)
        last = mould.last_pour
        if last is None or last.t >= back or _topped(state, letter) or (mould.look and mould.look.t >= back):
            continue
        if last.part == "plug" and _plug_holds(state, outlook, letter, back):
            continue
        look = ActId("back look", letter, nth=round(back))
        question = cue_question(letter)
        skip = Choice("x", tr("skip"), (ev.Waived(act=str(look)),))
        acts.append(
            Act(
                id=look,
                kind="look",
                word=tr("LOOK"),
                moulds=letter,
                says=tr(
                    "Look at {letter} and touch its wall. {as_computed}",
                    letter=letter,
                    as_computed=_as_computed(state, outlook, letter, back),
                ),
                why=tr("What you see replaces what was computed."),
                due=back,
                question=replace(question, choices=(*question.choices, skip)),
                place=("surface", letter),
                urgency=Urgency.BEFORE_HEAT,
            )
        )
    return acts


def _plug_holds(state: State, outlook: Outlook, letter: str, back: float) -> bool:
    """Whether a plug is not computed to have gone cold: then a look underneath is all it needs."""
    stands = mould_now(state, outlook, letter, back)
    return stands is not None and stands.look not in ("cold", "pulled away")


def _as_computed(state: State, outlook: Outlook, letter: str, now: float) -> str:
    """How a mould is computed to stand, in a sentence."""
    stands = mould_now(state, outlook, letter, now)
    return stands.says if stands else tr("Working out what it is like.")


def _ask_pour(state: State, outlook: Outlook, letter: str, gap: Span, back: float) -> list[Act]:
    """The question how much is in of the pour that was asked for as somebody left; none where that is on record."""
    told = state.told
    if told is None or letter not in told.moulds or not gap.start - 3600 < state.told_at <= gap.start:
        return []
    wanted = read_act_id(told.act)
    part = None if wanted.waits else _PARTS.get(wanted.what)
    layer = outlook.sheet.top_up(letter).layer if wanted.layer is None else wanted.layer
    mould = state.moulds[letter]
    if part is None or any(p.t >= state.told_at for p in (*mould.pours, *mould.emptied)):
        return []
    pour, colour = ActId("back pour", letter, nth=round(back)), outlook.colour(layer)
    planned = outlook.mass(outlook.portion(letter, layer, part))
    return [
        Act(
            id=pour,
            kind="pour",
            word=tr("POURED?"),
            moulds=letter,
            layer=layer,
            says=tr(
                "{colour} was to go into {letter} when you left: {planned}. How much of it is in?",
                colour=colour,
                letter=letter,
                planned=planned,
            ),
            why=tr("A pour that was broken off is planned anew, not poured on."),
            due=back,
            question=_how_much(outlook, letter, layer, part, pour),
            urgency=Urgency.BEFORE_HEAT,
        )
    ]


def _how_much(outlook: Outlook, letter: str, layer: int, part: Part, act: ActId) -> Question:
    """How much of a pour is in, as a share of the planned; skipping is waiving the act."""
    planned, name = outlook.portion(letter, layer, part), str(act)

    def poured(share: float) -> tuple[ev.Fact, ...]:
        return (ev.Poured(mould=letter, layer=layer, part=part, planned_kg=planned, share=share),)

    return Question(
        tr("{colour} in {letter}:", colour=outlook.colour(layer), letter=letter),
        (
            Choice("n", tr("none of it"), (ev.Waived(act=name, why="none of it was poured"),)),
            Choice("a", tr("all of it"), poured(1.0)),
            Choice("3", tr("about three quarters"), poured(0.75)),
            Choice("2", tr("about half"), poured(0.5)),
            Choice("1", tr("about a quarter"), poured(0.25)),
            Choice("x", tr("skip"), (ev.Waived(act=name),)),
        ),
    )
