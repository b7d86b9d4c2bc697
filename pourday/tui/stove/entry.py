"""What is half typed at the stove, and where it will go once it is filed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from pourday.errors import Trouble
from pourday.guide.acts.act import Act
from pourday.guide.acts.pour_heat import coming_layer
from pourday.guide.acts.pour_size import POURS
from pourday.guide.outlook.jugs import standing_jugs
from pourday.language import figures, tr, word
from pourday.plan.model import Units
from pourday.session.events import Place, TimerSet, moment
from pourday.session.state import State
from pourday.text import plain
from pourday.units import Temperature, read_mass, read_temperature

LONGEST, A_WEIGHT = 12, 6
"""Characters of a reading, more of which is a stuck key; and of each weight where one pour has several moulds."""
PLACE_KEYS: Mapping[str, Place | Literal["weight"]] = {
    "p": "pot",
    "j": "jug",
    "s": "surface",
    "w": "weight",
    "b": "bath",
    "r": "room",
}
"""Once a digit is typed, the letter that says where it was read;"""
JUG_KEYS = "jklmnoqtuvx"
"""of several jugs each has one of these, in the order of their layers."""


@dataclass(frozen=True, slots=True)
class Target:
    """Where typed digits go: a temperature at a place, or a weight from the scale."""

    place: Place | Literal["weight"]
    mould: str = ""
    jug: int | None = None
    """The layer whose jug it is; None where there is none."""
    pours: str = ""
    """The moulds of the pour that the sentence asks for, as which a weight is filed."""
    poured_from: str = field(default="", compare=False)
    """Of a jug, the moulds of the pour that the sentence asks for: what the jug reads can be filed with it. The jug is the same
    place with and without it."""
    candles: str = ""
    """The moulds whose candles are out and not weighed yet, where there are several: their weights are typed in one line."""

    @property
    def numbers(self) -> int:
        """How many can be typed in one line: weights of several moulds, or of a jug its reading and then the weights poured."""
        return len(self.pours or self.candles or (f".{self.poured_from}" if self.poured_from else "."))

    @property
    def name(self) -> str:
        """As it is shown: `surface B`."""
        return f"{word(self.place)} {self.mould}".strip()


@dataclass(frozen=True, slots=True)
class PendingNumber:
    """A reading or a weight as far as it is typed."""

    text: str = ""
    unit: str = ""
    """c or f once that key was pressed."""
    target: Target | None = None
    """None as long as nothing is typed or chosen: digits go where the sentence asks for them."""

    def typed(self, character: str) -> tuple[PendingNumber, str]:
        """The entry after one more character, and a sentence where it was not taken."""
        lower = character.lower()
        if lower in ("c", "f"):
            return replace(self, unit=lower), ""
        if character.isalpha():
            return (
                self,
                tr(
                    "“{character}” means nothing after {typed}: the letters beside it say where it was read, c or f the unit, Enter files, Esc drops.",
                    character=character,
                    typed=self.text,
                ),
            )
        several = self.target.numbers if self.target else 0
        if len(self.text) >= max(LONGEST, A_WEIGHT * (several + 1) if several > 1 else 0):
            return self, tr("A reading has no more than {longest} characters. Esc drops it.", longest=LONGEST)
        return replace(self, text=self.text + character), ""

    def rubbed(self) -> PendingNumber:
        """The same without its unit, or without its last character where it has none."""
        return replace(self, unit="") if self.unit else replace(self, text=self.text[:-1])

    def temperature(self, units: Units, place: str) -> Temperature:
        """The reading; before weights of a pour the first of what is typed. Raises `Trouble` for what is none."""
        first = self.text.split()[0] if self.with_pour else self.text
        return read_temperature(first + self.unit, units, "room" if place == "room" else "wax")

    def weight(self, units: Units) -> tuple[float, str]:
        """kg and the text with its unit. Raises `Trouble` for what is no weight."""
        if self.unit:
            raise Trouble(
                tr("A weight is not in °{unit}.", unit=self.unit.upper()),
                instead=tr("Type it without a unit, or Tab to a temperature."),
            )
        kg = read_mass(self.text, units).value
        return kg, f"{self.text} {'g' if units == 'metric' else 'oz'}"

    @property
    def with_pour(self) -> bool:
        """Whether Space was pressed after what a jug reads, so that its pour is filed with it."""
        return self.target is not None and self.target.place == "jug" and " " in self.text

    def weights(self, units: Units) -> list[tuple[float, str]]:
        """(kg, the text with its unit) of the weights typed one after the other, behind a reading or not. Raises `Trouble`
        where one of them is none."""
        after = 1 if self.target is not None and self.target.place == "jug" else 0
        texts = self.text.split()[after:]
        return [PendingNumber(text=text, unit="" if after else self.unit).weight(units) for text in texts]


def targets(state: State, act: Act | None) -> list[Target]:
    """Every place a reading can be of, the one the sentence asks for first."""
    pours = act.moulds if act is not None and act.kind in POURS else ""
    jugs = [
        Target("jug", jug=layer, poured_from=pours if act is not None and act.layer == layer else "")
        for layer in standing_jugs(state)
    ] or [Target("jug")]
    letters = sorted(letter for letter, mould in state.moulds.items() if mould.pours)
    out = "".join(x for x in letters if state.moulds[x].demoulded_at and state.moulds[x].candle_kg is None)
    places = [_asked_for(state, act, jugs, out)] if act is not None else []
    places += [Target("pot"), *jugs]
    if act is not None and act.kind in POURS:
        places.append(Target("weight", act.moulds[:1], pours=act.moulds))
    newest = max(letters, key=lambda x: state.moulds[x].pours[-1].t, default=None)
    if len(out) > 1:
        places.append(_of_candles(out))
    elif newest is not None:
        places.append(Target("weight", newest))
    places += [Target("surface", letter) for letter in letters]
    places += [Target("weight", letter) for letter in letters]
    places += [Target("bath"), Target("room")]
    unique: list[Target] = []
    for target in places:
        if target not in unique:
            unique.append(target)
    return unique


def _of_candles(out: str) -> Target:
    """The weights of the candles that are out of their moulds and not weighed yet: one, or several in one line."""
    return Target("weight", out[0], candles=out if len(out) > 1 else "")


def _asked_for(state: State, act: Act, jugs: list[Target], out: str) -> Target:
    """Where the sentence asks for a number: of a jug, the one that its act is about, else the first; of a candle that is out of
    its mould its weight, for no thermometer goes into it. `out` are those that are not weighed yet."""
    place, letter = act.place
    if place == "candle" and letter in state.moulds and state.moulds[letter].demoulded_at:
        return _of_candles(out) if letter in out else Target("weight", letter)
    if place != "jug":
        return Target(place, letter)
    layer = act.layer if act.layer is not None or not act.moulds else coming_layer(state, act)
    return next((target for target in jugs if target.jug == layer), jugs[0])


def place_letters(places: list[Target]) -> dict[str, list[Target]]:
    """Which places each letter stands for, in the order in which they are shown; pressed again it goes to the next
    of them."""
    jugs = sorted((target for target in places if target.place == "jug"), key=lambda x: x.jug or 0)
    letters: dict[str, list[Target]] = {}
    for key, place in PLACE_KEYS.items():
        if place == "jug":
            letters |= {letter: [jug] for letter, jug in zip(JUG_KEYS, jugs, strict=False)}
        else:
            letters[key] = [target for target in places if target.place == place]
    return letters


def read_timer(text: str, now: float) -> TimerSet:
    """A timer from `12 second wick`: minutes, then a name. Raises `Trouble` for what has no minutes."""
    minutes, _, name = text.partition(" ")
    try:
        length = float(minutes.replace(",", "."))
    except ValueError:
        length = -1.0
    if not 0 < length <= 24 * 60:
        raise Trouble(
            tr("“{minutes}” is not a number of minutes.", minutes=plain(minutes, 20)),
            instead=tr("Type it first, like: 12 second wick."),
        )
    return TimerSet(
        name=plain(name, 40) or figures("{length:g} min", length=length), due=moment(now + length * 60)
    )
