"""Every command comes to its end on any folder it can meet, whatever lies in it, and with any file named to it."""

from __future__ import annotations

import os
import signal
import sys
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import pourday.console as console
import pourday.named_files as named_files
from pourday.arguments import command_line
from pourday.cli import main
from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.store.pack import pack

ID = "2026-10-25-a"
PATIENCE = 10
"""s in which every command answers."""
FOLDER = [
    ["list"], ["show", ID], ["show", ID, "--story"], ["show", ID, "--csv"], ["show", ID, "--json"],
    ["list", "violet", "--json"], ["list", "--csv"], ["compare", ID, ID], ["compare", ID, ID, "--json"],
    ["family", ID], ["family", ID, "--json"], ["moulds"], ["moulds", "--json"], ["moulds", "tall", "cleaned"], ["stock"], ["stock", "--json"], ["stock", "dye", "ivory", "12", "g"], ["stock", "--cost", ID], ["shopping", ID], ["shopping", ID, "--json"],
    ["due"], ["due", "--ics"], ["due", "--json"],
    ["print", ID, "sheet", "--out", "NEW"], ["print", ID, "record", "--out", "NEW"], ["print", ID, "slip", "--text"],
    ["why", ID, "A", "--fault", "join split"], ["why", ID, "A", "--fault", "join split", "--json"], ["check"], ["check", ID], ["pack", "NEW"], ["plan", "--from", ID], ["resume"], ["resume", ID], ["follow"], ["follow", ID], ["follow", ID, "--serve", "0.0.0.0"], ["kitchen"], ["kitchen", "--json"],
    ["settings"], ["fire"], ["schema"], ["demo"],
]  # fmt: skip
"""What is asked of a folder; NEW is a name that nothing has yet. Screens refuse: there is no terminal."""
NAMED = [
    ["curve", "FILE"], ["shopping", "FILE"], ["plan", "FILE"], ["plan", "FILE", "--rehearse"], ["demo", "--plain", "--plan", "FILE"],
    ["unpack", "FILE"], ["pack", "FILE"], ["print", ID, "slip", "--out", "FILE"], ["plan", "--from", ID, "--out", "FILE"],
    ["why", ID, "A", "--fault", "join split", "--out", "FILE"], ["settings", "--config", "FILE"], ["list", "--config", "FILE"], ["list", "--sessions", "FILE"],
    ["probes", "--probe", "file:FILE", "--seconds", "0.3"],
]  # fmt: skip
"""What is asked of a file that somebody names; those that write are only tried where something stands in the way."""
OURS = (
    ".memories.json",
    ".stock.json",
    ".moulds.json",
    ".library.json",
    ".shelf.json",
    f"{ID}-candles.journal",
    f"{ID}-candles.lock",
    "b.journal",
    "c.json",
)


class TooLongError(Exception):
    """A command had no end."""


@contextmanager
def ended_within(seconds: int) -> Iterator[None]:
    """Raises where what is inside has not come to its end by then, even while it waits for the system."""

    def too_long(*_: object) -> None:
        raise TooLongError

    before = signal.signal(signal.SIGALRM, too_long)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def fifo(path: Path) -> None:
    os.mkfifo(path)


def sparse(path: Path) -> None:
    path.touch()
    os.truncate(path, 1 << 40)


def endless(path: Path) -> None:
    path.symlink_to("/dev/zero")


def loop(path: Path) -> None:
    path.symlink_to(path)


def folder(path: Path) -> None:
    path.mkdir()


def noise(path: Path) -> None:
    path.write_bytes(bytes(range(256)) * 4000)


def rows(path: Path) -> None:
    path.write_bytes(b'{"entries":[' + b'{"seq":1},' * 60_000)


def nested(path: Path) -> None:
    path.write_bytes(b"[" * 600_000)


