"""The identity of an act and its text in the record: what was written is read, by this program and by the ones before it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.session.act_id import ActId, read_act_id

WRITTEN = {
    "burner?": ActId("burner?"),
    "heat off": ActId("heat off"),
    "heat on 1792962000": ActId("heat on", nth=1792962000),
    "read 0": ActId("read", nth=0),
    "add wax": ActId("add wax"),
    "jug 1": ActId("jug", layer=1),
    "drop 0": ActId("drop", layer=0),
    "melt jug 0 2": ActId("melt jug", layer=0, nth=2),
    "plug 0 AB": ActId("plug", "AB", 0),
    "layer 0 A": ActId("layer", "A", 0),
    "pour 1 A": ActId("pour", "A", 1),
    "wait pour 1 A": ActId("pour", "A", 1, waits=True),
    "wait": ActId("wait"),
    "look under AB": ActId("look under", "AB"),
    "look A 3": ActId("look", "A", nth=3),
    "relief A 0": ActId("relief", "A", nth=0),
    "top-up AB": ActId("top-up", "AB"),
    "decide 2 B": ActId("decide", "B", 2),
    "decide plug A": ActId("decide plug", "A"),
    "decide short A 14": ActId("decide short", "A", nth=14),
    "demould A": ActId("demould", "A"),
    "cure A": ActId("cure", "A"),
    "how 14": ActId("how", nth=14),
    "warm A 14": ActId("warm", "A", nth=14),
    "back look A 1792962000": ActId("back look", "A", nth=1792962000),
    "back burner 1792962000": ActId("back burner", nth=1792962000),
    "end 1792962000": ActId("end", nth=1792962000),
    "timer soon tea": ActId("timer soon", name="tea"),
    "timer Böden 2 3": ActId("timer", name="Böden 2", nth=3),
    "alarm near ceiling": ActId("alarm", name="near ceiling"),
    "far pour 2 AB 0": ActId("pour", "AB", 2, 0, far=True),
    "wait far jug 2 0": ActId("jug", layer=2, nth=0, waits=True, far=True),
}


@pytest.mark.parametrize(("text", "act"), WRITTEN.items())
def test_the_text_of_the_record_and_the_act_name_each_other(text: str, act: ActId) -> None:
    assert read_act_id(text) == act
    assert str(act) == text


@pytest.mark.parametrize(
    ("text", "act"),
    [
        ("relief A 0B", ActId("relief", "AB", nth=0)),
        ("wait relief A 2BC", ActId("relief", "ABC", nth=2, waits=True)),
        ("far jug 2  0", ActId("jug", layer=2, nth=0, far=True)),
        ("wait far heat on   1", ActId("heat on", nth=1, waits=True, far=True)),
    ],
)
def test_what_earlier_programs_wrote_otherwise_is_read_as_well(text: str, act: ActId) -> None:
    assert read_act_id(text) == act


_NUMBERS = st.none() | st.integers(-1, 10**12)
_MOULDS = st.text("ABCDEFGH", min_size=1, max_size=4)


@given(
    st.one_of(
        st.builds(
            ActId,
            st.sampled_from(["pour", "plug", "decide"]),
            _MOULDS,
            st.integers(0, 9),
            _NUMBERS,
            waits=st.booleans(),
            far=st.booleans(),
        ),
        st.builds(
            ActId,
            st.sampled_from(["look", "look under", "relief", "top-up", "back look"]),
            _MOULDS,
            nth=_NUMBERS,
            waits=st.booleans(),
        ),
        st.builds(ActId, st.sampled_from(["jug", "melt jug"]), layer=st.integers(0, 9), nth=_NUMBERS),
        st.builds(ActId, st.sampled_from(["heat on", "burner?", "end", "read"]), nth=_NUMBERS),
    )
)
def test_every_act_is_read_as_it_was_written(act: ActId) -> None:
    assert read_act_id(str(act)) == act


@given(st.text(max_size=80) | st.text("a 0A1B", max_size=20))
def test_whatever_stands_in_a_record_is_taken_and_said_again(text: str) -> None:
    act = read_act_id(text)
    assert read_act_id(str(act)) == act
    if not act.far and not act.moulds:
        assert str(act) == text
