"""Looking on while another program writes: each entry once, and anew where the file is another."""

from __future__ import annotations

from pourday.session import events as ev
from pourday.store.follow import Follower
from pourday.store.reading import read_session


def test_each_entry_is_told_once_and_half_a_line_not_yet(begun, noon):
    follower = Follower(read_session(begun.folder, begun.session))
    assert follower.news().entries == ()
    begun.file(ev.Noted(text="one"), now=noon + 300)
    (told,) = follower.news().entries
    assert told.fact == ev.Noted(text="one")
    assert follower.news().entries == ()
    path = begun.folder / f"{begun.session}.journal"
    with path.open("ab") as journal:
        journal.write(b'{"seq":6,"at":"2026-11-25T12:')
    assert follower.news().entries == ()


def test_a_finished_session_is_told_as_such_and_whole(begun, noon):
    follower = Follower(read_session(begun.folder, begun.session))
    begun.finish("fine", now=noon + 600)
    news = follower.news()
    assert news.finished
    assert news.anew is not None
    assert [type(e.fact) for e in news.entries] == [ev.Finished]


def test_a_file_put_in_its_place_is_read_anew(begun):
    path = begun.folder / f"{begun.session}.journal"
    follower = Follower(read_session(begun.folder, begun.session))
    follower.news()
    copy = path.with_suffix(".copy")
    copy.write_bytes(path.read_bytes())
    copy.replace(path)
    assert follower.news().anew is not None
