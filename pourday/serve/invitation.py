"""Who may look on: a word is good for one browser, which is known by a key of its own from then on. Pure but for chance."""

from __future__ import annotations

import secrets

LETTERS = "bcdfghjkmnpqrstvwxz"
"""None that is taken for another on a screen across the kitchen, and no vowels: no word of any language."""
LENGTH = 8
"""Letters of a word: 34 bits, against a stranger who is answered once a second."""
MOST = 8
"""Browsers that are known at a time; the one that came first is forgotten then."""


class Invitation:
    """The word that lets the next browser in, and the keys of those that are in."""

    def __init__(self) -> None:
        self._keys: list[str] = []
        self.word = ""
        """As it stands in the address, `kmvt-hrpw`."""
        self.renew()

    def renew(self) -> None:
        """Another word; the one before lets nobody in any more."""
        letters = "".join(secrets.choice(LETTERS) for _ in range(LENGTH))
        self.word = f"{letters[: LENGTH // 2]}-{letters[LENGTH // 2 :]}"

    def accept(self, word: str) -> str:
        """The key of a browser that has the word, which is spent by that; empty for a wrong one."""
        if not secrets.compare_digest(_bare(word), _bare(self.word)):
            return ""
        self.renew()
        key = secrets.token_urlsafe(32)
        self._keys = [*self._keys, key][-MOST:]
        return key

    def knows(self, key: str) -> bool:
        """Whether this is the key of a browser that was let in."""
        return any(secrets.compare_digest(key.encode(), known.encode()) for known in self._keys)


def _bare(word: str) -> bytes:
    """A word as it is compared: however it was typed."""
    return word.strip().lower().replace("-", "").encode()
