"""What is being asked at the stove: the question, its answers, the way back, and what stands before leaving."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from pourday.errors import Trouble
from pourday.guide.acts.act import Choice, Question, awaits
from pourday.guide.acts.mould_looks import doubted_look
from pourday.language import tr
from pourday.tui.stove.farewell import COPY, LEAVE, RETRY, before_leaving, still_lit
from pourday.tui.stove.recorder import Recorder

MANY = 9
"""A question with more answers than this does not list them all after a wrong key."""


class OpenQuestion:
    """The question that is open, if any. Nothing goes on record before its last answer."""

    def __init__(self, recorder: Recorder, copy_to: Path) -> None:
        self._recorder = recorder
        self._copy_to = copy_to
        self._farewell: Question | None = None
        self._of_burner = False
        """The question before leaving is the one about the burner, the last there is."""
        self._before: tuple[Question, ...] = ()
        self._sure: Sequence[Choice] = ()
        """Answers to what was asked about a look that can hardly be: those are not doubted again."""
        self.question: Question | None = None
        self.leaving = False
        """The person asked to leave and nothing speaks against it."""

    def ask(self, question: Question | None) -> None:
        """Ask this, or nothing any more."""
        self._open(question, ())

    def _open(self, question: Question | None, before: tuple[Question, ...]) -> None:
        """Open a question, remembering those that led to it, the first one first."""
        self.question, self._before = question, before
        self._recorder.adviser.work_out(question)

    @property
    def nested(self) -> bool:
        """Whether an answer led here, so that one step back is another question."""
        return bool(self._before)

    def offers(self, character: str | None) -> bool:
        """Whether a character answers what is asked."""
        return not awaits(self.question) and self._choice(character) is not None

    def answer(self, key: str, character: str | None, now: float) -> None:
        """One key while something is asked."""
        assert self.question is not None
        if key == "escape":
            self._step_back()
            return
        if awaits(self.question):
            self._recorder.message = tr("Still working out what can be done. Esc steps back.")
            return
        choice = self._choice(character)
        if choice is None:
            self._recorder.message = self._no_answer(self.question)
            return
        question = self.question
        doubted = doubted_look(self._recorder.live.state, self._recorder.advice.outlook, choice, now)
        if doubted is not None and choice not in self._sure:
            self._sure = doubted.choices
            self._open(doubted, (*self._before, question))
            self._recorder.message = ""
            return
        # What was filed is not asked again; one undoes it.
        before = (*self._before, question) if choice.then is not None and not choice.facts else ()
        self._open(choice.then, before)
        self._recorder.message = ""
        if question is self._farewell and self._said_on_leaving(choice.key):
            return
        self._recorder.file_all(choice.facts, now)

    def leave(self) -> None:
        """Leave, or ask what stands before it."""
        self._farewell = before_leaving(self._recorder.live, self._copy_to)
        self._of_burner = not self._recorder.live.unsaved
        self.ask(self._farewell)
        self.leaving = self.question is None

    def _step_back(self) -> None:
        """Go back to the question before."""
        *before, question = self._before or (None,)
        self._open(question, tuple(each for each in before if each is not None))
        self._recorder.message = ""

    def _no_answer(self, question: Question) -> str:
        """What to say to a key that is no answer."""
        keys = ", ".join(choice.key for choice in question.choices)
        few = len(question.choices) <= MANY
        out = tr("step back") if self.nested else tr("leave the question")
        return tr(
            "Answer with {keys}, or Esc to {out}.", keys=keys if few else tr("one of the keys shown"), out=out
        )

    def _choice(self, character: str | None) -> Choice | None:
        """The answer of this key; None for a key that is no answer."""
        if self.question is None or character is None:
            return None
        return next((c for c in self.question.choices if c.key == character.lower()), None)

    def _said_on_leaving(self, key: str) -> bool:
        """Do what an answer to the question before leaving says. False for one that only puts facts on record, as
        any answer does."""
        live = self._recorder.live
        if key == LEAVE:
            self._farewell = None if self._of_burner else still_lit(live)
            self._of_burner = True
            self.ask(self._farewell)
            self.leaving = self.question is None
        elif key == COPY:
            try:
                self._recorder.message = tr(
                    "A copy of everything is now {emergency_copy}.",
                    emergency_copy=live.emergency_copy(self._copy_to),
                )
            except Trouble as trouble:
                self._recorder.message = str(trouble)
        elif key == RETRY:
            self._recorder.message = tr("Everything is saved now.") if live.retry() else ""
        else:
            return False
        return True
