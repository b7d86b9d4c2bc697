"""All that the program loads in the course of a day, and has worked out once, for the process that programs are forked from."""

import importlib
import os
import pkgutil

import pourday

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # A fork copies no threads.
for module in pkgutil.walk_packages(pourday.__path__, "pourday."):
    if not module.name.endswith("__main__"):
        importlib.import_module(module.name)


def _warm() -> None:
    """Show the stove once to nobody: what is worked out once by a process (style sheets, signatures, tables of waxes) is there."""
    import asyncio
    import tempfile
    import time
    from pathlib import Path

    from pourday.demo.scenario import two_pillars
    from pourday.session import events as ev
    from pourday.store.live import LiveSession
    from pourday.tui.app import PourdayApp

    async def shown(folder: Path) -> None:
        live = LiveSession.create(folder, "2026-11-25-a", now=time.time())
        for fact in (ev.PlanDrafted(plan=two_pillars()), ev.PlanFixed(plan=two_pillars())):
            live.file(fact, now=time.time())
        app = PourdayApp(folder, config=folder / "settings.toml")
        async with app.run_test(size=(80, 24)) as pilot:
            app.open_session(live)
            await pilot.pause()
        live.close()

    with tempfile.TemporaryDirectory() as folder:
        asyncio.run(shown(Path(folder)))


_warm()
