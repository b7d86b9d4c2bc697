"""The one error a person can act on."""

from __future__ import annotations

import pickle

import pytest

from pourday.errors import Trouble
from pourday.plan.check import BadField


def test_only_what_there_is_to_say_is_said() -> None:
    assert str(Trouble("It broke.")) == "It broke."
    assert str(Trouble("It broke.", instead="Mend it.")) == "It broke. Mend it."
    assert str(Trouble("It broke.", "It fell.", "Mend it.")) == "It broke. It fell. Mend it."


@pytest.mark.parametrize("trouble", [Trouble("What.", "Why.", "Do."), BadField("layers.0", "What.", "Do.")])
def test_what_went_wrong_in_another_process_arrives_as_it_was(trouble: Trouble) -> None:
    arrived = pickle.loads(pickle.dumps(trouble))
    assert type(arrived) is type(trouble)
    assert (str(arrived), vars(arrived)) == (str(trouble), vars(trouble))
