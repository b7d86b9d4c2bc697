"""The page itself: textual-serve's terminal in a browser, with doors of our own before it.

Of what a browser sends only its size is passed on; keys, pastes, mouse and files are not, so nothing that is typed
there reaches any program. Each browser has a program of its own that only looks on (`view.py`) and ends with its line.
"""

from __future__ import annotations

import asyncio
import json
import sys
from collections.abc import Awaitable, Callable, Sequence
from contextlib import suppress
from importlib.resources import files

from aiohttp import WSMsgType, web
from textual_serve.app_service import AppService
from textual_serve.server import Server

from pourday.language import tr
from pourday.serve.address import Offered
from pourday.serve.invitation import Invitation

COOKIE = "pourday"
WRONG = 1.0
"""s after which a wrong word is answered."""
MOST = 4
"""Browsers that look on at the same time: each has a program behind it."""
LARGEST = (400, 200)
"""Columns and rows that a browser may ask for."""
LONGEST = 200
"""Signs of what is listened to: a size, or a sign of life;"""
MOST_PASTED = 1 << 20
"""and bytes of what is dropped without giving the line up."""
PATIENCE = 3.0
"""s that a program behind a line that was given up has to end by itself."""
HEARTBEAT = 15.0
"""s between two signs of life on a line; one that stays out gives the line up."""
NO_ENTRY = tr("This page needs the address with the word that the screen at the stove shows.")
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class ReadOnlyService(AppService):
    """A program that looks on, without a shell before it."""

    def __init__(self, words: Sequence[str], websocket: web.WebSocketResponse, server: PageServer) -> None:

        async def close() -> None:
            await websocket.close()

        super().__init__(
            words[0],
            write_bytes=websocket.send_bytes,
            write_str=websocket.send_str,
            close=close,
            download_manager=server.download_manager,
        )
        self._words = words

    async def _open_app_process(self, width: int = 80, height: int = 24) -> asyncio.subprocess.Process:
        self._process = await asyncio.create_subprocess_exec(
            *self._words,
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL,
            env=self._build_environment(width, height),
        )
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._stdin = self._process.stdin
        # What the library reads beside what is shown: nothing that such a program says there is for the page's terminal.
        self._process.stderr = asyncio.StreamReader()
        self._process.stderr.feed_eof()
        return self._process

    async def end(self) -> None:
        """Have it end; one that does not is ended."""
        with suppress(TimeoutError, OSError):
            await asyncio.wait_for(self.stop(), PATIENCE)
        process = self._process
        if process is not None and process.returncode is None:
            with suppress(ProcessLookupError):
                process.kill()
            await process.wait()


