"""What the first readings need, brought in while the first step is being read: so that no answer waits for it.

Must never: be needed; whatever is missing here is brought in when it is used.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from importlib import import_module

WARMED = (
    "ferrule.engine.electrics.figures",
    "ferrule.engine.electrics.judge",
    "ferrule.engine.electrics.crosscheck",
    "ferrule.engine.electrics.laying",
    "ferrule.tui.pictures.gauge_of",
    "ferrule.tui.head_page",
    "segno",
)
"""Modules by the order in which a walk comes to them; the last is not installed everywhere."""


def warmed() -> Iterator[str]:
    """Bring in one module for each that is asked for, so that a key waits for one of them at most."""
    for name in WARMED:
        with suppress(ImportError):
            import_module(name)
        yield name
