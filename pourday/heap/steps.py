"""The guided run with wax that nobody knows: its steps, what each asks and says, and which of them comes next.

What is asked follows from the record alone, so that a run that was killed asks the same again. The order is the
trade's (sort, melt at 80 °C, wicks and metal out, settle, strain; common practice, no source); no step locks another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from pourday.heap.lot import HEAP_MOST_C
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.session.heap import HeapState
from pourday.session.state import LIT, State
from pourday.text import plain
from pourday.units import show_mass, show_temperature

MELT_C = 80.0
"""°C at which old candles are melted: common practice, no source."""
SETTLES = 15 * 60.0
"""s until dregs lie at the bottom: 10 to 15 min, common practice, no source."""
KEPT_WARM = 3 * 3600.0
"""s for which melted wax is kept warm until water in it lies at the bottom: common practice, no source."""
LEAST_SAMPLE, MOST_SAMPLE = 0.025, 0.100
"""kg of wax in the tin: ASTM D87 asks for 25 g at least; 100 g take an hour already."""

Kind = Literal["confirm", "choice", "weight", "temperature", "number", "words", "wait", "beat"]
StepId = Literal[
    "what", "sort", "weigh", "light", "molten", "wicks", "settle", "strain", "warm", "water", "off", "clean", "colour",
    "smell", "melted", "sample", "around", "cool", "curve", "surface", "nail", "dry", "aside", "liquid", "name", "end",
]  # fmt: skip
Answer = Callable[[float, str], tuple[Fact, ...]]
"""From the value in SI and the text as typed, or the number of the choice, to what goes on record."""


@dataclass(frozen=True, slots=True)
class RunStep:
    """One step of the run."""

    id: StepId
    row: str
    """What it is called in the list of steps."""
    word: str
    """For the big letters."""
    says: str
    kind: Kind
    answer: Answer
    choices: tuple[str, ...] = ()
    done: bool = False
    tells: str = ""
    """What came of it, in a word or two."""
    until: float | None = None
    """When a wait is over, s since the epoch."""
    can_leave: bool = True
    """Whether it may be left out."""


def steps_of(
    state: State, skipped: frozenset[StepId] = frozenset(), *, again: bool = False
) -> tuple[RunStep, ...]:
    """All steps in their order; those in `skipped` count as done for now.

    `again`: another curve is to be taken, of which nothing is on record yet.
    """
    heap = state.heap
    if heap is None:
        return ()
    groups = (
        _begin(heap),
        _melt(state, heap),
        _look(heap),
        _curve(state, heap, again=again),
        _block(state, heap),
    )
    steps = [step for group in groups for step in group]
    return tuple(
        RunStep(
            s.id,
            s.row,
            s.word,
            s.says,
            s.kind,
            s.answer,
            s.choices,
            True,
            s.tells or "left out",
            s.until,
            s.can_leave,
        )
        if not s.done and (s.id in skipped or _left_out(heap, s.id))
        else s
        for s in steps
    )


def _left_out(heap: HeapState, step: StepId) -> bool:
    """Whether the record has it that this question was not answered."""
    question = LEFT_OUT.get(step)
    return step in ONLY_ASKED and question in heap.steps


def next_step(steps: tuple[RunStep, ...]) -> int:
    """The place of the first step that is not done."""
    return next((n for n, step in enumerate(steps) if not step.done), len(steps) - 1)


LEFT_OUT: dict[StepId, ev.HeapStep] = {
    "sort": "sorted", "molten": "molten", "wicks": "wicks out", "settle": "settled", "strain": "strained",
    "warm": "kept warm", "sample": "curve", "around": "curve", "cool": "curve", "curve": "curve", "dry": "density",
    "weigh": "weighed", "clean": "weighed clean", "water": "water", "colour": "colour", "smell": "smell",
    "melted": "melted before", "surface": "surface", "nail": "thumbnail", "liquid": "float or sink",
}  # fmt: skip
"""What goes on record where a step is left out; the burner is asked for again when the program was closed."""


ONLY_ASKED: frozenset[StepId] = frozenset(
    {"weigh", "clean", "water", "colour", "smell", "melted", "surface", "nail", "liquid"}
)
"""Questions about the wax: the record says no more of them than an answer, or that there was none."""


def _said(*facts: Fact) -> Answer:
    return lambda _value, _text: facts


def _chosen(facts: tuple[Fact, ...]) -> Answer:
    return lambda _value, text: (facts[int(text) - 1],)


def _step_fact(step: ev.HeapStep, came: Literal["done", "begun", "left out"] = "done") -> Fact:
    return ev.HeapStepDone(step=step, came=came)


def _begin(heap: HeapState) -> Iterator[RunStep]:
    """What it is that nobody knows."""
    is_heap = "a heap" in heap.steps
    known = is_heap or "clean wax" in heap.steps
    yield RunStep(
        "what", tr('what it is'), "WHAT?", tr('What have you got?'), "choice",
        _chosen((_step_fact("a heap"), _step_fact("clean wax"))),
        (tr('old candles, ends and drips, to be melted and cleaned'), tr('clean wax; only its name is missing')),
        known, "a heap" if is_heap else "clean wax" if known else "", can_leave=False,
    )  # fmt: skip
    if not is_heap:
        return
    yield RunStep(
        "sort", tr('sort it'), "SORT",
        tr('Sort by look and smell: clear and dry (paraffin), honey (beeswax), dull and soft (soy), crystals (stearin, palm). One kind a run; lay aside what glitters, gels and crumbles. Space: sorted.'),
        "confirm", _said(_step_fact("sorted")), done="sorted" in heap.steps,
    )  # fmt: skip


def _weighed(what: Literal["as it came", "clean"]) -> Answer:
    return lambda value, text: (ev.HeapWeighed(what=what, kg=value, typed=plain(text, 40)),)


def _melt(state: State, heap: HeapState) -> Iterator[RunStep]:
    """From the scale to clean molten wax."""
    plan, is_heap = state.plan, "a heap" in heap.steps
    lit_once, cold = bool(state.burner_spans), state.burner not in LIT
    molten = "molten" in heap.steps
    if is_heap:
        yield RunStep(
            "weigh", tr('weigh it'), "WEIGH", tr('What does it weigh as it came, wicks and all?'), "weight",
            _weighed("as it came"), done=heap.came_kg is not None, tells=_mass(heap.came_kg, plan),
        )  # fmt: skip
    melt, most = (show_temperature(c, plan.units) for c in (MELT_C, HEAP_MOST_C))
    yield RunStep(
        "light", tr('light the burner'), "LIGHT",
        tr('Over water only, lid at hand, to {melt}. Nobody knows its flash point or its scents: never above {most}, never on the flame itself. Stay in the room. Light it, then Space.', melt=melt, most=most),
        "confirm", _said(ev.BurnerSet(state="on")), done=lit_once or molten,
    )  # fmt: skip
    read = state.last_reading("pot")
    shown = "" if read is None else show_temperature(read.celsius, plan.units, 1)
    yield RunStep(
        "molten", tr('melt it'), "MELT",
        tr('Stir, read it: digits, Enter. At {melt} and all clear: Space.', melt=melt) + (tr(' Last read {shown}.', shown=shown) if shown else ""),
        "confirm", _said(_step_fact("molten")), done=molten, tells=shown,
    )  # fmt: skip
    if is_heap:
        yield from _clean(heap)
    yield RunStep(
        "off", tr('burner off'), tr('HEAT OFF'), tr('Burner off, then Space. Keep a ladle of it molten for the tin.'), "confirm",
        _said(ev.BurnerSet(state="off")), done=(molten and cold) or ("clean wax" in heap.steps and bool(heap.curves)),
    )  # fmt: skip
    if is_heap:
        lost = heap.lost_kg
        lost_words = "" if lost is None or lost < 0 else tr(", {mass} lost", mass=_mass(lost, plan))
        yield RunStep(
            "clean", tr('weigh it clean'), "WEIGH", tr('What does the clean wax weigh? What is missing is wicks, metal and dregs.'),
            "weight", _weighed("clean"), done=heap.clean_kg is not None, tells=f"{_mass(heap.clean_kg, plan)}{lost_words}",
        )  # fmt: skip


def _clean(heap: HeapState) -> Iterator[RunStep]:
    """Wicks, dregs and water out of a molten heap."""
    wicks, settled, warm = (heap.steps.get(step) for step in ("wicks out", "settled", "kept warm"))
    yield RunStep(
        "wicks", tr('wicks and metal out'), tr('WICKS OUT'),
        tr('Lift wicks and metal out with tongs, never with fingers: it burns and it sticks. Drain them over the pot. Then Space.'),
        "confirm", _said(_step_fact("wicks out")), done=wicks is not None,
    )  # fmt: skip
    yield RunStep(
        "settle", tr('let it settle'), "SETTLE",
        tr('Flame low, do not stir: dregs sink. Space when its time is over, or sooner if it is clear. Down: another step meanwhile.'),
        "wait", _said(_step_fact("settled")), done=settled is not None,
        until=None if wicks is None else wicks.t + SETTLES,
    )  # fmt: skip
    yield RunStep(
        "strain", tr('strain it'), "STRAIN",
        tr('Pour slowly through cloth or fine mesh into a warm, dry jug, and leave the dregs behind. Hot wax burns: gloves, flame well away. Jug back into the bath. Then Space.'),
        "confirm", _said(_step_fact("strained")), done="strained" in heap.steps,
    )  # fmt: skip
    yield RunStep(
        "warm", tr('keep it warm'), tr('KEEP WARM'),
        tr('Water hides in old wax and spits later. Keep it clear and still over a low flame for three hours: water sinks. Space begins them, x leaves it out.'),
        "confirm", _said(_step_fact("kept warm", "begun")), done=warm is not None or heap.water is not None,
        tells="" if warm is None else "begun",
    )  # fmt: skip
    came = None if heap.water is None else heap.water.came
    yield RunStep(
        "water", tr('look for water'), "WATER?",
        tr('Look through the glass or along the bottom with a torch: drops, a cloudy layer, bubbles? Some drip it onto a hot plate and listen for a crackle. Do not: it spits, and it can take fire. Down: another step meanwhile.'),
        "choice",
        _chosen(tuple(ev.WaterTested(came=c) for c in ("dry", "wet", "not looked"))),
        (tr('dry: clear to the bottom'), tr('wet: drops or a cloudy layer'), "not looked"),
        came is not None or (warm is not None and warm.came == "left out"), came or "",
        until=None if warm is None or warm.came != "begun" else warm.t + KEPT_WARM,
    )  # fmt: skip


SMELLS: tuple[tuple[ev.WaxSmell, str], ...] = (
    ("none", tr('of nothing')), ("mineral", tr('of candles, of oil')), ("honey", tr('of honey')), ("fat", tr('of fat, of nuts')),
    ("scented", tr("scented")),
)  # fmt: skip
SURFACES: tuple[tuple[ev.WaxSurface, str], ...] = (
    ("clear and dry", tr('lets light through, dry')), ("dull and opaque", tr('dull, no light through')),
    ("crystals", tr('crystals, brittle')), ("greasy", tr('greasy to the finger')),
)  # fmt: skip
NAILS: tuple[tuple[ev.WaxNail, str], ...] = (
    ("dents", tr('goes in easily')), ("marks", tr('leaves a mark')), ("no mark", tr('leaves none')),
)  # fmt: skip


def _look(heap: HeapState) -> Iterator[RunStep]:
    """Colour, smell and history, while it is still warm."""
    seen = heap.seen
    yield RunStep(
        "colour", tr('its colour'), "COLOUR", tr('What colour is it? Colours of a heap add up towards brown; only darker works.'), "words",
        lambda _, text: (ev.WaxSeen(colour=plain(text, 80)),), done=seen.colour is not None, tells=seen.colour or "",
    )  # fmt: skip
    yield RunStep(
        "smell", tr('its smell'), "SMELL", tr("What does it smell of, warm, from a hand's breadth?"), "choice",
        _chosen(tuple(ev.WaxSeen(smell=smell) for smell, _ in SMELLS)), tuple(words for _, words in SMELLS),
        seen.smell is not None, "" if seen.smell is None else seen.smell,
    )  # fmt: skip
    yield RunStep(
        "melted", tr('how often it was hot'), tr('HOW OFTEN'),
        tr('How often was it melted before, as far as you know? A candle once, a candle of old candles twice. Enter alone: not known.'),
        "number", lambda value, _: (ev.WaxSeen(melted=int(value)),), done=seen.melted is not None,
        tells="" if seen.melted is None else str(seen.melted),
    )  # fmt: skip


def _curve(state: State, heap: HeapState, *, again: bool) -> Iterator[RunStep]:
    """The tin, its curve, and what a cold piece tells."""
    plan, seen, tin = state.plan, heap.seen, heap.tin
    # What is said of a tin after a curve is said of the tin of another one.
    again = again or bool(tin.told)
    begun = bool(heap.curves) and not again
    left_out = "curve" in heap.steps and not again
    least, most = (show_mass(kg, plan.units, plan.scale_step) for kg in (LEAST_SAMPLE, MOST_SAMPLE))
    if not left_out:
        yield RunStep(
            "sample", tr('the tin'), "TIN",
            tr('Put {least} to {most} of it, hot and wholly clear, into a small warm tin. What does the wax in it weigh? Enter alone: not weighed. x: no curve.', least=least, most=most),
            "weight", lambda v, t: (ev.TinTold(what="weight", kg=v, typed=plain(t, 40)),), done=begun or "weight" in tin.told,
            tells=_mass(tin.kg, plan) or (tr("not weighed") if "weight" in tin.told else ""),
        )  # fmt: skip
        yield RunStep(
            "around", tr('around the tin'), "AROUND",
            tr('How warm is the air around the tin, or the bath it stands in? Enter alone: not read.'),
            "temperature", lambda v, t: (ev.TinTold(what="around", around_c=v, typed=plain(t, 40)),), done=begun or "around" in tin.told,
            tells=(tr("not read") if "around" in tin.told else "") if tin.around_c is None else show_temperature(tin.around_c, plan.units, 1),
        )  # fmt: skip
        yield RunStep(
            "cool", tr('probe in the middle'), tr('PROBE IN'),
            tr('Tin on cork or a folded cloth, out of the draught. The tip in the middle of the wax, touching nothing; it stays there. Do not stir. Space: it begins.'),
            "confirm", lambda _v, _t: (ev.CoolingBegun(kg=tin.kg, around_c=tin.around_c),), done=begun,
        )  # fmt: skip
    ended = heap.cooling is None and begun
    yield RunStep(
        "curve", tr('the cooling curve'), tr('READ'), tr('Read the tin at each beat: digits, Enter. Space: that is enough.'), "beat",
        lambda _v, _t: (), done=ended or left_out, tells="left out" if left_out and not begun else "",
    )  # fmt: skip
    yield RunStep(
        "surface", tr('how it looks'), "LOOK", tr('A piece that has set: how does it look?'), "choice",
        _chosen(tuple(ev.WaxSeen(surface=s) for s, _ in SURFACES)), tuple(words for _, words in SURFACES),
        seen.surface is not None, seen.surface or "",
    )  # fmt: skip
    yield RunStep(
        "nail", tr('a thumbnail'), "SCRATCH", tr('Press a thumbnail into a cold piece:'), "choice",
        _chosen(tuple(ev.WaxSeen(nail=n) for n, _ in NAILS)), tuple(words for _, words in NAILS),
        seen.nail is not None, seen.nail or "",
    )  # fmt: skip


def _block(state: State, heap: HeapState) -> Iterator[RunStep]:
    """The density, where somebody wants it; the name; the end."""
    plan, seen = state.plan, heap.seen
    yield RunStep(
        "dry", tr('density: dry'), tr('WEIGH DRY'), tr('For the density: what does a cold block without bubbles weigh? Enter alone: no density.'),
        "weight", lambda v, t: (ev.BlockWeighed(dry_kg=v, typed=plain(t, 40)),), done=heap.dry_kg is not None or "density" in heap.steps,
        tells=_mass(heap.dry_kg, plan),
    )  # fmt: skip
    if heap.dry_kg is not None:
        yield RunStep(
            "aside", tr('density: in water'), tr('WEIGH WET'),
            tr('Water in a jug on the scale, scale to zero. Push the block just under with a needle, touching no wall. What does the scale show?'),
            "weight", lambda v, t: (ev.BlockWeighed(water_kg=v, typed=plain(t, 40)),), done=heap.water_kg is not None,
            tells=_mass(heap.water_kg, plan),
        )  # fmt: skip
    elif seen.liquid is None:
        yield RunStep(
            "liquid", tr('float or sink'), "FLOAT?",
            tr('Have you a spirit or brine of known density? Away from the stove: spirit burns. Type it in kg/m3; Enter alone: no.'),
            "number", lambda v, _t: (ev.WaxSeen(liquid=v),), done=seen.floats is not None,
        )  # fmt: skip
    else:
        liquid = seen.liquid
        yield RunStep(
            "liquid", tr('float or sink'), "FLOAT?", tr('A piece without bubbles in {liquid:.0f} kg/m3:', liquid=liquid), "choice",
            _chosen((ev.WaxSeen(liquid=liquid, floats=True), ev.WaxSeen(liquid=liquid, floats=False))),
            (tr('it floats'), tr('it sinks')), seen.floats is not None,
        )  # fmt: skip
    yield RunStep(
        "name", tr('name it'), "NAME", tr('What is it called on your shelf? Plans find it by this name.'), "words",
        lambda _, text: (ev.LotNamed(name=plain(text, 60)),), done=bool(heap.name), tells=heap.name, can_leave=False,
    )  # fmt: skip
    yield RunStep(
        "end", tr('put it on the shelf'), "SHELF",
        tr('Space: it goes on the shelf as a lot and among your own waxes, and this run ends.') if heap.name else tr('Give it a name first.'),
        "confirm", lambda _v, _t: (), can_leave=False,
    )  # fmt: skip


def _mass(kg: float | None, plan: Plan) -> str:
    return "" if kg is None else show_mass(kg, plan.units, plan.scale_step)
