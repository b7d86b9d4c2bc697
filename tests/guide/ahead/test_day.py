"""The rest of the day worked out ahead, held against simulated days, common practice and plain order."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import msgspec
import pytest

from pourday.demo.day import Day
from pourday.demo.scenario import START, two_pillars
from pourday.forecast.mould import simulate_all
from pourday.forecast.mould_case import Around
from pourday.guide.ahead import moulds
from pourday.guide.ahead.alternatives import Shorter, keeps_you, shorter_days, summary, weakest_seam
from pourday.guide.ahead.day import (
    DayForecast,
    Step,
    ahead_of_plan,
    forecast_day,
    left_for_morning,
    lets_go,
    past_bedtime,
)
from pourday.guide.ahead.picture import bands_at
from pourday.guide.ahead.schedule import Hands
from pourday.guide.outlook.mould_heat import MouldHeatCache
from pourday.guide.outlook.outlook import look_ahead
from pourday.guide.outlook.room import AGAIN
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.session.quiet_hours import PersonsClock
from pourday.times import local
from tests.demo.usual_day import UsualDay

HOUR, MINUTE = 3600.0, 60.0
COLOURS = ("red", "white", "blue", "green")


def bands(count: int, *, moulds: tuple[Mould, ...] | None = None) -> Plan:
    layers = tuple(Layer(colour=colour) for colour in COLOURS[:count])
    plan = msgspec.structs.replace(two_pillars(), layers=layers)
    return plan if moulds is None else msgspec.structs.replace(plan, moulds=moulds)


def inch_bands() -> Plan:
    """Three bands of an inch in one 75 mm pillar."""
    return bands(3, moulds=(Mould(shape=Cylinder(diameter=0.075, height=0.081)),))


LOOKS = 6
"""Moments of the played day from which the rest of it is foreseen."""


@dataclass
class Played:
    """A simulated day, and what was foreseen at some moments of it, by its record up to there."""

    day: UsualDay
    foreseen: list[DayForecast] = field(default_factory=list)


@pytest.fixture(scope="session")
def played(usual_day: UsualDay) -> Played:
    played = Played(usual_day)
    entries = usual_day.live.entries
    begun = next(i for i, e in enumerate(entries) if isinstance(e.fact, ev.PlanFixed))
    # The last moment is that before the last top-up, however many entries come before and after it.
    out = max(i for i, e in enumerate(entries) if isinstance(e.fact, ev.Poured))
    heat = MouldHeatCache()
    for k in range(LOOKS):
        upto = begun + round((out - 1 - begun) * k / (LOOKS - 1))
        state, now = fold(entries[: upto + 1]), entries[upto].t
        played.foreseen.append(forecast_day(state, look_ahead(state, now, heat), now))
    return played


@pytest.fixture(scope="module")
def demo() -> DayForecast:
    return ahead_of_plan(two_pillars(), START)


@pytest.fixture(scope="module")
def four() -> DayForecast:
    return ahead_of_plan(bands(4), START)


@pytest.fixture(scope="module")
def inches() -> DayForecast:
    return ahead_of_plan(inch_bands(), START)


@pytest.fixture(params=["demo", "four", "inches"])
def any_day(request: pytest.FixtureRequest) -> DayForecast:
    found: DayForecast = request.getfixturevalue(request.param)
    return found


def of_kind(found: DayForecast, *kinds: str) -> list[Step]:
    return [step for step in found.steps if step.kind in kinds]


def pours(found: DayForecast) -> dict[tuple[str, int, str], Step]:
    """The step of every pour by mould, layer and part."""
    parts = {"plug": "plug", "pour": "layer", "top-up": "top-up"}
    return {
        (letter, step.layer or 0, parts[step.kind]): step
        for step in of_kind(found, *parts)
        for letter in step.moulds
    }


def overlaps(steps: Sequence[Step]) -> list[tuple[str, str]]:
    busy = [s for s in steps if s.takes > 0]
    # A hundredth of a second is rounding of seconds since the epoch.
    return [(a.id, b.id) for a, b in itertools.pairwise(busy) if b.at.likely < a.end - 0.01]


# -- order, hands, time -------------------------------------------------------------------------------


def test_one_pair_of_hands_never_does_two_things_at_once(any_day: DayForecast, played: Played) -> None:
    for found in (any_day, *played.foreseen):
        assert overlaps(found.steps) == []


def test_nothing_lies_in_the_past_and_early_likely_late_are_in_order(
    any_day: DayForecast, played: Played
) -> None:
    assert len(played.foreseen) >= 4
    for found in (any_day, *played.foreseen):
        for step in found.steps:
            assert found.now <= step.at.early <= step.at.likely <= step.at.late


def test_the_acts_come_in_order_of_time_each_under_a_name_of_its_own(
    any_day: DayForecast, played: Played
) -> None:
    for found in (any_day, *played.foreseen):
        times = [step.at.likely for step in found.steps]
        assert times == sorted(times)
        assert len({step.id for step in found.steps}) == len(found.steps)


def test_the_same_question_gives_the_same_day(demo: DayForecast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(moulds, "simulate_all", simulate_all)
    assert ahead_of_plan(two_pillars(), START).steps == demo.steps


def test_every_mould_gets_every_pour_of_the_plan_in_the_order_of_the_plan(four: DayForecast) -> None:
    for letter in "AB":
        made = sorted((step.at.likely, key[1:]) for key, step in pours(four).items() if key[0] == letter)
        assert [key for _, key in made] == [
            (0, "plug"), (0, "layer"), (1, "layer"), (2, "layer"), (3, "layer"), (3, "top-up"),
        ]  # fmt: skip


def test_a_layer_that_a_mould_does_not_get_is_not_poured_into_it() -> None:
    plan = bands(3)
    skips = msgspec.structs.replace(plan.moulds[1], shares=(0.5, 0.0, 0.5))
    found = ahead_of_plan(msgspec.structs.replace(plan, moulds=(plan.moulds[0], skips)), START)
    assert ("A", 1, "layer") in pours(found)
    assert ("B", 1, "layer") not in pours(found)
    assert ("B", 2, "layer") in pours(found)


def test_every_colour_has_its_jug_before_its_first_pour_and_a_lit_burner_before_that(
    four: DayForecast,
) -> None:
    for layer in range(4):
        jug = next(s for s in of_kind(four, "jug") if s.layer == layer)
        first = min(s.at.likely for s in of_kind(four, "plug", "pour") if s.layer == layer)
        assert jug.end <= first <= jug.at.likely + 20 * MINUTE
        assert any(span.on < jug.at.likely for span in four.lit)


def test_free_hands_are_given_once_whatever_is_asked_of_them() -> None:
    """A seeded run of wishes; every stretch of the hands is given to one of them only."""
    dice, hands = random.Random(7), Hands()
    given = []
    for _ in range(200):
        at, takes = dice.uniform(0, 5000), dice.uniform(10, 120)
        start = hands.take(at, takes)
        assert start >= at
        given.append((start, start + takes))
    given.sort()
    assert all(b[0] >= a[1] - 1e-6 for a, b in itertools.pairwise(given))


# -- against the trade --------------------------------------------------------------------------------


def test_layers_of_an_inch_wait_about_an_hour_or_two_for_the_next(inches: DayForecast) -> None:
    """Common practice, no source: 1-2 h between layers of about an inch; the ends are taken softly."""
    times = [pours(inches)["A", layer, "layer"].at.likely for layer in range(3)]
    for first, second in itertools.pairwise(times):
        assert 0.75 * HOUR <= second - first <= 2.25 * HOUR


def test_the_first_top_up_comes_an_hour_to_four_after_the_last_layer(any_day: DayForecast) -> None:
    """Common practice, no source: top up 1-4 h after the last pour; further ones follow until the wax has set."""
    for letter in "AB":
        topped = [s.at.likely for s in of_kind(any_day, "top-up") if letter in s.moulds]
        layers = [
            step.at.likely for (x, _, part), step in pours(any_day).items() if (x, part) == (letter, "layer")
        ]
        if not layers:
            continue
        assert HOUR <= min(topped) - max(layers) <= 4 * HOUR
        assert max(topped) <= any_day.solid[letter].late
        # What was filled in has to draw in first.
        assert all(b - a >= 25 * MINUTE for a, b in itertools.pairwise(sorted(topped)))


def test_pillars_stand_overnight_and_nobody_is_called_at_night(any_day: DayForecast) -> None:
    """Common practice, no source: pillars stay in the mould 4-12 h, in practice overnight."""
    for step in of_kind(any_day, "demould"):
        last = max(s.at.likely for key, s in pours(any_day).items() if key[0] == step.moulds)
        assert 4 * HOUR <= step.at.likely - last <= 24 * HOUR
        assert local(step.at.likely).date() > local(last).date()
        for t in (step.at.early, step.at.likely, step.at.late):
            assert 7 <= local(t).hour < 22
        assert any_day.cold[step.moulds].likely <= step.at.likely


def test_the_last_top_up_is_made_before_bed_where_it_can_be(demo: DayForecast) -> None:
    """Bed shortly before the last top-up: made sooner, through the crust. Before any crust carries: in the morning."""
    usual = max(s.at.likely for s in of_kind(demo, "top-up"))
    late = local(usual).hour + local(usual).minute / 60
    for bedtime in (late - 0.5, late - 1.5):
        day = ahead_of_plan(two_pillars(), START, clock=PersonsClock(bedtime=bedtime))
        tonight = [t for s in of_kind(day, "top-up") if local(t := s.at.likely).date() == local(usual).date()]
        assert usual - 3 * HOUR < max(tonight) < usual - (late - bedtime) * HOUR
    early = ahead_of_plan(two_pillars(), START, clock=PersonsClock(bedtime=11.0))
    last = max(s.at.likely for s in of_kind(early, "top-up"))
    assert local(last).hour == 7
    assert local(last).date() > local(usual).date()


def test_a_layer_that_falls_into_the_night_is_said() -> None:
    found = ahead_of_plan(inch_bands(), START + 12.5 * HOUR)
    assert any("quiet hours" in note for note in found.collisions)
    assert any("when you are gone" in line for line in summary(found))
    awake = ahead_of_plan(inch_bands(), START + 12.5 * HOUR, clock=PersonsClock(quiet_from=3.0, quiet_to=9.0))
    assert not any("quiet hours" in note for note in awake.collisions)
    # A top-up that cannot be made before bed keeps until the morning.
    assert local(max(s.at.likely for s in of_kind(found, "top-up"))).hour == 7


def test_the_cure_is_counted_from_demoulding(demo: DayForecast) -> None:
    shortest = demo.outlook.cure_days[0] * 24 * HOUR
    out = {s.moulds: s.end for s in of_kind(demo, "demould")}
    for step in of_kind(demo, "cure"):
        assert step.at.likely - out[step.moulds] >= shortest


def test_the_burner_is_lit_for_the_shorter_part_of_the_day(any_day: DayForecast) -> None:
    assert any_day.end is not None
    assert 10 * MINUTE < any_day.burner < 0.6 * (any_day.end.likely - any_day.now)
    for before, after in zip(any_day.lit, any_day.lit[1:], strict=False):
        assert before.on < before.off < after.on < after.off


# -- against a kitchen that shares no code ------------------------------------------------------------


def hits(foreseen: DayForecast, day: Day) -> list[tuple[str, bool]]:
    """Each pour of the played day that was foreseen: whether it came between early and late.

    Of several top-ups the first is held against the first, the second against the second.
    """
    parts = {"plug": "plug", "pour": "layer", "top-up": "top-up"}
    found = []
    for mould in day.live.state.moulds.values():
        known: dict[tuple[int, str], list[Step]] = {}
        for step in of_kind(foreseen, *parts):
            if mould.letter in step.moulds:
                known.setdefault((step.layer or 0, parts[step.kind]), []).append(step)
        for made in mould.pours:
            steps = known.get((made.layer, made.part), [])
            if steps:
                step = steps.pop(0)
                inside = step.at.early - MINUTE <= made.t <= step.at.late + step.takes + MINUTE
                found.append((f"{made.part} {made.layer} {mould.letter}", inside))
    return found


def last_pour(day: Day) -> float:
    return max(p.t for m in day.live.state.moulds.values() for p in m.pours)


def test_a_simulated_day_goes_as_it_was_rehearsed(demo: DayForecast, played: Played) -> None:
    """The kitchen's own physics and a person who looks before pouring; early-late stands for 80 %."""
    found = hits(demo, played.day)
    print(found)
    # Plug and two layers of two moulds, and at least one top-up each.
    assert len([name for name, _ in found if "top-up" not in name]) == 6
    assert len(found) >= 8
    assert sum(inside for _, inside in found) >= 0.8 * len(found)
    assert demo.end is not None
    assert demo.end.early <= last_pour(played.day) <= demo.end.late


