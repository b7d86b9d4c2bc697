"""The stages of a session, by themselves: a list of sessions is read without anything else that is known of one."""

from __future__ import annotations

from typing import Literal

Stage = Literal["setup", "melt", "pour", "cure", "finished", "candles", "heap"]
