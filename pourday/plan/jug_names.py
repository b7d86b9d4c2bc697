"""What the jug of a layer is called: one name for it in question, agenda, picture and record."""

from __future__ import annotations

from pourday.language import tr
from pourday.plan.model import Plan

LONGEST_IN_BLOCKS = 8
"""Letters that the name of a jug can have in block letters three rows high on eighty columns."""


def jug_name(plan: Plan, layer: int) -> str:
    """Its colour; the number of its layer where it has none, or where another jug has the same colour."""
    colours = [each.colour.strip().lower() for each in plan.layers]
    if not 0 <= layer < len(colours) or not colours[layer] or colours.count(colours[layer]) > 1:
        return str(layer + 1)
    # A colour that is called by a number would be taken for another jug's.
    return str(layer + 1) if colours[layer].isdigit() else plan.layers[layer].colour.strip()


def go_by_numbers(plan: Plan) -> bool:
    """Whether large words call the jugs by the numbers of their layers: where one name is too long for them, or has letters
    that have no block form, all do, for names and numbers side by side would look like two kinds of jug."""
    names = (jug_name(plan, layer) for layer in range(len(plan.layers)))
    return not all(
        len(name) <= LONGEST_IN_BLOCKS and name.isascii() and name.replace(" ", "").isalnum()
        for name in names
    )


def the_jug(plan: Plan, layer: int) -> str:
    """The same within a sentence: `the rust jug`, `jug 3 (white)`."""
    name = jug_name(plan, layer)
    return called_jug(plan, layer) if name.isdigit() else tr("the {name} jug", name=name)


def called_jug(plan: Plan, layer: int) -> str:
    """The same without an article, as it stands beside a figure: `rust jug`, `jug 3 (white)`."""
    name = jug_name(plan, layer)
    if not name.isdigit():
        return tr("{name} jug", name=name)
    colour = plan.layers[layer].colour.strip() if 0 <= layer < len(plan.layers) else ""
    return (
        tr("jug {name} ({colour})", name=name, colour=colour)
        if colour and colour != name
        else tr("jug {name}", name=name)
    )