class PageServer(Server):
    """One page of one session, for as long as its program runs."""

    def __init__(
        self, offered: Offered, invitation: Invitation, words: Sequence[str], say: Callable[[str], None]
    ) -> None:
        """`words` start a program that looks on; `say` is told the address that lets the next browser in."""
        super().__init__(words[0], host=offered.host, port=offered.port, title="pourday")
        self._offered, self._invitation, self._words, self._say = offered, invitation, tuple(words), say
        self._lines = 0
        self._endings: set[asyncio.Task[None]] = set()

    def application(self) -> web.Application:
        """All there is to ask for."""
        app = web.Application(middlewares=[self._doors], client_max_size=1024)
        app.add_routes(
            [
                web.get("/", self._page),
                web.get("/away", self._away),
                web.get("/ws", self._line),
                web.static("/static", self.statics_path),
                web.get("/{word}", self._enter),
            ]
        )
        app.on_cleanup.append(self._all_ended)
        return app

    async def _all_ended(self, _app: web.Application) -> None:
        """No program is left behind."""
        await asyncio.gather(*self._endings, return_exceptions=True)

    def tell(self) -> None:
        """Say the address that lets the next browser in."""
        self._say(f"{self._offered.shown}/{self._invitation.word}")

    def run(self) -> None:
        """Serve until the program is told to end. Raises `OSError` where nothing can be offered there."""
        self.tell()
        # No log: the address of a request has the word in it.
        web.run_app(
            self.application(),
            host=self.host,
            port=self.port,
            print=None,
            access_log=None,
            shutdown_timeout=PATIENCE,
        )

    @web.middleware
    async def _doors(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Nobody gets anything who has neither a key nor the word."""
        known = self._invitation.knows(request.cookies.get(COOKIE, ""))
        if request.match_info.route.handler != self._enter and not known:
            return web.Response(status=403, text=NO_ENTRY)
        response = await handler(request)
        if not response.prepared:
            response.headers["Cache-Control"] = "no-store"
            response.headers["Referrer-Policy"] = "no-referrer"
            response.headers["X-Frame-Options"] = "DENY"
        return response

    async def _enter(self, request: web.Request) -> web.StreamResponse:
        """A browser with a word: with the right one it is known from now on, and another word lets the next one in."""
        key = self._invitation.accept(request.match_info["word"])
        if not key:
            await asyncio.sleep(WRONG)
            return web.Response(status=403, text=NO_ENTRY)
        self.tell()
        response = web.Response(status=303, headers={"Location": "/"})
        response.set_cookie(COOKIE, key, httponly=True, samesite="Strict")
        return response

    async def _page(self, _request: web.Request) -> web.StreamResponse:
        return web.Response(text=_own("page.html"), content_type="text/html")

    async def _away(self, _request: web.Request) -> web.StreamResponse:
        return web.Response(text=_own("away.html"), content_type="text/html")

    async def _line(self, request: web.Request) -> web.StreamResponse:
        """A browser's line: a program that looks on behind it, until one of them ends."""
        if request.headers.get("Origin", "") not in ("", f"http://{request.host}"):
            return web.Response(status=403, text=NO_ENTRY)
        if self._lines >= MOST:
            return web.Response(status=503, text=tr("{most} browsers look on already.", most=MOST))
        self._lines += 1
        websocket = web.WebSocketResponse(heartbeat=HEARTBEAT, max_msg_size=MOST_PASTED)
        try:
            await websocket.prepare(request)
            service = ReadOnlyService(self._words, websocket, self)
            await service.start(*_size(request.query.get("width"), request.query.get("height"), (80, 24)))
            try:
                await _listen(websocket, service)
            finally:
                # It goes on to its end even where the whole page ends meanwhile.
                ending = asyncio.create_task(service.end())
                self._endings.add(ending)
                ending.add_done_callback(self._endings.discard)
                await asyncio.shield(ending)
        except (ConnectionError, RuntimeError):
            pass  # The browser went away in the middle of a picture.
        finally:
            self._lines -= 1
        return websocket


async def _listen(websocket: web.WebSocketResponse, service: AppService) -> None:
    """What a browser says: how large it is, and that it is there. All else is dropped."""
    async for message in websocket:
        if message.type != WSMsgType.TEXT or len(message.data) > LONGEST:
            continue
        try:
            kind, said = json.loads(message.data)
        except (ValueError, TypeError):
            continue
        if kind == "resize" and isinstance(said, dict):
            width, height = _size(said.get("width"), said.get("height"), (80, 24))
            await service.set_terminal_size(width, height)
        elif kind == "ping" and isinstance(said, int | float | str):
            await websocket.send_json(["pong", said])


def _size(width: object, height: object, usual: tuple[int, int]) -> tuple[int, int]:
    """Columns and rows such as a screen can have."""
    try:
        cells = int(str(width)), int(str(height))
    except ValueError:
        return usual
    return max(1, min(LARGEST[0], cells[0])), max(1, min(LARGEST[1], cells[1]))


def _own(name: str) -> str:
    return files("pourday.serve").joinpath(name).read_text("utf-8")


def view_words(session: str, folder: str, config: str) -> tuple[str, ...]:
    """What starts a program that looks on; there is no secret in it."""
    return sys.executable, "-m", "pourday.serve.view", session, folder, config
