"""Everything a person can say at any time, whatever the guide is asking for: no stage locks an act."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.dye import dye_question
from pourday.guide.acts.leaving import Leave, in_words, leave
from pourday.guide.acts.mishaps import mishaps
from pourday.guide.acts.mould_end import release_question
from pourday.guide.acts.mould_looks import cue_question
from pourday.guide.acts.stove_reads import water_question
from pourday.guide.outlook.jugs import standing_jugs
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr, word
from pourday.plan.jug_names import jug_name
from pourday.plan.own_layers import last_layer, stays
from pourday.plan.pour_order import ToPour
from pourday.session import events as ev
from pourday.session.quiet_hours import next_at
from pourday.session.state import State
from pourday.times import clock, letters_short, local, mould_key

LEFT_OUT = frozenset(
    (
        "load", "read", "water", "add", "heat on", "heat low", "jug", "drop", "plug", "look under", "pour", "look", "relief", "top-up",
        "decide", "demould", "cure", "stop",
    )
)  # fmt: skip
"""Kinds of act that can be left out for good; any other comes back as long as its cause is there."""
MORNING, EVENING = 6, 21
"""Hours of the day between which nobody means the night that is over by “until 23:00”; from the second on times are offered to
who stays up. Estimates of ours."""


def menu(state: State, outlook: Outlook, act: Act, now: float | None = None) -> Question:
    """The question behind "something else happened"; `act` is what the guide asks for now.

    With `now` it can also be said by when the person must leave.
    """
    choices = [
        Choice("l", tr("looked"), then=_which(state, tr("Looked at"), cue_question)),
        Choice(
            "p",
            tr("poured"),
            then=_which(state, tr("Poured into"), lambda letter: _poured(state, outlook, letter)),
        ),
        Choice("j", tr("jug made"), then=_jugs(state, outlook)),
        Choice(
            "r", tr("relief holes"), then=_which_fact(state, tr("Holes in"), lambda x: ev.Relieved(mould=x))
        ),
        Choice("w", tr("water"), then=water_question()),
        Choice("a", tr("wax added"), then=_added(outlook)),
    ]
    if not state.moulds or not all(stays(state.plan, letter) for letter in state.moulds):
        choices.append(Choice("u", tr("demoulded"), then=_which(state, tr("Demoulded"), release_question)))
    choices += mishaps(state, outlook)
    layers = state.plan.layers
    dyed = [x for x in standing_jugs(state) if x < len(layers) and layers[x].dye_load > 0]
    if dyed:
        asks = [
            Choice(str(x + 1), jug_name(state.plan, x), then=dye_question(state, outlook, x, ()))
            for x in dyed
        ]
        paler = asks[0].then if len(asks) == 1 else Question(tr("Which jug:"), tuple(asks))
        choices.append(Choice("k", tr("dye added"), then=paler))
    if state.jugs:
        choices.append(Choice("b", tr("jug moved"), then=_moved(state, outlook)))
    if now is not None:
        choices.append(Choice("t", tr("must leave at"), then=hard_stop_question(state, now)))
        choices.append(Choice("y", tr("I stay up"), then=stays_up_question(now)))
    if act.urgency is not Urgency.NOT_YET and act.kind in LEFT_OUT:
        waived = tuple(ev.Waived(act=str(part)) for part in act.parts or (act.id,))
        choices.append(
            Choice(
                "n",
                tr(
                    "leave out: {word} {letters_short}",
                    word=act.word,
                    letters_short=letters_short(act.moulds),
                ).rstrip(),
                waived,
            )
        )
    return Question(tr("What happened:"), tuple(choices))


ABOUT = "about"
"""Stands beside a weight on record that was only chosen from a list."""
ADDED = (0.05, 0.1, 0.2, 0.5)
"""kg of wax that are offered as an addition: anything in between is near enough to one of them for a forecast. Chosen."""


def _added(outlook: Outlook) -> Question:
    """How much cold wax went into the pot: without its weight the forecast does not know the pot any more."""
    weights = [
        Choice(str(i + 1), outlook.mass(kg), (ev.WaxAdded(what=ABOUT, kg=kg),)) for i, kg in enumerate(ADDED)
    ]
    return Question(tr("Wax added, about:"), (*weights, Choice("n", tr("not weighed"), (ev.WaxAdded(),))))


def _which(state: State, asks: str, then: Callable[[str], Question]) -> Question:
    """Which mould it was, each leading to a question of its own."""
    return Question(f"{asks}:", tuple(Choice(mould_key(x), x, then=then(x)) for x in sorted(state.moulds)))


def _which_fact(state: State, asks: str, fact: Callable[[str], ev.Fact]) -> Question:
    """Which mould it was, each filing a fact at once."""
    return Question(f"{asks}:", tuple(Choice(mould_key(x), x, (fact(x),)) for x in sorted(state.moulds)))


def _poured(state: State, outlook: Outlook, letter: str) -> Question:
    """Whether what the plan has next for a mould went into it."""
    layer, part = state.next_pour(letter) or ToPour(last_layer(state.plan, letter), "top-up")
    fact = ev.Poured(mould=letter, layer=layer, part=part, planned_kg=outlook.portion(letter, layer, part))
    return Question(
        tr("Into {letter}:", letter=letter),
        (Choice("y", tr("yes: {part} {colour}", part=word(part), colour=outlook.colour(layer)), (fact,)),),
    )


def _jugs(state: State, outlook: Outlook) -> Question:
    """Which layer's jug was made."""
    return Question(
        tr("The jug of:"),
        tuple(
            Choice(str(i + 1), outlook.colour(i), (ev.JugMade(layer=i, planned_kg=outlook.jug(i).wax),))
            for i in range(len(state.plan.layers))
        ),
    )


