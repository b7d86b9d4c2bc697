"""The fire card and first aid for a burn, as every screen and the command line show them. Imports nothing: it is there at once.

Molten wax burns as a liquid does: class B of the US and the EU. The order (heat off, lid, leave it covered, no water) is that
of fire-protection associations as local fire services publish it; powder or CO2, and no water jet, is what safety data sheets
of paraffin wax name. Burns: 20 minutes of cool running water, as a fire and rescue service publishes it; wax that has stuck stays (safety data
sheets). Whom to call, and when, is common first-aid teaching, read in summaries only.
"""

from __future__ import annotations

from pourday.language import tr

EXTINGUISHER = tr("an extinguisher marked B (powder or CO2)")
"""What to have at hand: wax is no cooking fat (class F or K), whose wet chemical is made for the kitchen's deep fryer."""

FIRE_TITLE = tr("FIRE: LID, NO WATER")
FIRE_STEPS = (
    tr("HEAT OFF, if you can reach it."),
    tr("LID ON: slide a lid or tray over, from your side away."),
    tr("LEAVE IT COVERED until it is cold. Do not move the pot."),
    tr("NO WATER. It throws burning wax."),
    tr("OUT AND CALL the emergency number if it is not small."),
)
FIRE_MORE = tr(
    "If it spreads, and only with the way out behind you: {extinguisher}, from a distance.",
    extinguisher=EXTINGUISHER,
)
BURN_SHORT = tr("Burns: cool running water for 20 minutes. Rings off. No ice. Wax that sticks stays on.")

BURN_FIRST = tr(
    "Cool running tap water on it NOW, for 20 minutes. Rings and watch off. Wax that sticks to the skin stays on."
)
BURN_MORE = (
    tr(
        "No ice, butter or toothpaste. Then lay cling film or a clean cloth over it, not round it; keep warm."
    ),
    tr(
        "Call the emergency number: a large or deep burn (white, brown, charred), the face or an eye, trouble with breathing."
    ),
    tr("See a doctor today: larger than the palm, on hand, foot or joint, blisters, or a child of any age."),
)
DEFERS = tr("Local rules and the emergency services outrank this card.")


def fire_text() -> tuple[str, ...]:
    """The whole card, a line for each thing it says."""
    steps = (f"{number}  {step}" for number, step in enumerate(FIRE_STEPS, 1))
    return (FIRE_TITLE, "", *steps, "", FIRE_MORE, "", tr("BURNS"), BURN_FIRST, *BURN_MORE, "", DEFERS)
