"""The ways to go on with one mould: what to do, with which figures, and what may come of it.

Which of them fit is decided in `options`; here each is worked out and put into words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.forecast import fuse
from pourday.forecast.fuse import LIMITS
from pourday.guide.acts.act import Choice, Question
from pourday.guide.outlook.as_seen import seen_s
from pourday.guide.outlook.moulds import MouldOutlook, next_layer_of
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.wax_left import heat_warning, in_moulds, left_out_of, wax_left
from pourday.guide.rescue import heat
from pourday.guide.rescue.heat import LayerToCome
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.plan.own_layers import layers_of, mould_of, stays
from pourday.plan.replan import Revision, level_after, orders, replan, rest_sheet
from pourday.plan.volumes import fill_height
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.events import Cue, Fact
from pourday.session.looks import LOOK_WORDS
from pourday.session.state import MouldState, State
from pourday.times import NEVER, clock, span
from pourday.units import show_length

THIN = 0.005
"""m that are poured first on a rescued surface (common practice, no source)."""
HALF = 0.93
"""A pour counts as broken off where it came to less than this share of its planned height and of what was asked for.
An estimate of ours."""
WARM_AIR = tr("Warm air only, no flame, kept moving; follow the mould's and the supplier's sheet.")


@dataclass(frozen=True, slots=True)
class Option:
    """One way to go on with a mould."""

    id: str
    """As it goes on record."""
    key: str
    """That picks it."""
    label: str
    """Short, to choose by."""
    says: str
    """What to do, with the figures."""
    risk: str
    """What may come of it, in a sentence."""
    facts: tuple[Fact, ...]
    """What goes on record when it is taken."""
    remelt: float | None = None
    """m of old wax at the seam that at least melt again; None where nothing is poured on it."""
    celsius: float | None = None
    """What is poured at, °C."""

    def choice(self, first: tuple[Fact, ...] = ()) -> Choice:
        """Short to choose by; then in full, before it is taken. `first` is filed before it."""
        yes = Choice("y", tr("yes, this way"), (*first, *self.facts))
        return Choice(
            self.key,
            self.label,
            then=Question(tr("{says} Risk: {risk}", says=self.says, risk=self.risk), (yes,)),
        )


def broken_off(state: State, outlook: Outlook, letter: str) -> bool:
    """Whether the last pour into a mould stopped well below the line that the plan, as it stands, has for it."""
    last = state.moulds[letter].last_pour
    if last is None or last.part == "top-up" or (last.kg is None and last.share >= 1):
        return False
    if last.planned_kg is not None and last.kg_best >= HALF * last.planned_kg:
        # It was sized for its moment, by what was liquid and missing below; the sheet below knows only set wax.
        return False
    pours, sheet = in_moulds(state)[letter], outlook.sheet.mould(letter)
    before = [p for p in pours if (p.layer, p.part) != (last.layer, last.part)]
    below, stands = (level_after(state.plan, letter, these, outlook.sheet) for these in (before, pours))
    line = sheet.plug.level if last.part == "plug" and sheet.plug else sheet.pours[last.layer].level
    return stands < below + HALF * (line - below)


class RescueWays:
    """The ways of one mould at one moment; `cue` is how its surface looks. The mould has wax in it."""

    def __init__(
        self, state: State, outlook: Outlook, mould: MouldState, forecast: MouldOutlook, cue: Cue, now: float
    ) -> None:
        self.state, self.outlook, self.mould, self.forecast = state, outlook, mould, forecast
        self.cue, self.now, self.letter = cue, now, mould.letter
        last = mould.last_pour
        assert last is not None
        self.last = last
        self.following = next_layer_of(state, mould.letter)

    # -- pouring on ---------------------------------------------------------------------------------

    def carry_on(self) -> list[Option]:
        """Pour as planned, or at the hot end where only that still melts the edge; nothing where neither would."""
        pour, rescue = self._next(), self.state.rescue(self.letter)
        if self.cue in ("wet", "skinned"):
            return [self._wait(pour)]
        promise = heat.plain(self.state, self.forecast, pour, self._fit_c(pour), self.now)
        if rescue is not None and rescue.fact.warm_to_c is not None and rescue.fact.pour_c is not None:
            # Warmed since: what was promised then holds; the forecast knows nothing of the warming.
            promised = rescue.fact.remelt or 0.0
            promise = heat.Promise(promised, promised, rescue.fact.pour_c)
        elif self.cue == "cold" and promise.least < LIMITS.no_weld:
            return []
        colour, at = self.outlook.colour(pour.layer), self._degrees(promise.celsius)
        weak = tr("The line shows and may part at the edge.")
        return [
            self._option(
                "carry on",
                "c",
                tr("carry on: {colour} at {at}", colour=colour, at=at),
                tr("Pour {colour} at {at} now.{melts}", colour=colour, at=at, melts=self._melts(promise)),
                tr("None but a soft line.") if self._open(promise.celsius) else weak,
                pour=promise,
            )
        ]

    def _wait(self, pour: LayerToCome) -> Option:
        """For a surface that is still soft: wait. What the pour will melt is worked out once it is firm."""
        colour, opens = self.outlook.colour(pour.layer), self.forecast.opens.likely
        by = tr(", about {clock}", clock=clock(opens, self.now)) if self.now < opens < math.inf else ""
        return self._option(
            "carry on",
            "c",
            tr("carry on: {colour} once it carries it", colour=colour),
            tr(
                "Wait until it {look_words}{by}, then pour {colour} at {degrees}.",
                look_words=LOOK_WORDS["firm"],
                by=by,
                colour=colour,
                degrees=self._degrees(pour.planned_c),
            ),
            tr("Poured earlier, the colours run into each other."),
        )

    def _fit_c(self, pour: LayerToCome) -> float:
        """The planned temperature where it still melts the edge, else the hot end."""
        return pour.planned_c if self._open(pour.planned_c) else pour.hottest_c

    def _open(self, celsius: float) -> bool:
        """Whether the window is open at this temperature, for the mould as it was seen."""
        likely = self.forecast.likely
        return fuse.window(likely, celsius).open_at(seen_s(self.state, self.forecast, likely, self.now))

    def warm(self) -> list[Option]:
        """Warm the surface and the outside, then pour at the hot end, a thin layer first."""
        pour = self._next()
        promise, to_c = heat.warm_air(self.state, self.forecast, pour, self.now)
        return [
            self._option(
                "warm and pour",
                "w",
                tr('warm to {warm}, pour at {pour}', warm=self._degrees(to_c), pour=self._degrees(pour.hottest_c)),
                tr('Warm the surface and the outside of {letter} to {degrees} (about {span} of moving warm air), scratch lightly, then {hot}.{melts} {warm_air}', letter=self.letter, degrees=self._degrees(to_c), span=span(promise.takes_s), hot=self._hot(pour), melts=self._melts(promise), warm_air=WARM_AIR),
                tr('The join shows as a line and may part in the cold.') if promise.least < LIMITS.no_weld
                else tr('The line shows; warmed too far, the colours run.'),
                pour=promise,
                warm_to_c=to_c,
            )
        ]  # fmt: skip

    def reseat(self) -> list[Option]:
        """Warm the whole mould until it sits at the wall again, then its surface, then pour at the hot end."""
        pour = self._next()
        promise, to_c, box_s = heat.warm_box(self.state, self.forecast, pour, self.now)
        takes = f"{(tr('about') if promise.reached else tr('more than'))} {span(box_s)}"
        return [
            self._option(
                "re-seat",
                "r",
                tr("warm it {takes} until it sits tight", takes=takes),
                tr(
                    "Stand {letter} in a box or water of {degrees_between} ({takes}) until it sits tight at the wall all round; only then warm its surface to {degrees} with moving warm air, scratch lightly, and {hot}.{melts} No water over the rim. {warm_air}",
                    letter=self.letter,
                    degrees_between=self.outlook.degrees_between(45.0, 50.0),
                    takes=takes,
                    degrees=self._degrees(to_c),
                    hot=self._hot(pour),
                    melts=self._melts(promise),
                    warm_air=WARM_AIR,
                ),
                tr("It may not seat all round: then stop here or melt it again. The line shows."),
                pour=promise,
                warm_to_c=to_c,
            )
        ]

    def accept(self) -> list[Option]:
        """Pour on a layer that has come off the wall, and take the wax that runs down behind it as a feature."""
        pour = self._next()
        return [
            self._option(
                "accept",
                "a",
                tr("pour and accept wax behind it"),
                tr(
                    "Pour {colour} at {degrees} as it stands: the new wax runs down behind the layer and shows there.",
                    colour=self.outlook.colour(pour.layer),
                    degrees=self._degrees(pour.planned_c),
                ),
                tr("Nothing holds at this join: the candle may part there."),
            )
        ]

    def top_up(self) -> list[Option]:
        """After the last layer: fill the well, or leave it."""
        layer, kg = self.last.layer, self.outlook.portion(self.letter, self.last.layer, "top-up")
        hot = self.outlook.degrees(heat.top_up_c(self.state, self.outlook, self.letter, layer))
        only = tr(" Only the well, nothing down the gap at the wall.") if self.cue == "pulled away" else ""
        warm = (
            ""
            if self.cue in ("wet", "skinned", "firm")
            else tr("Warm the well with moving warm air, then fill ")
        )
        amount = tr(
            "{warm}the well and holes with up to {mass} at {hot}",
            warm="" if warm else tr("Fill "),
            mass=self.outlook.mass(kg),
            hot=hot,
        )
        wait = tr("Once the top carries wax: ") if self.cue in ("wet", "skinned") else ""
        whole = weigh_sheet(self.state.plan).mould(self.letter).finished
        return [
            self._option(
                tr("top up"),
                "t",
                tr("fill the well"),
                tr(
                    "{wait}{warm}{amount}, {length} below the first line.{only}",
                    wait=wait,
                    warm=warm,
                    amount=amount,
                    length=self.outlook.length(0.006),
                    only=only,
                ),
                tr("The plug of new wax may lift out of a cold well; it is hidden in the base.")
                if warm
                else tr("None but a mark in the base."),
            ),
            self._option(
                tr("no top-up"),
                "n",
                tr("leave the well"),
                tr(
                    "No top-up: about {without} instead of {planned}, the hollow ends up in the base.",
                    without=self.outlook.mass(whole - kg),
                    planned=self.outlook.mass(whole),
                ),
                tr("It may stand unevenly and burn down to a hollow at the end."),
                more=(
                    ev.Waived(act=str(ActId("top-up", self.letter)), why="left as it is after coming back"),
                ),
            ),
        ]

    # -- planning anew ------------------------------------------------------------------------------

    def new_heights(self) -> list[Option]:
        """The remaining layers over what height and wax are left, where those differ from the plan."""
        plan = self._planned("new heights")
        if plan is None or self.following is None:
            return []
        # On a plug the layer that it belongs to is still to be poured whole.
        if not broken_off(self.state, self.outlook, self.letter) and (
            self.last.part == "plug" or _same_heights(plan, self.state.plan, self.letter)
        ):
            return []
        parted = self.outlook.colour(self.last.layer)
        ends = (
            tr("{parted} ends where it stands", parted=parted)
            if broken_off(self.state, self.outlook, self.letter)
            else tr("As it stands")
        )
        return [
            self._option(
                "new heights",
                "n",
                tr('plan the rest anew'),
                tr('{ends}; the rest goes over the height and wax that are left: {heights}.', ends=ends, heights=self._heights(plan)),
                tr('The stripes are not as high as drawn; the line is where the pour stopped.'),
                more=(ev.PlanRevised(plan=plan, why=f"{self.letter}: the rest over what height and wax are left"),),
            )
        ]  # fmt: skip

    def stop_here(self) -> list[Option]:
        """No further layer: top up what stands, and the candle is as high as that."""
        plan = self._planned("stop here")
        if plan is None or self.last.part == "plug":
            return []
        sheet = weigh_sheet(plan).mould(self.letter)
        height = fill_height(mould_of(plan, self.letter))
        return [
            self._option(
                "stop here",
                "o",
                tr("stop here, {length} high", length=show_length(height, plan.units)),
                tr(
                    "{letter} ends here, {height} high, {candle} with a top-up of {top_up}.",
                    letter=self.letter,
                    height=show_length(height, plan.units),
                    candle=self.outlook.mass(sheet.finished),
                    top_up=self.outlook.mass(sheet.top_up.kg),
                ),
                tr("A shorter candle with fewer colours; the wick has to suit no other width."),
                more=(ev.PlanRevised(plan=plan, why=f"{self.letter} stops at this height"),),
            )
        ]

    def melt_again(self) -> list[Option]:
        """Out of the mould when it is cold, melted, and in again; not out of a vessel that the candle stays in."""
        if stays(self.state.plan, self.letter):
            return []
        pours = in_moulds(self.state)[self.letter]
        kg, inside = sum(p.kg for p in pours), sorted({p.layer for p in pours})
        cold = self.forecast.cold.likely
        when = tr("when it is cold, which is not in sight")
        if cold < NEVER:
            when = (
                tr("now, it is cold")
                if cold <= self.now
                else tr("about {clock}, when it is cold", clock=clock(cold, self.now))
            )
        again = (
            tr("as {colour} again", colour=self.outlook.colour(inside[0]))
            if len(inside) == 1
            else tr("as its base colour, the colours mixed")
        )
        loads = [self.state.plan.layers[i].scent_load for i in inside if i < len(self.state.plan.layers)]
        scent = (
            tr("Scent gets weaker; add none by guess.")
            if any(loads)
            else tr("The shade may drift; check a cold drop.")
        )
        history = "; ".join(w for i in inside if (w := heat_warning(self.state, i)))
        return [
            self._option(
                "melt again",
                "m",
                tr("demould and melt again"),
                tr(
                    "Demould {letter} {when}; melt its {mass} slowly and pour it {again}. Wick and seal it anew. {history}",
                    letter=self.letter,
                    when=when,
                    mass=self.outlook.mass(kg),
                    again=again,
                    history=history,
                ).rstrip(),
                tr("One heat cycle more. {scent}", scent=scent),
            )
        ]

    # -- words --------------------------------------------------------------------------------------

    def _next(self) -> LayerToCome:
        """The layer that goes into this mould next."""
        assert self.following is not None
        return heat.next_pour(self.state, self.outlook, self.letter, self.following)

    def _planned(self, way: Revision) -> Plan | None:
        """The plan revised in this way; None where it cannot be."""
        try:
            return replan(self.state.plan, self.letter, way, in_moulds(self.state), wax_left(self.state))
        except Trouble:
            return None

    def _hot(self, pour: LayerToCome) -> str:
        """How to pour at the hot end: a thin layer first, the rest after a minute or two."""
        thin = min(THIN, pour.height)
        kg = self.outlook.portion(self.letter, pour.layer, "layer") * thin / pour.height
        rest = tr(", the rest after a minute or two") if thin < pour.height else ""
        return tr(
            "pour {colour} at {degrees}: {length} ({mass}) first{rest}",
            colour=self.outlook.colour(pour.layer),
            degrees=self._degrees(pour.hottest_c),
            length=show_length(thin, self.state.plan.units),
            mass=self.outlook.mass(kg),
            rest=rest,
        )

    def _melts(self, promise: heat.Promise) -> str:
        """What a pour is promised to melt, in a sentence, rounded down to a tenth of a millimetre."""
        least = math.floor(promise.least * 1e4) / 1e4
        if least <= 0:
            return tr(" Computed: at its coldest the old wax hardly melts again.")
        return tr(
            " Computed: at least {length} of the old wax melt again.",
            length=show_length(least, self.state.plan.units),
        )

    def _heights(self, plan: Plan) -> str:
        """The layers of a plan in this mould with height and weight, what is missing, and the order they end up in."""
        sheet = weigh_sheet(plan).mould(self.letter)
        below, parts = 0.0, []
        for layer in layers_of(plan, self.letter):
            pour = sheet.pours[layer]
            parts.append(
                f"{plan.layers[layer].colour or tr('layer {layer}', layer=layer + 1)} {show_length(pour.level - below, plan.units)} ({self.outlook.mass(pour.kg)})"
            )
            below = pour.level
        _, finished = orders(plan, self.letter)
        short = rest_sheet(plan, in_moulds(self.state), wax_left(self.state), left_out_of(self.state)).short
        missing = tr("; {mass} of wax are missing", mass=self.outlook.mass(short)) if short > 0 else ""
        return tr(
            "{parts}{missing}. Finished from the top: {finished}",
            parts=", ".join(parts),
            missing=missing,
            finished=", ".join(finished),
        )

    def _degrees(self, celsius: float) -> str:
        """A temperature in the units of the plan."""
        return self.outlook.degrees(celsius)

    def _option(
        self,
        name: str,
        key: str,
        label: str,
        says: str,
        risk: str,
        *,
        pour: heat.Promise | None = None,
        warm_to_c: float | None = None,
        more: Sequence[Fact] = (),
    ) -> Option:
        """One way to go on, with the facts that choosing it files; `pour` is the pour that it promises."""
        card = (
            tr("pour broken off")
            if broken_off(self.state, self.outlook, self.letter)
            else tr("layer {cue}", cue=self.cue)
        )
        # What pours goes on record for the layer it pours; all else for the layer it is about.
        layer = self.following if pour is not None or name in ("carry on", "accept") else self.last.layer
        remelt, celsius = (pour.least, pour.celsius) if pour is not None else (None, None)
        chosen = ev.RescueChosen(
            card=card, option=name, mould=self.letter, layer=layer, says=f"{says} Risk: {risk}",
            warm_to_c=warm_to_c, pour_c=celsius, thin=THIN if warm_to_c is not None else None, remelt=remelt,
        )  # fmt: skip
        return Option(name, key, label, says, risk, (chosen, *more), remelt, celsius)


def _same_heights(one: Plan, other: Plan, letter: str) -> bool:
    """Whether two plans fill a mould alike, to a millimetre."""
    levels = [[p.level for p in weigh_sheet(plan).mould(letter).pours] for plan in (one, other)]
    return len(levels[0]) == len(levels[1]) and all(abs(a - b) < 0.001 for a, b in zip(*levels, strict=True))