def test_the_burner_is_lit_about_as_long_as_was_rehearsed(demo: DayForecast, played: Played) -> None:
    lit = sum((s.end or 0.0) - s.start for s in played.day.live.state.burner_spans)
    assert demo.burner == pytest.approx(lit, rel=0.5)


def test_the_end_of_the_day_is_foreseen_from_every_moment_of_it(played: Played) -> None:
    """One foresight in ten may miss on either side; the end is the last top-up."""
    ends = [x.end for x in played.foreseen if of_kind(x, "top-up") and x.end is not None]
    assert len(ends) >= 4
    last = last_pour(played.day)
    inside = [e.early - 2 * MINUTE <= last <= e.late + 2 * MINUTE for e in ends]
    assert sum(inside) >= 0.8 * len(inside)


def test_the_spread_of_the_end_grows_smaller_through_the_day(played: Played) -> None:
    ends = [x.end for x in played.foreseen if of_kind(x, "top-up") and x.end is not None]
    widths = [e.late - e.early for e in ends]
    assert widths[-1] < 0.5 * widths[0]


@pytest.mark.slow
@pytest.mark.parametrize("plan", [two_pillars(), bands(4), inch_bands()], ids=["demo", "four", "inches"])
def test_most_pours_of_many_simulated_days_come_when_they_were_rehearsed(plan: Plan, tmp_path: Path) -> None:
    """Early-late stands for 80 %: at least that share of all pours, and every end of a day but one in five."""
    foreseen = ahead_of_plan(plan, START)
    assert foreseen.end is not None
    found, ends = [], []
    for seed in range(11, 17):
        folder = tmp_path / str(seed)
        folder.mkdir()
        day = Day(folder, lambda _: None, seed=seed, plan=plan)
        day.play()
        found += [inside for _, inside in hits(foreseen, day)]
        ends.append(foreseen.end.early <= last_pour(day) <= foreseen.end.late)
    print(f"pours inside early-late: {sum(found)} of {len(found)}; ends of day: {sum(ends)} of {len(ends)}")
    assert sum(found) >= 0.8 * len(found)
    assert sum(ends) >= len(ends) - 1


