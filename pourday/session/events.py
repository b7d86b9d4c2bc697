"""What can happen in a session: the facts, and the entry that carries one in the record.

A session is an append-only list of entries. Each entry carries one fact, when it happened, when
it was logged, and who reported it. Nothing is ever rewritten: taking something back (`Undone`) and
putting it right (`Corrected`) are facts themselves, and what the program told is a fact as well,
kept as it was told.

To add a fact, follow "Add a fact" in DEVELOPERS.md: an older program refuses what it does not know, so the version of the
record (`SCHEMA`) goes up once for all that is new in one release.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Literal

import msgspec

from pourday.plan.model import Plan

SCHEMA = 3
"""Version of the record. A program reads its own and older ones, and refuses newer ones with words."""

Celsius = Annotated[float, msgspec.Meta(ge=-60, le=400)]
Kilograms = Annotated[float, msgspec.Meta(ge=0, le=10_000)]
Seconds = Annotated[float, msgspec.Meta(ge=-1e10, le=1e10)]  # chosen: beyond it no calendar shows a time
Text = Annotated[str, msgspec.Meta(max_length=2_000)]
Name = Annotated[str, msgspec.Meta(max_length=80)]
Letter = Annotated[str, msgspec.Meta(max_length=1, pattern="^[A-Z]?$")]
"""A mould on the bench, or empty where the fact is about none."""
Moment = Annotated[datetime, msgspec.Meta(tz=True)]

By = Literal["person", "probe", "program"]
Place = Literal["pot", "jug", "surface", "bath", "room", "candle"]
JugPlace = Literal["bath", "bench", "hand"]
"""Where a jug is: in the bath, out of it on the bench, or in hand."""
Means = Literal["probe", "infrared", "touch", "guess"]
Burner = Literal["on", "low", "off", "unknown"]
"""`on` is the full flame; `low` the one that holds a hot bath hot."""
Knob = Literal["lower", "higher"]
"""How the knob was set for a low flame, beside the last low one."""
Cue = Literal["wet", "skinned", "firm", "cold", "pulled away"]
Part = Literal["plug", "layer", "top-up"]
Release = Literal["dropped out", "needed a tap", "stuck"]
Came = Literal["good", "flawed", "failed"]
Length = Annotated[float, msgspec.Meta(ge=0, le=10)]
"""m"""
Finish = Literal["base levelled", "wick trimmed", "polished"]
Goes = Literal["keep", "test", "gift", "sale", "melt again"]
Soot = Literal["none", "wisps", "steady"]
Draught = Literal["none", "some"]
WentOut = Literal["snuffed", "blown out", "went out", "burned down"]
"""`went out`: by itself, with wax left to burn."""
WickVerdict = Literal["passed", "one up", "one down", "other family", "other cause"]
SeenWhen = Literal["demoulding", "after cure", "burn test"]
ChangeCame = Literal["better", "same", "worse"]
HeapStep = Literal[
    "a heap", "clean wax", "sorted", "molten", "wicks out", "settled", "strained", "kept warm", "curve", "density",
    "weighed", "weighed clean", "water", "colour", "smell", "melted before", "surface", "thumbnail", "float or sink",
]  # fmt: skip
"""`a heap` and `clean wax` say what it is that nobody knows; those of the last line are only ever left out."""
WaxSmell = Literal["none", "mineral", "honey", "fat", "scented"]
WaxSurface = Literal["clear and dry", "dull and opaque", "crystals", "greasy"]
WaxNail = Literal["dents", "marks", "no mark"]


class _Fact(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="kind"):
    """Tagged by its class name, so a line of the record reads as what happened."""


class Opened(_Fact, frozen=True, kw_only=True, tag="opened"):
    """The record was begun: the first fact of every session."""

    session: Name
    program: Name
    """Version of the program that opened it."""
    demo: bool = False
    """Demo and rehearsal never count as evidence."""
    batch: Name = ""
    """The session whose candles this record is about, from demoulding on; empty for a day at the stove."""
    heap: bool = False
    """Wax that nobody knows is cleaned and its cooling curve taken; no candle is poured."""


class ThermometerCheck(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a thermometer showed in water whose temperature is known."""

    water: Literal["ice", "boiling"]
    read_c: Celsius
    should_c: Celsius
    """0 in melting ice; in boiling water by the altitude."""
    on: Name = ""
    """The day, as the person wrote it."""


