"""What really went into a jug: one line after it is made, one key for who has nothing to say, and never a figure that
nobody typed."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import START, two_pillars
from pourday.plan.model import Plan, Product
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.stove.aside import Aside
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.foot import foot
from pourday.tui.stove.guard import SETTLES
from pourday.tui.stove.jug_line import JugLine
from pourday.tui.stove.reason_line import ReasonLine

NAMES = {"\r": "enter", "\x1b": "escape", " ": "space", "\t": "tab", "\x7f": "backspace"}


def scented(units: str = "metric") -> Plan:
    plan = two_pillars()
    first = replace(
        plan.layers[0],
        scent_load=0.06,
        dye_load=0.001,
        scents=(Product(name="lavender", lot="L-3", share=0.6), Product(name="cedar", share=0.4)),
        dyes=(Product(name="sage", lot="D-9"),),
    )
    return replace(plan, units=units, layers=(first, *plan.layers[1:]))


class Stove:
    """Someone at the stove: a key every two seconds."""

    def __init__(self, folder, plan: Plan) -> None:
        folder.mkdir(exist_ok=True)
        self.live = LiveSession.create(folder, "s", now=START)
        self.live.file(ev.Waived(act="load pot"), now=START, by="program")
        self.live.file(ev.PlanFixed(plan=plan), now=START)
        self.live.file(ev.BurnerSet(state="on"), now=START)
        self.now, self.real = START + 600, 0.0
        self.controller = StoveController(self.live)
        self.controller.wake(0.0)
        self.controller.look(self.now, 0.0)
        self.before = len(self.live.entries)

    def type(self, keys: str, every: float = 2.0) -> None:
        for key in keys:
            self.now += every
            self.real += every
            self.controller.press(
                NAMES.get(key, key), None if key in "\x1b\x7f" else key, self.now, self.real
            )
            self.controller.look(self.now, self.real)

    def made(self) -> Stove:
        """The first jug is said to be made, and nothing else yet."""
        self.type("oj1")
        self.before = len(self.live.entries)
        return self

    def said(self) -> list[ev.Fact]:
        facts = [e.fact for e in self.live.entries[self.before :] if e.by == "person"]
        return [fact for fact in facts if not isinstance(fact, ev.WatchAnswered)]

    def said_at(self, kind: type) -> int:
        """Number of the newest entry with such a fact."""
        return max(e.seq for e in self.live.entries if isinstance(e.fact, kind))

    def shown(self, cells: int = 80) -> str:
        drawn = foot(self.controller, cells)
        assert all(width(row) <= cells for row in (*drawn.entry, drawn.keys))
        return "\n".join(text_of(row).rstrip() for row in (*drawn.entry, drawn.keys))


@pytest.fixture
def stove(tmp_path) -> Stove:
    return Stove(tmp_path, scented()).made()


def test_both_lines_are_asides(stove: Stove) -> None:
    lines: list[Aside] = [stove.controller.aside, ReasonLine(3)]
    assert [type(each) for each in lines] == [JugLine, ReasonLine]
    for aside in lines:
        assert aside.open
        assert aside.keys()
        assert not aside.takes("h", "h")


def test_the_jug_is_on_record_before_anything_is_asked_and_one_key_skips_it_all(stove: Stove) -> None:
    assert 0 in stove.live.state.jugs
    assert "Jug of" in stove.shown()
    assert "Space skips it all" in stove.shown()
    stove.type(" ")
    assert (stove.said(), stove.controller.aside) == ([], None)


@pytest.mark.parametrize("key", ["\r", "\x1b"])
def test_enter_and_escape_skip_it_as_well(stove: Stove, key: str) -> None:
    stove.type(key)
    assert (stove.said(), stove.controller.aside) == ([], None)


def test_a_space_that_comes_with_the_line_does_not_skip_it_unread(stove: Stove) -> None:
    again = Stove(stove.live.folder / "other", scented())
    again.type("oj1 ", every=SETTLES / 2)
    assert again.controller.aside is not None


def test_every_figure_goes_on_record_as_it_was_typed(stove: Stove) -> None:
    jug = stove.controller.advice.outlook.jug(0)
    wax = f"{jug.wax * 1000:.0f}"
    stove.type(f"{wax} .4 20 14 81.5 18.5\r")
    dye, lavender, cedar = (f for f in stove.said() if isinstance(f, ev.JugDosed))
    assert stove.said()[0] == ev.JugWeighed(layer=0, kg=float(wax) / 1000, typed=f"{wax} g")
    assert (dye.what, dye.product, dye.lot, dye.kg, dye.celsius) == ("dye", "sage", "D-9", 0.0004, 81.5)
    assert (lavender.product, lavender.lot, lavender.kg, lavender.typed) == ("lavender", "L-3", 0.020, "20 g")
    assert lavender.planned_kg == pytest.approx(jug.scent * 0.6)
    assert (cedar.product, cedar.lot, cedar.kg) == ("cedar", "", 0.014)
    readings = [f for f in stove.said() if isinstance(f, ev.Reading)]
    assert [(f.place, f.celsius, f.typed) for f in readings] == [
        ("jug", 81.5, "81.5"),
        ("room", 18.5, "18.5"),
    ]
    assert stove.controller.aside is None
    state = stove.live.state.jugs[0]
    assert (state.drawn_kg, len(state.doses)) == (float(wax) / 1000, 3)


def test_what_is_left_empty_is_not_told(stove: Stove) -> None:
    stove.type("\t\t20\r")
    (only,) = stove.said()
    assert isinstance(only, ev.JugDosed)
    assert (only.product, only.kg, only.celsius) == ("lavender", 0.020, None)


def test_a_figure_far_from_the_plan_is_asked_about_once(stove: Stove) -> None:
    stove.type("74.5\r")
    assert stove.said() == []
    assert "Enter again keeps it" in stove.shown()
    stove.type("\r")
    assert stove.said() == [ev.JugWeighed(layer=0, kg=0.0745, typed="74.5 g")]


@pytest.mark.parametrize(("keys", "says"), [("5.5.5\r", "cannot be read"), ("\t\t\t\t178\r", "C or F")])
def test_what_is_no_figure_stays_there_with_a_sentence(stove: Stove, keys: str, says: str) -> None:
    stove.type(keys)
    assert stove.said() == []
    assert stove.controller.aside is not None
    assert says in stove.shown()


def test_a_key_of_its_own_puts_the_line_away_and_does_its_work(stove: Stove) -> None:
    stove.type("h")
    assert stove.said() == [ev.BurnerSet(state="off")]
    assert stove.controller.aside is None


def test_typed_figures_are_not_lost_to_a_slip_of_the_finger(stove: Stove) -> None:
    stove.type("4h")
    assert stove.said() == []
    assert "Enter files" in stove.shown()
    stove.type("e")
    assert stove.controller.card == "fire"
    stove.type("\x1b\x1b")
    assert "Nothing of it was filed" in stove.shown()
    assert stove.controller.aside is None


def test_the_room_is_asked_for_until_it_was_read(stove: Stove) -> None:
    assert "the room" in stove.shown()
    stove.type("\t\t\t\t\t17\r")
    stove.type("oj2")
    assert "the room" not in stove.shown()


@pytest.mark.parametrize("cells", [40, 56, 80, 120])
def test_it_fits_every_width_and_shows_what_is_typed(stove: Stove, cells: int) -> None:
    stove.type("\t\t20")
    assert "20▏" in stove.shown(cells)


@pytest.mark.parametrize("cells", [40, 80])
def test_hostile_names_stay_within_their_line(tmp_path, cells: int) -> None:
    plan = scented()
    hostile = "\x1b[31m\u202e\u8721" + "x" * 70
    first = replace(plan.layers[0], colour=hostile, scents=(Product(name=hostile, lot=hostile),) * 3)
    stove = Stove(tmp_path, replace(plan, layers=(first, *plan.layers[1:]))).made()
    assert "wax" in stove.shown(cells)
    stove.type("\t\t5\r\r")
    (dose,) = stove.said()
    assert isinstance(dose, ev.JugDosed)
    assert "\x1b" not in dose.product
    assert stove.shown(cells)


def test_in_ounces_and_fahrenheit(tmp_path) -> None:
    stove = Stove(tmp_path, scented("us")).made()
    stove.type("\t\t.7\t\t178\r")
    dose, reading = stove.said()
    assert isinstance(dose, ev.JugDosed)
    assert isinstance(reading, ev.Reading)
    assert dose.kg == pytest.approx(0.7 * 0.028349523125)
    assert reading.celsius == pytest.approx(81.111, abs=0.001)


def test_unnamed_scent_and_a_plain_jug_ask_for_what_there_is(tmp_path) -> None:
    plan = two_pillars()
    bare = replace(plan, layers=tuple(replace(x, scent_load=0.0, dye_load=0.0) for x in plan.layers))
    assert [box.kind for box in Stove(tmp_path, bare).made().controller.aside.boxes] == ["wax", "jug", "room"]
    eye = replace(bare, layers=(replace(bare.layers[0], scent_by_eye=True), *bare.layers[1:]))
    kinds = Stove(tmp_path / "eye", eye).made().controller.aside.boxes
    assert [(box.kind, box.planned_kg) for box in kinds][1] == ("scent", None)


# -- why something was taken back -----------------------------------------------------------------------


def test_a_reason_is_one_key_and_so_is_none(stove: Stove) -> None:
    stove.type(" zx")
    undone, reason = stove.said()
    assert isinstance(undone, ev.Undone)
    assert reason == ev.Reasoned(entry=stove.said_at(ev.Undone), why="pressed by mistake")
    assert stove.controller.aside is None
    stove.type("u")
    assert 0 in stove.live.state.jugs
    stove.type("z")
    assert "Why?" in stove.shown()
    before = len(stove.live.entries)
    stove.type(" ")
    assert (len(stove.live.entries), stove.controller.aside) == (before, None)


def test_a_reason_in_words_of_ones_own(stove: Stove) -> None:
    stove.type(" znthe scale was not level\r")
    assert stove.said()[-1] == ev.Reasoned(entry=stove.said_at(ev.Undone), why="the scale was not level")


def test_taking_back_more_and_typing_the_right_figure_need_no_key_more(stove: Stove) -> None:
    stove.type(" 81\r")
    stove.type("z")
    stove.type("82\r")
    readings = [f.celsius for f in stove.said() if isinstance(f, ev.Reading)]
    assert readings == [81.0, 82.0]
    stove.type("zz")
    assert sum(isinstance(f, ev.Undone) for f in stove.said()) == 3


def test_what_was_put_right_asks_for_its_reason_as_well(stove: Stove) -> None:
    stove.type(" ")
    stove.live.file(ev.Poured(mould="A", layer=0, part="layer", kg=0.2), now=stove.now)
    stove.controller.look(stove.now, stove.real)
    stove.type("oc")
    stove.type("2")
    assert isinstance(stove.said()[-1], ev.Corrected)
    assert "Why?" in stove.shown()
    stove.type("m")
    assert stove.said()[-1] == ev.Reasoned(entry=stove.said_at(ev.Corrected), why="mistyped")
