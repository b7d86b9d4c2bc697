"""Strangers at the page's door: nothing without the word, nothing but the size from a browser, and no program left behind."""

from __future__ import annotations

import asyncio
import json
import sys
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

pytest.importorskip(
    "textual_serve", reason="the page for a browser is an extra: pip install 'pourday[serve]'"
)

from aiohttp import ClientSession, CookieJar, WSServerHandshakeError
from aiohttp.test_utils import TestClient, TestServer

from pourday.errors import Trouble
from pourday.serve import server as page_server
from pourday.serve.address import Offered
from pourday.serve.invitation import Invitation
from pourday.serve.server import MOST, NO_ENTRY, PageServer, view_words
from pourday.serve.view import main as look_on

ECHO = """
import sys
sys.stdout.buffer.write(b"__GANGLION__\\n"); sys.stdout.flush()
while data := sys.stdin.buffer.read1(65536):
    sys.stdout.buffer.write(b"D" + len(data).to_bytes(4, "big") + data); sys.stdout.flush()
    if b"quit" in data:
        break
"""
"""A program behind a browser that shows whatever reaches it."""


class Door:
    """A page served for a test, and a browser without cookies."""

    def __init__(self, client: TestClient, page: PageServer, said: list[str]) -> None:
        self.client, self.page, self.said = client, page, said

    async def enter(self) -> None:
        answer = await self.client.get("/" + self.said[-1].rpartition("/")[2], allow_redirects=False)
        assert (answer.status, answer.headers["Location"]) == (303, "/")


@pytest.fixture
async def door(monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[Door]:
    monkeypatch.setattr(page_server, "WRONG", 0.0)
    said: list[str] = []
    page = PageServer(Offered("127.0.0.1"), Invitation(), (sys.executable, "-c", ECHO), said.append)
    page.tell()
    async with TestClient(TestServer(page.application()), cookie_jar=CookieJar(unsafe=True)) as client:
        yield Door(client, page, said)


async def test_nothing_is_to_be_had_without_the_word(door: Door) -> None:
    for path in (
        "/",
        "/away",
        "/ws",
        "/static/js/textual.js",
        "/static/",
        "/abcd-efgh",
        "/favicon.ico",
        "/a/b",
        "/%2e%2e/x",
    ):
        answer = await door.client.get(path)
        assert answer.status in (403, 404), path
        assert "pourday:" not in await answer.text()
    assert (await door.client.post("/")).status in (403, 405)
    assert await (await door.client.get("/")).text() == NO_ENTRY


async def test_a_word_lets_one_browser_in_and_the_next_needs_another(door: Door) -> None:
    first = door.said[-1]
    await door.enter()
    page = await door.client.get("/")
    assert page.status == 200
    assert "https://" not in await page.text(), "nothing is fetched from elsewhere"
    assert (await door.client.get("/static/js/textual.js")).status == 200
    assert (await door.client.get("/static/")).status == 403
    assert len(door.said) == 2
    assert door.said[-1] != first
    async with ClientSession() as stranger:
        for word in (first, first.replace("-", "")):
            spent = await stranger.get(
                door.client.make_url("/" + word.rpartition("/")[2]), allow_redirects=False
            )
            assert spent.status == 403


async def test_of_what_a_browser_sends_only_its_size_reaches_a_program(door: Door) -> None:
    await door.enter()
    async with door.client.ws_connect("/ws?width=abc&height=-5") as line:
        for said in (["stdin", "h 74.5\r"], ["blur", 1], ["focus"], [], {}, "x", 7, None, ["resize", 5], ["resize", {}],
                     ["quit", {}], ["exit", {}], ["resize", {"width": 10**9, "height": "x"}]):  # fmt: skip
            await line.send_str(json.dumps(said))
        await line.send_str("[" * 3000)
        await line.send_str(json.dumps(["stdin", "pasted " * 50_000]))
        await line.send_bytes(b"h")
        await line.send_str(json.dumps(["ping", 5]))
        await line.send_str(json.dumps(["resize", {"width": 100, "height": 30}]))
        heard, pong = b"", False
        async with asyncio.timeout(20):
            while b'"width": 100' not in heard or not pong:
                message = await line.receive()
                pong = pong or message.data == '["pong", 5]'
                heard += message.data if isinstance(message.data, bytes) else b""
        assert heard.count(b'"type"') == heard.count(b'"resize"')
        assert b"stdin" not in heard
        assert b"74.5" not in heard
        assert b"pasted" not in heard
        assert b"1000000000" not in heard


async def test_a_page_of_elsewhere_gets_no_line_and_one_too_many_is_refused(door: Door) -> None:
    await door.enter()
    with pytest.raises(WSServerHandshakeError):
        await door.client.ws_connect("/ws", headers={"Origin": "http://elsewhere.example"})
    lines = [await door.client.ws_connect("/ws") for _ in range(MOST)]
    with pytest.raises(WSServerHandshakeError):
        await door.client.ws_connect("/ws")
    for line in lines:
        await line.close()
    async with asyncio.timeout(20):
        while door.page._lines:
            await asyncio.sleep(0.05)
    await (await door.client.ws_connect("/ws")).close()


def test_there_is_no_secret_on_a_command_line(tmp_path: Path) -> None:
    invitation = Invitation()
    words = view_words("2026-11-25-a", str(tmp_path), str(tmp_path / "settings.toml"))
    assert invitation.word not in " ".join(words)
    assert words[1:] == (
        "-m",
        "pourday.serve.view",
        "2026-11-25-a",
        str(tmp_path),
        str(tmp_path / "settings.toml"),
    )


def test_what_looks_on_needs_a_session_that_is_there(tmp_path: Path) -> None:
    with pytest.raises(Trouble):
        look_on("2026-11-25-a", str(tmp_path), str(tmp_path / "settings.toml"))
    assert list(tmp_path.iterdir()) == []