# -- from a state in the middle -----------------------------------------------------------------------


def test_what_was_poured_is_not_poured_again(played: Played) -> None:
    for found in played.foreseen:
        made = {(m.letter, p.layer, p.part) for m in found.state.moulds.values() for p in m.pours}
        # A hollow is topped up more than once.
        assert all(part == "top-up" for _, _, part in made & set(pours(found)))
        planned = {
            (x, layer, part)
            for x in "AB"
            for layer, part in ((0, "plug"), (0, "layer"), (1, "layer"), (1, "top-up"))
        }
        assert made | set(pours(found)) == planned


def test_a_surface_seen_firm_is_poured_on_at_once(played: Played) -> None:
    entries = list(played.day.live.entries)
    at = next(i for i, e in enumerate(entries) if isinstance(e.fact, ev.Looked) and e.fact.cue == "firm")
    state = fold(entries[: at + 1])
    now = entries[at].t
    letter = entries[at].fact.mould  # type: ignore[union-attr]
    found = forecast_day(state, look_ahead(state, now), now)
    step = pours(found)[letter, 1, "layer"]
    others = [s for s in of_kind(found, "look") if s.moulds == letter and s.at.likely < step.at.likely]
    assert others == []
    # Another mould about to be ready for the same jug is waited for a little.
    assert step.at.likely - now <= 25 * MINUTE


