"""Coming back to a session: how long nobody was there, where everything stands now, and what to ask first.

What stands is computed until somebody looks; an answer is a fact and replaces the estimate. A melt goes on
from a reading, a wait by real time, and a pour that was broken off is planned anew.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourday.guide.absence import absence
from pourday.guide.act import Act, Choice, Question
from pourday.guide.agenda import agenda
from pourday.guide.mould_acts import cue_question
from pourday.guide.mould_now import MouldNow, mould_now
from pourday.guide.outlook import Outlook, room_c
from pourday.guide.pot_outlook import pot_forecast
from pourday.guide.stove_acts import burner_question
from pourday.guide.wax_left import wax_left
from pourday.guide.words import clock, span
from pourday.session import events as ev
from pourday.session.events import Part
from pourday.session.state import Span, State

DRY_AFTER = 45 * 60.0
"""Seconds after which a lit burner may have boiled the bath away: water is looked at every 10-15 min
(common practice, no source), a bath holds about an hour's boiling (estimate)."""
DRY = "Lit for that long, the bath may be dry: burner off, no water into a dry hot pot, let it cool first."
_WORDS: dict[str, Part] = {"PLUG": "plug", "POUR": "layer", "TOP": "top-up"}


@dataclass(frozen=True, slots=True)
class PotNow:
    """The pot as it is computed: low, likely, high, °C."""

    celsius: tuple[float, float, float]
    if_off: tuple[float, float, float] | None
    """Had the burner gone off as somebody left; None where that is not the question."""
    wax: str
    """set, setting or liquid; by the whole spread."""
    says: str


@dataclass(frozen=True, slots=True)
class OnReturn:
    """What is open on return, the burner first."""

    away: float
    """s"""
    left: float
    burner: str
    away_says: str
    fell_due: tuple[tuple[float, str], ...]
    """(when, what), in order of time."""
    pot: PotNow | None
    moulds: tuple[MouldNow, ...]

    @property
    def lines(self) -> tuple[str, ...]:
        """Everything in the order in which it matters."""
        return (
            self.burner,
            self.away_says,
            *((self.pot.says,) if self.pot else ()),
            *(mould.says for mould in self.moulds),
            *(f"Fell due: {what}" for _, what in self.fell_due),
        )


def what_is_open(state: State, outlook: Outlook, now: float) -> OnReturn:
    """Where the session stands now, whether or not anybody was away."""
    gap = absence(state, now)
    left = gap.start if gap else state.heard_at
    away = (gap.end or now) - gap.start if gap else max(0.0, now - left)
    return OnReturn(
        away=away,
        left=left,
        burner=_burner(state, away),
        away_says=f"Nobody was here for {span(away)}, since {clock(left, now)}.",
        fell_due=_fell_due(state, outlook, left, now),
        pot=_pot(state, outlook, left, now),
        moulds=tuple(
            found
            for letter in sorted(state.moulds)
            if (found := mould_now(state, outlook, letter, now)) is not None
        ),
    )


def _burner(state: State, away: float) -> str:
    if state.burner == "off":
        return "The burner was seen off."
    known = "lit" if _lit_on_leaving(state) or state.burner == "on" else "off"
    if state.burner == "on":
        return "The burner is on."
    dry = f" {DRY}" if known == "lit" and away >= DRY_AFTER else ""
    return f"BURNER FIRST: nobody knows whether it is lit; when last seen it was {known}.{dry}"


def _lit_on_leaving(state: State) -> bool:
    """Whether an unknown burner was lit when somebody last knew."""
    spans = state.burner_spans
    return len(spans) > 1 and spans[-1].what == "unknown" and spans[-2].end == spans[-1].start


def _fell_due(state: State, outlook: Outlook, left: float, now: float) -> tuple[tuple[float, str], ...]:
    due = [
        (act.due, f"{act.word} {' '.join(act.moulds)}".rstrip() + f", {clock(act.due, now)}")
        for act in agenda(state, outlook, now)
        if left < act.due <= now and act.kind != "burner?"
    ]
    shut = [
        (m.closes, f"{letter}'s window closed, {clock(m.closes, now)}")
        for letter, m in outlook.moulds.items()
        if m.closes is not None and not m.empty and left < m.closes <= now and not _topped(state, letter)
    ]
    return tuple(sorted([*due, *shut]))


