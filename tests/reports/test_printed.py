"""The papers as a browser prints them: the sheet on one page, whatever stands on the bench and whatever the paper is."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.plan.model import Layer, Mould, Plan, Product, Square, Tapered
from pourday.reports.papers.pages import sheet_page, slip_page
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.session.fold import fold

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
SCENTS = (Product(name="lavender", lot="L-3", share=0.6), Product(name="cedar", lot="C-8", share=0.4))
ONE = Plan(
    title="One square, scented",
    moulds=(Mould(name="square", shape=Square(side=0.06, height=0.12), wick="flat braid 24"),),
    layers=(Layer(colour="moss", scent_load=0.06, scents=SCENTS, dye_load=0.001),),
)
EIGHT = Plan(
    title="Eight votives, three colours",
    units="us",
    moulds=(
        Mould(
            name="votive, tall shape",
            shape=Tapered(diameter_low=0.04, diameter_rim=0.05, height=0.07),
            count=8,
            wick="flat braid 18",
        ),
    ),
    layers=(
        Layer(colour="rust"),
        Layer(colour="cream", scent_load=0.05, scents=SCENTS),
        Layer(colour="night blue"),
    ),
)


def pages_of(html: str, size: str, folder: Path) -> tuple[int, str]:
    """How many pages a browser prints, and the text on them."""
    page, pdf = folder / "page.html", folder / "page.pdf"
    page.write_text(html.replace("@page { margin", f"@page {{ size: {size}; margin"), encoding="utf-8")
    assert BROWSER is not None
    command = [BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
    subprocess.run(
        [*command, f"--user-data-dir={folder / 'browser'}", f"--print-to-pdf={pdf}", str(page)],
        capture_output=True,
        timeout=120,
        check=True,
    )
    info = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True).stdout
    text = subprocess.run(["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    return int(re.findall(r"Pages:\s+(\d+)", info)[0]), text


@pytest.mark.slow
@pytest.mark.skipif(BROWSER is None or shutil.which("pdfinfo") is None, reason="no browser that prints here")
@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("plan", [ONE, two_pillars(), EIGHT, replace(ONE, units="us")], ids=lambda p: p.title)
def test_the_sheet_is_one_page_and_nothing_of_it_is_cut_off(plan: Plan, size: str, tmp_path: Path) -> None:
    at = ev.moment(1_795_608_000.0)
    facts = (ev.Opened(session="2026-11-25-a", program="0"), ev.PlanFixed(plan=plan))
    entries = [Entry(seq=n, at=at, logged_at=at, by="person", fact=fact) for n, fact in enumerate(facts, 1)]
    state = fold(entries)
    count, text = pages_of(sheet_page(state), size, tmp_path)
    assert count == 1
    assert "outrank this paper" in text
    slips, said = pages_of(slip_page(state, {}), size, tmp_path)
    assert slips <= 2
    assert said.count("Never leave it burning") == sum(mould.count for mould in plan.moulds)
