"""What days taught of a kitchen: figures against a short script of its own that reads the records' JSON and nothing else."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from pourday.demo.scenario import two_pillars
from pourday.forecast.fuse import opens_s
from pourday.forecast.mould import COARSE, Around, Case, PourInto, RoundMould, simulate_all
from pourday.guide.advice.queries import Memory
from pourday.reports.kitchen_days import day_rows, known_kitchen
from pourday.reports.kitchen_report import kitchen_data, kitchen_text
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.store.kitchen_days import KITCHEN
from pourday.store.memories import Memories
from pourday.store.record import record_bytes
from pourday.tui.home.kitchen_query import KitchenQuery
from pourday.wax.materials import family

NOON, MINUTE, DAY = 1_795_608_000.0, 60.0, 86400.0
NOW = NOON + 30 * DAY


def write_day(folder: Path, session: str, day: int, *, firm: float, demo: bool = False) -> None:
    """A day on which both moulds were seen soft until they carried; A `firm` minutes after their pour."""

    def at(minute: float) -> ev.Moment:
        return ev.moment(NOON + day * DAY + minute * MINUTE)

    told = ev.Told(act="look A 1", word="LOOK A", moulds="A", early=at(35), likely=at(50), late=at(65))
    facts = [
        (0.0, ev.Opened(session=session, program="0", demo=demo)), (0.0, ev.PlanFixed(plan=two_pillars())),
        *((1.0, ev.Poured(mould=x, layer=0, part="layer", kg=0.1, celsius=82.0)) for x in "AB"),
        (2.0, told),
        *(
            (minutes, ev.Looked(mould=x, cue=cue))
            for x, at_firm in (("A", firm), ("B", 0.76 * firm))  # as the two are computed
            for minutes, cue in (
                (0.3 * at_firm, "wet"), (0.55 * at_firm, "skinned"), (at_firm - 4, "skinned"), (at_firm + 4, "firm"),
            )
        ),
        (300.0, ev.Finished()),
    ]  # fmt: skip
    entries = [
        Entry(seq=n, at=at(m), logged_at=at(m), by="person", fact=fact)
        for n, (m, fact) in enumerate(facts, 1)
    ]
    (folder / f"{session}.json").write_bytes(record_bytes(session, entries))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("days")
    write_day(place, "2026-11-25-a", 0, firm=45)
    write_day(place, "2026-11-26-a", 1, firm=50)
    write_day(place, "2026-11-27-a", 2, firm=72)
    write_day(place, "2026-11-28-a", 3, firm=20, demo=True)
    return place


def keep(place: Path, name: str, day: int, facts: Iterable[tuple[float, ev.Fact]]) -> None:
    """A finished record of so many days after the first: (minute, what a person said)."""
    entries = [
        Entry(seq=n, at=at, logged_at=at, by="person", fact=fact)
        for n, (m, fact) in enumerate(facts, 1)
        for at in (ev.moment(NOON + day * DAY + m * MINUTE),)
    ]
    (place / f"{name}.json").write_bytes(record_bytes(name, entries))


@pytest.fixture(scope="module")
def stove_days(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three days on which nothing was poured: a strong burner, and its wax read every four minutes."""
    place = tmp_path_factory.mktemp("stove")
    for day, celsius in enumerate(
        ((26, 39, 51, 58, 75, 90), (25, 37, 50, 56, 69, 88), (27, 40, 52, 60, 79, 92))
    ):
        facts = [
            (0.0, ev.Opened(session=f"2026-11-2{day + 5}-s", program="0")),
            (0.0, ev.PlanFixed(plan=two_pillars())),
            (1.0, ev.BurnerSet(state="on")),
            *((5.0 + 4 * n, ev.Reading(place="pot", celsius=float(c))) for n, c in enumerate(celsius)),
            (30.0, ev.BurnerSet(state="off")),
            (300.0, ev.Finished()),
        ]  # fmt: skip
        keep(place, f"2026-11-2{day + 5}-s", day, facts)
    return place


def data(folder: Path) -> dict:
    return kitchen_data(day_rows(folder), Memories(folder).kitchen_choices(), NOW)


