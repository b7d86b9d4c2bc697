"""The papers as HTML that stands alone: jinja2 fills the templates and escapes every text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jinja2 import Environment, PackageLoader, StrictUndefined

from pourday.errors import Trouble
from pourday.language import dated, tr, word
from pourday.plan.weigh import weigh_sheet
from pourday.reports.as_made import as_made
from pourday.reports.balance_table import balance_doubt, balance_table
from pourday.reports.corrections import corrections
from pourday.reports.day_page import day_page
from pourday.reports.deviations import deviations, untold
from pourday.reports.papers.day_chart import day_chart
from pourday.reports.papers.sheet import OUTRANKS, wall_sheet
from pourday.reports.papers.slip import LABELS, OUTRANKED, candle_slips
from pourday.reports.recipe import recipe
from pourday.reports.story import besides_words
from pourday.session.candle import CandleState
from pourday.session.events import Entry
from pourday.session.state import State
from pourday.times import clock, local
from pourday.units import show_mass, show_temperature

_pages = Environment(
    loader=PackageLoader("pourday.reports.papers"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
_pages.globals |= {"tr": tr, "word": word}


@dataclass(frozen=True, slots=True)
class PouredRow:
    """One pour or candle, planned beside actual, in words."""

    mould: str
    what: str
    planned: str
    actual: str
    degrees: str
    time: str


def sheet_page(state: State) -> str:
    """The sheet for the wall. Raises `Trouble` for a plan that cannot be weighed out."""
    sheet = wall_sheet(state.fixed_plan or state.plan, state.session)
    return _pages.get_template("sheet.html").render(title=sheet.title, sheet=sheet, outranks=OUTRANKS)


def slip_page(state: State, candles: Mapping[str, CandleState]) -> str:
    """A slip for each candle; `candles` as in `candle_slips`."""
    slips = candle_slips(state, candles)
    return _pages.get_template("slip.html").render(
        title=slips[0].title, slips=slips, labels=LABELS, outranked=OUTRANKED
    )


def record_page(state: State, entries: Sequence[Entry]) -> str:
    """Recipe, the day on one axis, what was not as planned, planned beside actual, and the balance."""
    deviating = deviations(state, entries)
    page = day_page(state, entries, deviating)
    return _pages.get_template("record.html").render(
        title=state.plan.title or state.session,
        state=state,
        begun=f"{dated(local(state.opened_at), '%A %d %B %Y, %H:%M')}"
        if state.opened_at
        else tr("not noted"),
        recipe=recipe(state.fixed_plan or state.plan),
        chart=day_chart(page) if page is not None else "",
        deviating=[(f"{dated(local(one.t), '%d %b')} {clock(one.t)}", one) for one in deviating],
        untold=untold(state),
        poured=_poured(state),
        balance=balance_table(state),
        doubt=balance_doubt(state),
        made=as_made(state),
        put_right=[
            (f"{dated(local(one.t), '%d %b')} {clock(one.t)}", one)
            for one in corrections(entries, state.plan)
        ],
        besides=besides_words(len(deviating)) if deviating else "",
        outranks=OUTRANKS,
    )


def _poured(state: State) -> list[PouredRow]:
    """Every pour and candle, a mould after the other."""
    plan = state.plan
    try:
        finished = {mould.letter: mould.finished for mould in weigh_sheet(plan).moulds}
    except Trouble:
        finished = {}

    def mass(kg: float | None, where_none: str) -> str:
        return where_none if kg is None else show_mass(kg, plan.units, plan.scale_step)

    rows = []
    for letter, mould in sorted(state.moulds.items()):
        for pour in mould.pours:
            named = plan.layers[pour.layer].colour if 0 <= pour.layer < len(plan.layers) else ""
            celsius = state.lip_c(pour)
            rows.append(
                PouredRow(
                    letter,
                    f"{word(pour.part)} {named or pour.layer + 1}",
                    mass(pour.planned_kg, "-"),
                    mass(pour.kg, tr("not weighed")),
                    tr("not read") if celsius is None else show_temperature(celsius, plan.units, 1),
                    f"{dated(local(pour.t), '%d %b')} {clock(pour.t)}",
                )
            )
        planned, actual = finished.get(letter), mould.candle_kg
        share = (
            tr(" ({actual:.1%} of theoretical)", actual=actual / planned)
            if planned and actual is not None
            else ""
        )
        rows.append(
            PouredRow(letter, "candle", mass(planned, "-"), mass(actual, tr("not weighed")) + share, "", "")
        )
    return rows
