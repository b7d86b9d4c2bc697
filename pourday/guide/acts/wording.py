"""What an act is called in block letters, says and rests on, for the agenda of the moment and for the day worked out ahead.

One wording for both: an act that is due says what it said when it was still hours away, with what is only known by then.
"""

from __future__ import annotations

from collections.abc import Iterable

from pourday.guide.acts.durations import JUG_LEAD
from pourday.guide.outlook.outlook import Outlook
from pourday.language import dated, ntr, tr, word
from pourday.plan.dosing import drops_of
from pourday.plan.jug_names import go_by_numbers, jug_name
from pourday.plan.model import DyeForm, Plan
from pourday.plan.products import weighed_out
from pourday.session.events import Burner, Knob
from pourday.session.state import State
from pourday.times import days, letters, local, span
from pourday.units import show_mass, show_share

_WORDS = {
    "load": tr("LOAD POT"),
    "relief": tr("HOLES"),
    "top-up": tr("TOP UP"),
    "drop": tr("SHADE"),
    "cure": tr("TEST"),
    "solid": tr("SET"),
}

WHY_LOAD = tr("What is melted has to last for every pour and top-up: another batch sets in another shade.")
WHY_PLUG = tr("A small first pour sets in the wick hole and seals it before the mould is full.")
WHY_ON_PLUG = tr("The plug is dry underneath and still warm, so the rest of the first layer fuses with it.")
WHY_UNDER = tr("A seal that weeps now runs when the mould is full.")
WHY_RELIEF = tr("Air behind the shrinking core keeps it from dragging the wick or hiding a cavern.")
WHY_JUG = tr(
    "Colour and scent need about {span} before the pour; in the bath the jug stays hot.", span=span(JUG_LEAD)
)
WHY_OUT = tr(
    "A pillar stands overnight as a rule, a narrow candle six hours and until it is cold (common practice, no source); cold all through, with a gap all round, it may come out the same day."
)


def block_word(what: str) -> str:
    """The block letters for an act: `TOP UP`; its own name where it has no other."""
    return _WORDS.get(what, word(what).upper())


def jug_word(what: str, plan: Plan, layer: int) -> str:
    """The block letters for an act on a jug, with its name or number: `JUG RUST`, `SHADE RUST`, `READ JUG 2`."""
    word = {"drop": tr("SHADE"), "jug": tr("JUG"), "read": tr("READ JUG")}[what]
    return f"{word} {layer + 1 if go_by_numbers(plan) else jug_name(plan, layer).upper()}"


# -- stove and jugs ----------------------------------------------------------------------------------


def heat_on_says(outlook: Outlook) -> str:
    """Wax to where, and its ceiling."""
    return tr(
        "Light the burner under the bath; wax to {wanted}, never above {ceiling}.",
        wanted=outlook.degrees(outlook.melt_c),
        ceiling=outlook.degrees(outlook.ceiling_c),
    )


def heat_off_says(why: str) -> str:
    """Burner off, with the reason in the same breath."""
    return tr("Burner off. {why}", why=why)


def heat_low_says(why: str, burner: Burner, knob: Knob | None = None) -> str:
    """Flame low, from how it burns now, with the reason in the same breath; by its `knob` set otherwise than it was before."""
    if burner == "low":
        lit = (
            tr("Turn the low flame lower still, as low as it burns")
            if knob == "lower"
            else tr("Turn the low flame up a little, not to full")
        )
    elif knob is not None:
        lit = {
            "lower": tr("Low flame, but lower than last time"),
            "higher": tr("Low flame, but a little higher than last time"),
        }[knob]
    else:
        lit = tr("Flame down to low") if burner == "on" else tr("Light the burner low")
    return tr("{lit}; the jugs stay in the bath. {why}", lit=lit, why=why)


def heat_up_says(outlook: Outlook, celsius: float) -> str:
    """A low flame turned up to full, and wax to where."""
    return tr(
        "Turn the flame up full; wax to {wanted}, never above {ceiling}.",
        wanted=outlook.degrees(celsius),
        ceiling=outlook.degrees(outlook.ceiling_c),
    )


