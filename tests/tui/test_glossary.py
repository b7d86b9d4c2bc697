"""One list of words, used by help; a word of the stove's block letters or looks that no layman knows is in it."""

from pourday.session.looks import LOOK_SHORT
from pourday.tui.drawing.glossary import GLOSSARY
from pourday.tui.drawing.help_text import PAGES


def test_help_at_the_stove_and_in_the_form_ends_with_the_words():
    for page in ("stove", "setup"):
        text = PAGES[page].parts[-1][1]
        assert all(says in text for _, says in GLOSSARY)


def test_words_are_in_order_and_each_is_there_once():
    words = [word for word, _ in GLOSSARY]
    assert words == sorted(set(words))
    explained = " ".join(f"{word} {says}" for word, says in GLOSSARY)
    assert LOOK_SHORT["pulled away"].split(",")[0] in explained
    for word in ("plug", "shade", "relief holes", "top-up", "window", "ceiling", "join"):
        assert word in words
