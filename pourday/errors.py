"""The one error a person can act on.

Everything that goes wrong because of what was typed, weighed, stored or asked for is raised as
`Trouble`: what happened, why, and what to do instead, in plain words. The doors (command line,
screen) print it as it stands; a traceback is only ever a defect of ours.
"""

from __future__ import annotations


class Trouble(Exception):
    """Something the person at the stove can act on."""

    def __init__(self, what: str, why: str = "", instead: str = "") -> None:
        self.what = what
        """What happened, a whole sentence."""
        self.why = why
        """Why, a whole sentence, or empty where `what` says it all."""
        self.instead = instead
        """What to do or type instead, a whole sentence."""
        super().__init__(" ".join(part for part in (what, why, instead) if part))

    def __reduce__(self) -> tuple[object, ...]:
        """Comes whole through a pipe, though kinds of it are made from other parts."""
        return type(self).__new__, (type(self), *self.args), self.__dict__
