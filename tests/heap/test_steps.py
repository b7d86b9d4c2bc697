"""The guided run: its order, what it asks, and what needs a hand at once."""

from __future__ import annotations

from pourday.heap.steps import KEPT_WARM, LEFT_OUT, SETTLES, next_step, steps_of
from pourday.heap.watch import alarms_of
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.fold import fold
from tests.session.test_heap import FACTS, entries

T = 1.8e9


def upcoming(*facts: ev.Fact, again: bool = False):
    steps = steps_of(fold(entries(*facts)), again=again)
    return steps[next_step(steps)]


def test_the_run_goes_through_in_the_order_of_the_trade():
    """Sort, melt at 80 °C, wicks and metal out, settle, strain: common practice, no source."""
    order = [
        ("what", ev.HeapStepDone(step="a heap")),
        ("sort", ev.HeapStepDone(step="sorted")),
        ("weigh", ev.HeapWeighed(what="as it came", kg=1.0)),
        ("light", ev.BurnerSet(state="on")),
        ("molten", ev.HeapStepDone(step="molten")),
        ("wicks", ev.HeapStepDone(step="wicks out")),
        ("settle", ev.HeapStepDone(step="settled")),
        ("strain", ev.HeapStepDone(step="strained")),
        ("warm", ev.HeapStepDone(step="kept warm", came="begun")),
        ("water", ev.WaterTested(came="dry")),
        ("off", ev.BurnerSet(state="off")),
        ("clean", ev.HeapWeighed(what="clean", kg=0.9)),
        ("colour", ev.WaxSeen(colour="red")),
        ("smell", ev.WaxSeen(smell="none")),
        ("melted", ev.WaxSeen(melted=1)),
    ]
    said: list[ev.Fact] = []
    for step, fact in order:
        assert upcoming(*said).id == step
        said.append(fact)
    assert upcoming(*said).id == "sample"
    weighed, read = ev.TinTold(what="weight", kg=0.06), ev.TinTold(what="around")
    assert upcoming(*said, weighed).id == "around"
    assert upcoming(*said, weighed, read).id == "cool"
    assert upcoming(*said, weighed, read, ev.TinTold(what="nothing")).id == "sample"
    assert upcoming(*said, ev.CoolingBegun()).id == "curve"
    ended = ev.CoolingEnded(curve="none")
    assert upcoming(*said, ev.CoolingBegun(), ended).id == "surface"
    assert upcoming(*said, ev.CoolingBegun(), ended, again=True).id == "sample"
    another = (*said, ev.CoolingBegun(), ended, weighed)
    assert upcoming(*another).id == "around", "what is said of a tin after a curve is of the next one"
    assert upcoming(*another, ev.TinTold(what="nothing")).id == "surface"


def test_clean_wax_is_only_melted_and_read():
    rows = [step.id for step in steps_of(fold(entries(ev.HeapStepDone(step="clean wax"))))]
    assert not {"sort", "weigh", "wicks", "strain", "water", "clean"} & set(rows)
    assert {"light", "molten", "off", "curve", "name"} <= set(rows)


def test_waits_run_from_what_began_them():
    steps = steps_of(fold(entries(ev.HeapStepDone(step="a heap"), ev.HeapStepDone(step="wicks out"))))
    settle = next(step for step in steps if step.id == "settle")
    assert settle.until == T + 3 * 15 + SETTLES
    begun = ev.HeapStepDone(step="kept warm", came="begun")
    steps = steps_of(fold(entries(ev.HeapStepDone(step="a heap"), begun)))
    assert next(step for step in steps if step.id == "water").until == T + 3 * 15 + KEPT_WARM


def test_every_caution_stands_where_the_act_is():
    says = {step.id: step.says for step in steps_of(fold(entries(ev.HeapStepDone(step="a heap"))))}
    assert "flash point" in says["light"]
    assert "Over water only" in says["light"]
    assert "tongs" in says["wicks"]
    assert "burns" in says["strain"]
    assert "Do not" in says["water"]
    assert "fire" in says["water"]


def test_what_is_left_out_goes_on_record_and_is_not_asked_again():
    for step, fact in LEFT_OUT.items():
        heap = [ev.HeapStepDone(step="a heap"), ev.HeapStepDone(step="wicks out")]
        steps = steps_of(fold(entries(*heap, ev.HeapStepDone(step=fact, came="left out"))))
        assert all(each.done for each in steps if each.id == step), step


def test_steps_of_a_whole_run_are_all_done_but_its_end():
    steps = steps_of(fold(entries(*FACTS)))
    assert next(step for step in steps if step.id == "name").tells == "Ends, November"
    assert steps_of(fold([])) == ()


def alarms(*facts: ev.Fact, after: float = 60.0, plan: Plan | None = None):
    rows = entries(*([ev.PlanDrafted(plan=plan)] if plan else []), *facts)
    return alarms_of(fold(rows), rows[-1].t + after, 600.0)


def test_hot_wax_and_an_empty_kitchen_are_alarms():
    lit = ev.BurnerSet(state="on")
    assert alarms(lit, ev.Reading(place="pot", celsius=80.0)) == ()
    assert "Flame down" in alarms(lit, ev.Reading(place="pot", celsius=88.0))[0]
    assert "the water is gone" in alarms(lit, ev.Reading(place="pot", celsius=103.0))[0]
    assert "Is somebody" in alarms(lit, after=700.0)[0]
    assert alarms(after=7000.0) == ()
    high = Plan(altitude=3000.0)  # water boils near 90 °C there
    assert "the water is gone" in alarms(lit, ev.Reading(place="pot", celsius=93.0), plan=high)[0]