def test_a_day_that_is_over_has_nothing_ahead_at_the_stove(played: Played) -> None:
    state = played.day.live.state
    found = forecast_day(state, look_ahead(state, played.day.now), played.day.now)
    assert found.end is None
    assert "Nothing is left" in keeps_you(found)


# -- what is said -------------------------------------------------------------------------------------


def test_the_day_is_told_with_its_bands_its_end_and_its_spread(inches: DayForecast) -> None:
    said = keeps_you(inches)
    assert said.startswith("Three bands of 25 mm keep you here until about ")
    assert said.count(":") == 3
    assert any("burner is on for about" in line for line in summary(inches))


def test_an_empty_window_is_said_with_what_would_open_it() -> None:
    """At 58 °C, below what melts it, no new colour turns the edge of a set pillar paraffin liquid."""
    found = ahead_of_plan(msgspec.structs.replace(inch_bands(), pour_c=64.0), START)
    said = [note for note in found.collisions if "empty window" in note]
    assert said
    assert any(word in said[0] for word in ("Pour at", "Warm the surface", "Heat the next colour"))


def test_slow_hands_among_many_moulds_are_said_as_waits_or_late_pours() -> None:
    small = Mould(shape=Cylinder(diameter=0.05, height=0.06), material="dull metal", count=4)
    plan = bands(
        2, moulds=(small, Mould(shape=Cylinder(diameter=0.05, height=0.06), material="plastic", count=3))
    )
    calm = ahead_of_plan(plan, START, follow=30.0)
    busy = ahead_of_plan(plan, START, follow=480.0)
    assert overlaps(busy.steps) == []
    hands = [x for x in busy.collisions if "hands" in x or "after its window closed" in x]
    assert len(hands) > len([x for x in calm.collisions if "hands" in x or "after its window closed" in x])