def test_days_and_forecasts_are_those_that_a_script_counts_in_the_records(folder: Path) -> None:
    counted, inside, offs = 0, 0, []
    days = []
    for path in folder.glob("2026*.json"):
        record = json.loads(path.read_text())
        if record["demo"]:
            continue
        days.append(record["session"])
        entries = [(datetime.fromisoformat(e["at"]).timestamp(), e["fact"]) for e in record["entries"]]
        (told,) = (f for _, f in entries if f["kind"] == "told")
        early, likely, late = (
            datetime.fromisoformat(told[x]).timestamp() for x in ("early", "likely", "late")
        )
        looks = [(t, f["cue"]) for t, f in entries if f["kind"] == "looked" and f["mould"] == "A"]
        came, not_yet = next(t for t, c in looks if c == "firm"), max(t for t, c in looks if c != "firm")
        poured = next(t for t, f in entries if f["kind"] == "poured" and f["mould"] == "A")
        counted += 1
        inside += not (came < early or not_yet > late)
        offs.append(((came + not_yet) / 2 - poured) / (likely - poured) - 1)
    found = data(folder)
    assert sorted(day["session"] for day in found["days"]) == sorted(days)
    (row,) = found["forecasts"]
    assert (row["kind"], row["month"], row["told"]) == ("look", "2026-11", counted)
    assert row["inside"] == pytest.approx(inside / counted, abs=1e-3)
    assert row["error"] == pytest.approx(sorted(offs)[1], abs=2e-3)


SIGMAS = np.array([0.27, 0.25, 0.15, 2.0, 0.20])
DAYS_APART = np.array([0.05, 0.08, 0.02, 0.3, 0.02])


def test_the_factors_of_the_kitchen_are_those_of_kitchens_drawn_and_weighed(folder: Path) -> None:
    """Kitchens drawn, and each weighed by how likely all that was said is in it; a day more apart, and a person who waits
    for a crust, likelier or not by the same. Figures in and out as the cache and the report have them."""
    day_rows(folder)
    rows = json.loads((folder / KITCHEN).read_text())["rows"]
    days = [row["day"] for row in rows if row["day"]]
    nodes = np.linspace(-4.5, 4.5, 61)
    bell = np.exp(-0.5 * nodes**2) / np.exp(-0.5 * nodes**2).sum()
    within = (DAYS_APART / SIGMAS) ** 2
    usual = np.random.default_rng(4).normal(size=(40_000, 5)) * np.sqrt(1 - within)
    whole, means, spreads = [], [], []
    for apart, before in ((1.0, 0.91), (2.0, 0.03), (4.0, 0.03), (8.0, 0.03)):
        for crust, key in ((0.35, "by_crust"), (0.65, "says")):
            weights = np.ones(len(usual))
            for one in days:
                drift = (0.1 / 0.27) ** 2 * (NOW - one["at"]) / (365.25 * DAY)
                weights *= math.exp(one["crust"]) if key == "by_crust" else 1.0
                for said in one[key]:
                    way, chance = np.array(said["way"]), np.exp(said["log_chance"])
                    # What the day may differ by along its way smears what it said over the kitchens.
                    smear = np.sqrt(way**2 @ (apart * within + drift))
                    near = np.exp(-0.5 * ((nodes[:, None] - nodes) / smear) ** 2)
                    smeared = near @ (chance / (bell @ chance)) / near.sum(axis=1)
                    weights *= np.interp(usual @ way, nodes, smeared)
            whole.append(before * crust * weights.mean())
            mean = weights @ usual / weights.sum()
            means.append(mean)
            spreads.append(
                (usual - mean).T * weights @ (usual - mean) / weights.sum() + np.diag(apart * within)
            )
    w = np.array(whole) / sum(whole)
    mean = w @ np.array(means)
    spread = sum(a * (s + np.outer(m - mean, m - mean)) for a, m, s in zip(w, means, spreads, strict=True))
    sigma = np.sqrt(np.diag(spread)) * SIGMAS
    factors = data(folder)["factors"]
    for i in range(5):
        low, high = (mean[i] * SIGMAS[i] + z * sigma[i] for z in (-1.2816, 1.2816))
        ends = (low, high) if i == 3 else (math.exp(low), math.exp(high))
        # Forty thousand drawn leave a hundredth of a spread to chance, and bells stand for what was said.
        assert (factors[i]["early"], factors[i]["late"]) == pytest.approx(ends, abs=0.04 * SIGMAS[i] * 1.4), (
            factors[i]["name"]
        )
    assert factors[0]["rests_on"] == {"days": 3, "looks": sum(one["looks"] for one in days)}
    assert sum(one["looks"] for one in days) == 3 * 8
    assert [one["unit"] for one in factors[:5]] == ["times", "times", "times", "K", "times"]