class Equipped(_Fact, frozen=True, kw_only=True, tag="equipped"):
    """Who is at the stove and with what, as the settings had it then. Empty: not told.

    Readings stand as they were read: nobody takes the offset of a check off them.
    """

    who: Name = ""
    thermometer: Name = ""
    checks: tuple[ThermometerCheck, ...] = ()
    scale: Name = ""
    scale_step: Kilograms | None = None
    """kg"""
    pot: Name = ""
    burner: Name = ""


class PlanDrafted(_Fact, frozen=True, kw_only=True, tag="plan drafted"):
    """The plan as far as the form is filled in. Every change files it anew; the newest counts."""

    plan: Plan


class PlanFixed(_Fact, frozen=True, kw_only=True, tag="plan fixed"):
    """The day begins with this plan; it stays readable whatever is revised later."""

    plan: Plan


class PlanRevised(_Fact, frozen=True, kw_only=True, tag="plan revised"):
    """The plan of a day that has begun was changed: what was poured stays as it is."""

    plan: Plan
    why: Text = ""


class Prepared(_Fact, frozen=True, kw_only=True, tag="prepared"):
    """A line of the list to go through before the heat was ticked, left out, or opened again."""

    item: Name
    mark: Literal["done", "waived", "open"]


class BurnerSet(_Fact, frozen=True, kw_only=True, tag="burner"):
    """Somebody turned the burner, or said how it stands."""

    state: Burner
    knob: Knob | None = None
    """Of a low flame: set lower or higher than it was the last time it was low; None: as then, or nobody told."""


class Reading(_Fact, frozen=True, kw_only=True, tag="reading"):
    """A temperature that was read somewhere."""

    place: Place
    celsius: Celsius
    typed: Name = ""
    """As typed, unit and all."""
    mould: Letter = ""
    means: Means = "probe"
    doubt: Text = ""
    """Why it is kept out of the fit; empty for a reading that counts."""
    probe: Name = ""
    """Which probe it came from by itself; empty for one that somebody took."""
    jug: Annotated[int, msgspec.Meta(ge=0)] | None = None
    """The layer whose jug it was read in; None: in no jug, or nobody told which."""


class WaxAdded(_Fact, frozen=True, kw_only=True, tag="wax added"):
    """Wax that was put into the pot beyond what the day began with."""

    what: Name = ""
    kg: Kilograms | None = None
    """None: not weighed."""
    celsius: Celsius | None = None


class WaterSeen(_Fact, frozen=True, kw_only=True, tag="water seen"):
    """Somebody looked at the water of the bath: it was enough, or was topped up."""

    topped_up: bool = False


class JugMade(_Fact, frozen=True, kw_only=True, tag="jug made"):
    """Wax drawn into a jug, coloured and scented for one layer."""

    layer: int
    kg: Kilograms | None = None
    planned_kg: Kilograms | None = None


class JugWeighed(_Fact, frozen=True, kw_only=True, tag="jug weighed"):
    """The wax that was drawn for the jug of a layer, weighed; without scent and dye."""

    layer: int
    kg: Kilograms
    typed: Name = ""


class JugDosed(_Fact, frozen=True, kw_only=True, tag="jug dosed"):
    """A scent or a dye that went into the jug of a layer."""

    layer: int
    what: Literal["scent", "dye"]
    product: Name = ""
    """Empty: not told, as is the lot."""
    lot: Name = ""
    kg: Kilograms | None = None
    """None: not weighed."""
    planned_kg: Kilograms | None = None
    celsius: Celsius | None = None
    """Of the wax when it went in; None: not read."""
    typed: Name = ""


class JugReheated(_Fact, frozen=True, kw_only=True, tag="jug reheated"):
    """Wax that had set in a jug is clear and hot again: one heat cycle more."""

    layer: int


class JugStands(_Fact, frozen=True, kw_only=True, tag="jug stands"):
    """Somebody put a jug somewhere else. One that was drawn stands in the bath until this is said."""

    layer: int
    where: JugPlace


class JugSeen(_Fact, frozen=True, kw_only=True, tag="jug seen"):
    """Somebody looked whether the wax in a jug can still be poured."""

    layer: int
    has_set: bool