def test_a_day_that_ends_after_bedtime_is_known_as_such() -> None:
    assert past_bedtime(ahead_of_plan(inch_bands(), START + 12 * HOUR))
    assert not past_bedtime(ahead_of_plan(inch_bands(), START))


@pytest.fixture(scope="module")
def days(demo: DayForecast) -> dict[str, tuple[Shorter, DayForecast]]:
    """Each way with the whole day as it would go then."""
    return {way.name.split(" at ")[0].split(" of ")[0]: (way, day) for way, day in shorter_days(demo)}


@pytest.fixture(scope="module")
def ways(days: dict[str, tuple[Shorter, DayForecast]]) -> dict[str, Shorter]:
    return {name: way for name, (way, _) in days.items()}


def test_each_way_to_a_shorter_day_is_a_day_computed_again_with_its_price(
    demo: DayForecast, days: dict[str, tuple[Shorter, DayForecast]]
) -> None:
    assert {
        "Each colour into all moulds",
        "One band fewer",
        "Thinner bands",
        "Pouring",
        "Moulds in water",
    } <= {name.replace(" at once", "") for name in days}
    for way, day in days.values():
        assert demo.end is not None
        assert day.end is not None
        assert way.saves == demo.end.likely - day.end.likely
        assert way.price


def test_a_band_or_a_mould_fewer_never_keeps_anybody_longer(ways: dict[str, Shorter]) -> None:
    assert ways["One band fewer"].saves > 0
    assert ways["One mould fewer"].saves >= 0


def test_cold_water_round_the_moulds_empties_a_window_and_warm_water_does_not(
    days: dict[str, tuple[Shorter, DayForecast]], demo: DayForecast
) -> None:
    """A bath takes heat through the wall many times faster than air; near the room it chills the edge too far.

    The end of a day is its last top-up, which comes half an hour after another or not at all; so the time won is
    looked for where it is won, at the last colour.
    """
    cold = ahead_of_plan(two_pillars(), START, bath=Around(bath_c=20.0, bath_level=0.075))
    assert any("empty window" in note for note in cold.collisions)
    warm, day = days["Moulds in water"]
    assert not any("empty window" in note for note in day.collisions)
    assert of_kind(day, "pour")[-1].at.likely < of_kind(demo, "pour")[-1].at.likely
    assert warm.saves > -AGAIN


def test_one_jug_for_all_moulds_means_fewer_pours_of_a_colour(four: DayForecast) -> None:
    once = ahead_of_plan(bands(4), START, together=True)
    assert len(of_kind(once, "pour")) < len(of_kind(four, "pour"))
    assert overlaps(once.steps) == []
    for step in of_kind(once, "pour"):
        assert step.closes is None or step.at.likely <= step.closes


def test_the_weakest_seam_of_a_good_day_is_touched_above_melting(demo: DayForecast) -> None:
    seam = weakest_seam(demo)
    assert seam is not None
    assert 0 < seam < 20


# -- pictures -----------------------------------------------------------------------------------------


def every(found: DayForecast, seconds: float) -> Iterator[float]:
    t = found.now
    while t < found.steps[-1].at.likely:
        yield t
        t += seconds


def test_layers_stand_on_each_other_and_grow_only(four: DayForecast) -> None:
    tops = dict.fromkeys("AB", 0.0)
    for t in every(four, 600.0):
        for letter in "AB":
            shown = bands_at(four, letter, t)
            assert all(b.low == a.high for a, b in itertools.pairwise(shown))
            top = shown[-1].high if shown else 0.0
            assert top >= tops[letter]
            tops[letter] = top
    sheet = weigh_sheet(bands(4))
    assert tops == {x: pytest.approx(sheet.mould(x).pours[-1].level) for x in "AB"}


