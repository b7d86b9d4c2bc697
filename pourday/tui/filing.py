"""Facts put on record from a page, and the sentence that says what of them is on disk."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.session.describe import say_fact
from pourday.session.events import Fact
from pourday.store.live import LiveSession


def filed(
    live: LiveSession, facts: Sequence[Fact], plan: Plan, *, now: float, at: float | None = None
) -> tuple[bool, str]:
    """(whether all is on disk, what is said of it): facts filed at `now` (s since the epoch) about the moment `at`.

    The first one that cannot be filed ends it; those before it stand.
    """
    said = []
    for fact in facts:
        try:
            live.file(fact, now=now, at=at)
        except Trouble as trouble:
            return False, str(trouble)
        said.append(say_fact(fact, plan))
    if live.unsaved:
        return False, tr("NOT SAVED: {trouble}", trouble=live.trouble)
    return True, tr("Filed: {said}.", said="; ".join(said))
