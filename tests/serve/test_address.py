"""Where a page is offered: on this machine alone unless one address of it is named; and who is let in."""

from __future__ import annotations

import pytest

from pourday.errors import Trouble
from pourday.serve.address import LOOPBACK, PORT, Offered, read_address
from pourday.serve.invitation import LETTERS, MOST, Invitation


@pytest.mark.parametrize(
    ("text", "offered"),
    [
        ("", Offered(LOOPBACK, PORT)), ("9000", Offered(LOOPBACK, 9000)), ("localhost:9000", Offered(LOOPBACK, 9000)),
        ("192.168.1.5", Offered("192.168.1.5")), (" 192.168.1.5:9000 ", Offered("192.168.1.5", 9000)),
        ("::1", Offered("::1")), ("[fd00::5]:9000", Offered("fd00::5", 9000)), ("[::1]", Offered("::1")),
    ],
)  # fmt: skip
def test_an_address_is_read_with_its_port(text: str, offered: Offered) -> None:
    assert read_address(text) == offered
    assert offered.alone is (offered.host in (LOOPBACK, "::1"))


def test_an_address_is_shown_as_a_browser_wants_it() -> None:
    assert Offered("192.168.1.5").shown == "http://192.168.1.5:8620"
    assert Offered("fd00::5", 9000).shown == "http://[fd00::5]:9000"


@pytest.mark.parametrize(
    "text", ["0.0.0.0", "::", "kitchen", "192.168.1.5:0", "192.168.1.5:99999", "1.2.3", "224.0.0.1", "[", "1.2.3.4:x",
             "\x1b[2J", "192.168.1.5/24", "٣"],
)  # fmt: skip
def test_every_address_at_once_and_what_is_none_is_refused_in_words(text: str) -> None:
    with pytest.raises(Trouble) as refused:
        read_address(text)
    assert "--serve 192.168.1.5" in str(refused.value)
    assert "\x1b" not in str(refused.value)


def test_a_word_is_good_once_and_a_key_for_as_long_as_it_is_known() -> None:
    invitation = Invitation()
    word = invitation.word
    assert set(word) <= {*LETTERS, "-"}
    assert invitation.accept("") == invitation.accept("abcd-efgh") == ""
    assert invitation.word == word
    key = invitation.accept(word.upper().replace("-", ""))
    assert invitation.knows(key)
    assert not invitation.knows("")
    assert not invitation.knows(key[:-1])
    assert invitation.accept(word) == ""
    assert invitation.word != word
    others = [invitation.accept(invitation.word) for _ in range(MOST)]
    assert all(map(invitation.knows, others))
    assert not invitation.knows(key)


def test_words_are_never_the_same_twice() -> None:
    invitation, words = Invitation(), set()
    for _ in range(500):
        words.add(invitation.word)
        invitation.renew()
    assert len(words) == 500