class Poured(_Fact, frozen=True, kw_only=True, tag="poured"):
    """Wax went into a mould: a plug, a layer, or a top-up."""

    mould: Letter
    layer: int
    """Number in pour order, from 0."""
    part: Part
    kg: Kilograms | None = None
    """None: not weighed."""
    planned_kg: Kilograms | None = None
    celsius: Celsius | None = None
    """At the lip, where it was read."""
    share: Annotated[float, msgspec.Meta(ge=0, le=1)] = 1.0
    """Of what was planned, as the person judged it: below 1 the pour was broken off."""
    instead_of: int | None = None
    """The layer that was due in its place, where the wrong colour went in."""


class Spilled(_Fact, frozen=True, kw_only=True, tag="spilled"):
    """Wax that is in no vessel any more: on the bench, in the tray, in the bath."""

    mould: Letter = ""
    """Over whose rim or out of which mould it ran; empty where none is meant."""
    layer: int | None = None
    """The jug it came out of; None: the pot, where no mould is named either."""
    kg: Kilograms | None = None
    """None: not weighed."""


class LeftOver(_Fact, frozen=True, kw_only=True, tag="left over"):
    """What was weighed at the end in a jug, or in the pot."""

    layer: int | None = None
    """The jug; None: the pot."""
    kg: Kilograms


class Emptied(_Fact, frozen=True, kw_only=True, tag="emptied"):
    """Wax came out of a mould again before the candle was done."""

    mould: Letter
    from_layer: int = 0
    """This pour and all above it are out; the ones below stay."""
    how: Literal["tipped back", "demoulded", "ran out"]
    into: int | None = None
    """The layer whose jug it went into; None: kept apart or lost."""
    kg: Kilograms | None = None
    """None: not weighed."""


class Weighed(_Fact, frozen=True, kw_only=True, tag="weighed"):
    """A weight from the scale: of a pour into a mould, or of the finished candle."""

    mould: Letter
    what: Literal["pour", "candle"]
    kg: Kilograms
    typed: Name = ""
    pour: int | None = None
    """Number of the entry with the pour that was weighed; None: the last one into the mould."""
    doubt: Text = ""
    """Why it can hardly be, where the person was told so and kept it; it counts all the same."""


class SealSeen(_Fact, frozen=True, kw_only=True, tag="seal seen"):
    """Somebody looked under a mould whether its seal holds."""

    mould: Letter
    weeps: bool


class Looked(_Fact, frozen=True, kw_only=True, tag="looked"):
    """Somebody looked at the surface in a mould, and touched it."""

    mould: Letter
    cue: Cue


class Relieved(_Fact, frozen=True, kw_only=True, tag="relief holes"):
    """Relief holes were made in a mould, through the crust to the liquid wax."""

    mould: Letter
    depth: Length | None = None
    """m, where it was told."""


class Demoulded(_Fact, frozen=True, kw_only=True, tag="demoulded"):
    """A candle left its mould, and how it came out."""

    mould: Letter
    release: Release


class Waived(_Fact, frozen=True, kw_only=True, tag="waived"):
    """The person decided to leave an act of the agenda out."""

    act: Name
    why: Text = ""


class Noted(_Fact, frozen=True, kw_only=True, tag="noted"):
    """A note in the person's own words; nothing is worked out from it."""

    text: Text


class WentAway(_Fact, frozen=True, kw_only=True, tag="went away"):
    """Somebody left the stove, and when they mean to be back; None where they did not say."""

    back_by: Moment | None = None


class CameBack(_Fact, frozen=True, kw_only=True, tag="came back"):
    """Somebody who went away is at the stove again."""


class HardStop(_Fact, frozen=True, kw_only=True, tag="hard stop"):
    """The person must leave the stove by then; None takes it back."""

    at: Moment | None = None


class StaysUp(_Fact, frozen=True, kw_only=True, tag="stays up"):
    """The person works on until then, quiet hours or not; None takes it back."""

    at: Moment | None = None


class WatchAnswered(_Fact, frozen=True, kw_only=True, tag="watch answered"):
    """Somebody pressed a key: the watch over a lit burner begins anew."""


class AlarmRaised(_Fact, frozen=True, kw_only=True, tag="alarm raised"):
    """The program found a cause for alarm, and said so in these words."""

    alarm: Name
    says: Text
    value: float | None = None
    limit: float | None = None