def _pot(state: State, outlook: Outlook, left: float, now: float) -> PotNow | None:
    if outlook.pot is None:
        return None
    celsius = outlook.pot.at(now)
    off = None
    if state.burner == "unknown" and _lit_on_leaving(state):
        spans = (
            *state.burner_spans[:-2],
            replace(state.burner_spans[-2], end=max(left, state.burner_spans[-2].start)),
        )
        alone = replace(state, burner="off", burner_spans=spans)
        pot = pot_forecast(
            alone, outlook.wax, wax_left(state).pot or 0.05, room_c(state), outlook.boiling_c, now
        )
        off = pot.at(now)
    read = state.last_reading("pot")
    last = f", last read {span(now - read.t)} ago" if read else ", never read"
    shown = _spread(outlook, celsius)
    says = f"Pot ~{outlook.degrees(celsius[1])} ({shown}){last}: wax {_wax(outlook, celsius)}."
    if off is not None:
        says = (
            f"Pot: still lit ~{outlook.degrees(celsius[1])} ({shown}), off since you left "
            f"~{outlook.degrees(off[1])} ({_spread(outlook, off)}, wax {_wax(outlook, off)}){last}. A reading tells."
        )
    return PotNow(celsius, off, _wax(outlook, off or celsius), says)


def _spread(outlook: Outlook, celsius: tuple[float, float, float]) -> str:
    return f"{outlook.degrees(celsius[0])} to {outlook.degrees(celsius[2])}"


def _wax(outlook: Outlook, celsius: tuple[float, float, float]) -> str:
    low, _, high = celsius
    if low > outlook.wax.liquidus_c:
        return "liquid"
    return "set" if high < outlook.wax.solidus_c else "setting or partly set"


def acts(state: State, outlook: Outlook, now: float) -> list[Act]:
    """The questions of the return that are not answered or skipped yet, as acts, the first one first."""
    gap = absence(state, now)
    if gap is None or state.away_since is not None or state.stage in ("setup", "finished"):
        return []
    back = gap.end or now
    found = [
        *_ask_burner(state, back),
        *_ask_pot(state, outlook, back),
        *_ask_moulds(state, outlook, gap, back),
    ]
    asked = [act for act in found if act.id not in state.waived]
    return [
        replace(act, due=back - 1 + index * 1e-3)
        for index, act in enumerate(asked or ([] if state.stage == "cure" else [_read(gap, back, now)]))
    ]


def _read(gap: Span, back: float, now: float) -> Act:
    """Once everything is asked: what is open has been read, and the day goes on."""
    return Act(
        id=f"back read {back:.0f}",
        kind="back",
        word="BACK",
        says=f"Nobody was here from {clock(gap.start, now)} to {clock(back, now)}. What is open stands below; "
        "“done” when you have read it.",
        why="Forecasts went on by real time; what you saw and read outranks them.",
        due=back,
        files=(ev.CameBack(),),
        urgency=2,
    )


def questions(state: State, outlook: Outlook, now: float) -> tuple[Question, ...]:
    """The same as bare questions, in the order in which they matter."""
    return tuple(act.question for act in acts(state, outlook, now) if act.question is not None)


def _ask_burner(state: State, back: float) -> list[Act]:
    if state.burner != "unknown":
        return []
    skip = Choice("x", "skip", (ev.Waived(act=f"back burner {back:.0f}"),))
    asked = burner_question()
    return [
        Act(
            id=f"back burner {back:.0f}",
            kind="burner?",
            word="HEAT?",
            says="Look at the burner first: is it lit? Until somebody has looked it counts as lit.",
            why="Nobody watched the stove meanwhile.",
            due=back,
            caution="Nothing else matters before this. Your local rules decide.",
            question=replace(asked, choices=(*asked.choices, skip)),
            urgency=0,
        )
    ]