STOVE_SPREADS = {
    "power": (0.35, 850.0),
    "uptake": (0.4, 14.0),
    "contact": (0.3, 0.45),
    "loss": (0.3, 2.6),
    "water": (0.35, 1.75),
}
STOVE_SAYS = {
    "power": "heat that the full flame gives the bath",
    "uptake": "how fast heat goes into molten wax",
    "contact": "how fast it goes into solid wax, beside that",
    "loss": "heat that the bath loses",
    "water": "water in the bath, where you did not say how much",
}


def weighed(says: list[tuple[float, float, float]], whole: float, of_day: float) -> list[float]:
    """Early, likely and late of a figure, from (when, mean, sigma) of each day."""
    within = (of_day * whole) ** 2
    own = [sigma**2 + 0.1**2 * (NOW - at) / (365.25 * DAY) for at, _, sigma in says]
    values = [mean for _, mean, _ in says]
    if len(says) > 2:
        w = [1 / v for v in own]
        middle = sum(a * x for a, x in zip(w, values, strict=True)) / sum(w)
        q = sum(a * (x - middle) ** 2 for a, x in zip(w, values, strict=True))
        more = (q - len(w) + 1) / (sum(w) - sum(a * a for a in w) / sum(w))
        within = max(within, more)
    grid = np.linspace(-3, 3, 6001)
    log = -0.5 * grid**2 / (whole**2 - (of_day * whole) ** 2)
    for x, v in zip(values, own, strict=True):
        log = log - 0.5 * (grid - x) ** 2 / (v + within)
    chance = np.exp(log - log.max())
    chance /= chance.sum()
    mean = float(chance @ grid)
    sigma = math.sqrt(float(chance @ (grid - mean) ** 2) + within)
    return [math.exp(mean + z * sigma) for z in (-1.2816, 0.0, 1.2816)]


STOVE_DAY_SHARE, KNOB_DAY_SHARE = 0.2, 0.3
JUG_SPREADS = {"cooling": 0.4, "bench": 0.35}
JUG_SAYS = {
    "cooling": "how fast a jug cools in the bath",
    "bench": "how fast a jug cools on the bench",
}


