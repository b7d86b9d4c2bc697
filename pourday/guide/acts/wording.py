"""What an act is called in block letters, says and rests on, for the agenda of the moment and for the day worked out ahead.

One wording for both: an act that is due says what it said when it was still hours away, with what is only known by then.
"""

from __future__ import annotations

from collections.abc import Iterable

from pourday.guide.acts.durations import JUG_LEAD
from pourday.guide.outlook.outlook import Outlook
from pourday.plan.dosing import drops_of
from pourday.plan.jug_names import jug_name
from pourday.plan.model import DyeForm, Plan
from pourday.plan.products import weighed_out
from pourday.session.state import State
from pourday.times import days, letters, local, span
from pourday.units import show_mass, show_share

LONGEST_NAME = 8
"""Letters of a jug's name that block letters have room for, three rows high on eighty columns."""

_WORDS = {
    "load": "LOAD POT",
    "relief": "HOLES",
    "top-up": "TOP UP",
    "drop": "SHADE",
    "cure": "TEST",
    "solid": "SET",
}

WHY_LOAD = "What is melted has to last for every pour and top-up: another batch sets in another shade."
WHY_PLUG = "A small first pour sets in the wick hole and seals it before the mould is full."
WHY_ON_PLUG = "The plug is dry underneath and still warm, so the rest of the first layer fuses with it."
WHY_UNDER = "A seal that weeps now runs when the mould is full."
WHY_RELIEF = "Air behind the shrinking core keeps it from dragging the wick or hiding a cavern."
WHY_JUG = f"Colour and scent need about {span(JUG_LEAD)} before the pour; in the bath the jug stays hot."
WHY_OUT = (
    "A pillar stands overnight as a rule, a narrow candle six hours and until it is cold (common practice, no source); "
    "cold all through, with a gap all round, it may come out the same day."
)


def block_word(what: str) -> str:
    """The block letters for an act: `TOP UP`; its own name where it has no other."""
    return _WORDS.get(what, what.upper())


def jug_word(what: str, plan: Plan, layer: int) -> str:
    """The block letters for an act on a jug, with its name: `JUG RUST`, `SHADE RUST`, `READ JUG RUST`.

    Where the name of some jug has no room there, or letters that are none of ours, all are said by their numbers: names
    and numbers side by side would be taken for two kinds of jug.
    """
    names = {each: jug_name(plan, each) for each in range(len(plan.layers))}
    fits = all(
        len(name) <= LONGEST_NAME and name.isascii() and name.replace(" ", "").isalnum()
        for name in names.values()
    )
    name = names.get(layer, str(layer + 1))
    word = {"drop": "SHADE", "jug": "JUG", "read": "READ JUG"}[what]
    return f"{word} {name.upper() if fits else layer + 1}"


# -- stove and jugs ----------------------------------------------------------------------------------


def heat_on_says(outlook: Outlook) -> str:
    """Wax to where, and its ceiling."""
    return (
        f"Light the burner under the bath; wax to {outlook.degrees(outlook.melt_c)}, "
        f"ceiling {outlook.degrees(outlook.ceiling_c)}."
    )


def heat_off_says(why: str) -> str:
    """Burner off, with the reason in the same breath."""
    return f"Burner off. {why}"


def heat_low_says(why: str, *, lit: bool) -> str:
    """Flame low, from full (`lit`) or off, with the reason in the same breath."""
    return f"{'Flame down to low' if lit else 'Light the burner low'}; the jugs stay in the bath. {why}"


def heat_up_says(outlook: Outlook, celsius: float) -> str:
    """A low flame turned up to full, and wax to where."""
    return f"Turn the flame up full; wax to {outlook.degrees(celsius)}, ceiling {outlook.degrees(outlook.ceiling_c)}."


def jug_says(outlook: Outlook, layer: int) -> str:
    """What goes into the jug of a layer: wax, dye, scent."""
    state, jug = outlook.state, outlook.jug(layer)
    parts = [f"Draw {outlook.mass(jug.wax)} into a jug for {outlook.colour(layer)}"]
    if jug.dye > 0:
        planned = state.plan.layers[layer]
        form = {"liquid": "liquid dye", "pure": "dye", "block": "dye block"}[planned.dye_form]
        fine = _too_fine(state, jug.dye, planned.dye_form)
        parts.append(f"{dye_words(state, jug.dye)} {form} ({show_share(planned.dye_load)}{fine})")
    if jug.scent > 0:
        scents = weighed_out(jug.scent, state.plan.layers[layer].scents)
        of = " and ".join(f"{outlook.mass(kg)} {product.name}" for product, kg in scents)
        parts.append(f"{of or f'{outlook.mass(jug.scent)} scent'}, stirred slowly for a minute or two")
    return "; ".join(parts) + "."


def dye_words(state: State, kg: float) -> str:
    """As the scale shows it; what is less than ten of its steps as finely as it can be weighed elsewhere."""
    step = state.plan.scale_step
    return show_mass(kg, state.plan.units, step) if kg >= 10 * step else f"{kg * 1000:.2g} g"


def _too_fine(state: State, kg: float, form: DyeForm) -> str:
    """`; below your scale's step, so about 11 drops`: dye that the scale does not show, counted where it can be."""
    if kg >= state.plan.scale_step:
        return ""
    count = drops_of(kg) if form == "liquid" else None
    return f"; below your scale's step{f', so about {count} drop' if count else ''}{'s' if count and count > 1 else ''}"


# -- moulds ------------------------------------------------------------------------------------------


def pour_says(
    outlook: Outlook, layer: int, amounts: Iterable[tuple[str, float | None]], at: str, *, plug: bool = False
) -> str:
    """A plug or a layer into one or several moulds: each (mould, kg) with its level, one temperature `at`."""
    said = [
        f"{outlook.mass(kg)} into {letter}"
        + ("" if plug else f", to {outlook.length(outlook.level(letter, layer))} below its rim")
        for letter, kg in amounts
    ]
    return f"{'Plug' if plug else 'Pour'} {outlook.colour(layer)} at {at}: {'; '.join(said)}."


def under_says(moulds: str) -> str:
    """The look underneath one mould or several."""
    return f"Look underneath {letters(moulds)}: no wax may weep from the wick hole."


def look_says(moulds: str) -> str:
    """The look at a surface, and what makes it ready."""
    return f"Go and look at {letters(moulds)}: matt, set to the wall and the wick, no fingerprint, wall still warm?"


def relief_says(mould: str, *, again: bool) -> str:
    """Relief holes in one mould."""
    return f"{'Reopen' if again else 'Open'} 2-4 relief holes beside the wick of {mould}, through the crust into the liquid."


def demould_says(moulds: str) -> str:
    """How a mould shows that its candle comes out."""
    return (
        f"Demould {letters(moulds)} when its wall is cold to the hand, a hairline gap shows all round, and it turns "
        "or drops at a light tap."
    )


def cured_says(outlook: Outlook, moulds: str, give: float) -> str:
    """The burn test that some days of cure allow, and from when (seconds since the epoch) the candle may be given away."""
    return (
        f"{letters(moulds)} has cured {days(outlook.cure_days[0])} and may be burn-tested: on a fire-proof plate, never "
        f"unattended, following the supplier's sheet and your local rules. Ready to give from {local(give):%a %d %b}."
    )


def why_cured(outlook: Outlook, counted: str) -> str:
    """What a cure rests on; `counted` says from when: `from demoulding`."""
    shortest, longest = outlook.cure_days
    return (
        f"Burn-tested after {days(shortest)}, ready to give after {days(longest)}, by wax and scent (common practice, no "
        f"source), {counted}."
    )
