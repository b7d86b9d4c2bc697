"""Every alarm that can be raised has a name for people."""

from __future__ import annotations

import ast
from pathlib import Path

import pourday
from pourday.session.alarm_words import ALARM_WORDS


def test_no_name_for_people_is_the_name_on_record():
    assert all(name != words and len(words.split()) > 1 for name, words in ALARM_WORDS.items())


def test_every_alarm_of_the_program_has_one():
    """Read from the source of the alarms: the kinds that `Alarm(...)` is made with."""
    source = (Path(pourday.__file__).parent / "guide" / "advice" / "alarms.py").read_text(encoding="utf-8")
    texts = {node.value for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Constant)}
    raised = {text for text in texts if isinstance(text, str) and text in ALARM_WORDS}
    assert raised >= {"ceiling", "near ceiling", "water", "watch"}
