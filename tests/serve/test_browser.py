"""`pourday follow --serve` in a headless Chromium: let in by the word at the stove, read-only, and free while it is away."""

from __future__ import annotations

import asyncio
import os
import signal
import time
from pathlib import Path

import psutil
import pytest

pytest.importorskip(
    "textual_serve", reason="the page for a browser is an extra: pip install 'pourday[serve]'"
)

from pourday.session import events as ev
from tests.serve.browser import CHROMIUM, Browser
from tests.tui.conftest import Kitchen, opened

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed here"),
]
PORT = 8629
PICTURE = Path("/tmp/pourday-second-screen.png")
IDLE = 0.1
"""Share of one processor that a browser which looks on may cost."""


@pytest.fixture
def kitchen(tmp_path: Path):
    yield from opened(tmp_path)


def views(server: int) -> list[psutil.Process]:
    """The programs behind browsers."""
    return [each for each in psutil.Process(server).children(recursive=True) if each.is_running()]


def cost(server: int, seconds: float) -> float:
    """Share of one processor that the page and all behind it take."""
    every = [psutil.Process(server), *views(server)]
    before = sum(sum(each.cpu_times()[:2]) for each in every)
    time.sleep(seconds)
    return (sum(sum(each.cpu_times()[:2]) for each in every) - before) / seconds


async def test_a_tablet_looks_on_and_changes_nothing(kitchen: Kitchen, tmp_path: Path) -> None:
    kitchen.fresh = True
    stove = kitchen.cold_at_the_stove(size=(120, 40))
    session = kitchen.session()
    server = kitchen.run("follow", "--serve", f"127.0.0.1:{PORT}")
    server.wait_for("The next browser comes in at")
    stove.type("\x7f")
    shown = stove.wait_for(f"second screen: http://127.0.0.1:{PORT}/")
    address = next(word for word in shown.split() if word.startswith("http://"))
    before = kitchen.entries(session)
    pid = server.process.pid
    async with Browser(tmp_path / "profile", (1024, 768)) as browser:
        await browser.open(address)
        await browser.until("document.body && document.body.classList.contains('-first-byte')")
        assert await browser.value("location.href") == f"http://127.0.0.1:{PORT}/"
        async with asyncio.timeout(60):
            while len(views(pid)) < 2:  # The program that looks on, and the process that computes beside it.
                await asyncio.sleep(0.2)
        await asyncio.sleep(5)
        for key in "h z74.5qgnx ":
            await browser.press(key)
        for key in ("Enter", "Escape", "F1", "Backspace"):
            await browser.press(key)
        await browser.click(100, 100)
        await asyncio.sleep(2)
        PICTURE.write_bytes(await browser.picture())
        idle = await asyncio.to_thread(cost, pid, 10.0)
        print(f"a browser that looks on: {idle:.1%} of one processor")
        assert kitchen.entries(session) == before
        assert len(views(pid)) >= 2
        # The word of before is spent: the stove shows another one.
        other = stove.until(lambda text: "second screen: " in text and address not in text)
        assert f"http://127.0.0.1:{PORT}/" in other
        await browser.open("about:blank")
        async with asyncio.timeout(30):
            while views(pid):
                await asyncio.sleep(0.2)
        away = await asyncio.to_thread(cost, pid, 10.0)
        print(f"a browser that is away: {away:.2%} of one processor, no program behind it")
        assert away < 0.005
        assert idle < IDLE
        # What is filed meanwhile is there when it comes back, without another word.
        stove.type("h")
        stove.wait_for("burner ON")
        await browser.open(f"http://127.0.0.1:{PORT}/")
        await browser.until("document.body && document.body.classList.contains('-first-byte')")
        async with asyncio.timeout(30):
            while not views(pid):
                await asyncio.sleep(0.2)
        behind = views(pid)
        os.kill(pid, signal.SIGKILL)
        gone, left = await asyncio.to_thread(psutil.wait_procs, behind, 20)
        assert (len(gone), left) == (len(behind), [])
    stove.type("\x7f")
    stove.wait_gone("second screen: ")
    assert any(isinstance(entry.fact, ev.BurnerSet) for entry in kitchen.entries(session)[len(before) :])
    word = address.rpartition("/")[2]
    for path in kitchen.folder.iterdir():
        if not path.name.endswith(".lock"):
            assert word.encode() not in path.read_bytes()
