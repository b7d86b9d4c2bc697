"""The words of an imagined day: what each act says, why it is there, and what gets in its way."""

from __future__ import annotations

from pourday.forecast import fuse
from pourday.guide.acts.durations import LATE
from pourday.guide.ahead.schedule import PlannedAct
from pourday.guide.outlook.moulds import WELD
from pourday.guide.outlook.outlook import Outlook
from pourday.session.events import Part
from pourday.session.quiet_hours import PersonsClock
from pourday.times import clock, days, letters, span

PARTS: dict[str, Part] = {"plug": "plug", "pour": "layer", "top-up": "top-up"}


def says_of(mark: PlannedAct, outlook: Outlook) -> str:
    """What there is to do, with amounts."""
    names = letters(mark.moulds)
    match mark.kind:
        case "heat on":
            return f"Light the burner under the bath; wax to {outlook.degrees(outlook.melt_c)}."
        case "heat off":
            return "Burner off: a full bath holds the heat."
        case "jug":
            return _jug(mark, outlook)
        case "plug" | "pour" | "top-up":
            return _pour(mark, outlook)
        case "look under":
            return f"Look underneath {names}: no wax may weep."
        case "look":
            return f"Go and look at {names}: firm to the wall, wall still warm?"
        case "relief":
            depth = min(outlook.relief_depth(x) for x in mark.moulds)
            again = "Reopen" if mark.nth else "Open"
            return f"{again} relief holes in {names}, {outlook.length(depth)} deep at most."
        case "solid":
            return f"{names} has nothing liquid left inside."
        case "demould":
            return f"Demould {names} when its wall is cold and it turns."
        case _:
            return f"{names} has cured {days(outlook.cure_days[0])} and can be burn-tested."


def _jug(mark: PlannedAct, outlook: Outlook) -> str:
    assert mark.layer is not None
    jug = outlook.jug(mark.layer)
    scent = f", {outlook.mass(jug.scent)} scent" if jug.scent > 0 else ""
    return f"Draw {outlook.mass(jug.wax)} for {outlook.colour(mark.layer)}{scent}; colour and stir."


def _pour(mark: PlannedAct, outlook: Outlook) -> str:
    assert mark.layer is not None
    part = PARTS[mark.kind]
    amounts = []
    for letter in mark.moulds:
        said = f"{outlook.mass(outlook.portion(letter, mark.layer, part))} into {letter}"
        if part == "layer":
            said += f", to {outlook.length(outlook.level(letter, mark.layer))} below its rim"
        amounts.append(said)
    hotter = WELD if part == "top-up" else 0.0
    at = {outlook.degrees(outlook.sheet.pour(x, mark.layer).pour_c + hotter) for x in mark.moulds}
    return f"{outlook.colour(mark.layer)} at {' / '.join(sorted(at))}: {'; '.join(amounts)}."


def why_of(mark: PlannedAct, outlook: Outlook) -> str:
    """What an act rests on."""
    match mark.kind:
        case "heat on":
            return "Worked back so that the wax is hot when it is wanted; the pot's own forecast."
        case "heat off":
            return "Hot enough; the burner has no business being lit for longer."
        case "jug":
            return "Colour and scent need some minutes before the pour."
        case "plug":
            return "A small first pour seals the wick hole."
        case "look under":
            return "A seal that weeps now runs when the mould is full."
        case "look" | "pour" | "top-up" if mark.opens is not None:
            closes = f", closes {clock(mark.closes)}" if mark.closes is not None else ""
            return f"Computed: the surface carries wax from about {clock(mark.opens)}{closes}."
        case "look":
            return "Computed from the heat left in the layer; what is seen decides."
        case "pour":
            return "The plug is dry underneath and still warm."
        case "relief":
            return "Air behind the shrinking core keeps it from dragging the wick."
        case "demould":
            return "It stands overnight (common practice, no source); by then its core is within 3 K of the room."
        case "cure":
            shortest, longest = outlook.cure_days
            return f"Cure of {shortest}-{longest} days (common practice, no source), once it is out, or cold in its vessel."
        case _:
            return "Computed from the heat left in the mould."


def note_of(mark: PlannedAct, waits: str, outlook: Outlook, persons: PersonsClock) -> str:
    """What goes wrong with an act, and what would help; empty where all goes well."""
    if mark.kind not in ("pour", "top-up", "plug", "look"):
        return ""
    what = f"{mark.kind} {letters(mark.moulds)}".strip()
    if mark.window is not None and mark.kind == "pour":
        ways = fuse.what_would_open(mark.window, outlook.degrees)
        return " ".join([f"{what}, empty window:", fuse.why(mark.window, outlook.degrees), *ways[:2]])
    if mark.closes is not None and mark.start > mark.closes + LATE:
        by = span(mark.start - mark.closes)
        cause = {"stove": "the pot is not hot sooner", "hands": "your hands are elsewhere"}.get(waits, "")
        why = f": {cause}" if cause else ""
        return f"{what} comes {by} after its window closed at {clock(mark.closes)}{why}; expect a weak seam."
    if mark.kind == "pour" and persons.quiet(mark.start):
        return f"{what} falls into your quiet hours; left until morning it has to be warmed before the pour."
    if waits and mark.kind != "look":
        by = span(mark.start - mark.wanted) if waits == "hands" else ""
        if waits == "hands":
            return f"{what} waits {by} for your hands; both jugs ready beforehand would help."
        return f"{what} waits for hot wax; lighting the burner sooner would help."
    return ""
