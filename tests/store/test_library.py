"""The list of all sessions, its index, and bad files among good ones."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from pourday.cli import main
from pourday.errors import Trouble
from pourday.plan.model import Mould, Plan
from pourday.session import events as ev
from pourday.store import reading
from pourday.store.index import INDEX
from pourday.store.library import list_sessions, open_sessions
from pourday.store.live import LiveSession


@pytest.fixture
def folder(begun, noon):
    """An open session, a finished one and a demo that is pouring."""
    begun.close()
    done = LiveSession.create(begun.folder, "2026-11-24-a", now=noon - 86_400)
    done.finish("good", now=noon - 80_000)
    demo = LiveSession.create(begun.folder, "2026-11-25-b", now=noon, demo=True)
    demo.file(ev.PlanFixed(plan=Plan(title="Stripes", moulds=(Mould(count=2),))), now=noon + 10)
    demo.file(ev.Poured(mould="A", layer=0, part="plug"), now=noon + 400)
    demo.file(ev.TimerSet(name="look A", due=ev.moment(noon + 900)), now=noon + 401)
    demo.close()
    return begun.folder


def test_each_session_is_a_row_with_its_main_facts(folder, noon):
    rows = list_sessions(folder)
    assert [row.session for row in rows] == ["2026-11-25-b", "2026-11-25-a", "2026-11-24-a"]
    demo, _, done = rows
    assert (demo.title, demo.stage, demo.demo, demo.moulds, demo.entries) == ("Stripes", "pour", True, 2, 4)
    assert (demo.started, demo.last, demo.due) == (noon, noon + 401, (("look A", noon + 900),))
    assert (done.finished, done.stage, done.verdict) == (True, "finished", "good")


def test_a_file_is_read_again_only_when_it_changed(folder, noon, monkeypatch):
    before = list_sessions(folder)
    read = []
    real = reading.read_path
    monkeypatch.setattr(reading, "read_path", lambda path, disk: read.append(path.name) or real(path, disk))
    assert list_sessions(folder) == before
    assert read == []
    live = LiveSession.open(folder, "2026-11-25-a", now=noon + 5_000)
    read.clear()  # Opening reads it, too.
    rows = list_sessions(folder)
    assert read == ["2026-11-25-a.journal"]
    assert rows[0].last == noon + 5_000
    live.close()


@pytest.mark.parametrize(
    "content",
    [
        None,
        b"",
        b"\x00\xff",
        b"[]",
        b'{"_default": 1}',
        b'{"_default": {"1": 3, "x": {"file": "a"}}}',
        b'{"_default": {"1": {"file": "2026-11-25-a.journal", "size": "big"}}}',
        b"[" * 5_000,
    ],
)
def test_losing_or_spoiling_the_index_costs_only_time(folder, content):
    before = list_sessions(folder)
    index = folder / INDEX
    index.unlink()
    if content is not None:
        index.write_bytes(content)
    assert list_sessions(folder) == before
    assert list_sessions(folder) == before
    assert len(json.loads(index.read_bytes())["_default"]) == 3


EXTREMES = (
    -62_135_596_800,
    253_402_300_800,
    -1e300,
    1e18,
    1e308,
    -1,
    2**63,
    2**70,
    "x" * 5_000,
    [],
    {},
    None,
    True,
)


@pytest.mark.parametrize("value", EXTREMES, ids=[f"{value!r:.20}" for value in EXTREMES])
def test_no_value_in_the_index_keeps_the_sessions_from_being_shown(folder, value, capsys):
    """Every field of a row in turn; a cache is checked, and rebuilt from the files where it cannot be."""
    good = list_sessions(folder)
    index = folder / INDEX
    sound = json.loads(index.read_bytes())
    row = next(iter(sound["_default"].values()))
    places = [(row, name) for name in row] + [(row["summary"], name) for name in row["summary"]]
    for at, name in places:
        before, at[name] = at[name], value
        index.write_text(json.dumps(sound))
        at[name] = before
        rows = list_sessions(folder)
        assert [(r.session, r.file) for r in rows] == [(r.session, r.file) for r in good], name
        with pytest.raises(SystemExit) as ended:
            main(["--sessions", str(folder), "list"])
        assert ended.value.code == 0, name
        if value not in (-1, None):  # The last second of 1969, or no time at all, may be true of a file.
            for shown, true in zip(rows, good, strict=True):
                assert (shown.last, shown.started) == (true.last, true.started), name
    assert "Traceback" not in capsys.readouterr().err


def test_a_row_that_is_about_another_file_is_not_believed(folder):
    good = list_sessions(folder)
    index = folder / INDEX
    sound = json.loads(index.read_bytes())
    for row in sound["_default"].values():
        row["summary"]["session"] = row["summary"]["file"] = "../../etc/passwd"
    index.write_text(json.dumps(sound))
    assert list_sessions(folder) == good
    assert b"passwd" not in index.read_bytes()


def test_an_index_that_cannot_be_written_is_no_trouble(folder, faulty, full):
    before = list_sessions(folder)
    (folder / INDEX).unlink()
    disk = faulty()

    def refuses(*_: object) -> int:
        raise OSError(full, "full")

    disk.write = refuses
    assert list_sessions(folder, disk) == before
    assert not (folder / INDEX).exists()


def test_what_a_forged_index_says_is_cleaned_too(folder):
    list_sessions(folder)
    index = folder / INDEX
    index.write_bytes(
        index.read_bytes().replace(b'"title":"Stripes"', b'"title":"\\u001b]2;x\\u0007\\u202eS"')
    )
    assert "S" in [row.title for row in list_sessions(folder)]


def test_a_removed_session_is_forgotten(folder):
    list_sessions(folder)
    (folder / "2026-11-24-a.json").unlink()
    assert len(list_sessions(folder)) == 2
    assert b"2026-11-24" not in (folder / INDEX).read_bytes()


def test_a_folder_that_is_gone_is_told_in_words(folder):
    with pytest.raises(Trouble, match=r"cannot be listed\. There is no such file or folder"):
        list_sessions(folder / "nowhere")


@pytest.mark.parametrize(
    "name",
    ["a b.journal", "x..y.json", "\x1b[31mred.json", "\u202etxt.json", "Ä.journal", "q" * 90 + ".json"],
)
def test_a_file_with_an_unfit_name_is_a_row_with_a_sentence(folder, name):
    (folder / name).write_bytes(b"{}")
    row = list_sessions(folder)[-1]
    assert "is not the name of a session file" in row.trouble
    assert "\x1b" not in row.trouble + row.session + row.file
    assert "\u202e" not in row.trouble + row.session + row.file
    assert len(list_sessions(folder)) == 4


def test_open_sessions_leave_out_finished_and_broken_ones_and_never_load_the_index(folder):
    (folder / "broken.journal").write_bytes(b"rubbish\n")
    assert [row.session for row in open_sessions(folder)] == ["2026-11-25-b", "2026-11-25-a"]
    script = (
        "import sys, pathlib; from pourday.store.library import open_sessions; from pourday.store.live import "
        "LiveSession; open_sessions(pathlib.Path(sys.argv[1])); "
        "print([m for m in ('tinydb', 'platformdirs', 'textual', 'rich', 'scipy', 'pint') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", script, folder], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_links_pipes_and_folders_are_told_not_followed(folder, tmp_path_factory):
    secret = tmp_path_factory.mktemp("elsewhere") / "secret"
    secret.write_text("a secret\n")
    (folder / "link.journal").symlink_to(secret)
    (folder / "dangling.json").symlink_to(folder / "nowhere")
    os.mkfifo(folder / "pipe.json")
    (folder / "folder.journal").mkdir()
    says = {row.session: row.trouble for row in list_sessions(folder) if row.trouble}
    assert "links are not followed" in says["link"]
    assert "links are not followed" in says["dangling"]
    assert "not an ordinary file" in says["pipe"]
    assert "not an ordinary file" in says["folder"]
    assert len(list_sessions(folder)) == 7
    with pytest.raises(Trouble, match="links are not followed"):
        LiveSession.open(folder, "link", now=0.0)
    assert secret.read_text() == "a secret\n"


def test_a_hundred_megabytes_are_refused_unread(folder, faulty):
    with (folder / "huge.journal").open("wb") as file:
        file.truncate(100_000_000)
    (folder / "huge.json").symlink_to("huge.journal")
    disk = faulty()
    says = {row.file: row.trouble for row in list_sessions(folder, disk)}
    assert "100 MB" in says["huge.journal"]
    assert "was not read" in says["huge.journal"]