def test_a_layer_is_liquid_when_poured_and_firm_when_the_next_one_comes(four: DayForecast) -> None:
    for (letter, layer, part), step in pours(four).items():
        if part != "layer":
            continue
        share = 1.5 * MINUTE * (step.moulds.index(letter) + 1)
        after = bands_at(four, letter, step.at.likely + share)
        assert (after[-1].layer, after[-1].looks.texture) == (layer, "liquid")
        if layer:
            assert after[-2].looks.texture == "firm"


def test_the_liquid_core_shrinks_until_all_is_set(inches: DayForecast) -> None:
    course = inches.course("A")
    assert course is not None
    last = min(s.at.likely for s in of_kind(inches, "top-up") if "A" in s.moulds) + 10 * MINUTE
    shares = []
    # Between two moments that are kept, a quarter of an hour apart, a picture goes straight from one to the other.
    for t in (last, last + HOUR, last + 2 * HOUR, inches.solid["A"].likely + 20 * MINUTE):
        section = course.section(t)
        assert section is not None
        shares.append(float((1 - section.solid).max()))
    assert shares[:3] == sorted(shares[:3], reverse=True)
    assert shares[0] > 0.3
    assert shares[-1] < 0.02
    assert bands_at(inches, "A", inches.cold["A"].likely + 5 * MINUTE)[0].looks.texture == "cold"


def test_a_pot_that_cannot_get_hot_enough_is_said() -> None:
    """Water boils near 80 °C at 6000 m (ISA), below what pillar paraffin is poured at."""
    found = ahead_of_plan(msgspec.structs.replace(inch_bands(), altitude=6000.0, pour_c=92.0), START)
    assert any("does not warm" in note for note in found.collisions)


def test_how_sure_the_melt_is_leaves_the_first_lighting_sure() -> None:
    """At 1500 m nobody knows when palm wax is hot enough, but the burner is lit now."""
    palm = Plan(altitude=1500.0, blend=(BlendPart(wax="palm"),))
    load, lit, *later = ahead_of_plan(palm, START).steps
    assert (load.kind, lit.kind) == ("load", "heat on")
    assert lit.at.late - lit.at.early < MINUTE
    assert later[0].at.late - later[0].at.early > 2 * HOUR


def test_the_day_of_a_plan_begins_with_the_weighed_pot_in_the_agendas_words(day_of: type) -> None:
    first, second, *_ = ahead_of_plan(two_pillars(), START).steps
    assert (first.word, second.word) == ("LOAD POT", "HEAT ON")
    assert first.at.likely < second.at.likely
    act = next(a for a in day_of(two_pillars()).acts(0).values() if a.kind == "load")
    assert (first.says, first.why) == (act.says, act.why)


def test_a_pot_that_was_heated_is_not_loaded_again_in_the_rest_of_the_day(day: Any) -> None:
    day.at(1, ev.BurnerSet(state="on"))
    rest = forecast_day(day.state, day.outlook(2), day.t(2))
    assert "load" not in {step.kind for step in rest.steps}


def test_a_top_up_after_the_quiet_hours_is_left_for_the_morning_and_keeps_nobody_up() -> None:
    """Two bands begun at half past four: by the sentence before they kept one at the stove until seven the next morning."""
    day = ahead_of_plan(two_pillars(), START + 9.5 * HOUR)
    later = left_for_morning(day)
    assert [step.kind for step in later] == ["top-up"]
    assert min(step.at.likely for step in later) > day.gone + 8 * HOUR
    end = lets_go(day)
    assert end is not None and end.early <= end.likely <= end.late <= day.gone  # noqa: PT018
    said = keeps_you(day)
    assert "; left for the morning: TOP UP A, about Mon 07:00." in said
    assert not any("It runs past" in line for line in summary(day))
    whole = ahead_of_plan(two_pillars(), START)
    assert left_for_morning(whole) == ()
    assert lets_go(whole) == whole.end


def test_moulds_that_are_cold_within_minutes_are_one_sentence() -> None:
    """Four tins were four sentences, from 14:45 to 14:49."""
    tin = Mould(shape=Cylinder(diameter=0.07, height=0.06), count=4)
    lines = [
        line for line in summary(ahead_of_plan(bands(1, moulds=(tin,)), START)) if "cold through" in line
    ]
    assert len(lines) < 4
    assert any(line.startswith("A to D are cold through about") for line in lines)
    two = [line for line in summary(ahead_of_plan(two_pillars(), START)) if "cold through" in line]
    assert [line[0] for line in two] == ["B", "A"]
