"""The help pages: what each screen is for, and why the trade does things as it does. Figures are usual ones, for the person to overrule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pourday.language import tr
from pourday.tui.drawing.glossary import GLOSSARY

WORDS = " ".join(f"{word.capitalize()}: {says}" for word, says in GLOSSARY)
SUPPLIER = tr("The supplier's sheet for your wax, wick, dye and scent outranks every figure here.")


@dataclass(frozen=True, slots=True)
class Page:
    """A title, then headings with their paragraphs."""

    title: str
    parts: tuple[tuple[str, str], ...]
    keys: tuple[tuple[str, str], ...] = ()
    """Keys of the screen, where they are always the same."""


_HOME = Page(
    tr("Where everything is"),
    (
        (
            tr("What stands here"),
            tr(
                "Sessions that are open come first, with what each asks for next and when. A session stays open for days: candles cure while the program is closed, and nothing is lost by closing it."
            ),
        ),
        (
            tr("Your first day"),
            tr(
                "The demo plays a whole simulated day, marked as a demo for ever and never learnt from. A rehearsal runs your own plan through a simulated kitchen before any wax is warm. A new plan begins with the moulds."
            ),
        ),
        (
            tr("What is kept"),
            tr(
                "Whatever you enter is on the disk before the screen says so. Nothing is ever rewritten: a correction stands beside what it corrects. Broken files are set aside, never deleted."
            ),
        ),
        (
            tr("Finding a day again"),
            tr(
                "f, then words: a colour, a wax, a fault, “window missed”, “not tested”, “older than spring”, “in may 2026”. Every word has to be there; not turns the next one round. Seasons are those of the northern half of the earth."
            ),
        ),
        (
            tr("Side by side"),
            tr(
                "m marks two or three days, s lays them side by side: only where they differ, until a shows everything."
            ),
        ),
        (
            tr("Starting from before"),
            tr(
                "A new plan from an old session is either as it was planned, or as it really went: the layers that your weights say you got, and the temperature you read. Lots and stock stay empty, for they belong to their day."
            ),
        ),
    ),
    (
        ("Enter", tr("opens: an open session goes on where it stood, a finished one plays")),
        ("Up Down", tr("another session")),
        ("n", tr("a new plan, with your own units, scale and room")),
        ("b", tr("the candles of the chosen session, or of what is due: finish, burn, judge")),
        ("h", tr("wax that nobody knows: old candles cleaned, a cooling curve taken, a lot for the shelf")),
        ("f", tr("find: type what you remember, Enter keeps what was found, Esc shows all again")),
        ("m", tr("mark a session, or take its mark away; s lays two or three side by side")),
        ("c", tr("a new plan from the chosen session")),
        ("t", tr("the days that were made after each other, with what was changed and how it came out")),
        ("w", tr("what is there of wax, scent, dye and wick")),
        ("v", tr("your moulds: what is remembered of each, and what you say of them")),
        ("l", tr("what your days taught of your kitchen, and how good forecasts were")),
        ("p", tr("plans kept for another day")),
        ("r", tr("rehearses the chosen session's plan")),
        ("d", tr("a demo: a whole simulated day")),
        (",", tr("settings")),
        ("e  F1", tr("emergency: the fire card")),
        ("q", tr("leaves; nothing is lost")),
    ),
)

_KITCHEN = Page(
    tr("What your days taught of your kitchen"),
    (
        (
            tr("How it is learned"),
            tr(
                "Each time you say how a surface looks, it tells how fast this kitchen cools: the open top, the walls, each mould beside the others, and what your wax is off by from its table. A finished day teaches the next one; older days count less, and days that differ widen the forecast. Demos and rehearsals teach nothing."
            ),
        ),
        (
            tr("How to read it"),
            tr(
                "1.20 times as computed (1.05-1.37) means: probably a fifth more heat is lost, and in four kitchens of five it lies within the brackets. What that does to a wait is said for one layer as an example."
            ),
        ),
        (
            tr("What you can switch"),
            tr(
                "A day that went wrong can be left out and taken in again. All days can be forgotten at once, after a move for instance; their records stay. While none of it is used, every day begins with the kitchen of the table."
            ),
        ),
    ),
    (
        ("Tab", tr("what was learned, the days, the forecasts")),
        ("Up Down", tr("moves")),
        ("f", tr("leaves the chosen day out, or takes it in again")),
        ("u", tr("uses none of it, or uses it again")),
        ("a", tr("forgets all days until now, after a question")),
        ("Esc", tr("back")),
    ),
)

_STOCK = Page(
    tr("What is there of wax, scent, dye and wick"),
    (
        (
            tr("How it adds up"),
            tr(
                "You say what came and what you counted. A day that has begun reserves what its plan needs; once it is finished, what its record says went in is taken off. ~ stands before what was not weighed all the way. Days that had begun had taken theirs off the shelf when you counted."
            ),
        ),
        (
            tr("One line"),
            tr(
                "add wax palm 10 kg lot A12 paid 64 pack 10 kg says what came. Without add it is what you counted: scent orange 85 g, wick 30 ply 20 pieces. forget dye ivory takes a lot away. first says that a lot is to be used before others; note keeps a sentence with it."
            ),
        ),
        (
            tr("Reclaimed wax"),
            tr(
                "Wax from old candles is a lot as well, with what it came from and how it was cleaned. What scent is left in it is unknown unless you say so: add little or none, and let a burn test decide about the wick."
            ),
        ),
    ),
    (
        ("Enter", tr("keeps the line; without one, begins the line that corrects the chosen lot")),
        ("Up Down", tr("another lot")),
        ("Esc", tr("puts the line away, then goes back")),
    ),
)

_MOULDS = Page(
    tr("Your moulds"),
    (
        (
            tr("What is remembered"),
            tr(
                "Shape, how its candles came out, the wick that passed, weights by wax, what its wall loses and the last fault come from the records of your days. A mould is told apart by its name in the form."
            ),
        ),
        (
            tr("What you say"),
            tr(
                "Its name, then one of these: sealed putty and tape; release silicone spray; stands 85C (what its maker says it may be poured at); holes 1; cleaned (today); clean every 5 (candles); note dented at the rim; forget."
            ),
        ),
        (
            tr("What it is for"),
            tr(
                "The list before the heat goes on is made from it: what to clean first, a seal that wept last time, how it was sealed, what it was released with."
            ),
        ),
    ),
    (
        ("Enter", tr("keeps the line; without one, begins a line about the chosen mould")),
        ("Up Down", tr("another mould")),
        ("Esc", tr("puts the line away, then goes back")),
    ),
)

_SETUP = Page(
    tr("The plan"),
    (
        (
            tr("Why the water weight"),
            tr(
                "Fill the sealed, unwicked mould with water to its rim, weigh the water and take about nine tenths: wax is lighter than water. It is surer than a ruler in any mould that is not a straight tube. Dry the mould to the last drop afterwards."
            ),
        ),
        (
            tr("Why a first pour is more than the candle keeps of it"),
            tr(
                "Wax takes less room cold than hot, paraffin by a tenth and more. So the line in the mould is reached by hot, light wax, and as that sets it sinks. The sheet has both: what to pour, and what it weighs once it has set."
            ),
        ),
        (
            tr("Why the top-up is kept back"),
            tr(
                "The well that shrinking leaves has to be filled with the same melt as the last colour: a new melt is rarely the same shade. So that share is weighed out now and kept, hot or to be melted once more."
            ),
        ),
        (
            tr("Why the plug"),
            tr(
                "A first pour of 6 to 12 mm, at the cool end of the range, sets over the wick hole before the weight of a whole layer stands on it. It has the colour of the first layer, for that is the top of the finished candle."
            ),
        ),
        (
            tr("Why the order looks upside down"),
            tr(
                "Most pillar moulds stand on their heads: the closed end with the wick hole is the top of the candle. The first layer poured is the top stripe, and the shrink well ends up hidden in the base."
            ),
        ),
        (
            tr("Why these wicks"),
            tr(
                "A pillar is wicked to leave a wall standing, so advice for containers overdoes it. Wider, harder, heavily scented or dyed candles want more. Only a burn test decides."
            ),
        ),
        (
            tr("Why scent is weighed"),
            tr(
                "Two oils differ by half in a spoon. A share can be counted on the wax or on the whole; it says here which. Above what the wax can hold it sweats, spots and soots."
            ),
        ),
        (
            tr("Why the list before heat"),
            tr(
                "Wick, seal and level cannot be mended under hot wax, and the lid and extinguisher are no use in another room. The bell has to be heard from where you will stand: have it rung once."
            ),
        ),
        (tr("Whose word counts"), SUPPLIER),
        (tr("Words"), WORDS),
    ),
    (
        ("Up Down", tr("to another row; what was typed is filed")),
        ("PgUp PgDn", tr("to the part before, the part after")),
        ("End", tr("to BEGIN THE DAY, from every row")),
        ("Left Right", tr("another choice, where a row has choices; Space too")),
        ("Enter", tr("files the row and goes on; opens ▸ rows; does what an act says")),
        ("Tab", tr("weigh sheet, findings, where figures come from, form")),
        ("Esc", tr("drops what is typed; then back")),
        ("F1", tr("the fire card, whatever is being typed; e where nothing is")),
        ("F2", tr("this page; / where nothing is typed")),
        ("F4", tr("writes the sheet for the wall as a file to print, and says where it is")),
    ),
)

_STOVE = Page(
    tr("At the stove"),
    (
        (
            tr("Why the bath, and why it is watched"),
            tr(
                "While there is water under the pot, wax cannot get hotter than water boils, and less than that up a mountain. The moment it runs dry that ends. So wax above the boiling point is an alarm: dry pot, or a thermometer that is wrong. Never pour water into a hot dry pot."
            ),
        ),
        (
            tr("Why wax has a highest temperature (its ceiling)"),
            tr(
                "Wax does not boil to warn anybody: it goes from clear to haze, to smoke, to fire. Held too hot it yellows and loses its scent. Only the thermometer speaks."
            ),
        ),
        (
            tr("Why a plug first"),
            tr(
                "A little wax sets over the wick hole and seals it. Look underneath before the rest goes in: a seal that weeps under a plug costs a spoonful, under a full mould it costs the candle."
            ),
        ),
        (
            tr("Why a window opens"),
            tr(
                "First the edge sets and a skin closes over soft wax. The surface carries the next colour when it has set right to the wall and the wick, matt, and springy like cheese. Earlier it breaks through the skin, and the colours run. The clock only says when to go and look; what you see decides."
            ),
        ),
        (
            tr("Why a window closes"),
            tr(
                "Two layers weld when the join, between old surface and new wax, gets hot enough to melt a little of both. When the wall is no longer warm it does not; and when the layer has drawn away from the wall, new wax runs down the gap behind it."
            ),
        ),
        (
            tr("Why not simply hotter"),
            tr(
                "Hot wax fuses better and has fewer bubbles, but it shrinks more, finds every leak and washes up the colour below. A cool surface wants a hotter pour, a warm one a cooler pour."
            ),
        ),
        (
            tr("Why one steady stream"),
            tr(
                "A stop prints a ring, and drops on the bare wall above the line print as spots. Tap the wall when it stands, wait a minute, tap again: the bubbles rise."
            ),
        ),
        (
            tr("Why relief holes, and why inside the layer"),
            tr(
                "A skin shuts in a core that still shrinks: it would drag the wick or leave a cavern. Holes beside the wick let air in. They stop short of the layer's bottom: through it, the next colour shows inside the last, and through the plug, the mould leaks."
            ),
        ),
        (
            tr("Why the top-up waits, and stays low"),
            tr(
                "It fills the well when the well is there and the top carries wax. It stays some 6 mm below the first line: above it, wax creeps between candle and wall, prints a line or locks the candle in. Same melt, as hot as the pour or a little hotter."
            ),
        ),
        (
            tr("Why overnight"),
            tr(
                "A candle that is set outside is warm inside for hours. It is ready when the wall is cold to the hand, a hairline gap runs all round, and it turns or drops at a light tap. Pulling earlier tears it. For a pillar that is the next morning; a votive may be as far the same evening."
            ),
        ),
        (
            tr("Why cure"),
            tr(
                "Wax goes on settling for days, and scent with it: a paraffin candle burns as itself after 1 to 3 days, a soy one after a week or two. It may be burn-tested after the first days and is ready to give after the last. So the age of a candle belongs to every burn test."
            ),
        ),
        (
            tr("On paper"),
            tr(
                "F4 writes the sheet for the wall as a file and says where it is; a browser prints it. What is written on it by hand is typed in later."
            ),
        ),
        (
            tr("What really went in"),
            tr(
                "Once a jug is made one line asks for its wax, each scent and dye, and how hot it was. Space or Enter skips it all; what is left empty stays “not noted”. After something is taken back one key says why, and any other key does its own work."
            ),
        ),
        (
            tr("Why any key answers"),
            tr(
                "A lit burner that nobody answers for is the one thing that must not go unnoticed. Any key quiets the bell and says that somebody is there; got-it acknowledges an alarm; the alarm itself ends only when its cause does."
            ),
        ),
        (tr("Whose word counts"), SUPPLIER),
        (tr("Words"), WORDS),
    ),
)

_REVIEW = Page(
    tr("The record"),
    (
        (
            tr("What it shows"),
            tr(
                "What was planned beside what was done, when it happened and when you said so. What was not weighed says so; no planned weight stands in for it."
            ),
        ),
        (
            tr("Why mistakes stay"),
            tr(
                "The useful part of a record is the day that was not like the plan: how long the wait was, how hot it got, which lot it was. A correction stands beside the old value."
            ),
        ),
        (
            tr("What to write while it is fresh"),
            tr(
                "What was used rather than planned, the room, the one thing that was different, and why it was good, not only why it was not."
            ),
        ),
    ),
    (
        ("Left Right", tr("the event before, the event after")),
        ("Space", tr("plays through time; stops")),
        ("[  ]", tr("plays slower, faster")),
        ("Home End", tr("first and last event")),
        ("Up Down", tr("through what happened")),
        ("v", tr("as poured, or as the finished candle stands")),
        (
            "t",
            tr(
                "the whole session down one page: expected, poured, seen, heat, burner; Enter goes to a line's moment"
            ),
        ),
        ("F4", tr("writes the record and the slips as files to print, and says where they are")),
        ("p", tr("planned beside what was done, forecast beside what came")),
        ("i", tr("what its candles came out like, and why")),
        ("e  F1", tr("emergency: the fire card")),
        ("Esc", tr("back")),
    ),
)

_REHEARSAL = Page(
    tr("The rehearsal"),
    (
        (
            tr("What it is"),
            tr(
                "Your plan worked out ahead: every pour at the best moment of its computed window, one pair of hands, one stove. It shows where two things fall together, when the stove lets you go, and what would shorten it at what price. Nothing is recorded."
            ),
        ),
        (
            tr("What it is not"),
            tr(
                "A promise. What is computed knows nothing of your draughts, your mould's bottom or your phone. On the day, what you see decides."
            ),
        ),
    ),
    (
        ("Space", tr("play and pause")),
        ("Left Right", tr("the act before and after")),
        ("[  ]", tr("slower and faster")),
        ("b", tr("begins the day at a time you type")),
        ("d", tr("begins it so that you are done by a time you type")),
        ("w", tr("what the day comes to, and what would shorten it")),
        ("v", tr("as poured, or as the candles stand")),
        ("Up Down", tr("read the list; Enter goes there")),
        ("Home End", tr("the ends of the day")),
        ("e  F1", tr("emergency: the fire card")),
        ("Esc", tr("back")),
    ),
)

_SETTINGS = Page(
    tr("Settings"),
    (
        (
            tr("Where they are kept"),
            tr(
                "In one text file, named below the rows. It may be edited by hand: comments stay. A line that cannot be used is said with its number, and its default counts until it is put right."
            ),
        ),
        (
            tr("Why the scale step"),
            tr("Weights are shown to what your scale can show: a figure it cannot weigh helps nobody."),
        ),
        (
            tr("Why the altitude"),
            tr("Water boils lower up a mountain, and with it the highest that a bath can heat wax."),
        ),
        (
            tr("Why quiet hours"),
            tr(
                "Nobody takes a candle out of its mould at two in the morning. What falls into them is put to their end, and the last top-up before them."
            ),
        ),
        (
            tr("Why curves can be drawn in blocks"),
            tr(
                "Braille signs draw four times finer, but not every font has them. A console without windows (TERM=linux) has none: there blocks count unless you choose otherwise."
            ),
        ),
        (
            tr("Signals"),
            tr(
                "A prompt rings once; an alarm three times, again and again, slower, until a key is pressed. Notices on the desktop come by one of two ways, OSC 9 or OSC 777; which one, your terminal knows. A program at an alarm can play a sound or send a message; it is started without a shell."
            ),
        ),
        (
            tr("Why some keys are warned about"),
            tr(
                "Heat, away and got-it do weighty things. They lie where no common key touches them, so that a waxy knuckle on Space or a digit cannot hit them."
            ),
        ),
    ),
    (
        ("Up Down", tr("to another row; what was typed is saved")),
        ("Left Right", tr("another choice")),
        ("Enter", tr("saves; on a key, then press the new one")),
        ("Delete", tr("back to the usual")),
        ("F1", tr("the fire card, whatever is being typed; e where nothing is")),
        ("Esc", tr("drops what is typed; then back")),
    ),
)

_FAULTS = Page(
    tr("What is wrong, and why"),
    (
        (
            tr("What you see first"),
            tr(
                "Go by where you see it, then by its name; under the list stands how it looks and what it is mistaken for. Say several faults together. That there is none is worth saying, too: a good day shows what the bad ones had that it had not."
            ),
        ),
        (
            tr("Where the odds come from"),
            tr(
                "How often the trade finds each cause, times what your record says for it and against it. What was not recorded counts for no cause and is named. The weights are estimates; your own tries count too: what came out better, the same or worse is asked after the next day."
            ),
        ),
        (
            tr("One change"),
            tr(
                "Change one thing at a time, or the next candle teaches nothing. Its size is computed from your day where that can be done. p puts it into a new plan that knows what it was made after."
            ),
        ),
        (
            tr("Few days"),
            tr(
                "What bad days share is said from the fifth day on, each with how easily chance alone does that. "
            )
            + SUPPLIER,
        ),
    ),
    (
        ("Left Right", tr("another place, or another fault")),
        ("1-6", tr("that place")),
        ("Up Down", tr("through the list, or the page")),
        ("Space", tr("marks a fault; several may be marked")),
        ("Enter", tr("puts what is marked on record")),
        ("n", tr("nothing is wrong")),
        ("a", tr("a further fault")),
        ("p", tr("a new plan with the one change in it")),
        ("Tab", tr("another candle")),
        ("e  F1", tr("emergency: the fire card")),
        ("Esc", tr("back")),
    ),
)

_HEAP = Page(
    tr("Wax that nobody knows"),
    (
        (
            tr("What this is"),
            tr(
                "A heap of candle ends, or a sack without a label, becomes a lot that plans can use. Every answer is on the disk before the screen says so; close the program at any step, and it goes on there."
            ),
        ),
        (
            tr("Heat"),
            tr(
                "Only over water: nobody knows the flash point of this wax, and the bath cannot take it past boiling water. Melt at 80 °C (176 °F), never above 85 °C (185 °F), for nobody knows its scents. Never drip it onto a hot plate to hear it crackle."
            ),
        ),
        (
            tr("The cooling curve"),
            tr(
                "25 to 100 g in a small tin, wholly clear, the tip of the thermometer in the middle, and no stirring. Read it every 15 seconds. Where wax sets it gives off heat and stands still for a while: that is where it sets (after ASTM D87). A thermometer of whole degrees tells it to about a degree. A soft mixture has no plateau; that is an answer, too."
            ),
        ),
        (
            tr("What it can be"),
            tr(
                "Families set alike, so look, smell, thumbnail and density are asked as well, and the odds stay open where nothing tells them apart. The scent in old candles stays unknown: add none or little, and burn one small test candle before you choose a wick."
            ),
        ),
    ),
    (
        (tr("digits"), tr("a reading of the pot, or of the tin while its curve is taken; Enter files it")),
        ("Space", tr("done; while a curve is taken: that is enough")),
        ("x", tr("leaves a step out")),
        ("Up Down", tr("another step: no step locks any other")),
        ("h", tr("the burner: lit, or off; d turns it low")),
        ("a", tr("takes the cooling curve again")),
        ("n", tr("a note")),
        ("z", tr("takes back what was said last; u brings it back")),
        ("q", tr("leaves; nothing is lost, the wax stays open")),
    ),
)

_BURN = Page(
    tr("After the mould"),
    (
        (
            tr("What a burn test is"),
            tr(
                "A candle burns in cycles of four hours at most, cold in between, to the end of its life. Each time its flame, pool and wall are measured at half an hour and then every hour; before and after it is weighed cold. One cycle tells little: a wick changes its ways down the candle."
            ),
        ),
        (
            tr("Before you light it"),
            tr(
                "Wait for the cure: wax goes on changing for days, plant wax for weeks, and a young candle burns differently from a cured one. Trim the wick, shut out draughts, stand it level on a plate that cannot burn, 75 mm from the next flame, and stay in the room."
            ),
        ),
        (
            tr("What the wick should do"),
            tr(
                "A pillar keeps an even wall of 3 to 12 mm (common practice); in a glass the pool has to reach the wall. A thick wall or a drowned flame asks for more wick, a tall or sooting flame or a melting rim for less. A draught, too much scent, or a cure cut short look like a wrong wick and are none."
            ),
        ),
        (
            tr("Limits"),
            tr(
                "A flame over 75 mm, a second flame over 10 s, a glow of over 30 s on average, a candle that leans or takes fire again: figures of the European standard EN 15493, read second-hand. A candle inside the limits we know is no more than that; nobody calls it safe here."
            ),
        ),
    ),
    (
        (tr("digits"), tr("what you measured; Enter files it, Enter alone leaves it out")),
        ("b", tr("lights what is marked, or the chosen candle")),
        ("Space", tr("marks a candle; says that they burn")),
        ("x", tr("puts out: how it went out, then glow, then cold weight")),
        ("s", tr("a second flame, in seconds")),
        ("w", tr("weighs the chosen candle cold")),
        ("j", tr("your word on its wick, beside what the readings say")),
        ("r", tr("the reading of the chosen candle")),
        ("f", tr("finish: base, wick, polish")),
        ("g", tr("where it goes")),
        ("d", tr("a flaw by its trade name, or in your own words")),
        ("i", tr("what is wrong with the chosen candle, and why")),
        ("p", tr("where a photo of it is")),
        ("l", tr("what stands under it")),
        ("n", tr("a note")),
        ("z", tr("takes back the last thing said")),
        ("u", tr("brings back what was taken back last")),
        ("F4", tr("writes the slips as a file to print, and says where it is")),
        ("e", tr("the fire card")),
        ("q", tr("leaves; what burns goes on being timed")),
    ),
)

_FOLLOW = Page(
    tr("Looking on"),
    (
        (
            tr("What it is"),
            tr(
                "The stove's word, numbers and moulds once more, in another window or another room. It reads what the stove's own program puts on record and writes nothing: no key here files, answers an alarm or ends anything."
            ),
        ),
    ),
    (
        (tr("q  Esc"), tr("leaves; the session goes on")),
        ("e  F1", tr("emergency: the fire card")),
    ),
)

PAGES: Mapping[str, Page] = {
    "burn": _BURN,
    "heap": _HEAP,
    "follow": _FOLLOW,
    "faults": _FAULTS,
    "home": _HOME,
    "stock": _STOCK,
    "moulds": _MOULDS,
    "kitchen": _KITCHEN,
    "setup": _SETUP,
    "stove": _STOVE,
    "review": _REVIEW,
    "rehearsal": _REHEARSAL,
    "settings": _SETTINGS,
}
