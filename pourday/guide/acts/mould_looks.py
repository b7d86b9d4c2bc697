"""When a layer is looked at before the next pour, and until when its window is taken to be open."""

from __future__ import annotations

from dataclasses import replace

from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.durations import LOOK_LATEST, LOOK_SOONEST
from pourday.guide.acts.wording import look_says
from pourday.guide.outlook.moulds import MouldOutlook
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr, word
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.looks import LOOK_WORDS
from pourday.session.state import LookAt, MouldState, State
from pourday.times import MINUTE, letters, span

LOOK_STEP = 0.5
"""Share of the time that a surface probably still takes to carry the next colour, until it is looked at again. An
estimate of ours."""
OLDER = 0.18
"""Share of the age of a surface that was edge set before which it is not looked at again where no window closes: what took an
hour is hardly another thing five minutes later. An estimate of ours."""
SURE_OF_CRUST = 0.6
"""How likely a person goes by the crust from which on they are sent to look for one. An estimate of ours."""
CHANGED = 0.12
"""Share of its age in which a surface that was too soft has become another one to the hand, where it may carry any moment. An
estimate of ours."""
LOOK_AHEAD = 15 * MINUTE
"""A mould is looked at this long before its window may close at the earliest. An estimate of ours."""
WET_SHARE = 0.65
"""Share of its age after which a surface that was still wet is looked at again. An estimate of ours."""
TOO_SOON = ("wet", "skinned")
"""Looks that ask for another."""

CARRIED = ("firm", "cold", "pulled away")
"""Looks of a surface that carries, or did long ago."""
HARDLY = 3.0
"""A look that comes so many times sooner than the earliest forecast, or later than the latest, is asked about (estimate)."""

NOT_ALIKE = tr("not the same: one by one")

CUES: tuple[tuple[str, ev.Cue, str], ...] = (
    ("w", "wet", LOOK_WORDS["wet"]),
    ("k", "skinned", tr("{look_words}, soft under the skin", look_words=LOOK_WORDS["skinned"])),
    ("f", "firm", tr("{look_words}, wall warm", look_words=LOOK_WORDS["firm"])),
    ("c", "cold", tr("{look_words}, tight to the wall", look_words=LOOK_WORDS["cold"])),
    ("p", "pulled away", tr("{look_words} from the wall", look_words=LOOK_WORDS["pulled away"])),
)


def cue_question(moulds: str, then: Question | None = None, holes: str = "") -> Question:
    """What the surface of a mould looks like, asked before `then`; of several, one answer for all that look the same.

    Into the moulds `holes` relief holes were made in the same go, where they have a crust; one key says that none were.
    """
    choices = [
        Choice(key, label, tuple(fact for x in moulds for fact in _seen(x, cue, holes)), then)
        for key, cue, label in CUES
    ]
    if len(moulds) > 1:
        choices.append(Choice("n", NOT_ALIKE, then=_one_by_one(moulds, holes)))
    if holes:
        choices.append(Choice("x", tr("no holes made"), then=cue_question(moulds, then)))
        asks = tr("{letters}, with holes made through any crust:", letters=letters(moulds))
    elif len(moulds) > 1:
        asks = tr("{letters} look, one answer for all:", letters=letters(moulds))
    else:
        asks = tr("{moulds} looks:", moulds=moulds)
    return Question(asks, tuple(choices))


def _one_by_one(moulds: str, holes: str) -> Question | None:
    """Each mould asked for in turn; while several are left, one key says that these look the same."""
    question: Question | None = None
    for n in reversed(range(len(moulds))):
        left, letter = moulds[n:], moulds[n]
        question = cue_question(letter, question, letter if letter in holes else "")
        if n > 0 and len(left) > 1:
            alike = [
                Choice(key, label, tuple(fact for x in left for fact in _seen(x, cue, holes)))
                for key, cue, label in CUES
            ]
            rest = Question(tr("{letters} look, one answer for all:", letters=letters(left)), tuple(alike))
            question = replace(
                question, choices=(*question.choices, Choice("r", tr("the rest alike"), then=rest))
            )
    return question


CRUSTED = ("skinned", "firm")
"""Looks of a surface with a crust over wax that is still liquid."""


def _seen(letter: str, cue: ev.Cue, holes: str) -> tuple[ev.Fact, ...]:
    """The facts that an answer for one mould puts on record: how it looks, and the relief holes where it is one of `holes`
    and has a crust."""
    looked = ev.Looked(mould=letter, cue=cue)
    return (looked, ev.Relieved(mould=letter)) if letter in holes and cue in CRUSTED else (looked,)


def doubted_look(state: State, outlook: Outlook | None, answer: Choice, now: float) -> Question | None:
    """Asks whether a look is kept that can hardly be, before it goes on record; None where it can be, or nothing is computed.

    One that finds a layer carrying, or colder, in less than a third of the wait at the earliest; or liquid after three times
    the wait at the latest.
    """
    for fact in answer.facts:
        if not isinstance(fact, ev.Looked) or outlook is None:
            continue
        forecast, mould = outlook.mould(fact.mould), state.moulds.get(fact.mould)
        if forecast is None or mould is None or mould.last_pour is None:
            continue
        poured = mould.last_pour.t
        wait, early, late = now - poured, forecast.opens.early - poured, forecast.skinned.late - poured
        if fact.cue in CARRIED and wait < early / HARDLY:
            least = tr("computed at the earliest: {span}", span=span(early))
        elif fact.cue == "wet" and late < float("inf") and wait > late * HARDLY:
            least = tr("computed to have a skin at the latest after {span}", span=span(late))
        else:
            continue
        says = tr(
            "{mould} {looks} {wait} after its pour can hardly be ({least}). Is it this mould? Look again; Esc steps back.",
            mould=fact.mould,
            looks=word(LOOK_WORDS[fact.cue]),
            wait=span(wait),
            least=least,
        )
        return Question(says, (Choice("y", tr("it is so"), answer.facts, answer.then),))
    return None


