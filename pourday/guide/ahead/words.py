"""The words of an imagined day: what each act says, why it is there, and what gets in its way."""

from __future__ import annotations

from pourday.forecast import fuse
from pourday.guide.acts.durations import LATE
from pourday.guide.acts.load_pot import load_says
from pourday.guide.acts.wording import (
    WHY_JUG,
    WHY_LOAD,
    WHY_ON_PLUG,
    WHY_OUT,
    WHY_PLUG,
    WHY_RELIEF,
    WHY_UNDER,
    cured_says,
    demould_says,
    heat_low_says,
    heat_off_says,
    heat_on_says,
    jug_says,
    look_says,
    pour_says,
    relief_says,
    under_says,
    why_cured,
)
from pourday.guide.ahead.schedule import PlannedAct
from pourday.guide.outlook.moulds import WELD
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session.events import Part
from pourday.session.quiet_hours import PersonsClock
from pourday.times import DAY, clock, letters, span

PARTS: dict[str, Part] = {"plug": "plug", "pour": "layer", "top-up": "top-up"}


def says_of(act: PlannedAct, outlook: Outlook) -> str:
    """What there is to do, with amounts, in the agenda's words."""
    match act.kind:
        case "load":
            return load_says(outlook)
        case "heat on":
            return heat_on_says(outlook)
        case "heat low":
            return heat_low_says(tr("It holds them hot until they are poured."), "on")
        case "heat off":
            return heat_off_says(tr("A full bath holds the heat."))
        case "jug" if act.layer is not None:
            return jug_says(outlook, act.layer)
        case "plug" | "pour" | "top-up":
            return _pour(act, outlook)
        case "look under":
            return under_says(act.moulds)
        case "look":
            return look_says(act.moulds)
        case "relief":
            return " ".join(relief_says(x, again=act.nth > 0) for x in act.moulds)
        case "solid":
            return tr("{letters} has nothing liquid left inside.", letters=letters(act.moulds))
        case "demould":
            return demould_says(act.moulds)
        case _:
            shortest, longest = outlook.cure_days
            return cured_says(outlook, act.moulds, act.start + (longest - shortest) * DAY)


def _pour(act: PlannedAct, outlook: Outlook) -> str:
    """A pour, as much and as hot as the plan has it for each of its moulds."""
    assert act.layer is not None
    part, layer = PARTS[act.kind], act.layer
    amounts = [(letter, outlook.portion(letter, layer, part)) for letter in act.moulds]
    hotter = WELD if part == "top-up" else 0.0
    celsius = sorted(outlook.sheet.pour(letter, layer).pour_c + hotter for letter in act.moulds)
    at = " / ".join(dict.fromkeys(map(outlook.degrees, celsius)))
    if part == "top-up":
        wells = "; ".join(
            tr("{letter}, up to {mass}", letter=letter, mass=outlook.mass(kg)) for letter, kg in amounts
        )
        return tr("Fill the well and holes at {at}: {wells}.", at=at, wells=wells)
    return pour_says(outlook, layer, amounts, at, plug=part == "plug")


def why_of(act: PlannedAct, outlook: Outlook) -> str:
    """What an act rests on: what the agenda says of it, or what was computed."""
    match act.kind:
        case "load":
            return WHY_LOAD
        case "heat on":
            return tr("Worked back so that the wax is hot when it is wanted; the pot's own forecast.")
        case "heat low":
            return tr("A low flame holds the wax for hours; nothing has to be heated anew for the next pour.")
        case "heat off":
            return tr("Hot enough: no need to keep the burner lit.")
        case "jug":
            return WHY_JUG
        case "plug":
            return WHY_PLUG
        case "look under":
            return WHY_UNDER
        case "look" | "pour" | "top-up" if act.opens is not None:
            closes = tr(", closes {clock}", clock=clock(act.closes)) if act.closes is not None else ""
            return tr(
                "Computed: the surface carries wax from about {clock}{closes}.",
                clock=clock(act.opens),
                closes=closes,
            )
        case "look":
            return tr("Computed from the heat left in the layer; what is seen decides.")
        case "pour":
            return WHY_ON_PLUG
        case "relief":
            return WHY_RELIEF
        case "demould":
            return tr("{why_out} By then its core is hardly warmer than the room.", why_out=WHY_OUT)
        case "cure":
            return why_cured(outlook, tr("once it is out, or cold in its vessel"))
        case _:
            return tr("Computed from the heat left in the mould.")


def note_of(act: PlannedAct, waits: str, outlook: Outlook, persons: PersonsClock) -> str:
    """What goes wrong with an act, and what would help; empty where all goes well."""
    if act.kind not in ("pour", "top-up", "plug", "look"):
        return ""
    what = f"{act.kind} {letters(act.moulds)}".strip()
    if act.window is not None and act.kind == "pour":
        ways = fuse.what_would_open(act.window, outlook.degrees)
        return " ".join(
            [tr("{what}, empty window:", what=what), fuse.why(act.window, outlook.degrees), *ways[:2]]
        )
    if act.closes is not None and act.start > act.closes + LATE:
        by = span(act.start - act.closes)
        cause = {"stove": tr("the wax is not hot before that"), "hands": tr("your hands are elsewhere")}.get(
            waits, ""
        )
        why = f": {cause}" if cause else ""
        return tr(
            "{what} comes {by} after its window closed at {clock}{why}; expect a weak join.",
            what=what,
            by=by,
            clock=clock(act.closes),
            why=why,
        )
    if act.kind == "pour" and persons.quiet(act.start):
        return tr(
            "{what} falls into your quiet hours; left until morning it has to be warmed before the pour.",
            what=what,
        )
    if waits and act.kind != "look":
        by = span(act.start - act.wanted) if waits == "hands" else ""
        if waits == "hands":
            return tr(
                "{what} waits {by} for your hands; both jugs ready beforehand would help.", what=what, by=by
            )
        return tr("{what} waits for hot wax; lighting the burner sooner would help.", what=what)
    return ""
