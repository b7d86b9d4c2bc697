"""Two places of one bath that were read otherwise: said where they should agree, and only there."""

from __future__ import annotations

from pourday.guide.outlook.two_places import APART, read_otherwise, read_otherwise_words
from pourday.session import events as ev
from tests.guide.outlook.test_jugs import Day, Stove, in_jug


def pot(celsius: float) -> ev.Reading:
    return ev.Reading(place="pot", celsius=celsius)


def rested(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on"))
    day.at(20, ev.JugMade(layer=0), ev.BurnerSet(state="low"))


def test_a_jug_that_stood_long_beside_the_pot_and_reads_otherwise_is_said(day: Day) -> None:
    rested(day)
    day.at(45, pot(86.0))
    day.at(47, in_jug(79.0, 0))
    other = read_otherwise(day.state)
    assert other is not None
    assert (other.place, other.celsius) == ("pot", 86.0)
    said = read_otherwise_words(day.state)
    assert "the pot read 86.0 °C just before" in said
    assert "neither was corrected" in said
    assert [r.celsius for r in day.state.readings] == [86.0, 79.0], "both stay as they were read"
    day.at(48, pot(79.5))
    assert read_otherwise_words(day.state) == "", "it agrees with what was read last"


def test_nothing_is_said_where_they_need_not_agree(day: Day) -> None:
    rested(day)
    day.at(30, pot(86.0))
    day.at(31, in_jug(79.0, 0))
    assert read_otherwise_words(day.state) == "", "the flame was just turned"
    day.at(50, pot(86.0))
    day.at(56, in_jug(79.0, 0))
    assert read_otherwise_words(day.state) == "", "six minutes lie between"
    day.at(57, ev.JugStands(layer=0, where="bench"))
    day.at(80, pot(86.0))
    day.at(81, in_jug(60.0, 0))
    assert read_otherwise_words(day.state) == "", "it stands on the bench"
    day.at(82, ev.Reading(place="jug", celsius=20.0, jug=0, doubt="cold"))
    assert read_otherwise_words(day.state) == "", "that one does not count"


def test_thermometers_that_are_right_agree_in_the_simulated_kitchen(day_of: type) -> None:
    """Pot and jug over a low flame and over none, read without error: truly apart by less than is said of two readings."""
    apart = []
    for seed in range(5):
        stove = Stove(day_of, seed)
        stove.melt()
        stove.draw(0)
        for state in ("low", "off"):
            stove.burner(state)  # type: ignore[arg-type]
            for minutes in (20, 20):
                stove.go(minutes)
                apart.append(abs(stove.kitchen.true("pot") - stove.kitchen.true("jug", 0)))
    assert max(apart) < APART - 1.0
