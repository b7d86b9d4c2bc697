"""What lies further ahead than the next act of each mould, put into the agenda from the day worked out ahead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Kind, Urgency
from pourday.guide.acts.durations import HANDS
from pourday.guide.acts.flame_out import TOO_HOT
from pourday.guide.ahead.day import Step
from pourday.session.act_id import ActId
from pourday.session.events import Part
from pourday.session.state import LIT, State
from pourday.times import NEVER

WORTH_A_LINE: frozenset[Kind] = frozenset({"jug", "pour", "top-up", "heat on", "demould", "cure"})
"""Acts that are listed hours ahead. Looks, holes, readings and the burner's going off follow from these."""
OF_A_LAYER = ("jug", "pour", "top-up")
"""Acts that are told apart by the layer they are about."""
LOOKS = ("look", "look under")
AGAIN = ("heat on", "relief", "top-up")
"""Acts that come several times a day: which time it is belongs to their identity."""
WARMS = 15 * 60.0
"""s that a jug is taken to warm up in, where nothing better is known. An estimate of ours."""


def far_acts(steps: Sequence[Step], acts: Sequence[Act], now: float) -> list[Act]:
    """Acts for the steps of the day ahead that no act of the agenda stands for yet: lines to be read. They are never due and
    file nothing."""
    not_listed = []
    next_due = min((act.due for act in acts), default=now)
    for step in steps:
        if step.kind == "solid" or step.kind not in WORTH_A_LINE:
            continue
        if step.at.likely <= now or _listed(step, acts):
            continue
        if step.kind == "heat on" and step.at.likely < next_due:
            # Until its next act the agenda knows the flame better: by the readings since the day ahead was worked out.
            continue
        due = max(step.at.likely, _looked(step, acts))
        not_listed.append(
            Act(
                id=step.id,
                kind=step.kind,
                word=step.word,
                says=step.says,
                why=step.why,
                due=due,
                moulds=step.moulds,
                layer=step.layer,
                window=step.at if due <= step.at.late else None,
                closes=step.closes,
                urgency=Urgency.NOT_YET,
            )
        )
    return not_listed


def still_ahead(steps: Sequence[Step], then: State, state: State) -> list[Step]:
    """The steps that are still to come, of a day that was worked out from the earlier state `then`: what was done since is
    left out, so that nobody waits for it to be worked out anew."""
    lit = lightings(state) - lightings(then)
    if not TOO_HOT.isdisjoint(state.alarms):
        # Too hot when it was last seen: a reading comes before the next lighting.
        lit += 1
    return [step for step in steps if not _done_since(step, then, state, lit)]


def lightings(state: State) -> int:
    """How often the burner was lit from off; turned low or up again it is not lit anew."""
    ends = {span.end for span in state.burner_spans if span.what in LIT}
    return sum(span.what in LIT and span.start not in ends for span in state.burner_spans)


def _done_since(step: Step, then: State, state: State, lit: int) -> bool:
    """Whether a step was done between the state it was worked out from and now; `lit` is how often the burner has
    been lit since."""
    match step.kind:
        case "heat on":
            return (step.id.nth or 0) < lit
        case "jug":
            return step.layer in state.jugs and step.layer not in then.jugs
        case "plug" | "pour" if step.layer is not None:
            part: Part = "plug" if step.kind == "plug" else "layer"
            return all(
                _has(state, x, step.layer, part) and not _has(then, x, step.layer, part) for x in step.moulds
            )
        case _:
            return False


def _has(state: State, letter: str, layer: int, part: Part) -> bool:
    """Whether this pour of this layer is in a mould."""
    mould = state.moulds.get(letter)
    return mould is not None and mould.poured(layer, part) is not None


def _looked(step: Step, acts: Sequence[Act]) -> float:
    """When the moulds of a pour will have been looked at by the agenda, s since the epoch: nothing is poured before. 0 for
    other steps."""
    if step.kind not in ("pour", "top-up"):
        return 0.0
    looks = [act.due for act in acts if act.kind in LOOKS and set(act.moulds) & set(step.moulds)]
    return max((due + HANDS["look"] for due in looks if due < NEVER), default=0.0)


def with_dates(steps: Sequence[Step], acts: Sequence[Act], now: float) -> list[Act]:
    """The acts; those that wait for heat which is not lit yet, and so have no time, get the time that the day ahead has for
    them."""
    lit = min((act.due for act in acts if act.kind == "heat on"), default=now)
    dated_acts = []
    for act in acts:
        step = next(
            (s for s in steps if act.due == float("inf") and s.at.likely > now and _listed(s, [act])), None
        )
        if step is None:
            dated_acts.append(act)
            continue
        # The heat comes before the wax that it is for.
        hot = lit + WARMS if act.kind in ("pour", "top-up") else now
        dated_acts.append(replace(act, due=max(step.at.likely, hot)))
    return dated_acts


def _listed(step: Step, acts: Sequence[Act]) -> bool:
    """Whether the agenda has an act for a step, or for an earlier time of the same thing: it is the same kind on one of the
    step's moulds, and not done fewer times before."""
    step_ids = _each_mould(step.kind, step.moulds, step.layer)
    return any(
        step_ids & _each_mould(act.kind, act.moulds, act.layer)
        and (step.kind not in AGAIN or (step.id.nth or 0) <= _times_before(act))
        for act in acts
    )


def _each_mould(kind: str, moulds: str, layer: int | None) -> frozenset[ActId]:
    """What to know an act by, one identity a mould, so that acts can be compared that group moulds differently; of an act on
    no mould a single one."""
    of_layer = layer if kind in OF_A_LAYER else None
    return frozenset(ActId(kind, letter, of_layer) for letter in moulds or ("",))


def _times_before(act: Act) -> int:
    """How often an act that comes again and again was done before, in the day ahead's count. 0 for lightings and top-ups, of
    which only the next one's number is known."""
    return 0 if act.kind in ("heat on", "top-up") else act.id.nth or 0
