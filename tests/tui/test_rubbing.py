"""Signs taken away from a text that is being typed, the same in every field."""

from __future__ import annotations

import pytest

from pourday.tui.terminal.rubbing import rubbed


@pytest.mark.parametrize(
    ("text", "key", "left"),
    [
        ("banana", "backspace", "banan"),
        ("", "backspace", ""),
        # POSIX `stty`: the KILL character, usually ^U, takes the whole line.
        ("banana", "ctrl+u", ""),
        ("banana", "u", None),
        ("banana", "enter", None),
    ],
)
def test_backspace_takes_the_last_sign_ctrl_u_all_and_other_keys_nothing(text, key, left):
    assert rubbed(text, key) == left
