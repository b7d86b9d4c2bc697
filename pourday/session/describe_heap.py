"""Facts about wax that nobody knows in words, a line each."""

from __future__ import annotations

from pourday.session import events as ev
from pourday.session.heap import HeapFact
from pourday.units import Units, show_mass, show_temperature

_STEPS: dict[ev.HeapStep, str] = {
    "a heap": "it is a heap to be melted and cleaned",
    "clean wax": "it is clean wax that nobody knows",
    "sorted": "sorted the heap by look and smell",
    "molten": "all of it is molten",
    "wicks out": "took wicks and metal out",
    "settled": "let it settle",
    "strained": "strained it",
    "kept warm": "kept it warm to see whether water settles",
    "curve": "the cooling curve",
    "density": "the density",
}
_SEEN = (
    ("colour", "its colour is"), ("smell", "it smells:"), ("surface", "it looks:"), ("nail", "a thumbnail:")
)  # fmt: skip


def say_heap_fact(fact: HeapFact, units: Units, step: float) -> str:
    """The fact as one sentence without a full stop; `step` is that of the scale, kg."""

    def mass(kg: float | None) -> str:
        return "not weighed" if kg is None else show_mass(kg, units, step)

    match fact:
        case ev.HeapStepDone():
            words = _STEPS[fact.step]
            return {
                "done": words,
                "begun": "began to keep it warm, so that water sinks",
                "left out": f"left out: {words}",
            }[fact.came]
        case ev.HeapWeighed():
            return f"weighed the wax {fact.what}: {mass(fact.kg)}"
        case ev.WaxSeen():
            said = [f"{words} {value}" for name, words in _SEEN if (value := getattr(fact, name)) is not None]
            if fact.floats is not None:
                said.append(f"a piece {'floats' if fact.floats else 'sinks'}{_in(fact.liquid)}")
            if fact.melted is not None:
                times = {0: "never", 1: "once", 2: "twice"}.get(fact.melted, f"{fact.melted} times")
                said.append(f"melted {times} before, as far as is known")
            return "; ".join(said) or "looked at the wax"
        case ev.WaterTested():
            how = {"dry": "none seen", "wet": "there is some", "not looked": "nobody looked"}
            return f"water in the wax: {how[fact.came]}"
        case ev.CoolingBegun():
            around = (
                "" if fact.around_c is None else f", {show_temperature(fact.around_c, units, 1)} around it"
            )
            return f"began a cooling curve: {mass(fact.kg)}{around}"
        case ev.CoolingRead():
            by = f" (probe {fact.probe}, by itself)" if fact.probe else ""
            return f"read {show_temperature(fact.celsius, units, 1)} in the tin{by}"
        case ev.CoolingEnded():
            return f"the cooling curve ended: {fact.says}".rstrip(": ")
        case ev.BlockWeighed():
            dry = [] if fact.dry_kg is None else [f"dry {mass(fact.dry_kg)}"]
            wet = [] if fact.water_kg is None else [f"it pushes {mass(fact.water_kg)} of water aside"]
            return f"weighed a block: {', '.join(dry + wet)}"
        case ev.LotNamed():
            return f"the lot is called {fact.name}"


def _in(liquid: float | None) -> str:
    return "" if liquid is None else f" in a liquid of {liquid:.0f} kg/m3"
