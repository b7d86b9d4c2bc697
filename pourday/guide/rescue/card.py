"""The shape of a rescue card: what went wrong, the first move, figures, what to record, and the ways on."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourday.guide.acts.act import Choice, Question
from pourday.language import tr
from pourday.session.events import BurnerSet, Fact, RescueChosen
from pourday.session.state import State

ONLY_BATH = tr("Never on the flame itself, never in a microwave oven.")
"""How set wax is not melted. Microwaved wax reached 108.5 °C, unevenly (Chang et al., Eplasty 11 (2011) e25)."""
DEFERS = tr("Your supplier's sheet, local rules and the emergency services outrank this card.")


@dataclass(frozen=True, slots=True)
class Card:
    """What to do about one thing that went wrong."""

    id: str
    """As it goes on record."""
    key: str
    """That picks it."""
    title: str
    first: str
    """The first move, done before anything else is read."""
    figures: tuple[str, ...]
    """Sentences with the figures of this moment."""
    record: str
    """What is worth putting on record."""
    choices: tuple[Choice, ...] = ()
    """What can be done about it."""

    @property
    def text(self) -> str:
        """The whole card, a line for each thing it says, the first move first."""
        return "\n".join(
            part
            for part in (self.first, *self.figures, tr("Record: {record}", record=self.record), DEFERS)
            if part
        )

    @property
    def choice(self) -> Choice:
        """The card as one answer; it shows itself whole before anything is filed."""
        return Choice(self.key, self.title, then=Question(self.text, self.choices, self.title))

    def with_choices(self, *choices: Choice) -> Card:
        """The card with what can be done about it."""
        return replace(self, choices=choices)


def chosen(card: Card, option: str, *, mould: str = "", layer: int | None = None) -> RescueChosen:
    """The fact that goes on record when an option of a card is picked, for a mould or a layer where it is about one."""
    return RescueChosen(card=card.id, option=option, mould=mould, layer=layer, says=card.first)


def burner_off(state: State) -> tuple[Fact, ...]:
    """The fact that the burner was turned off, where it was not off already."""
    return () if state.burner == "off" else (BurnerSet(state="off"),)
