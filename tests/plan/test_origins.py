"""Where each figure comes from."""

from __future__ import annotations

from pourday.plan.form import rows, set_field
from pourday.plan.model import BlendPart, Layer, Plan
from pourday.plan.origins import origin_of, origins

OWN_WORDS = {
    "title", "units", "name", "count", "upside_down", "lot", "own", "colour", "scent_lot", "dye_lot",
    "scent_by_eye", "scent_basis",
}  # fmt: skip


def test_every_row_that_is_a_figure_says_where_it_comes_from() -> None:
    plan = set_field(Plan(), "blend.own", "White 60")
    for row in rows(plan):
        name = row.path.rpartition(".")[2]
        if row.kind in ("text", "choice") and name not in OWN_WORDS and not row.path.startswith("own."):
            assert origin_of(plan, row.path), row.path


def test_a_wax_names_its_confidence_and_every_source_of_its_family() -> None:
    says = " ".join(origin_of(Plan(), "blend.0.wax"))
    assert "Confidence B" in says
    assert "US 7445648" in says
    assert "from memory" in says


def test_an_own_wax_tells_the_sheets_figures_from_those_it_took() -> None:
    plan = set_field(set_field(Plan(), "blend.own", "White 60"), "own.own-white-60.scent_max", "7 %")
    says = " ".join(origin_of(plan, "blend.0.wax"))
    assert "From its supplier's sheet: scent max." in says
    assert "Taken from paraffin, pillar" in says
    assert "congealing" in says


def test_the_boiling_point_names_its_formulas() -> None:
    says = " ".join(origin_of(Plan(), "altitude"))
    assert "IAPWS-IF97" in says
    assert "Standard Atmosphere 1976" in says


def test_every_wax_of_every_layer_is_among_the_origins() -> None:
    plan = Plan(layers=(Layer(), Layer(blend=(BlendPart(wax="beeswax"),))))
    names = [name for name, _ in origins(plan)]
    assert {"paraffin, pillar", "beeswax", "pour temperature"} <= set(names)
    assert all(says for _, sentences in origins(plan) for says in sentences)