def _ask_pot(state: State, outlook: Outlook, back: float) -> list[Act]:
    read = state.last_reading("pot", doubted=True)
    heated = read is not None or any(span.what == "on" for span in state.burner_spans)
    if not heated or (read is not None and read.t >= back) or not _wants_wax(state):
        return []
    name = f"back pot {back:.0f}"
    return [
        Act(
            id=name,
            kind="read",
            word="READ POT",
            says=f"Stir what is liquid, read the pot and type it. Target {outlook.degrees(outlook.melt_c)}.",
            why="A melt goes on from a reading, not from where it was.",
            due=back,
            question=Question("Type what the pot reads, or:", (Choice("x", "skip", (ev.Waived(act=name),)),)),
            place=("pot", ""),
            urgency=1,
        )
    ]


def _wants_wax(state: State) -> bool:
    return any(not _topped(state, letter) for letter in state.moulds)


def _topped(state: State, letter: str) -> bool:
    mould = state.moulds[letter]
    done = mould.last_pour is not None and mould.last_pour.part == "top-up"
    return done or mould.demoulded_at is not None or f"top-up {letter}" in state.waived


def _ask_moulds(state: State, outlook: Outlook, gap: Span, back: float) -> list[Act]:
    asked: list[Act] = []
    for letter in sorted(state.moulds):
        mould = state.moulds[letter]
        asked += _ask_pour(state, outlook, letter, gap, back)
        last = mould.last_pour
        if last is None or last.t >= back or _topped(state, letter) or (mould.look and mould.look.t >= back):
            continue
        name = f"back look {letter} {back:.0f}"
        question = cue_question(letter)
        skip = Choice("x", "skip", (ev.Waived(act=name),))
        asked.append(
            Act(
                id=name,
                kind="look",
                word="LOOK",
                moulds=letter,
                says=f"Look at {letter} and touch its wall. {_as_computed(state, outlook, letter, back)}",
                why="What you see replaces what was computed.",
                due=back,
                question=replace(question, choices=(*question.choices, skip)),
                place=("surface", letter),
                urgency=1,
            )
        )
    return asked


def _as_computed(state: State, outlook: Outlook, letter: str, now: float) -> str:
    found = mould_now(state, outlook, letter, now)
    return found.says if found else "What it is like is being worked out."


def _ask_pour(state: State, outlook: Outlook, letter: str, gap: Span, back: float) -> list[Act]:
    """Whether the pour that was asked for when somebody left was made, and how much of it."""
    told = state.told
    if told is None or letter not in told.moulds or not gap.start - 3600 < state.told_at <= gap.start:
        return []
    part = _WORDS.get(told.word.split()[0])
    own = outlook.sheet.top_up(letter).layer
    layer = next((int(word) for word in told.act.split() if word.isdigit()), own)
    mould = state.moulds[letter]
    if part is None or any(p.t >= state.told_at for p in (*mould.pours, *mould.emptied)):
        return []
    name, colour = f"back pour {letter} {back:.0f}", outlook.colour(layer)
    planned = outlook.mass(outlook.portion(letter, layer, part))
    return [
        Act(
            id=name,
            kind="pour",
            word="POURED?",
            moulds=letter,
            layer=layer,
            says=f"{colour} was to go into {letter} when you left: {planned}. How much of it is in?",
            why="A pour that was broken off is planned anew, not poured on.",
            due=back,
            question=_how_much(outlook, letter, layer, part, name),
            urgency=1,
        )
    ]


def _how_much(outlook: Outlook, letter: str, layer: int, part: Part, name: str) -> Question:
    planned, asked = outlook.portion(letter, layer, part), ev.Waived(act=name)

    def poured(share: float) -> tuple[ev.Fact, ...]:
        return (ev.Poured(mould=letter, layer=layer, part=part, planned_kg=planned, share=share), asked)

    return Question(
        f"{outlook.colour(layer)} in {letter}:",
        (
            Choice("n", "none of it", (asked,)),
            Choice("a", "all of it", poured(1.0)),
            Choice("3", "about three quarters", poured(0.75)),
            Choice("2", "about half", poured(0.5)),
            Choice("1", "about a quarter", poured(0.25)),
            Choice("x", "skip", (asked,)),
        ),
    )
