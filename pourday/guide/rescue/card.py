"""The shape of a rescue card: what went wrong, the first move, figures, what to record, and the ways on."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourday.guide.acts.act import Choice, Question
from pourday.session.events import RescueChosen

DEFERS = "Your supplier's sheet, local rules and the emergency services outrank this card."


@dataclass(frozen=True, slots=True)
class Card:
    id: str
    key: str
    title: str
    first: str
    """The first move, before anything is read."""
    figures: tuple[str, ...]
    record: str
    """What is worth putting on record."""
    choices: tuple[Choice, ...] = ()

    @property
    def text(self) -> str:
        """The whole card, a line for each thing it says, the first move first."""
        return "\n".join(
            part for part in (self.first, *self.figures, f"Record: {self.record}", DEFERS) if part
        )

    @property
    def choice(self) -> Choice:
        """The card as one answer; it shows itself whole before anything is filed."""
        return Choice(self.key, self.title, then=Question(self.text, self.choices))

    def with_choices(self, *choices: Choice) -> Card:
        return replace(self, choices=choices)


def chosen(card: Card, option: str, *, mould: str = "", layer: int | None = None) -> RescueChosen:
    """What picking this way of a card puts on record."""
    return RescueChosen(card=card.id, option=option, mould=mould, layer=layer, says=card.first)
