"""What would become of every plan of the set: played in the simulated kitchen, on time and late.

    python tests/bench/plan_set.py [NAME ...] [--late MINUTES] [--seed N] [--by-scale] [--sizes] [--held-back] [--banded] [--say]

A table by mould: spilled g, hollow share of the mould, last line off in mm, joints fused at the wall, wax that is not accounted for.
With `--sizes` every pour's weight as the guide gave it beside what the mould took to its line.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from pourday.demo.day import Day
from pourday.demo.player import PourSize
from pourday.demo.truth import Truth, truth
from tests.demo.plan_set import BANDED, HELD_BACK, PLANS


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("names", nargs="*", help=f"of {', '.join(PLANS)}")
    parser.add_argument("--late", type=float, default=0.0, help="minutes")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--by-scale", action="store_true", help="pour the weights given, not to the line")
    parser.add_argument("--sizes", action="store_true", help="each pour's weight beside what fitted")
    parser.add_argument("--held-back", action="store_true", help="the plans that were held back, all of them")
    parser.add_argument("--banded", action="store_true", help="the plans of many bands")
    parser.add_argument("--say", action="store_true", help="what was told on the way")
    chosen = parser.parse_args()
    print(f"{'plan':<14} mould  spilled g  hollow %  line off mm  welds  not found %     h  finished  CPU s")
    for name in chosen.names or (HELD_BACK if chosen.held_back else BANDED if chosen.banded else PLANS):
        _play(name, chosen)


def _play(name: str, chosen: argparse.Namespace) -> None:
    start = time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        day = Day(
            Path(folder),
            print if chosen.say else lambda _: None,
            seed=chosen.seed,
            plan=(PLANS | HELD_BACK | BANDED)[name],
            late=chosen.late * 60.0,
            by_scale=chosen.by_scale,
        )
        try:
            day.play()
        except Exception:
            print(f"{name:<14} broke after {(day.now - day.start) / 3600:.1f} h")
            traceback.print_exc(limit=-3)
            return
        finally:
            day.live.close()
        hours = (day.now - day.start) / 3600
        finished = "yes" if day.live.state.finished_at is not None else "NO"
        _show(name, truth(day.kitchen), f"{hours:7.1f}  {finished:>8}  {time.process_time() - start:5.1f}")
        if chosen.sizes:
            _show_sizes(day.player.sizes)


def _show_sizes(sizes: list[PourSize]) -> None:
    for size in sizes:
        low, likely, high, takes = (
            1000 * kg for kg in (size.guide.low, size.guide.kg, size.guide.high, size.takes)
        )
        words = "planned" if size.guide.planned else "inside" if low <= takes <= high else "OUTSIDE"
        print(
            f"    size {size.mould} {size.part:<7} {size.layer + 1}  {likely:7.1f} ({low:6.1f}-{high:6.1f})"
            f"  takes {takes:7.1f}  {likely - takes:+6.1f} g  {words}"
        )


def _show(name: str, told: Truth, end: str) -> None:
    missing = 100 * (told.melted_g - told.accounted_g) / max(told.melted_g, 1e-9)
    for mould in told.moulds:
        fused = f"{sum(weld.fused_at_edge for weld in mould.welds)}/{len(mould.welds)}"
        print(
            f"{name:<14} {mould.letter:<5} {mould.spilled_g:10.1f} {100 * mould.hollow_ml / mould.mould_ml:9.2f}"
            f" {mould.last_line_off_mm:12.1f}  {fused:>5} {missing:12.2f} {end}"
        )
        name = end = ""


if __name__ == "__main__":
    main()
