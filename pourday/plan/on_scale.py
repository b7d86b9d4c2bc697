"""The weigh sheet as the person's own scale can show it: every weight a whole step, and parts still add up."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from pourday.plan.weigh import Jug, MouldSheet, WaxNeed, WeighSheet
from pourday.units import round_parts


def on_scale(sheet: WeighSheet, step: float) -> WeighSheet:
    """The sheet in whole steps of `step` kg.

    Plug, pours and top-up make the candle; pours and top-ups of all moulds, with the allowance, make the
    batch; wax, scent and dye make the jug; the jugs, with what the pot keeps, make what is melted of each wax. No weight moves by
    more than the roundings that meet in it. What is below one step may become 0: the unrounded sheet
    still has it.
    """
    moulds = tuple(_mould(mould, step) for mould in sheet.moulds)
    jugs = tuple(_jug(jug, moulds, step) for jug in sheet.jugs)
    return replace(sheet, moulds=moulds, jugs=jugs, waxes=_waxes(sheet.waxes, jugs, step))


def to_print(sheet: WeighSheet, step: float) -> WeighSheet:
    """The sheet as a paper or a record has it: in whole steps of `step` kg as the screen says it, but what is below one
    step unrounded, for it is dosed otherwise than by this scale."""
    shown = on_scale(sheet, step)
    jugs = tuple(
        replace(
            jug,
            scent=jug.scent if exact.scent >= step else exact.scent,
            dye=jug.dye if exact.dye >= step else exact.dye,
        )
        for exact, jug in zip(sheet.jugs, shown.jugs, strict=True)
    )
    return replace(shown, jugs=jugs)


def whole(kg: float, step: float) -> float:
    """One weight to the nearest step."""
    return round_parts([kg], None, step)[0]


def _mould(mould: MouldSheet, step: float) -> MouldSheet:
    """One mould: plug, pours and top-up in whole steps make its candle."""
    plug = [mould.plug.kg] if mould.plug else []
    parts = [*plug, *(pour.kg for pour in mould.pours), mould.top_up.kg]
    rounded = list(round_parts(parts, None, step))
    first = min(rounded[-1], whole(mould.top_up.first, step))
    pours = rounded[len(plug) : -1]
    return replace(
        mould,
        set_weight=whole(mould.set_weight, step),
        finished=sum(rounded),
        estimate=whole(mould.estimate, step),
        plug=replace(mould.plug, kg=rounded[0]) if mould.plug else None,
        pours=tuple(replace(pour, kg=kg) for pour, kg in zip(mould.pours, pours, strict=True)),
        top_up=replace(mould.top_up, kg=rounded[-1], first=first),
    )


def _jug(jug: Jug, moulds: Sequence[MouldSheet], step: float) -> Jug:
    """One jug: what is poured from it makes its batch, and wax, scent and dye make what is in it."""
    plug = sum(mould.plug.kg for mould in moulds if mould.plug and mould.plug.layer == jug.layer)
    poured = plug + sum(pour.kg for mould in moulds for pour in mould.pours if pour.layer == jug.layer)
    reserve = sum(mould.top_up.kg for mould in moulds if mould.top_up.layer == jug.layer)
    allowance = whole(jug.allowance, step)
    batch = poured + reserve + allowance
    # On top of the wax, all of the batch is wax; within it, the three make the batch.
    grown = jug.total > jug.batch * (1 + 1e-9)
    scale = batch / jug.batch if jug.batch else 1.0
    parts = [jug.wax * scale, jug.scent * scale, jug.dye * scale]
    wax, scent, dye = (
        (batch, whole(parts[1], step), whole(parts[2], step)) if grown else round_parts(parts, batch, step)
    )
    return replace(
        jug, plug=plug, poured=poured, reserve=reserve, allowance=allowance, wax=wax, scent=scent, dye=dye
    )


def _waxes(needs: tuple[WaxNeed, ...], jugs: Sequence[Jug], step: float) -> tuple[WaxNeed, ...]:
    """What is melted of each wax, in whole steps, so that the waxes of a blend add up to what its jugs hold."""
    groups: dict[str, list[WaxNeed]] = {}
    for need in needs:
        groups.setdefault(need.field.rpartition(".")[0], []).append(need)
    own = {f"layers.{jug.layer}.blend": jug.wax for jug in jugs}
    others = sum(jug.wax for jug in jugs) - sum(own[path] for path in groups if path in own)
    rounded: list[WaxNeed] = []
    for path, group in groups.items():
        stays = whole(sum(need.kept for need in group), step)
        total, exact = own.get(path, others) + stays, sum(need.kg for need in group)
        scale = total / exact if exact else 0.0
        kgs = round_parts([need.kg * scale for need in group], None, step)
        keeps = round_parts([need.kept for need in group], None, step)
        rounded += [
            replace(need, kg=kg, kept=of_it) for need, kg, of_it in zip(group, kgs, keeps, strict=True)
        ]
    return tuple(rounded)