class AlarmAcknowledged(_Fact, frozen=True, kw_only=True, tag="alarm acknowledged"):
    """Somebody heard an alarm; its cause may still be there."""

    alarm: Name


class AlarmEnded(_Fact, frozen=True, kw_only=True, tag="alarm ended"):
    """The cause of an alarm is gone."""

    alarm: Name


class TimerSet(_Fact, frozen=True, kw_only=True, tag="timer set"):
    """A timer of the person's own, for when it is due."""

    name: Name
    due: Moment


class TimerEnded(_Fact, frozen=True, kw_only=True, tag="timer ended"):
    """The person put a timer away."""

    name: Name


class Told(_Fact, frozen=True, kw_only=True, tag="told"):
    """What the program said to do, with the window as it was forecast then."""

    act: Name
    word: Name
    moulds: Name = ""
    says: Text = ""
    early: Moment | None = None
    likely: Moment | None = None
    late: Moment | None = None
    closes: Moment | None = None
    why: Text = ""
    """What it rests on, model and all."""


class RescueChosen(_Fact, frozen=True, kw_only=True, tag="rescue chosen"):
    """What a person decided to do about something that went wrong, and what it was said to bring."""

    card: Name
    """What went wrong: `coming back`, `layer cold`, `leak running` ..."""
    option: Name
    """What is done about it: `warm and pour`, `stop here` ..."""
    mould: Letter = ""
    layer: int | None = None
    says: Text = ""
    """The words it was chosen by, figures and risk, kept as they were shown."""
    warm_to_c: Celsius | None = None
    """The surface first warmed to this."""
    pour_c: Celsius | None = None
    thin: Length | None = None
    """m that are poured first."""
    remelt: Length | None = None
    """m of the old wax at the edge that were said to melt again."""


class RescueEnded(_Fact, frozen=True, kw_only=True, tag="rescue ended"):
    """How the last rescue of that card came out."""

    card: Name
    came: Came
    mould: Letter = ""
    lost: Kilograms | None = None
    """kg of wax lost by it; None: not weighed."""
    says: Text = ""


class GapSeen(_Fact, frozen=True, kw_only=True, tag="gap"):
    """The program found that nobody can have watched for so many seconds: the machine slept or the program stood still; or
    that the clock was put forward by so many (back: less than 0)."""

    seconds: Seconds
    cause: Literal["slept", "clock changed", "stalled"]


class Stopped(_Fact, frozen=True, kw_only=True, tag="stopped"):
    """The program that wrote the record ended: left by its person, or ended from outside."""

    how: Literal["left", "hangup", "terminated"]


class Reopened(_Fact, frozen=True, kw_only=True, tag="reopened"):
    """The record is carried on by another start of the program."""

    program: Name
    away: Seconds
    """Since the last entry of the record."""


class Finished(_Fact, frozen=True, kw_only=True, tag="finished"):
    """The day is over: the last fact of its record, with what the person says of it."""

    verdict: Text = ""


class CandleLabelled(_Fact, frozen=True, kw_only=True, tag="candle labelled"):
    """What a person wrote under a candle; without it a candle has the label of its batch and mould."""

    mould: Letter
    label: Name


class FinishDone(_Fact, frozen=True, kw_only=True, tag="finish done"):
    """Something was done to a candle after its mould."""

    mould: Letter
    what: Finish


class DefectSeen(_Fact, frozen=True, kw_only=True, tag="defect seen"):
    """A fault that somebody saw on a candle."""

    mould: Letter
    defect: Name
    """By the trade's name, or in free words."""
    where: Name = ""
    """Place on the candle."""
    when: SeenWhen | None = None
    """None: not told."""


class NoFaultSeen(_Fact, frozen=True, kw_only=True, tag="no fault seen"):
    """Somebody looked for faults and saw none, which tells as much as one that was seen."""

    mould: Letter
    when: SeenWhen | None = None


class ChangeJudged(_Fact, frozen=True, kw_only=True, tag="change judged"):
    """How the day came out on which the plan's one change was tried, against the day that it was made after."""

    came: ChangeCame


class PhotoTaken(_Fact, frozen=True, kw_only=True, tag="photo"):
    """Where a photo of a candle is; the file itself stays there."""

    mould: Letter
    path: Text


class CandleGoes(_Fact, frozen=True, kw_only=True, tag="candle goes"):
    """What a candle is for."""

    mould: Letter
    to: Goes


