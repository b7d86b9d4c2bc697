"""Which act an act of the agenda is: what is done, to which moulds and which layer, and how it stands in the record.

The record keeps it as text (`Waived.act`, `Told.act`): what is done, the layer, the moulds, and a number that tells it
from the same act at another time: `pour 1 A`, `jug 2`, `look A 3`, `heat on 1792962000`. A letter is a mould, and a
number before one is a layer. Here alone that text is written and read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

OF_A_JUG = frozenset({"jug", "drop", "melt jug"})
"""Acts on a jug: the first number in their text is the layer that the jug is for, though no mould follows."""
WAIT, FAR = "wait ", "far "
BACK = "back "
"""Before what is asked first after an absence."""
_NUMBER = "0|-?[1-9][0-9]*"
_NAMED = re.compile(rf"(?P<what>timer soon|timer|alarm) (?P<name>.+?)(?: (?P<nth>{_NUMBER}))?", re.DOTALL)
_PLAIN = re.compile(
    r"(?P<what>[a-z][a-z?-]*(?: [a-z][a-z?-]*)*)"
    rf"(?: (?P<layer>{_NUMBER}))?(?: (?P<moulds>[A-Z]+))?(?: (?P<nth>{_NUMBER})(?P<also>[A-Z]+)?)?"
)


@dataclass(frozen=True, slots=True)
class ActId:
    """The identity of an act: equal as long as it is the same act, whatever its sentence says and whenever it is due."""

    what: str
    """What is done, in the words of the record: `pour`, `look under`, `back burner`."""
    moulds: str = ""
    """Letters of the moulds it is done to; empty where it is done to none."""
    layer: int | None = None
    nth: int | None = None
    """Tells it from the same act at another time: how often it was done before, the entry or the second it follows."""
    name: str = ""
    """Of an alarm, or of a timer as the person wrote it."""
    waits: bool = False
    """Not the act, but waiting for it."""
    far: bool = False
    """Only seen in the day worked out ahead: no act of the moment stands for it yet."""

    def __str__(self) -> str:
        """As the record has it."""
        parts = (self.what, self.layer, self.moulds, self.name, self.nth)
        text = " ".join(str(part) for part in parts if part not in (None, ""))
        return f"{WAIT * self.waits}{FAR * self.far}{text}"


def read_act_id(text: str) -> ActId:
    """The act that a text of the record names; a text that names none it knows is taken whole as what is done."""
    rest = text.removeprefix(WAIT)
    waits, planned = rest != text, rest.removeprefix(FAR)
    far = planned != rest
    if match := _NAMED.fullmatch(planned):
        nth = int(match["nth"]) if match["nth"] else None
        return ActId(match["what"], name=match["name"], nth=nth, waits=waits, far=far)
    # A step of the day ahead that has no mould was once written with the space left where its letter would stand.
    match = _PLAIN.fullmatch(" ".join(planned.split()) if far else planned)
    if match is None:
        return ActId(planned, waits=waits, far=far)
    what = match["what"]
    layer, nth = (int(number) if number else None for number in match.group("layer", "nth"))
    if not match["moulds"] and nth is None and what not in OF_A_JUG:
        layer, nth = None, layer
    return ActId(
        what,
        # Holes in several moulds in one go were once written `relief A 0B`.
        (match["moulds"] or "") + (match["also"] or ""),
        layer,
        nth,
        waits=waits,
        far=far,
    )
