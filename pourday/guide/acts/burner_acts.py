"""The burner: lit, turned low or off, in time for what is poured next, and never past what wax may stand.

A full flame (`flame_full.py`) melts and warms. A low one (`flame_low.py`) holds what is poured within `HOLD_LOW`: jugs stand
in the bath and are left there. While jugs are drawn and scented, and where nothing is poured for long, it is out
(`flame_out.py`). What a turn is and says stands in `flame_turns.py`, what it would do to the wax in `flame_effect.py`.
"""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.cautions import heat
from pourday.guide.acts.flame_full import full_flame_acts
from pourday.guide.acts.flame_low import low_flame_acts
from pourday.guide.acts.flame_out import flame_out_acts
from pourday.guide.acts.heat_plan import PourNeed
from pourday.guide.outlook.absence import burner_question_skipped
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State


def burner_acts(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> list[Act]:
    """What is to be done at the burner, with the reading that goes before it; `free` is when the hands have time for a
    jug."""
    match state.burner:
        case "unknown":
            return [_asked(state)]
        case "on":
            return full_flame_acts(state, outlook, wanted, now, free)
        case "low":
            return low_flame_acts(state, outlook, wanted, now, free)
        case _:
            return flame_out_acts(state, outlook, wanted, now, free)


def burner_question() -> Question:
    """Whether the burner is lit."""
    return Question(
        tr("The burner is:"),
        (
            Choice("o", tr("off"), (ev.BurnerSet(state="off"),)),
            Choice("l", tr("lit"), (ev.BurnerSet(state="on"),)),
            Choice("w", tr("lit, low"), (ev.BurnerSet(state="low"),)),
        ),
    )


def _asked(state: State) -> Act:
    """The question for a burner that nobody watched."""
    return Act(
        id=ActId("burner?"),
        kind="burner?",
        word=tr("HEAT?"),
        says=tr("Nobody watched the stove meanwhile. Look at the burner first: is it lit?"),
        why=tr("Until somebody has looked, an unknown burner counts as lit."),
        due=state.burner_since,
        caution=heat(state),
        question=burner_question(),
        # Asked before anything else, until the person put it off: then what is due goes on before it.
        urgency=Urgency.UNHURRIED if burner_question_skipped(state) else Urgency.FIRST,
    )
