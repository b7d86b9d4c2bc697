"""Files that no honest program wrote: told in words with file and place, or opened; never a crash.

The corpus beside this file holds one file for each way a file can be bad.
"""

from __future__ import annotations

import shutil
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pourday.errors import Trouble
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.session.fold import apply, fold, needs_refold
from pourday.store.check import check
from pourday.store.clean import BadLine, entry_of, written
from pourday.store.journal import Text, parse
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.reading import read_path
from pourday.store.record import parse_record

CORPUS = Path(__file__).parent / "corpus"
FILES = sorted(path.name for path in CORPUS.iterdir())
OPENED = {
    "good.journal",
    "good-record.json",
    "copy-of-good.journal",
    "crlf.journal",
    "torn.journal",
    "torn-zeros.journal",
    "wrong-times.journal",
    "huge-plan-record.json",
    "huge-plan-number-record.json",
    "hostile-text.journal",
    "hostile-text-record.json",
    "hostile-session.journal",
}
"""Those that hold a session all the same; all others are refused."""
REMARKED = OPENED - {"good.journal"}


def texts(value: object) -> Iterator[str]:
    """Every text anywhere inside."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from texts(key)
            yield from texts(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from texts(item)


def harmless(text: str) -> bool:
    return not any(unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co") for c in text)


@pytest.fixture
def folder(tmp_path):
    return Path(shutil.copytree(CORPUS, tmp_path / "sessions"))


@pytest.mark.parametrize("name", FILES)
def test_each_bad_file_is_refused_with_its_name_or_opened_and_left_as_it_is(folder, name, noon):
    path = folder / name
    before = path.read_bytes()
    try:
        kept = read_path(path)
    except Trouble as trouble:
        says = trouble
        kept = None
    assert (kept is not None) == (name in OPENED)
    if kept is None:
        assert name in str(says)
        assert harmless(str(says))
        assert says.what.endswith(".")
        with pytest.raises(Trouble):
            LiveSession.open(folder, path.stem, now=noon)
    else:
        assert bool(kept.remarks) == (name in REMARKED)
        assert all(harmless(text) for text in texts(msgspec.to_builtins([*kept.entries, *kept.remarks])))
    assert path.read_bytes() == before


def test_places_are_told(folder):
    says = {row.file: row.trouble for row in list_sessions(folder)}
    assert "line 4. At `fact.celsius`: Expected `float`, got `str`." in says["wrong-type.journal"]
    assert "At `entries[1].seq`" in says["wrong-type-record.json"]
    assert "line 3. Entry 3 stands where entry 2 belongs." in says["swapped.journal"]
    assert "line 5. Entry 3 stands where entry 4 belongs." in says["duplicate-seq.journal"]
    assert "version 99 of the record" in says["future-record.json"]
    assert "nested far deeper" in says["deep.journal"]
    assert "line 4. The time 9999-12-31" in says["year-9999.journal"]


def test_good_sessions_list_among_all_the_bad_ones_and_none_is_touched(folder):
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    rows = {row.file: row for row in list_sessions(folder)}
    assert rows["good.journal"].trouble == ""
    assert rows["good.journal"].entries == 4
    assert len(rows) == len(FILES)
    assert list(check(folder))
    after = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert {name: after[name] for name in before} == before
    for name in after.keys() - before.keys() - {".library.json"}:
        assert read_path(folder / name).entries


def told(read: Callable[[bytes, str], Any], data: bytes) -> tuple[str, Any]:
    """What was said against reading it, and what was read."""
    try:
        return "", read(data, "x")
    except Trouble as trouble:
        return str(trouble), None


def entries_of(fact: object, seq: int = 1) -> Entry:
    when = ev.moment(1.8e9 + seq)
    return Entry(seq=seq, at=when, logged_at=when, by="person", fact=fact)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_are_a_record_or_a_sentence(data):
    for read in (parse, parse_record):
        says, _ = told(read, data)
        assert harmless(says)


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), name=st.sampled_from(["good.journal", "good-record.json", "hostile-text.journal"]))
def test_a_good_file_with_a_few_bytes_changed_is_a_session_or_a_sentence(data, name):
    """And a journal never yields entries out of order, whatever was changed."""
    content = bytearray((CORPUS / name).read_bytes())
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(content) - 1))
        act = data.draw(st.sampled_from(["change", "cut", "double"]))
        if act == "change":
            content[place] = data.draw(st.integers(0, 255))
        elif act == "cut":
            del content[place : place + data.draw(st.integers(1, 60))]
        else:
            content[place:place] = content[place : place + data.draw(st.integers(1, 200))]
        if not content:
            break
    says, found = told(parse_record if name.endswith(".json") else parse, bytes(content))
    assert harmless(says)
    entries = found.entries if found else ()
    if isinstance(found, Text):
        assert parse(found.text, "x").entries == entries
    assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
    fold(entries)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=60) | st.text(alphabet="\x1b\x07[]0;m\u202e\u200b\x9ba/b é\u0301", max_size=60))
def test_any_text_is_written_clean_and_reads_back_as_it_was_written(text):
    entry, line = written(entries_of(ev.Noted(text=text)))
    assert harmless(entry.fact.text)
    assert line.count(b"\n") == 1
    assert entry_of(line) == entry


numbers = st.floats() | st.integers() | st.none() | st.just("7")


@settings(max_examples=200, deadline=None)
@given(numbers, numbers, st.integers())
def test_any_number_is_refused_or_reads_back_exactly(kg, celsius, layer):
    fact = ev.Poured(mould="A", layer=layer, part="layer", kg=kg, celsius=celsius)
    try:
        entry, line = written(entries_of(fact))
    except BadLine:
        return
    assert entry.fact == fact
    assert entry_of(line).fact == fact


moments = st.floats(0, 7e9).map(ev.moment)
names = st.text(alphabet="ab", max_size=3)
some_facts = st.one_of(
    st.builds(
        ev.Reading,
        place=st.sampled_from(["pot", "surface"]),
        celsius=st.floats(-60, 400),
        mould=st.sampled_from(["", "A", "Z"]),
    ),
    st.builds(
        ev.Poured,
        mould=st.sampled_from(["", "A", "Z"]),
        layer=st.integers(-3, 5),
        part=st.sampled_from(["plug", "layer", "top-up"]),
    ),
    st.builds(
        ev.Weighed,
        mould=st.sampled_from(["A", "Z"]),
        what=st.sampled_from(["pour", "candle"]),
        kg=st.floats(0, 10),
    ),
    st.builds(ev.BurnerSet, state=st.sampled_from(["on", "off", "unknown"])),
    st.builds(
        ev.GapSeen,
        seconds=st.floats(-1e10, 1e10),
        cause=st.sampled_from(["slept", "clock changed", "stalled"]),
    ),
    st.builds(ev.TimerSet, name=names, due=moments),
    st.builds(ev.WentAway, back_by=st.none() | moments),
    st.builds(ev.AlarmAcknowledged, alarm=names),
    st.builds(ev.Reopened, program=names, away=st.floats(-1e10, 1e10)),
    st.builds(ev.Undone, entry=st.integers(-2, 30)),
    st.builds(ev.Corrected, entry=st.integers(-2, 30), fact=st.builds(ev.TimerSet, name=names, due=moments)),
    st.builds(ev.Finished),
    st.just(ev.PlanFixed(plan=ev.Plan(layers=(), moulds=()))),
    st.just(ev.PlanFixed(plan=ev.Plan())),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(some_facts, moments), max_size=25))
def test_whatever_happened_in_whatever_order_folds_and_adding_one_by_one_agrees(happened):
    """`apply` and `fold` are one truth, times out of order, undone corrections and absurd clocks included."""
    entries: list[Entry] = []
    state = fold([])
    for fact, when in happened:
        try:
            entry, _ = written(Entry(seq=len(entries) + 1, at=when, logged_at=when, by="person", fact=fact))
        except BadLine:
            continue
        entries.append(entry)
        state = fold(entries) if needs_refold(fact) else apply(state, entry)
        assert state.stage
    assert state == fold(entries)
