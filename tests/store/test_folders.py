"""Where the sessions live."""

from __future__ import annotations

import errno
from pathlib import Path

import platformdirs
import pytest

from pourday.errors import Trouble
from pourday.store.disk import Disk
from pourday.store.folders import sessions_folder


def test_the_argument_comes_before_the_variable_and_the_variable_before_the_platform(tmp_path, monkeypatch):
    monkeypatch.setattr(platformdirs, "user_data_path", lambda *_, **__: tmp_path / "platform")
    variable = {"POURDAY_SESSIONS": str(tmp_path / "variable")}
    assert sessions_folder(str(tmp_path / "argument"), variable) == tmp_path / "argument"
    assert sessions_folder(None, variable) == tmp_path / "variable"
    assert sessions_folder(None, {"POURDAY_SESSIONS": ""}) == tmp_path / "platform" / "sessions"
    assert sessions_folder(None, {}) == tmp_path / "platform" / "sessions"
    assert (tmp_path / "platform" / "sessions").is_dir()


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("file", "not a folder"),
        ("file/below", "not a folder"),
        ("x" * 300, "too long"),
        ("a\0b", "no name may have"),
        (" ", "names no folder"),
    ],
)
def test_what_cannot_be_a_folder_is_refused_in_words(tmp_path, name, why):
    (tmp_path / "file").touch()
    asked = name if name == " " else f"{tmp_path}/{name}"
    with pytest.raises(Trouble, match=why):
        sessions_folder(asked, {})


def test_a_folder_that_never_was_and_cannot_be_made_is_not_called_gone(tmp_path):
    """It may never have been there; what to do instead stands beside it."""

    class NowhereToMake(Disk):
        def make_folder(self, folder: Path) -> None:
            raise FileNotFoundError(errno.ENOENT, "No such file or directory", str(folder))

    with pytest.raises(Trouble) as refused:
        sessions_folder(str(tmp_path / "none"), {}, NowhereToMake())
    assert "It is not there, and cannot be made there. Name a folder" in str(refused.value)
    (tmp_path / "link").symlink_to(tmp_path / "nowhere" / "at all")
    with pytest.raises(Trouble, match="a link to a place that is not there"):
        sessions_folder(str(tmp_path / "link"), {})


def test_a_home_that_nobody_has_is_refused_in_words():
    with pytest.raises(Trouble, match="cannot live in"):
        sessions_folder("~nobody-of-this-name/x", {})


def test_looking_the_folder_up_rids_it_of_what_a_kill_left(tmp_path: Path):
    (tmp_path / ".pourday-0123456789abcdef.tmp").write_text("half")
    (tmp_path / "2026-11-25-a.journal").touch()
    sessions_folder(str(tmp_path), {})
    assert [path.name for path in tmp_path.iterdir()] == ["2026-11-25-a.journal"]


@pytest.mark.parametrize(
    "name",
    [
        ".tmp-0123",
        ".tmp-0123456789abcdef",
        ".pourday-notes.tmp",
        ".pourday-0123456789abcdef.tmp.bak",
        "a.tmp",
    ],
)
def test_files_of_other_programs_are_never_swept(tmp_path: Path, name: str):
    """Editors and backup programs leave such names; only the full form of a name of our own is ours."""
    (tmp_path / name).write_text("somebody's only copy")
    sessions_folder(str(tmp_path), {})
    assert (tmp_path / name).read_text() == "somebody's only copy"


def test_a_new_folder_is_made_durable_in_the_one_above_it(tmp_path: Path):
    """POSIX `fsync`: a new name lasts once the folder that holds it is synced; so every new one asks for its own."""

    class Watched(Disk):
        def __init__(self) -> None:
            self.told: list[tuple[str, Path]] = []

        def make_folder(self, folder: Path) -> None:
            super().make_folder(folder)
            self.told.append(("made", folder))

        def sync_folder(self, folder: Path) -> None:
            super().sync_folder(folder)
            self.told.append(("synced", folder))

    disk = Watched()
    folder = sessions_folder(str(tmp_path / "share" / "pourday" / "sessions"), {}, disk)
    assert folder.is_dir()
    share = tmp_path / "share"
    assert disk.told == [
        ("made", share), ("synced", tmp_path),
        ("made", share / "pourday"), ("synced", share),
        ("made", folder), ("synced", share / "pourday"),
    ]  # fmt: skip
    disk.told.clear()
    sessions_folder(str(folder), {}, disk)
    assert disk.told == []


def test_a_relative_folder_stays_where_it_was_asked_for(tmp_path: Path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = sessions_folder("here", {})
    monkeypatch.chdir("/")
    assert folder == tmp_path / "here"
