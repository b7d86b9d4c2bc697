"""A session's card, made from its record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pourday.burn.candle import try_candles_of
from pourday.burn.due import CandleDue, due_of
from pourday.errors import Trouble
from pourday.moulds.use import uses_of
from pourday.plan.model import Plan, tried_words
from pourday.plan.sheet_words import shape_words
from pourday.plan.waxes import own_of, parts_of
from pourday.plan.wick import chosen_wick
from pourday.reports.deviations import Kind, deviations
from pourday.session.candle import faults_seen
from pourday.session.state import State
from pourday.shelf.card import DayCard
from pourday.stock.taken import taken
from pourday.store.reading import StoredSession

MOST = 40
"""How many words of one kind a card has at most: a day with more notes is found by its first ones."""

OFF_WORDS: dict[Kind, str] = {
    "heat at the lip": "poured off its temperature",
    "ceiling": "ceiling passed",
    "window": "window missed",
    "weight": "weight off",
    "hollow": "hollow not filled",
    "alarm": "alarm unanswered",
    "gap": "nobody watched",
    "clock": "clock changed",
    "doubt": "doubtful reading",
    "left out": "left out",
    "wrong colour": "wrong colour",
    "lost wax": "wax lost",
    "rescue": "rescue",
}
"""What was not as planned, by its kind, in the words one would look for."""


def card_of(stored: StoredSession, log: State | None = None) -> DayCard:
    """The card of a session; `log` is the record of what became of its candles, where there is one."""
    state = stored.state
    plan = state.fixed_plan or state.plan
    candle_states = (state.candles, log.candles if log is not None else {})
    lives = [
        [told[letter] for told in candle_states if letter in told]
        for letter in {*candle_states[0], *candle_states[1]}
    ]
    seen = [faults_seen(*each) for each in lives]
    weeping = ["leak"] if any(mould.weeps for mould in state.moulds.values()) else []
    over = stored.finished or state.finished_at is not None
    faults = [defect.defect for each in seen for defect in each.defects]
    return DayCard(
        session=stored.session,
        title=plan.title if state.heap is None else state.heap.name,
        stage=state.stage,
        finished=over,
        demo=state.demo,
        started=state.opened_at or None,
        colours=_once(layer.colour for layer in plan.layers)
        if state.heap is None
        else _once((state.heap.seen.colour or "",)),
        waxes=_once(_waxes(plan)) if state.heap is None else ("unknown wax",),
        lots=_once(part.lot for parts in (plan.blend, *(layer.blend for layer in plan.layers)) for part in parts),
        scents=_once((plan.scent_lot, *(scent.name for layer in plan.layers for scent in layer.scents))),
        dyes=_once((plan.dye_lot, *(dye.name for layer in plan.layers for dye in layer.dyes))),
        wicks=_once(chosen_wick(plan, mould) for mould in plan.moulds),
        moulds=() if state.heap is not None else _once(f"{mould.name} {shape_words(mould, plan)} {mould.material}".strip() for mould in plan.moulds),
        off=_once(_off(stored)),
        faults=_once((*faults, *(rescue.fact.card for rescue in state.rescues), *weeping)),
        no_fault=bool(seen) and all(each.none for each in seen) and not weeping,
        tested=any(life.burns for each in lives for life in each),
        verdict=state.verdict,
        notes=_once(text for _, text in state.notes),
        parent=plan.parent,
        change=tried_words(plan.tried) if plan.tried is not None else "",
        came=state.change_came or "",
        due=() if state.demo else _due(state, log),
        begun=state.fixed_at,
        takes=taken(state, stored.entries, over=over),
        uses=uses_of(state, log),
    )  # fmt: skip


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    """The texts without empty and repeated ones, in their order."""
    return tuple(dict.fromkeys(text for text in texts if text))[:MOST]


def _waxes(plan: Plan) -> Iterator[str]:
    """Names of all waxes of a plan; of one that is not known, its id."""
    for parts in (plan.blend, *(layer.blend for layer in plan.layers)):
        try:
            yield from (wax.name for wax, _ in parts_of(parts, own_of(plan)))
        except Trouble:
            yield from (part.wax.replace("_", " ") for part in parts)


def _off(stored: StoredSession) -> Iterator[str]:
    """What was not as planned; a plan is no day yet, and has nothing."""
    if stored.state.fixed_plan is None:
        return
    yield from (OFF_WORDS[each.kind] for each in deviations(stored.state, stored.entries))


def _due(state: State, log: State | None) -> tuple[CandleDue, ...]:
    """What is due with the candles of a day, now or later."""
    title = state.plan.title or state.session
    return tuple(row for candle in try_candles_of(state, log) for row in due_of(candle, title))