class CandleLit(_Fact, frozen=True, kw_only=True, tag="candle lit"):
    """A cycle of a burn test begins. None: not told."""

    mould: Letter
    wick: Name = ""
    trimmed: Length | None = None
    room_c: Celsius | None = None
    draught: Draught | None = None
    kg: Kilograms | None = None
    """Weighed before it was lit."""
    typed: Name = ""


class BurnSeen(_Fact, frozen=True, kw_only=True, tag="burn seen"):
    """What was measured or seen on a burning candle, one thing or several. None: not looked at."""

    mould: Letter
    look: Seconds = 0.0
    """The look it belongs to, s after lighting as the program asks for them."""
    flame: Length | None = None
    """From the pool's surface to the tip."""
    across: Length | None = None
    """The pool, one way,"""
    across_other: Length | None = None
    """and at a right angle to it."""
    depth: Length | None = None
    wall: Length | None = None
    """Thinnest wall left at the rim; 0 where wax runs over."""
    mushroom: bool | None = None
    soot: Soot | None = None
    leaning: bool | None = None
    second_flame: Seconds | None = None
    """s that a flame burned beside the wick's."""


class BurnEnded(_Fact, frozen=True, kw_only=True, tag="burn ended"):
    """A candle burns no more, and how that came."""

    mould: Letter
    how: WentOut


class AfterGlow(_Fact, frozen=True, kw_only=True, tag="after-glow"):
    """What the wick did after the flame was out. None: not looked at."""

    mould: Letter
    glow: Seconds | None = None
    """s that the wick glowed or smoked."""
    relit: bool | None = None
    """It took fire again by itself."""


class WeighedCold(_Fact, frozen=True, kw_only=True, tag="weighed cold"):
    """A candle weighed after its burn, cold again."""

    mould: Letter
    kg: Kilograms
    typed: Name = ""
    height: Length | None = None


class WickJudged(_Fact, frozen=True, kw_only=True, tag="wick judged"):
    """What a person decided about a wick after its burns, and what the program said of it then."""

    mould: Letter
    wick: Name
    came: WickVerdict
    says: Text = ""


class HeapStepDone(_Fact, frozen=True, kw_only=True, tag="heap step"):
    """A step with wax that nobody knows was done, begun where it takes time, or left out."""

    step: HeapStep
    came: Literal["done", "begun", "left out"] = "done"


class HeapWeighed(_Fact, frozen=True, kw_only=True, tag="heap weighed"):
    """Wax that nobody knows, weighed: as it came, or clean."""

    what: Literal["as it came", "clean"]
    kg: Kilograms
    typed: Name = ""


class WaxSeen(_Fact, frozen=True, kw_only=True, tag="wax seen"):
    """How wax that nobody knows looks, smells and feels, one thing or several. None: not told."""

    colour: Name | None = None
    smell: WaxSmell | None = None
    surface: WaxSurface | None = None
    """Of a piece that has set."""
    nail: WaxNail | None = None
    """What a thumbnail does to a piece that is cold."""
    liquid: Annotated[float, msgspec.Meta(ge=600, le=1400)] | None = None
    """kg/m³ of a liquid that a piece without bubbles was laid in,"""
    floats: bool | None = None
    """and whether it floats there."""
    melted: Annotated[int, msgspec.Meta(ge=0, le=100)] | None = None
    """How often it was melted before, as far as anybody knows."""


class WaterTested(_Fact, frozen=True, kw_only=True, tag="water tested"):
    """Whether melted wax that was kept warm has water in it."""

    came: Literal["dry", "wet", "not looked"]


class TinTold(_Fact, frozen=True, kw_only=True, tag="tin told"):
    """One thing about the tin whose cooling curve is to be taken, said before it begins.

    Without its figure it was asked for and not weighed, or not read. `nothing`: it is another tin; what was said before
    does not count.
    """

    what: Literal["weight", "around", "nothing"]
    kg: Kilograms | None = None
    """Of the wax in it."""
    around_c: Celsius | None = None
    """Of the air or the bath around it."""
    typed: Name = ""


class CoolingBegun(_Fact, frozen=True, kw_only=True, tag="cooling begun"):
    """A tin of melted wax stands still with a thermometer in it; what is read from now on is its cooling curve."""

    kg: Kilograms | None = None
    """None: not weighed."""
    around_c: Celsius | None = None
    """Of the air or the bath around the tin; None: not read."""


