"""Readings from an MQTT broker (paho-mqtt, loaded when it is wanted): `//user@host:1883/topic?password_file=PATH`.

The password is read from a file or from the environment; it is never written into the address, and never shown.
"""

from __future__ import annotations

import os
import socket
from collections import deque
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

from pourday.errors import Trouble
from pourday.language import tr
from pourday.probes.line_buffer import LONGEST, MOST
from pourday.text import plain

PORT = 1883
KEEP_ALIVE = 20
"""s after which a silent connection is asked for a sign of life."""
PATIENCE = 5.0
"""s that a broker has to answer. Chosen."""
MOST_WAITING = 2000
"""Messages taken at one look; ten thousand a second are a few hundred at each. Where more wait, what is read first is old."""
MOST_BYTES = 4_000_000
"""Of a message that is still taken, and dropped."""
AT_ONCE = 65_536
"""Bytes that may wait for us: paho takes a hundred such pieces of a message before it lets us see how long it is."""
PASSWORD = "POURDAY_MQTT_PASSWORD"
"""The variable of the environment with the password, where no file is named."""


class Broker:
    """One topic of one broker; a message is a line. One that the broker had kept from before is of an unknown time, and left out."""

    once = False

    def __init__(self, address: str) -> None:
        try:
            parts = urlsplit(f"mqtt:{address}")
            self._host, self._port = parts.hostname or "", parts.port or PORT
            password = parts.password
        except ValueError:
            raise Trouble(
                tr("That is no address of a broker."), instead=tr("Write it like mqtt://host/topic.")
            ) from None
        if password is not None:
            raise Trouble(
                tr("A password does not belong into the address, where others can read it."),
                instead=tr(
                    "Write ?password_file=PATH behind it, or put it into ${password}.", password=PASSWORD
                ),
            )
        self._user = unquote(parts.username or "")
        self._topic = unquote(parts.path.lstrip("/"))
        options = dict(parse_qsl(parts.query, keep_blank_values=True))
        self._password_file = options.pop("password_file", "")
        if options or parts.fragment or not self._host or not self._topic:
            raise Trouble(
                tr("That is no topic of a broker."),
                instead=tr("Write it like mqtt://user@host/kitchen/probe?password_file=PATH."),
            )
        if set("+#") & set(self._topic):
            raise Trouble(
                tr("A topic with + or # stands for everything that anybody sends under it."),
                instead=tr("Write the whole topic of one probe."),
            )
        self._shown = plain(self._host, 60)
        self._client: Any = None
        self._came: deque[bytes] = deque(maxlen=MOST)
        self._heard = 0
        """Messages that came, whatever they were."""
        self._answer = ""
        """What the broker said to being asked in, or to the topic; empty until it said something."""
        self._opened = 0.0

    def open(self, now: float) -> None:
        try:
            from paho.mqtt import client as mqtt
            from paho.mqtt.enums import CallbackAPIVersion
        except ImportError:
            raise Trouble(
                tr("A probe behind a broker needs paho-mqtt, which is not installed."),
                instead=tr("Install it with: pip install 'pourday[mqtt]'."),
            ) from None
        client = mqtt.Client(CallbackAPIVersion.VERSION2)
        if self._user:
            client.username_pw_set(self._user, self._password())
        client.on_connect = self._on_connect
        client.on_subscribe = self._on_subscribe
        client.on_message = self._on_message
        client.on_socket_open = _hold_little
        client.connect_timeout = PATIENCE
        self._answer, self._opened, self._client = "", now, client
        self._came.clear()
        try:
            client.connect(self._host, self._port, KEEP_ALIVE)
        except (OSError, ValueError) as error:
            why = plain(str(getattr(error, "strerror", None) or error), 120).rstrip(".")
            raise Trouble(tr("The broker {shown} cannot be reached.", shown=self._shown), f"{why}.") from None

    def _password(self) -> str | None:
        """The password, if there is one. Raises `Trouble` for a file that cannot be read."""
        if not self._password_file:
            return os.environ.get(PASSWORD)
        try:
            return Path(self._password_file).expanduser().read_text(encoding="utf-8").rstrip("\r\n")
        except (OSError, ValueError):
            raise Trouble(
                tr("The file with the broker's password cannot be read."),
                instead=tr("Check its path and who may read it."),
            ) from None

    def _on_connect(self, client: Any, _data: Any, _flags: Any, reason: Any, _properties: Any) -> None:
        self._answer = tr("It answers: {reason}.", reason=plain(str(reason), 80)) if reason.is_failure else ""
        if not reason.is_failure:
            client.subscribe(self._topic)

    def _on_subscribe(self, _client: Any, _data: Any, _number: Any, reasons: Any, _properties: Any) -> None:
        if any(reason.is_failure for reason in reasons):
            self._answer = tr("It refuses the topic.")

    def _on_message(self, _client: Any, _data: Any, message: Any) -> None:
        self._heard += 1
        if not message.retain and len(message.payload) <= LONGEST:
            self._came.append(bytes(message.payload).replace(b"\n", b" "))

    def read(self, now: float) -> list[bytes]:
        status = self._client.loop(timeout=0.0)
        # A packet a call: all that wait are taken, for the newest is what it says now.
        for _ in range(MOST_WAITING):
            if self._answer:
                raise Trouble(
                    tr("The broker {shown} does not let us in.", shown=self._shown),
                    self._answer,
                    tr("Check user and password."),
                )
            if status != 0:
                raise Trouble(tr("The broker {shown} is gone.", shown=self._shown))
            before = self._heard
            status = self._client.loop_read()
            if self._heard == before and status == 0:
                break
        else:
            raise Trouble(
                tr("The broker {shown} sends faster than can be read.", shown=self._shown),
                tr("What waits there is old by now."),
                tr("Look who else writes to that topic."),
            )
        self._refuse_huge()
        if not self._client.is_connected() and not 0 <= now - self._opened < PATIENCE:
            raise Trouble(tr("The broker {shown} does not answer.", shown=self._shown))
        lines = list(self._came)
        self._came.clear()
        return lines

    def _refuse_huge(self) -> None:
        """Leave a broker that has begun to send what no probe can mean: it would have to be held whole. Raises `Trouble`."""
        size = getattr(self._client, "_in_packet", {}).get("remaining_length", 0)
        if size > MOST_BYTES:
            raise Trouble(
                tr(
                    "The broker {shown} sends a message of {megabytes:.0f} MB.",
                    shown=self._shown,
                    megabytes=size / 1e6,
                ),
                tr("No probe says that much."),
                tr("Look who else writes to that topic."),
            )

    def close(self) -> None:
        client, self._client = self._client, None
        if client is not None:
            with suppress(OSError, ValueError):
                client.disconnect()


def _hold_little(_client: Any, _data: Any, opened: Any) -> None:
    """Let little of what a broker sends wait for us."""
    opened.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, AT_ONCE)