def jug_says(outlook: Outlook, layer: int) -> str:
    """What goes into the jug of a layer: wax, dye, scent."""
    state, jug = outlook.state, outlook.jug(layer)
    parts = [
        tr("Draw {mass} into a jug for {colour}", mass=outlook.mass(jug.wax), colour=outlook.colour(layer))
    ]
    if jug.dye > 0:
        planned = state.plan.layers[layer]
        form = {"liquid": tr("liquid dye"), "pure": "dye", "block": tr("dye block")}[planned.dye_form]
        fine = _too_fine(state, jug.dye, planned.dye_form)
        parts.append(f"{dye_words(state, jug.dye)} {form} ({show_share(planned.dye_load)}{fine})")
    if jug.scent > 0:
        scents = weighed_out(jug.scent, state.plan.layers[layer].scents)
        of = tr(" and ").join(f"{outlook.mass(kg)} {product.name}" for product, kg in scents)
        parts.append(
            tr(
                "{of}, stirred slowly for a minute or two",
                of=of or tr("{mass} scent", mass=outlook.mass(jug.scent)),
            )
        )
    return "; ".join(parts) + "."


def dye_words(state: State, kg: float) -> str:
    """As the scale shows it; what is less than ten of its steps as finely as it can be weighed elsewhere."""
    step = state.plan.scale_step
    return show_mass(kg, state.plan.units, step) if kg >= 10 * step else tr("{kg:.2g} g", kg=kg * 1000)


def _too_fine(state: State, kg: float, form: DyeForm) -> str:
    """`; below your scale's step, so about 11 drops`: dye that the scale does not show, counted where it can be."""
    if kg >= state.plan.scale_step:
        return ""
    count = drops_of(kg) if form == "liquid" else None
    if not count:
        return tr("; below your scale's step")
    return ntr(
        "; below your scale's step, so about {count} drop",
        "; below your scale's step, so about {count} drops",
        count,
        count=count,
    )


# -- moulds ------------------------------------------------------------------------------------------


def pour_says(
    outlook: Outlook, layer: int, amounts: Iterable[tuple[str, float | None]], at: str, *, plug: bool = False
) -> str:
    """A plug or a layer into one or several moulds: each (mould, kg) with its level, one temperature `at`."""
    said = [
        tr("{mass} into {letter}", mass=outlook.mass(kg), letter=letter)
        + (
            ""
            if plug
            else tr(", to {length} below its rim", length=outlook.length(outlook.level(letter, layer)))
        )
        for letter, kg in amounts
    ]
    return tr(
        "{plug} {colour} at {at}: {said}.",
        plug=tr("Plug") if plug else tr("Pour"),
        colour=outlook.colour(layer),
        at=at,
        said="; ".join(said),
    )


def under_says(moulds: str) -> str:
    """The look underneath one mould or several."""
    return tr("Look underneath {letters}: no wax may weep from the wick hole.", letters=letters(moulds))


def look_says(moulds: str, *, holes: bool = False) -> str:
    """The look at a surface, and what makes it ready; with the relief holes that are made on the same way."""
    said = tr(
        "Go and look at {letters}: matt, set to the wall and the wick, no fingerprint, wall still warm?",
        letters=letters(moulds),
    )
    if not holes:
        return said
    return tr(
        "{said} Through any crust make 2-4 relief holes beside the wick, into the liquid.",
        said=said,
    )


def relief_says(moulds: str, *, again: bool) -> str:
    """Relief holes in one mould or several."""
    return tr(
        "{again} 2-4 relief holes beside the wick of {mould}, through the crust into the liquid.",
        again=tr("Reopen") if again else tr("Open"),
        mould=letters(moulds),
    )


def demould_says(moulds: str) -> str:
    """How a mould shows that its candle comes out."""
    return ntr(
        "Demould {letters} when its wall is cold to the hand, a hairline gap shows all round, and it turns or drops at a light tap.",
        "Demould {letters} when their walls are cold to the hand, a hairline gap shows all round, and they turn or drop at a light tap.",
        len(moulds),
        letters=letters(moulds),
    )


def cured_says(outlook: Outlook, moulds: str, give: float) -> str:
    """The burn test that some days of cure allow, and from when (seconds since the epoch) the candle may be given away."""
    return ntr(
        "{letters} has cured {days} and may be burn-tested; ready to give from {when}.",
        "{letters} have cured {days} and may be burn-tested; ready to give from {when}.",
        len(moulds),
        letters=letters(moulds),
        days=days(outlook.cure_days[0]),
        when=dated(local(give), "%a %d %b"),
    )


def why_cured(outlook: Outlook, counted: str) -> str:
    """What a cure rests on; `counted` says from when: `from demoulding`."""
    shortest, longest = outlook.cure_days
    return tr(
        "Burn-tested after {test}, ready to give after {give}, by wax and scent (common practice, no source), {counted}.",
        test=days(shortest),
        give=days(longest),
        counted=counted,
    )
