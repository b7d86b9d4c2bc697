"""What readings of a jug in the record teach of it: held against the simulated kitchen, which shares nothing with the law."""

from __future__ import annotations

from statistics import mean

import numpy as np

from pourday.forecast.jug_law import USUAL_JUG, JugLaw
from pourday.guide.outlook.jug_readings import jug_laws, jug_pairs
from pourday.learning.jugs import JugPair, law_after
from pourday.session import events as ev
from tests.guide.outlook.test_jugs import Day, Stove, in_jug

LIFTED = 92.0


def computed(pair: JugPair, law: JugLaw) -> float:
    return float(pair.computed(np.array([getattr(law, pair.how)]))[0])


def low_and_out(day_of: type, seed: int) -> list[JugPair]:
    """A jug over a low flame, then in a bath that cools, then on the bench: read every ten minutes."""
    stove = Stove(day_of, seed)
    stove.melt()
    stove.draw(0)
    stove.burner("low")
    stove.go(6)
    stove.read(0)
    for change in (
        None,
        None,
        None,
        lambda: stove.burner("off"),
        None,
        None,
        lambda: stove.move(0, "bench"),
        None,
    ):
        if change is not None:
            change()
            stove.go(4)
            stove.read(0)
        stove.go(10)
        stove.read(0)
    return jug_pairs(stove.day.state, LIFTED)


def test_what_a_jug_did_first_tells_what_it_does_next(day_of: type) -> None:
    """Each kind's pairs but the last teach; what the last one came to is held against what is computed."""
    usual, learned = [], []
    for pairs in (low_and_out(day_of, seed) for seed in range(4)):
        for how in ("cooling", "bench"):
            of_it = [pair for pair in pairs if pair.how == how]
            if len(of_it) < 2:
                continue
            law = law_after(of_it[:-1])
            usual.append(abs(computed(of_it[-1], USUAL_JUG) - of_it[-1].to_c))
            learned.append(abs(computed(of_it[-1], law) - of_it[-1].to_c))
    assert len(usual) >= 7
    assert mean(learned) < 0.6 * mean(usual)


def test_a_pair_is_of_one_jug_with_nothing_done_to_it_meanwhile(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="low"), ev.JugMade(layer=0), ev.JugMade(layer=1))
    day.at(6, in_jug(70.0, 0), in_jug(71.0, 1))
    day.at(12, in_jug(76.0, 0))
    day.at(13, ev.BurnerSet(state="off"))
    day.at(18, in_jug(78.0, 1), in_jug(78.0, 0))
    day.at(20, ev.JugStands(layer=0, where="bench"))
    day.at(24, in_jug(74.0, 0), in_jug(77.0, 1), in_jug(79.0, None))
    day.at(30, in_jug(62.0, 0), in_jug(76.0, 1))
    told = [(pair.layer, pair.how, pair.from_c, pair.to_c) for pair in jug_pairs(day.state, LIFTED)]
    assert told == [
        (0, "bench", 74.0, 62.0), (1, "cooling", 78.0, 77.0), (1, "cooling", 77.0, 76.0),
    ]  # fmt: skip
    laws = jug_laws(day.state, JugLaw(cooling=1.3), LIFTED)
    # By the law itself, 54 K above the room: 2700 s (0.42 kg) give 6.7 K in six minutes.
    assert 1.3 < laws[0].bench < 1.95
    assert laws[1].bench == 1.0, "the other jug was never out of its bath"
    assert laws[0].cooling == 1.3, "no flame was out over it"


def test_a_doubted_reading_and_one_after_water_came_teach_nothing(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="low"), ev.JugMade(layer=0))
    day.at(6, in_jug(70.0, 0))
    day.at(9, ev.WaterSeen(topped_up=True))
    day.at(12, in_jug(69.0, 0))
    day.at(20, ev.Reading(place="jug", celsius=20.0, jug=0, doubt="cold"))
    assert jug_pairs(day.state, LIFTED) == []
    day.at(21, ev.BurnerSet(state="low", knob="lower"))
    day.at(28, in_jug(76.0, 0))
    day.at(34, in_jug(70.0, 0))
    assert jug_pairs(day.state, LIFTED) == [], "a low flame set lower is not the one that is learned"