ODD: list[Callable[[Path], None]] = [fifo, sparse, endless, loop, folder, noise, rows, nested]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder with one finished batch in it, whose candles are out of the moulds."""
    sessions = tmp_path / "sessions"
    sessions.mkdir()
    live = LiveSession.create(sessions, ID, now=START)
    for after, fact in (
        (0, ev.PlanFixed(plan=two_pillars())),
        (100, ev.Poured(mould="A", layer=0, part="layer", kg=0.3)),
        (40_000, ev.Demoulded(mould="A", release="dropped out")),
    ):
        live.file(fact, now=START + after)
    live.finish("", now=START + 50_000)
    return tmp_path


def ask(home: Path, words: list[str], named: Path, capfd: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Exit status and everything said; the command runs here, for it is only a function."""
    (home / "new").unlink(missing_ok=True)
    argv = [word.replace("FILE", str(named)).replace("NEW", str(home / "new")) for word in words]
    for option, usual in (("--sessions", home / "sessions"), ("--config", home / "settings.toml")):
        if option not in argv:
            argv += [option, str(usual)]
    try:
        with ended_within(PATIENCE), pytest.raises(SystemExit) as ended:
            main(argv)
    except TooLongError:
        pytest.fail(f"{' '.join(words)} had no end within {PATIENCE} s")
    said = "".join(capfd.readouterr())
    assert ended.value.code in (0, 1, 2)
    return ended.value.code, said


@pytest.fixture(autouse=True)
def _no_terminal(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    # A pipe that nobody writes to is given up later where somebody sits before it.
    monkeypatch.setattr(named_files.read_named, "__defaults__", (0.3,))
    with open(os.devnull) as nobody:
        monkeypatch.setattr(sys, "stdin", nobody)
        yield


def test_every_command_there_is_is_tried() -> None:
    commands = next(action.choices for action in command_line()._actions if action.dest == "command")
    assert commands is not None
    tried = {words[0] for words in (*FOLDER, *NAMED)}
    assert tried == set(commands), "put each new command into `FOLDER`, or into `NAMED` where it takes a file"


@pytest.mark.parametrize("odd", ODD, ids=lambda odd: odd.__name__)
def test_odd_files_beside_a_sound_batch_stop_no_command_and_hide_nothing(
    home: Path, odd: Callable[[Path], None], capfd: pytest.CaptureFixture[str]
) -> None:
    """Memories, library, candles, lock and two sessions are something else than they should be."""
    for name in OURS:
        odd(home / "sessions" / name)
    before = (home / "sessions" / f"{ID}.json").read_bytes()
    for words in FOLDER:
        status, said = ask(home, words, home, capfd)
        if words[0] in ("show", "print", "plan") and words != ["print", ID, "slip", "--text"]:
            assert status == 0, (words, said)
    assert "Two pillars" in ask(home, ["list"], home, capfd)[1]
    assert "is not known" in ask(home, ["show", ID], home, capfd)[1]
    assert (home / "sessions" / f"{ID}.json").read_bytes() == before


@pytest.mark.parametrize("odd", ODD, ids=lambda odd: odd.__name__)
def test_any_file_that_is_named_is_read_or_refused_in_words(
    home: Path, odd: Callable[[Path], None], capfd: pytest.CaptureFixture[str]
) -> None:
    named = home / "named"
    odd(named)
    there = named.lstat()
    for words in NAMED:
        status, said = ask(home, words, named, capfd)
        fits = odd is folder and "--sessions" in words
        if "--config" not in words and words[0] != "probes" and not fits:
            assert status == 1, (words, said)
            assert "pourday: " in said, (words, said)
    assert (named.lstat().st_mode, named.lstat().st_ino) == (there.st_mode, there.st_ino)


def test_an_archive_that_would_fill_the_disk_is_never_unpacked_whole(
    home: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """60 MB of zeros in 60 kB, once beside what the list names and once in the place of a file of it."""
    sound, bomb = home / "sound.zip", home / "bomb.zip"
    pack(home / "sessions", home / "settings.toml", sound)
    for place in ("sessions/2026-10-26-b.json", f"sessions/{ID}.json"):
        with zipfile.ZipFile(sound) as old, zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as new:
            for name in old.namelist():
                if name != place:
                    new.writestr(name, old.read(name))
            with new.open(place, "w") as file:
                for _ in range(60):
                    file.write(bytes(1 << 20))
        ask(home, ["unpack", "FILE"], bomb, capfd)
        assert sum(path.stat().st_size for path in (home / "sessions").iterdir()) < 1_000_000


@pytest.mark.parametrize(
    "words", [["list"], ["check"], ["due"], ["kitchen"], ["why", ID, "A", "--fault", "join split"], ["pack", "NEW"]],
    ids=lambda words: words[0],
)  # fmt: skip
def test_what_looks_across_a_folder_says_which_file_it_is_at(
    home: Path, words: list[str], monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Ten thousand records take some of them half a minute: a line moves meanwhile, and Ctrl+C ends it."""
    monkeypatch.setattr(console, "_PATIENCE", 0.0)
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    _, said = ask(home, words, home, capfd)
    assert "\r\x1b[KFile 1 of 1: " in said, said