class CoolingRead(_Fact, frozen=True, kw_only=True, tag="cooling read"):
    """A reading of the tin whose cooling curve is being taken."""

    celsius: Celsius
    typed: Name = ""
    probe: Name = ""
    """Which probe it came from by itself; empty for one that somebody took."""


class CoolingEnded(_Fact, frozen=True, kw_only=True, tag="cooling ended"):
    """The curve is complete, and what the program read off it then."""

    curve: Literal["plateau", "slope", "bath", "none"]
    congealing_c: Celsius | None = None
    early_c: Celsius | None = None
    """Four times in five it sets between this and `late_c`."""
    late_c: Celsius | None = None
    says: Text = ""


class BlockWeighed(_Fact, frozen=True, kw_only=True, tag="block weighed"):
    """A block of wax weighed dry, and the water that it pushes aside; one of the two, or both. None: not weighed."""

    dry_kg: Kilograms | None = None
    water_kg: Kilograms | None = None
    typed: Name = ""


class LotNamed(_Fact, frozen=True, kw_only=True, tag="lot named"):
    """What a lot of wax is called from now on, as an own wax of plans."""

    name: Name


class Reasoned(_Fact, frozen=True, kw_only=True, tag="reason"):
    """Why something was taken back or put right, where the person said so."""

    entry: int
    """Number of the entry that took it back or put it right."""
    why: Text


class Undone(_Fact, frozen=True, kw_only=True, tag="undone"):
    """An entry was taken back. It stays in the record and counts no more."""

    entry: int
    """Number of the entry that does not count any more."""


class Corrected(_Fact, frozen=True, kw_only=True, tag="corrected"):
    """An entry was put right."""

    entry: int
    fact: Fact
    """What should have been said; takes the old entry's place and time, the old one stays readable."""


Fact = (
    Opened
    | Equipped
    | PlanDrafted
    | PlanFixed
    | PlanRevised
    | Prepared
    | BurnerSet
    | Reading
    | WaxAdded
    | WaterSeen
    | JugMade
    | JugWeighed
    | JugDosed
    | JugReheated
    | JugStands
    | JugSeen
    | Poured
    | Spilled
    | Emptied
    | Weighed
    | LeftOver
    | SealSeen
    | Looked
    | Relieved
    | Demoulded
    | Waived
    | Noted
    | WentAway
    | CameBack
    | HardStop
    | StaysUp
    | WatchAnswered
    | AlarmRaised
    | AlarmAcknowledged
    | AlarmEnded
    | TimerSet
    | TimerEnded
    | Told
    | RescueChosen
    | RescueEnded
    | GapSeen
    | Stopped
    | Reopened
    | Finished
    | CandleLabelled
    | FinishDone
    | DefectSeen
    | NoFaultSeen
    | ChangeJudged
    | PhotoTaken
    | CandleGoes
    | CandleLit
    | BurnSeen
    | BurnEnded
    | AfterGlow
    | WeighedCold
    | WickJudged
    | HeapStepDone
    | HeapWeighed
    | WaxSeen
    | WaterTested
    | TinTold
    | CoolingBegun
    | CoolingRead
    | CoolingEnded
    | BlockWeighed
    | LotNamed
    | Reasoned
    | Undone
    | Corrected
)


class Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One line of the record."""

    seq: Annotated[int, msgspec.Meta(ge=1)]
    """1, 2, 3 ... without a gap."""
    at: Moment
    """When it happened; may be earlier than it was logged."""
    logged_at: Moment
    by: By
    fact: Fact

    @property
    def t(self) -> float:
        """When it happened, seconds since the epoch, UTC."""
        return self.at.timestamp()


def moment(t: float) -> datetime:
    """A moment of the record from seconds since the epoch: UTC, to the millisecond."""
    return datetime.fromtimestamp(round(t, 3), UTC)


_decoder = msgspec.json.Decoder(Entry)


def encode(entry: Entry) -> bytes:
    """One line of the record, without its newline."""
    return msgspec.json.encode(entry)


def decode(line: bytes) -> Entry:
    """The entry of one line. Raises `msgspec.ValidationError` or `msgspec.DecodeError` with the place."""
    return _decoder.decode(line)
