"""Where a page is offered: this machine alone unless an address is named. Pure."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.language import tr
from pourday.text import plain

PORT = 8620
"""Where nothing else is said; no well-known service of this number is registered."""
LOOPBACK = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Offered:
    """An address of this machine, and a port there."""

    host: str
    port: int = PORT

    @property
    def alone(self) -> bool:
        """Whether nobody but this machine comes there."""
        return ipaddress.ip_address(self.host).is_loopback

    @property
    def shown(self) -> str:
        """As a browser wants it, without a path: `http://192.168.1.5:8620`."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"http://{host}:{self.port}"


def read_address(text: str) -> Offered:
    """`192.168.1.5`, `192.168.1.5:9000`, `[::1]:9000`, `9000` alone; empty for this machine. Raises `Trouble`.

    Not every address at once (`0.0.0.0`): whoever opens a door names which one.
    """
    text = text.strip()
    host, port = LOOPBACK, str(PORT)
    if text.isdigit():
        port = text
    elif text.startswith("["):
        host, _, rest = text[1:].partition("]")
        port = rest.removeprefix(":") or port
    elif text.count(":") == 1:
        host, _, port = text.partition(":")
    elif text:
        host = text
    try:
        address, number = ipaddress.ip_address("127.0.0.1" if host == "localhost" else host), int(port)
        if not 1 <= number <= 65_535 or address.is_unspecified or address.is_multicast or not port.isascii():
            raise ValueError
    except ValueError:
        raise Trouble(
            tr("“{typed}” is no address to offer a page at.", typed=plain(text, 60)),
            instead=tr(
                "Name one address of this machine, like --serve 192.168.1.5 or --serve 192.168.1.5:9000; without one, only this machine can open it."
            ),
        ) from None
    return Offered(str(address), number)