PUT: tuple[tuple[str, ev.JugPlace, str], ...] = (
    ("b", "bath", tr("in the bath")),
    ("o", "bench", tr("out, on the bench")),
    ("i", "hand", tr("in hand")),
)
"""Key, place, and how it is said."""


def _moved(state: State, outlook: Outlook) -> Question:
    """Where a jug stands now; which one, where there are several."""
    jugs = standing_jugs(state)
    asks = {layer: _now_stands(layer, outlook.jug_name(layer)) for layer in jugs}
    if len(jugs) == 1:
        return asks[jugs[0]]
    choices = (Choice(str(x + 1), jug_name(state.plan, x), then=ask) for x, ask in asks.items())
    return Question(tr("Which jug:"), tuple(choices))


def _now_stands(layer: int, name: str) -> Question:
    """Where the jug of a layer stands now, one answer a place."""
    said = tr("{jug} is now:", jug=name[:1].upper() + name[1:])
    return Question(
        said,
        tuple(Choice(key, label, (ev.JugStands(layer=layer, where=where),)) for key, where, label in PUT),
    )


def look_question(state: State) -> Question | None:
    """Which mould was looked at, or all that stand there, and how it looks; None while there is none."""
    letters = sorted(state.moulds)
    if len(letters) == 1:
        return cue_question(letters[0])
    if not letters:
        return None
    which = _which(state, tr("Looked at"), cue_question)
    filled = "".join(x for x in letters if state.moulds[x].pours and state.moulds[x].demoulded_at is None)
    if len(filled) < 2:
        return which
    return Question(which.asks, (*which.choices, Choice("0", tr("all of them"), then=cue_question(filled))))


STAYS = (("1", 5), ("2", 15), ("3", 30), ("4", 60))
"""Keys and minutes."""


def away_question(
    state: State, now: float, acts: Sequence[Act] = (), outlook: Outlook | None = None
) -> Question:
    """Asked before somebody leaves the stove: the burner first, then until when, and what is lost after it."""
    may_leave = leave(outlook, acts, now) if outlook is not None else None
    choices = [
        Choice(
            key,
            tr("{minutes} min{too_long}", minutes=minutes, too_long=_too_long(may_leave, now, minutes)),
            (_away(now + minutes * 60),),
        )
        for key, minutes in STAYS
    ]
    if may_leave is not None and may_leave.back_by is not None and may_leave.back_by > now + 5 * 60:
        choices.append(
            Choice(
                "b",
                tr("by {clock}, the latest", clock=clock(may_leave.back_by, now)),
                (_away(may_leave.back_by),),
            )
        )
    said = f"{in_words(may_leave, now)} " if may_leave is not None else ""
    back = Question(tr("{said}Back in:", said=said), tuple(choices))
    if state.burner == "off":
        return back
    return Question(
        tr("Leaving the stove. {said}Is the burner off?", said=said),
        (
            Choice("o", tr("off now"), (ev.BurnerSet(state="off"),), then=back),
            Choice("l", tr("still lit: stay in the room")),
        ),
    )


def _away(back_by: float) -> ev.WentAway:
    """The fact that somebody went away, and when they mean to be back (seconds since the epoch)."""
    return ev.WentAway(back_by=ev.moment(back_by))


def _too_long(may_leave: Leave | None, now: float, minutes: int) -> str:
    """A word to an answer that would bring somebody back too late."""
    late = may_leave is not None and may_leave.back_by is not None and now + minutes * 60 > may_leave.back_by
    return tr(", too late") if late else ""


def hard_stop_question(state: State, now: float) -> Question:
    """When the person must leave: the full and half hours ahead, or not at all any more."""
    choices = _clock_times_ahead(now, 1800.0, lambda at: ev.HardStop(at=at))
    if state.hard_stop is not None:
        choices.append(Choice("n", tr("no need any more"), (ev.HardStop(),)))
    return Question(tr("You must leave at:"), tuple(choices))


def stays_up_question(now: float) -> Question:
    """Until when the person works on into their quiet hours: whole hours of the coming night, or to bed as usual after all."""
    night = now if not MORNING <= local(now).hour < EVENING else next_at(now, EVENING) - 1.0
    choices = _clock_times_ahead(night, 3600.0, lambda at: ev.StaysUp(at=at))
    choices.append(Choice("n", tr("to bed as usual"), (ev.StaysUp(),)))
    return Question(tr("You work on until:"), tuple(choices))


def _clock_times_ahead(now: float, every: float, fact: Callable[[datetime], ev.Fact]) -> list[Choice]:
    """Nine times ahead under the digits, at whole multiples of `every` seconds, each of which files a fact of that time."""
    first = (now // every + 1) * every
    times = [first + every * i for i in range(9)]
    return [Choice(str(i + 1), clock(t, now), (fact(ev.moment(t)),)) for i, t in enumerate(times)]