def look_act(mould: MouldState, due: float, forecast: MouldOutlook, closes: float | None, why: str) -> Act:
    """The act of looking at a mould at `due`. It shows when the mould is probably ready, unless it is looked at outside that
    time for a reason of its own."""
    ready = forecast.carries
    return Act(
        id=ActId("look", mould.letter, nth=len(mould.pours)),
        kind="look",
        word=tr("LOOK"),
        moulds=mould.letter,
        says=look_says(mould.letter),
        why=why,
        due=due,
        window=ready if ready.early <= due <= ready.late else None,
        closes=closes,
        question=cue_question(mould.letter),
        place=("surface", mould.letter),
        urgency=Urgency.USUAL,
    )


def slower(forecast: MouldOutlook, mould: MouldState) -> float:
    """How many times as long as computed the top layer takes to set, shown by the last look that found it soft after its
    computed best time; 1 without such a look."""
    last, look = mould.last_pour, mould.look
    soft = [x.t for x in mould.looks if last and x.t > last.t and x.cue in TOO_SOON]
    if last is None or look is None or not soft or not last.t < forecast.best < float("inf"):
        return 1.0
    return max(1.0, (soft[-1] - last.t) / (forecast.best - last.t))


def closing(forecast: MouldOutlook, mould: MouldState) -> float | None:
    """When the window closes, later where the layer was seen to cool slower; None: empty, or not in sight."""
    if forecast.empty or forecast.closes is None or mould.last_pour is None:
        return None
    since = mould.last_pour.t
    return since + (forecast.closes - since) * slower(forecast, mould)


def look_at(forecast: MouldOutlook) -> float:
    """When to look first: once it has most probably set, sooner where the window may have closed soon after it.

    A look that comes too early costs a minute, and teaches; one that comes too late the seam.
    """
    if forecast.empty or forecast.closes_spread is None:
        return forecast.best
    opens = forecast.opens
    safe = max(opens.likely, min(opens.late, forecast.closes_spread.early - LOOK_AHEAD))
    return max(min(forecast.best, max(forecast.carries.early, safe)), _crusted(forecast))


def _crusted(forecast: MouldOutlook) -> float:
    """Before when a person who is known to go by the crust is not sent to look: nine times in ten there is none. Never so late
    that the window may be over; 0 for anybody else, and where no window is in sight."""
    if forecast.crust < SURE_OF_CRUST or forecast.closes_spread is None:
        return 0.0
    return min(forecast.firm.early, max(forecast.opens.likely, forecast.closes_spread.likely - LOOK_AHEAD))


def next_look(forecast: MouldOutlook, mould: MouldState, purpose: str, *, top_up: bool = False) -> Act:
    """The next look at a mould: at its forecast time, or a while after one that came too early. `top_up`: it is the look
    before a top-up, for which nobody is in a hurry."""
    # Nobody is in a hurry for a top-up.
    first = forecast.best if top_up else look_at(forecast)
    due, closes, look = first, closing(forecast, mould), mould.look
    if look is not None and look.cue in TOO_SOON:
        again = _again(forecast, mould, look, first)
        due = max(look.t + _soonest(forecast, mould, look), again, 0.0 if top_up else _crusted(forecast))
    act = look_act(mould, due, forecast, closes, f"{purpose} {forecast.why}")
    return replace(act, caution=forecast.advice)


def _soonest(forecast: MouldOutlook, mould: MouldState, look: LookAt) -> float:
    """s after which a surface that was seen too soft is looked at again at the soonest: a share of its age, but no more than
    half of what is left until shortly before its window closes."""
    assert mould.last_pour is not None
    step = CHANGED * (look.t - mould.last_pour.t)
    if forecast.closes_spread is not None:
        step = min(step, (forecast.closes_spread.likely - LOOK_AHEAD - look.t) / 2)
    return max(LOOK_SOONEST, step)


def _again(forecast: MouldOutlook, mould: MouldState, look: LookAt, first: float) -> float:
    """When a surface that was seen too soft is looked at next; the forecast knows of that look already.

    `first` is when it would be looked at if nobody had looked yet.
    """
    carries, last = forecast.carries, mould.last_pour
    assert last is not None
    age = look.t - last.t
    if look.t < min(first - LOOK_SOONEST, forecast.opens.likely) and age < LOOK_LATEST:
        # It may carry any moment: not longer than usual until the next look.
        return min(first, look.t + LOOK_LATEST) if look.t >= forecast.opens.early else first
    if look.cue == "wet":
        return look.t + min(LOOK_LATEST, age * WET_SHARE)
    wait = min(LOOK_LATEST, max(LOOK_SOONEST, (carries.likely - look.t) * LOOK_STEP))
    ready = forecast.firm if forecast.by_crust else forecast.opens
    if forecast.closes_spread is None:
        return look.t + min(LOOK_LATEST, max(wait, age * OLDER))
    if forecast.closes_spread.early <= ready.early:
        return look.t + wait  # No look is early enough to be sure of the window.
    return min(look.t + wait, max(look.t + wait / 2, forecast.closes_spread.early - LOOK_AHEAD))
