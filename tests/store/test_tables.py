"""The file of tables: what we write TinyDB reads, and the other way round."""

from __future__ import annotations

import pytest
from tinydb import TinyDB

from pourday.store.tables import parse_tables, write_tables


def test_tinydb_reads_what_is_written_here_and_is_read_here(tmp_path):
    path = tmp_path / "tables.json"
    write_tables(path, {"waxes": {"1": {"name": "mine", "share": 0.25}}})
    with TinyDB(path) as database:
        (document,) = database.table("waxes").all()
        assert (document.doc_id, dict(document)) == (1, {"name": "mine", "share": 0.25})
        database.table("plans").insert({"title": "two"})
    assert parse_tables(path.read_bytes())["plans"] == {"1": {"title": "two"}}


@pytest.mark.parametrize("data", [b"[]", b'{"a": 1}', b'{"a": {"x": {}}}', b'{"a": {"1": 2}}', b"{", b"\xff"])
def test_what_are_no_tables_is_refused(data):
    with pytest.raises(ValueError):
        parse_tables(data)


def test_a_number_that_json_does_not_know_is_refused_and_the_old_file_stays(tmp_path):
    path = tmp_path / "tables.json"
    write_tables(path, {"a": {"1": {"x": 1}}})
    with pytest.raises(ValueError):
        write_tables(path, {"a": {"1": {"x": float("nan")}}})
    assert parse_tables(path.read_bytes()) == {"a": {"1": {"x": 1}}}