@pytest.fixture(scope="module")
def jug_days(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three days with one jug: held over a low flame, cooling in its bath, then on the bench."""
    place = tmp_path_factory.mktemp("jugs")
    for day, celsius in enumerate(
        (
            (70.0, 80.5, 84.0, 79.0, 78.0, 71.0),
            (70.0, 82.5, 85.0, 80.5, 79.0, 71.5),
            (70.0, 79.0, 84.0, 78.5, 77.0, 69.5),
        )
    ):
        facts = [
            (0.0, ev.Opened(session=f"2026-11-2{day + 5}-j", program="0")),
            (0.0, ev.PlanFixed(plan=two_pillars())),
            (1.0, ev.JugMade(layer=0)),
            (2.0, ev.BurnerSet(state="low")),
            *((m, ev.Reading(place="jug", jug=0, celsius=c)) for m, c in zip((8, 18), celsius, strict=False)),
            (20.0, ev.BurnerSet(state="off")),
            *((m, ev.Reading(place="jug", jug=0, celsius=c)) for m, c in zip((25, 35), celsius[2:], strict=False)),
            (36.0, ev.JugStands(layer=0, where="bench")),
            *((m, ev.Reading(place="jug", jug=0, celsius=c)) for m, c in zip((40, 46), celsius[4:], strict=False)),
            (300.0, ev.Finished()),
        ]  # fmt: skip
        keep(place, f"2026-11-2{day + 5}-j", day, facts)
    return place


def test_the_figures_of_the_jugs_are_those_that_a_script_weighs(jug_days: Path) -> None:
    found = {one["name"]: one for one in data(jug_days)["factors"] if one["of"] == "jugs"}
    assert set(found) == set(JUG_SAYS.values()), "over a flame a jug goes the way of the pot"
    days = [row["day"] for row in json.loads((jug_days / KITCHEN).read_text())["rows"]]
    for figure, whole in JUG_SPREADS.items():
        says = [(day["at"], *day["jugs"]["said"][figure]) for day in days]
        one = found[JUG_SAYS[figure]]
        assert [one["early"], one["likely"], one["late"]] == pytest.approx(
            weighed(says, whole, 0.4), abs=2e-3
        )
        assert one["rests_on"] == {"days": 3, "readings": 9}
    # 10 minutes on the bench from 78 °C to 71 in a room of 20 are twice as fast as a full kilogram's kelvin a minute.
    assert found[JUG_SAYS["bench"]]["likely"] > 1.0
    text = kitchen_text(day_rows(jug_days), Memories(jug_days).kitchen_choices(), NOW)
    assert any("how fast a jug cools on the bench" in line and "9 readings of jugs" in line for line in text)


def test_the_figures_of_the_stove_are_those_that_a_script_weighs(stove_days: Path) -> None:
    """Each day's figure about the stove's, the stove's about the usual one: weighed on a fine grid of what the stove's may
    be, with the scatter of days by DerSimonian and Laird (1986). Figures in and out as the cache and the report have them."""
    found = {one["name"]: one for one in data(stove_days)["factors"] if one["of"] == "stove"}
    rows = json.loads((stove_days / KITCHEN).read_text())["rows"]
    days = [row["day"] for row in rows if row["day"]]
    assert len(days) == 3
    told = 0
    for figure, (whole, usual) in STOVE_SPREADS.items():
        says = [(day["at"], *day["stove"]["said"][figure]) for day in days if figure in day["stove"]["said"]]
        if not says:
            assert STOVE_SAYS[figure] not in found
            continue
        told += 1
        ends = weighed(says, whole, KNOB_DAY_SHARE if figure == "power" else STOVE_DAY_SHARE)
        one = found[STOVE_SAYS[figure]]
        assert [one["early"], one["likely"], one["late"]] == pytest.approx(ends, abs=2e-3)
        assert one["value"] == pytest.approx(usual * ends[1], rel=2e-3)
        assert one["rests_on"] == {"days": len(says), "readings": 18}
    assert told >= 2
    strong = found[STOVE_SAYS["power"]]
    assert strong["likely"] > 1.2
    assert strong["minutes"]["molten"][1] < 0
    text = "\n".join(kitchen_text(day_rows(stove_days), Memories(stove_days).kitchen_choices(), NOW))
    assert "readings of the pot" in text
    known = known_kitchen(stove_days, NOW)
    assert known is not None
    assert known.law.power > 1.2 * 850
    Memories(stove_days).use_no_days(NOW, none=True)
    assert known_kitchen(stove_days, NOW) is None


def test_what_a_factor_does_is_said_in_minutes_of_a_computed_layer(folder: Path) -> None:
    """The same layer computed with the late end of the factor itself, and without."""
    found = data(folder)
    factor = found["factors"][0]["late"]
    times = []
    for top in (1.0, factor):
        vessel = RoundMould(0.035, 0.08, "dull metal", top_factor=top)
        pour = PourInto(0.0, 82.0, family("paraffin_pillar"), height=0.03)
        run = simulate_all([Case(vessel, (pour,), (Around(20.0),))], grid=COARSE)[0]
        times.append((opens_s(run), run.demould_s))
    for i, name in enumerate(("carries", "cold")):
        longer = (times[1][i] - times[0][i]) / 60
        assert found["factors"][0]["minutes"][name][2] == pytest.approx(longer, abs=0.3 + 0.05 * abs(longer))
    assert found["example"]["carries"]["computed"] == pytest.approx(times[0][0] / 60, abs=0.06)
    soon, likely, late = found["example"]["carries"]["here"]
    assert soon < likely < late


def test_the_cache_may_be_deleted_and_is_worked_out_a_record_at_a_time(folder: Path) -> None:
    before = data(folder)
    (folder / KITCHEN).unlink()
    assert known_kitchen(folder, NOW) is None
    answers = list(KitchenQuery(folder).answers(Memory()))
    assert answers[-1] == 4
    assert len(answers) >= 4
    assert data(folder) == before
    assert known_kitchen(folder, NOW) is not None


def test_what_a_person_forgets_or_does_not_use_is_not_used_and_comes_back(folder: Path) -> None:
    memories = Memories(folder)
    whole = data(folder)
    memories.forget_day("2026-11-27-a", NOW)
    forgotten = data(folder)
    assert forgotten["factors"][0]["rests_on"]["days"] == 2
    assert forgotten["factors"][0]["likely"] > whole["factors"][0]["likely"]
    assert "forgotten" in "\n".join(kitchen_text(day_rows(folder), memories.kitchen_choices(), NOW))
    memories.forget_day("2026-11-27-a", NOW, forget=False)
    assert data(folder) == whole
    memories.use_no_days(NOW, none=True)
    assert known_kitchen(folder, NOW) is None
    memories.use_no_days(NOW, none=False)
    memories.forget_all_days(NOW)
    assert data(folder)["factors"][0]["rests_on"]["days"] == 0


def test_an_empty_folder_says_what_would_teach(tmp_path: Path) -> None:
    text = "\n".join(kitchen_text(day_rows(tmp_path), Memories(tmp_path).kitchen_choices(), NOW))
    assert "Looks at a surface teach" in text
