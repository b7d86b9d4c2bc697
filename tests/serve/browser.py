"""A headless Chromium, asked by its own debugging protocol: a page opened, keys pressed, a picture taken."""

from __future__ import annotations

import asyncio
import base64
import shutil
import subprocess
import time
from pathlib import Path
from types import TracebackType
from typing import Any

import aiohttp

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PATIENCE = 60.0


class Browser:
    """One tab, from `async with` on; it ends with it."""

    def __init__(self, folder: Path, size: tuple[int, int]) -> None:
        assert CHROMIUM
        self._profile = folder
        self._process = subprocess.Popen(
            [
                CHROMIUM, "--headless=new", "--no-sandbox", "--disable-gpu", "--remote-debugging-port=0",
                f"--user-data-dir={folder}", f"--window-size={size[0]},{size[1]}", "about:blank",
            ],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self._number = 0

    async def __aenter__(self) -> Browser:
        port = self._profile / "DevToolsActivePort"
        until = time.monotonic() + PATIENCE
        while not (port.exists() and port.read_text().count("\n")):
            assert time.monotonic() < until, "the browser did not start"
            await asyncio.sleep(0.05)
        self._http = aiohttp.ClientSession()
        where = f"http://127.0.0.1:{port.read_text().split()[0]}/json"
        async with self._http.get(where) as answer:
            pages = [page for page in await answer.json() if page["type"] == "page"]
        self._line = await self._http.ws_connect(pages[0]["webSocketDebuggerUrl"], max_msg_size=0)
        await self.ask("Page.enable")
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self._http.close()
        self._process.terminate()
        self._process.wait()

    async def ask(self, method: str, **parameters: Any) -> dict[str, Any]:
        """One question of the protocol, and its answer."""
        self._number += 1
        await self._line.send_json({"id": self._number, "method": method, "params": parameters})
        async with asyncio.timeout(PATIENCE):
            while True:
                answer = await self._line.receive_json()
                if answer.get("id") == self._number:
                    return dict(answer.get("result", answer))

    async def open(self, address: str) -> None:
        await self.ask("Page.navigate", url=address)

    async def value(self, script: str) -> Any:
        """What a piece of JavaScript comes to on the page."""
        answer = await self.ask("Runtime.evaluate", expression=script, returnByValue=True)
        return answer["result"].get("value")

    async def until(self, script: str) -> None:
        """Wait until a piece of JavaScript is true."""
        async with asyncio.timeout(PATIENCE):
            while not await self.value(script):
                await asyncio.sleep(0.1)

    async def press(self, key: str) -> None:
        """One key, as a keyboard sends it."""
        text = {"text": key} if len(key) == 1 else {}
        for kind in ("keyDown", "keyUp"):
            await self.ask(
                "Input.dispatchKeyEvent", type=kind, key=key, **(text if kind == "keyDown" else {})
            )

    async def click(self, x: int, y: int) -> None:
        for kind in ("mousePressed", "mouseReleased"):
            await self.ask("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    async def picture(self) -> bytes:
        """The page as a PNG."""
        return base64.b64decode((await self.ask("Page.captureScreenshot", format="png"))["data"])
