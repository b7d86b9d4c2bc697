"""What deserves a second look at a plan."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.plan.finding import LEVELS
from pourday.plan.findings import findings
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, TriedChange
from pourday.plan.weigh import weigh_sheet
from pourday.wax.materials import families
from pourday.wax.supplier import from_sheet

SAGE, SAND = Layer(colour="sage"), Layer(colour="sand")
SOY = (BlendPart(wax="soy_pillar"),)


def test_a_plain_plan_has_nothing_to_say() -> None:
    assert findings(Plan()) == ()


def test_what_is_tried_ends_with_one_full_stop() -> None:
    for says in ("wick 42 ply", "wick 42 ply."):
        tried = TriedChange(letter="A", fault="", cause="it drowned", says=says)
        (one,) = findings(Plan(tried=tried))
        assert one.what == "One thing is tried because it drowned: wick 42 ply."


CASES = [
    ("pour above the ceiling", {"pour_c": 95.0}, "stop-and-think", "pour_c"),
    ("pour hardly above congealing", {"pour_c": 60.0}, "stop-and-think", "pour_c"),
    ("pour below the usual", {"pour_c": 72.0}, "caution", "pour_c"),
    ("pour above the usual", {"pour_c": 92.0}, "caution", "pour_c"),
    ("plant fat poured cool", {"blend": SOY, "pour_c": 64.0}, "note", "pour_c"),
    ("mould cannot stand the pour", {"pour_c": 85.0, "moulds": (Mould(limit_c=80.0),)}, "stop-and-think", "moulds.0.limit_c"),
    ("wax sets below the mould's limit", {"moulds": (Mould(limit_c=60.0),)}, "stop-and-think", "moulds.0.limit_c"),
    ("mould below the usual pour", {"moulds": (Mould(limit_c=75.0),)}, "caution", "moulds.0.limit_c"),
    ("limit of plastic unknown", {"moulds": (Mould(material="plastic"),)}, "note", "moulds.0.limit_c"),
    ("hot wax at the rim", {"moulds": (Mould(below_rim=0.0),)}, "caution", "moulds.0.below_rim"),
    ("more than fits", {"moulds": (Mould(set_weight=0.7),)}, "stop-and-think", "moulds.0.set_weight"),
    ("unlike before", {"moulds": (Mould(set_weight=0.4),)}, "caution", "moulds.0.set_weight"),
    ("upside down", {"layers": (SAGE, SAND)}, "note", "layers"),
    ("thin layer", {"layers": (replace(SAGE, share=0.06), SAND)}, "note", "layers.0.share"),
    ("thinnest layer", {"plug": 0.0, "layers": (replace(SAGE, share=0.03), SAND)}, "caution", "layers.0.share"),
    ("plug above its layer", {"layers": (replace(SAGE, share=0.06), SAND)}, "stop-and-think", "plug"),
    ("plug without a hole", {"moulds": (Mould(upside_down=False),)}, "note", "plug"),
    ("nameless reserve", {"layers": (SAGE, Layer())}, "note", "layers.1.colour"),
    ("bath too cool", {"altitude": 3500.0}, "stop-and-think", "altitude"),
    ("bath hardly hot enough", {"altitude": 2500.0}, "caution", "altitude"),
    ("melting apart", {"layers": (SAGE, replace(SAND, blend=(BlendPart(wax="soy_pillar"),))), "blend": (BlendPart(wax="beeswax"),)}, "caution", "layers.1.blend"),
    ("loads apart", {"layers": (SAGE, replace(SAND, scent_load=0.05))}, "note", "layers.1.scent_load"),
    ("too little wax", {"blend": (BlendPart(wax="paraffin_pillar", at_hand=0.3),)}, "stop-and-think", "blend.0.at_hand"),
    ("reserve missing", {"blend": (BlendPart(wax="paraffin_pillar", at_hand=0.55),)}, "caution", "blend.0.at_hand"),
    ("beyond the pot", {"pot": 0.0005}, "stop-and-think", "pot"),
    ("pot too full", {"pot": 0.00085}, "caution", "pot"),
    ("container wax", {"blend": (BlendPart(wax="soy_container"),)}, "stop-and-think", "blend"),
    ("wax to be hardened", {"blend": (BlendPart(wax="paraffin_low"),)}, "caution", "blend"),
    ("estimated wax", {"blend": (BlendPart(wax="rapeseed"),)}, "note", "blend"),
    ("load over the wax", {"layers": (replace(SAGE, scent_load=0.08),)}, "caution", "layers.0.scent_load"),
    ("load over the scent's sheet", {"scent_limit": 0.03, "layers": (replace(SAGE, scent_load=0.04),)}, "stop-and-think", "layers.0.scent_load"),
    ("scent in unknown wax", {"blend": (BlendPart(wax="reclaimed_unknown"),), "layers": (replace(SAGE, scent_load=0.02),)}, "caution", "layers.0.scent_load"),
    ("scent by eye", {"layers": (replace(SAGE, scent_by_eye=True),)}, "caution", "layers.0.scent_by_eye"),
    ("flash point below the wax", {"scent_flash_c": 70.0, "layers": (replace(SAGE, scent_load=0.04),)}, "caution", "scent_flash_c"),
    ("flash point not known", {"layers": (replace(SAGE, scent_load=0.04),)}, "caution", "scent_flash_c"),
    ("flash point above the wax", {"scent_flash_c": 99.0, "layers": (replace(SAGE, scent_load=0.04),)}, "note", "scent_flash_c"),
    ("much dye", {"layers": (replace(SAGE, dye_load=0.004),)}, "caution", "layers.0.dye_load"),
    ("dye looks darker", {"layers": (replace(SAGE, dye_load=0.001),)}, "note", "layers"),
    ("dye below the scale", {"layers": (replace(SAGE, dye_load=0.0005),)}, "caution", "layers.0.dye_load"),
    ("dye near the scale's step", {"scale_step": 0.0001, "layers": (replace(SAGE, dye_load=0.0005),)}, "note", "layers.0.dye_load"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "level", "about"), [case[1:] for case in CASES], ids=[case[0] for case in CASES]
)
def test_each_case_is_found_where_it_lies(change: dict[str, object], level: str, about: str) -> None:
    found = [
        each for each in findings(replace(Plan(), **change)) if each.about == about and each.level == level
    ]
    assert found
    for each in found:
        assert each.what
        assert each.why.endswith(".")
        assert each.do.endswith(".")


SOUND: list[dict[str, object]] = [
    {"pour_c": 85.0},
    {"moulds": (Mould(limit_c=95.0, material="plastic"),)},
    {"moulds": (Mould(set_weight=0.55),)},
    {"blend": (BlendPart(wax="paraffin_pillar", at_hand=2.0),)},
    {"pot": 0.003},
    {"altitude": 500.0},
]


@pytest.mark.parametrize("change", SOUND)
def test_nothing_is_found_where_nothing_is_wrong(change: dict[str, object]) -> None:
    assert findings(replace(Plan(), **change)) == ()


def test_46_mg_of_dye_in_92_g_is_said_and_drops_are_offered() -> None:
    """0.05 % of 92 g is 46 mg, 1.5 drops of 0.03 g (common practice)."""
    mould = Mould(shape=Cylinder(diameter=0.05, height=0.05), below_rim=0.0055)
    plan = Plan(moulds=(mould,), plug=0.0, layers=(Layer(colour="sage", dye_load=0.0005),))
    plan = replace(plan, vessel_keeps=0.0, loss=0.092 / weigh_sheet(plan).mould("A").finished - 1)
    found = next(each for each in findings(plan) if each.about == "layers.0.dye_load")
    assert "46 mg" in found.what
    assert "1 g" in found.what
    assert "2 drops" in found.do


def abouts(plan: Plan) -> set[str]:
    return {each.about for each in findings(plan)}


def test_glass_is_warmed_and_nothing_else() -> None:
    for material, warmed in (("plastic", False), ("glass", True)):
        found = next(
            f for f in findings(Plan(moulds=(Mould(material=material),))) if f.about.endswith("limit_c")
        )
        assert ("glass" in found.do) == warmed


def test_a_soft_wax_suits_a_vessel_that_its_candle_stays_in() -> None:
    """Soft waxes are made for containers (patent US 7445648 B2: 53 °C and below)."""
    for wax in ("soy_container", "paraffin_low", "coconut_blend"):
        glass = Plan(moulds=(Mould(material="glass", stays=True),), blend=(BlendPart(wax=wax),))
        assert not [f for f in findings(glass) if "standing candle" in f.what]
        assert not {"plug", "moulds.0.stays"} & abouts(glass)
        pillar = replace(glass, moulds=(*glass.moulds, Mould()))
        assert [f for f in findings(pillar) if "standing candle" in f.what]
    assert "moulds.0.stays" in abouts(Plan(moulds=(Mould(material="glass"),)))


def test_wide_moulds_are_asked_for_their_holes() -> None:
    wide = Mould(shape=Cylinder(diameter=0.15, height=0.1))
    said = {holes: abouts(Plan(moulds=(replace(wide, holes=holes),))) for holes in (None, 1, 3)}
    assert "moulds.0.holes" in said[None]
    assert "moulds.0.holes" in said[1]
    assert "moulds.0.holes" not in said[3]


def test_fat_waxes_are_heated_first_and_warned_of_slow_cooling() -> None:
    """Crystals destroyed, and the core 5 °C below congealing in 30 to 90 min (US 8500826 B2, abstract)."""
    for wax, slow_is_bad in (("soy_pillar", True), ("rapeseed", True), ("palm", False)):
        plan = Plan(blend=(BlendPart(wax=wax),))
        found = next(f for f in findings(plan) if "hydrogenated" in f.what)
        assert "80 °C" in found.what
        assert ("30 to 90 min" in found.why) == slow_is_bad
    assert not [f for f in findings(Plan()) if "hydrogenated" in f.what]


def test_a_mould_that_stands_less_than_the_wax_sets_at_is_refused_and_never_advised_to_be_poured_cold() -> (
    None
):
    plan = Plan(moulds=(Mould(material="plastic", limit_c=55.0),))
    sheet = weigh_sheet(plan)
    assert sheet.pour("A", 0).pour_c >= sheet.wax.congealing_c + 5
    found = next(f for f in findings(plan, sheet) if f.about == "moulds.0.limit_c")
    assert (found.level, "sets at" in found.what) == ("stop-and-think", True)


def test_a_colour_that_is_all_of_its_candle_is_no_thin_layer() -> None:
    """Six votives, a colour each: nothing lies on anything."""
    layers = tuple(Layer(colour=name) for name in ("white", "sand", "rust"))
    moulds = tuple(
        Mould(shape=Cylinder(diameter=0.046, height=0.047), shares=tuple(float(i == j) for j in range(3)))
        for i in range(3)
    )
    assert not {"layers.0.share", "layers"} & abouts(Plan(moulds=moulds, layers=layers, plug=0.0))
    stacked = tuple(replace(mould, shares=()) for mould in moulds)
    thin = Plan(moulds=stacked, layers=layers * 3, plug=0.0)
    assert {"layers.0.share", "layers"} <= abouts(thin)


def test_an_own_wax_is_judged_by_its_own_sheet_and_its_familys_kind() -> None:
    """Soy is made of plant fats, whatever its supplier calls it."""
    mine = from_sheet("Field 7", "soy_pillar", {"scent_max": 0.03})
    plan = Plan(own=(mine,), blend=(BlendPart(wax=mine.id),), layers=(Layer(scent_load=0.05),), pour_c=64.0)
    about = {each.about: each.what for each in findings(plan)}
    assert "3 %" in about["layers.0.scent_load"]
    assert "own.own-field-7.congealing" in about
    assert any("less than" in each.what for each in findings(plan) if each.about == "pour_c")


def test_a_sheet_that_has_the_wax_poured_where_it_sets_is_doubted() -> None:
    """50-55 °C for a paraffin that sets at 59 °C; families are never poured so."""
    mine = from_sheet("Field 7", "paraffin_pillar", {"pour_min_c": 50.0, "pour_max_c": 55.0})
    about = {each.about: each for each in findings(Plan(own=(mine,), blend=(BlendPart(wax=mine.id),)))}
    assert about["own.own-field-7.pour"].level == "stop-and-think"
    for wax in families():
        found = findings(Plan(blend=(BlendPart(wax=wax),)))
        assert not [each for each in found if each.about.startswith("own.")]


@pytest.mark.parametrize(("form", "most"), [("liquid", 0.0015), ("pure", 0.002), ("block", 0.01)])
def test_a_dye_is_much_from_the_highest_usual_load_of_its_form_on(form: str, most: float) -> None:
    """0.15 % liquid, 0.2 % pure, 1 % block: common practice, no source."""

    def said(load: float) -> bool:
        plan = Plan(layers=(Layer(dye_load=load, dye_form=form),))
        return any("more than the usual" in each.what for each in findings(plan))

    assert (said(most), said(most * 1.05)) == (False, True)


@pytest.mark.parametrize(("apart", "said"), [(4.0, False), (6.0, True)])
def test_neighbours_may_melt_a_few_degrees_apart(apart: float, said: bool) -> None:
    """5 K stand for the "few degrees" of common practice, no source."""
    mine = from_sheet(
        "near", "paraffin_pillar", {"congealing_min_c": 57 + apart, "congealing_max_c": 61 + apart}
    )
    plan = Plan(own=(mine,), layers=(SAGE, replace(SAND, blend=(BlendPart(wax=mine.id),))))
    assert any("melt" in each.what and "apart" in each.what for each in findings(plan)) == said


def test_glass_of_unknown_limit_is_said_with_what_is_usual() -> None:
    """54 to 66 °C: common practice, no source."""
    (found,) = (f for f in findings(Plan(moulds=(Mould(material="glass"),))) if f.about == "moulds.0.limit_c")
    assert "54 °C to 66 °C" in found.why


def test_solid_dye_is_never_counted_in_drops() -> None:
    plan = Plan(layers=(Layer(dye_load=0.0005, dye_form="block"),))
    found = next(each for each in findings(plan) if each.about == "layers.0.dye_load")
    assert "drops" not in found.do


def test_figures_are_said_in_the_persons_units() -> None:
    plan = Plan(
        units="us",
        pour_c=95.0,
        moulds=(Mould(material="plastic", below_rim=0.001),),
        altitude=3500.0,
        pot=0.0005,
    )
    text = " ".join(f"{each.what} {each.why} {each.do}" for each in findings(plan))
    assert "°F" in text
    assert "°C" not in text
    assert " mm" not in text


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_any_plan_gets_its_findings_by_falling_gravity(
    any_plan: st.SearchStrategy[Plan], data: st.DataObject
) -> None:
    found = findings(data.draw(any_plan))
    gravity = [LEVELS.index(each.level) for each in found]
    assert gravity == sorted(gravity, reverse=True)
    assert len(set(found)) == len(found)
    assert all(each.what and each.why and each.do and each.about for each in found)
