"""The help pages: what each screen is for, and why the trade does things as it does. Figures are usual ones, for the person to overrule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pourday.tui.drawing.glossary import GLOSSARY

WORDS = " ".join(f"{word.capitalize()}: {says}" for word, says in GLOSSARY)
SUPPLIER = "The supplier's sheet for your wax, wick, dye and scent outranks every figure here."


@dataclass(frozen=True, slots=True)
class Page:
    """A title, then headings with their paragraphs."""

    title: str
    parts: tuple[tuple[str, str], ...]
    keys: tuple[tuple[str, str], ...] = ()
    """Keys of the screen, where they are always the same."""


_HOME = Page(
    "Where everything is",
    (
        (
            "What stands here",
            "Sessions that are open come first, with what each asks for next and when. A session stays open for days: candles "
            "cure while the program is closed, and nothing is lost by closing it.",
        ),
        (
            "Your first day",
            "The demo plays a whole simulated day, marked as a demo for ever and never learnt from. A rehearsal runs "
            "your own plan through a simulated kitchen before any wax is warm. A new plan begins with the moulds.",
        ),
        (
            "What is kept",
            "Whatever you enter is on the disk before the screen says so. Nothing is ever rewritten: a correction stands beside "
            "what it corrects. Broken files are set aside, never deleted.",
        ),
        (
            "Finding a day again",
            "f, then words: a colour, a wax, a fault, “window missed”, “not tested”, “older than spring”, “in may 2026”. Every "
            "word has to be there; not turns the next one round. Seasons are those of the northern half of the earth.",
        ),
        (
            "Side by side",
            "m marks two or three days, s lays them side by side: only where they differ, until a shows everything.",
        ),
        (
            "Starting from before",
            "A new plan from an old session is either as it was planned, or as it really went: the layers that your weights say you got, and the "
            "temperature you read. Lots and stock stay empty, for they belong to their day.",
        ),
    ),
    (
        ("Enter", "opens: an open session goes on where it stood, a finished one plays"),
        ("Up Down", "another session"),
        ("n", "a new plan, with your own units, scale and room"),
        ("b", "the candles of the chosen session, or of what is due: finish, burn, judge"),
        ("h", "wax that nobody knows: old candles cleaned, a cooling curve taken, a lot for the shelf"),
        ("f", "find: type what you remember, Enter keeps what was found, Esc shows all again"),
        ("m", "mark a session, or take its mark away; s lays two or three side by side"),
        ("c", "a new plan from the chosen session"),
        ("w", "what is there of wax, scent, dye and wick"),
        ("p", "plans kept for another day"),
        ("r", "rehearses the chosen session's plan"),
        ("d", "a demo: a whole simulated day"),
        (",", "settings"),
        ("e  F1", "emergency: the fire card"),
        ("q", "leaves; nothing is lost"),
    ),
)

_STOCK = Page(
    "What is there of wax, scent, dye and wick",
    (
        (
            "How it adds up",
            "You say what came and what you counted. A day that has begun reserves what its plan needs; once it is finished, "
            "what its record says went in is taken off. ~ stands before what was not weighed all the way. What days that had begun "
            "took was off the shelf when you counted.",
        ),
        (
            "One line",
            "add wax palm 10 kg lot A12 paid 64 pack 10 kg says what came. Without add it is what you counted: scent orange 85 g, "
            "wick 30 ply 20 pieces. forget dye ivory takes a lot away. first says that a lot is to be used before others; note "
            "keeps a sentence with it.",
        ),
        (
            "Reclaimed wax",
            "Wax won from old candles is a lot as well, with what it came from and how it was cleaned. What scent is left in it is "
            "unknown unless you say so: add little or none, and let a burn test decide about the wick.",
        ),
    ),
    (
        ("Enter", "keeps the line; without one, begins the line that corrects the chosen lot"),
        ("Up Down", "another lot"),
        ("Esc", "puts the line away, then goes back"),
    ),
)

_SETUP = Page(
    "The plan",
    (
        (
            "Why the water weight",
            "Fill the sealed, unwicked mould with water to its rim, weigh the water and take about nine tenths: wax is lighter than "
            "water. It is surer than a ruler in any mould that is not a straight tube. Dry the mould to the last drop afterwards.",
        ),
        (
            "Why a first pour is more than the candle keeps of it",
            "Wax takes less room cold than hot, paraffin by a tenth and more. So the line in the mould is reached by hot, light wax, and as "
            "that sets it sinks. The sheet has both: what to pour, and what it weighs once it has set.",
        ),
        (
            "Why the top-up is kept back",
            "The well that shrinking leaves has to be filled with the same melt as the last colour: a new melt is rarely the "
            "same shade. So that share is weighed out now and kept, hot or to be melted once more.",
        ),
        (
            "Why the plug",
            "A first pour of 6 to 12 mm, at the cool end of the range, sets over the wick hole before the weight of a whole layer "
            "stands on it. It has the colour of the first layer, for that is the top of the finished candle.",
        ),
        (
            "Why the order looks upside down",
            "Most pillar moulds stand on their heads: the closed end with the wick hole is the top of the candle. The first layer "
            "poured is the top stripe, and the shrink well ends up hidden in the base.",
        ),
        (
            "Why these wicks",
            "A pillar is wicked to leave a wall standing, so advice for containers overdoes it. Wider, harder, heavily scented or dyed candles want "
            "more. Only a burn test decides.",
        ),
        (
            "Why scent is weighed",
            "Two oils differ by half in a spoon. A share can be counted on the wax or on the whole; it says here which. Above what the wax can "
            "hold it sweats, spots and soots.",
        ),
        (
            "Why the list before heat",
            "Wick, seal and level cannot be mended under hot wax, and the lid and extinguisher are no use in another room. The "
            "bell has to be heard from where you will stand: have it rung once.",
        ),
        ("Whose word counts", SUPPLIER),
        ("Words", WORDS),
    ),
    (
        ("Up Down", "to another row; what was typed is filed"),
        ("PgUp PgDn", "to the part before, the part after"),
        ("End", "to BEGIN THE DAY, from every row"),
        ("Left Right", "another choice, where a row has choices; Space too"),
        ("Enter", "files the row and goes on; opens ▸ rows; does what an act says"),
        ("Tab", "weigh sheet, findings, where figures come from, form"),
        ("Esc", "drops what is typed; then back"),
        ("F1", "the fire card, whatever is being typed; e where nothing is"),
        ("F2", "this page; / where nothing is typed"),
        ("F4", "writes the sheet for the wall as a file to print, and says where it is"),
    ),
)

_STOVE = Page(
    "At the stove",
    (
        (
            "Why the bath, and why it is watched",
            "While there is water under the pot, wax cannot get hotter than water boils, and less than that up a mountain. The moment it "
            "runs dry that ends. So wax above the boiling point is an alarm: dry pot, or a thermometer that is wrong. Never pour water into a hot dry pot.",
        ),
        (
            "Why wax has a highest temperature (its ceiling)",
            "Wax does not boil to warn anybody: it goes from clear to haze, to smoke, to fire. Held too hot it yellows and loses its scent. "
            "Only the thermometer speaks.",
        ),
        (
            "Why a plug first",
            "A little wax sets over the wick hole and seals it. Look underneath before the rest goes in: a seal that weeps under a plug "
            "costs a spoonful, under a full mould it costs the candle.",
        ),
        (
            "Why a window opens",
            "First the edge sets and a skin closes over soft wax. The surface carries the next colour when it has set right to the wall and the wick, matt, and springy like cheese. Earlier it breaks "
            "through the skin, and the colours run. The clock only says when to go and look; what you see decides.",
        ),
        (
            "Why a window closes",
            "Two layers weld when the join, between old surface and new wax, gets hot enough to melt a little of both. When the wall is no longer "
            "warm it does not; and when the layer has drawn away from the wall, new wax runs down the gap behind it.",
        ),
        (
            "Why not simply hotter",
            "Hot wax fuses better and has fewer bubbles, but it shrinks more, finds every leak and washes up the colour below. A cool surface wants "
            "a hotter pour, a warm one a cooler pour.",
        ),
        (
            "Why one steady stream",
            "A stop prints a ring, and drops on the bare wall above the line print as spots. Tap the wall when it stands, wait a minute, tap again: "
            "the bubbles rise.",
        ),
        (
            "Why relief holes, and why inside the layer",
            "A skin shuts in a core that still shrinks: it would drag the wick or leave a cavern. Holes beside the wick let air in. They "
            "stop short of the layer's bottom: through it, the next colour shows inside the last, and through the plug, the mould leaks.",
        ),
        (
            "Why the top-up waits, and stays low",
            "It fills the well when the well is there and the top carries wax. It stays some 6 mm below the first line: above it, wax creeps between candle "
            "and wall, prints a line or locks the candle in. Same melt, as hot as the pour or a little hotter.",
        ),
        (
            "Why overnight",
            "A candle that is set outside is warm inside for hours. It is ready when the wall is cold to the hand, a hairline gap runs all round, and it "
            "turns or drops at a light tap. Pulling earlier tears it. For a pillar that is the next morning; a votive may be as far the same evening.",
        ),
        (
            "Why cure",
            "Wax goes on settling for days, and scent with it: a paraffin candle burns as itself after 1 to 3 days, a soy one after a week or two. It "
            "may be burn-tested after the first days and is ready to give after the last. So the age of a candle belongs to every burn test.",
        ),
        (
            "On paper",
            "F4 writes the sheet for the wall as a file and says where it is; a browser prints it. What is written on it by hand is typed in later.",
        ),
        (
            "What really went in",
            "Once a jug is made one line asks for its wax, each scent and dye, and how hot it was. Space or Enter skips it all; what is left "
            "empty stays “not noted”. After something is taken back one key says why, and any other key does its own work.",
        ),
        (
            "Why any key answers",
            "A lit burner that nobody answers for is the one thing that must not go unnoticed. Any key quiets the bell and says that somebody is "
            "there; got-it acknowledges an alarm; the alarm itself ends only when its cause does.",
        ),
        ("Whose word counts", SUPPLIER),
        ("Words", WORDS),
    ),
)

_REVIEW = Page(
    "The record",
    (
        (
            "What it shows",
            "What was planned beside what was done, when it happened and when you said so. What was not weighed says so; no planned weight stands in for it.",
        ),
        (
            "Why mistakes stay",
            "The useful part of a record is the day that was not like the plan: how long the wait was, how hot it got, which lot it was. A "
            "correction stands beside the old value.",
        ),
        (
            "What to write while it is fresh",
            "What was used rather than planned, the room, the one thing that was different, and why it was good, not only why it was not.",
        ),
    ),
    (
        ("Left Right", "the event before, the event after"),
        ("Space", "plays through time; stops"),
        ("[  ]", "plays slower, faster"),
        ("Home End", "first and last event"),
        ("Up Down", "through what happened"),
        ("v", "as poured, or as the finished candle stands"),
        (
            "t",
            "the whole session down one page: told, poured, seen, heat, burner; Enter goes to a line's moment",
        ),
        ("F4", "writes the record and the slips as files to print, and says where they are"),
        ("p", "planned beside what was done, forecast beside what came"),
        ("i", "what its candles came out like, and why"),
        ("e  F1", "emergency: the fire card"),
        ("Esc", "back"),
    ),
)

_REHEARSAL = Page(
    "The rehearsal",
    (
        (
            "What it is",
            "Your plan worked out ahead: every pour at the best moment of its computed window, one pair of hands, one stove. It shows where "
            "two things fall together, when the stove lets you go, and what would shorten it at what price. Nothing is recorded.",
        ),
        (
            "What it is not",
            "A promise. What is computed knows nothing of your draughts, your mould's bottom or your phone. On the day, what you see decides.",
        ),
    ),
    (
        ("Space", "play and pause"),
        ("Left Right", "the act before and after"),
        ("[  ]", "slower and faster"),
        ("b", "begins the day at a time you type"),
        ("d", "begins it so that you are done by a time you type"),
        ("w", "what the day comes to, and what would shorten it"),
        ("v", "as poured, or as the candles stand"),
        ("Up Down", "read the list; Enter goes there"),
        ("Home End", "the ends of the day"),
        ("e  F1", "emergency: the fire card"),
        ("Esc", "back"),
    ),
)

_SETTINGS = Page(
    "Settings",
    (
        (
            "Where they are kept",
            "In one text file, named below the rows. It may be edited by hand: comments stay. A line that cannot be used is said with its number, and its default counts "
            "until it is put right.",
        ),
        (
            "Why the scale step",
            "Weights are shown to what your scale can show: a figure it cannot weigh helps nobody.",
        ),
        (
            "Why the altitude",
            "Water boils lower up a mountain, and with it the highest that a bath can heat wax.",
        ),
        (
            "Why quiet hours",
            "Nobody takes a candle out of its mould at two in the morning. What falls into them is put to their end, and the last top-up before them.",
        ),
        (
            "Why curves can be drawn in blocks",
            "Braille signs draw four times finer, but not every font has them. A console without windows (TERM=linux) has none: "
            "there blocks count unless you choose otherwise.",
        ),
        (
            "Signals",
            "A prompt rings once; an alarm three times, again and again, slower, until a key is pressed. Notices on the desktop come by one of two "
            "ways, OSC 9 or OSC 777; which one, your terminal knows. A program at an alarm can play a sound or send a message; it is started without a shell.",
        ),
        (
            "Why some keys are warned about",
            "Heat, away and got-it do weighty things. They lie where no common key touches them, so that a waxy knuckle on Space or a digit cannot "
            "hit them.",
        ),
    ),
    (
        ("Up Down", "to another row; what was typed is saved"),
        ("Left Right", "another choice"),
        ("Enter", "saves; on a key, then press the new one"),
        ("Delete", "back to the usual"),
        ("F1", "the fire card, whatever is being typed; e where nothing is"),
        ("Esc", "drops what is typed; then back"),
    ),
)

_FAULTS = Page(
    "What is wrong, and why",
    (
        (
            "What you see first",
            "Go by where you see it, then by its name; under the list stands how it looks and what it is mistaken for. Several faults at once "
            "are said at once. That there is none is worth saying, too: a good day shows what the bad ones had that it had not.",
        ),
        (
            "Where the odds come from",
            "How often the trade finds each cause, times what your record says for it and against it. What was not recorded counts for no cause and "
            "is named. The weights are estimates; your own tries count too: what came out better, the same or worse is asked after the next day.",
        ),
        (
            "One change",
            "Change one thing at a time, or the next candle teaches nothing. Its size is computed from your day where that can be done. p puts it into a "
            "new plan that knows what it was made after.",
        ),
        (
            "Few days",
            "What bad days share is told from the fifth day on, each with how easily chance alone does that. "
            + SUPPLIER,
        ),
    ),
    (
        ("Left Right", "another place, or another fault"),
        ("1-6", "that place"),
        ("Up Down", "through the list, or the page"),
        ("Space", "marks a fault; several may be marked"),
        ("Enter", "puts what is marked on record"),
        ("n", "nothing is wrong"),
        ("a", "a further fault"),
        ("p", "a new plan with the one change in it"),
        ("Tab", "another candle"),
        ("e  F1", "emergency: the fire card"),
        ("Esc", "back"),
    ),
)

_HEAP = Page(
    "Wax that nobody knows",
    (
        (
            "What this is",
            "A heap of candle ends, or a sack without a label, becomes a lot that plans can use. Every answer is on the disk before the screen "
            "says so; close the program at any step, and it goes on there.",
        ),
        (
            "Heat",
            "Only over water: nobody knows the flash point of this wax, and the bath cannot take it past boiling water. Melt at 80 °C "
            "(176 °F), never above 85 °C (185 °F), for nobody knows its scents. Never drip it onto a hot plate to hear it crackle.",
        ),
        (
            "The cooling curve",
            "25 to 100 g in a small tin, wholly clear, the tip of the thermometer in the middle, and no stirring. Read it every 15 seconds. "
            "Where wax sets it gives off heat and stands still for a while: that is where it sets (after ASTM D87). A thermometer of "
            "whole degrees tells it to about a degree. A soft mixture has no plateau; that is an answer, too.",
        ),
        (
            "What it can be",
            "Families set alike, so look, smell, thumbnail and density are asked as well, and the odds stay open where nothing tells them apart. "
            "The scent in old candles stays unknown: add none or little, and burn one small test candle before you choose a wick.",
        ),
    ),
    (
        ("digits", "a reading of the pot, or of the tin while its curve is taken; Enter files it"),
        ("Space", "done; while a curve is taken: that is enough"),
        ("x", "leaves a step out"),
        ("Up Down", "another step: no step locks any other"),
        ("h", "the burner: lit, or off"),
        ("a", "takes the cooling curve again"),
        ("n", "a note"),
        ("z", "takes back what was said last; u brings it back"),
        ("q", "leaves; nothing is lost, the wax stays open"),
    ),
)

_BURN = Page(
    "After the mould",
    (
        (
            "What a burn test is",
            "A candle burns in cycles of four hours at most, cold in between, to the end of its life. Each time its flame, pool and wall are "
            "measured at half an hour and then every hour; before and after it is weighed cold. One cycle tells little: a wick changes its ways "
            "down the candle.",
        ),
        (
            "Before you light it",
            "Wait for the cure: wax goes on changing for days, plant wax for weeks, and a young candle burns unlike a ripe one. Trim the wick, shut out "
            "draughts, stand it level on a plate that cannot burn, 75 mm from the next flame, and stay in the room.",
        ),
        (
            "What the wick should do",
            "A pillar keeps an even wall of 3 to 12 mm (common practice); in a glass the pool has to reach the wall. A thick wall or a drowned flame "
            "asks for more wick, a tall or sooting flame or a melting rim for less. A draught, too much scent, or a cure cut short look like a wrong wick and are none.",
        ),
        (
            "Limits",
            "A flame over 75 mm, a second flame over 10 s, a glow of over 30 s on average, a candle that leans or takes fire again: figures of the "
            "European standard EN 15493, read second-hand. A candle inside the limits we know is no more than that; nobody calls it safe here.",
        ),
    ),
    (
        ("digits", "what you measured; Enter files it, Enter alone leaves it out"),
        ("b", "lights what is marked, or the chosen candle"),
        ("Space", "marks a candle; says that they burn"),
        ("x", "puts out: how it went out, then glow, then cold weight"),
        ("s", "a second flame, in seconds"),
        ("w", "weighs the chosen candle cold"),
        ("j", "your word on its wick, beside what the readings say"),
        ("r", "the reading of the chosen candle"),
        ("f", "finish: base, wick, polish"),
        ("g", "where it goes"),
        ("d", "a flaw by its trade name, or in your own words"),
        ("i", "what is wrong with the chosen candle, and why"),
        ("p", "where a photo of it is"),
        ("l", "what stands under it"),
        ("n", "a note"),
        ("z", "takes back the last thing said"),
        ("u", "brings back what was taken back last"),
        ("F4", "writes the slips as a file to print, and says where it is"),
        ("e", "the fire card"),
        ("q", "leaves; what burns goes on being timed"),
    ),
)

_FOLLOW = Page(
    "Looking on",
    (
        (
            "What it is",
            "The stove's word, numbers and moulds once more, in another window or another room. It reads what the stove's own program "
            "puts on record and writes nothing: no key here files, answers an alarm or ends anything.",
        ),
    ),
    (
        ("q  Esc", "leaves; the session goes on"),
        ("e  F1", "emergency: the fire card"),
    ),
)

PAGES: Mapping[str, Page] = {
    "burn": _BURN,
    "heap": _HEAP,
    "follow": _FOLLOW,
    "faults": _FAULTS,
    "home": _HOME,
    "stock": _STOCK,
    "setup": _SETUP,
    "stove": _STOVE,
    "review": _REVIEW,
    "rehearsal": _REHEARSAL,
    "settings": _SETTINGS,
}
