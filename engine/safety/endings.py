"""How a job may end: complete, made safe, put back as found, or to be continued.

Each row says what must stand before a person picks it, what it changes, and whether work stops by it.
It opens no gate: what an end needs on its way stands with the acts, like everything else.
Must never: let a job end with anything live beside work that is neither locked off nor finished.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.light import dataclass
from ferrule.engine.safety.acts import WHILE_LEFT, Effect, Need, parse_effect, parse_need


@dataclass(frozen=True, slots=True)
class Ending:
    """One way to end a job, as a person picks it."""

    name: str
    says: str
    needs: tuple[Need, ...]
    effects: tuple[Effect, ...]
    stops: bool
    """Whether only what makes safe stays open from here on."""
    source: str


def _ending(name: str, says: str, needs: Iterable[str], effects: Iterable[str], *, stops: bool, source: str) -> Ending:
    return Ending(
        name, says, tuple(parse_need(n) for n in needs), tuple(parse_effect(e) for e in effects), stops, source
    )


COMPLETE = "complete"

ENDINGS: dict[str, Ending] = {
    e.name: e
    for e in (
        _ending(
            COMPLETE,
            "The job goes on to its own end.",
            ("work is going",),
            ("ending is none", "others is off"),
            stops=False,
            source="trade brief P6",
        ),
        _ending(
            "made safe",
            "Work stops here; every source stays locked off.",
            (),
            ("ending is made safe", "others is off"),
            stops=True,
            source="trade brief P7.4",
        ),
        _ending(
            "made safe, other ways on",
            "Work stops here; this way is locked off, and the other ways come back on.",
            WHILE_LEFT,
            ("ending is made safe", "others is wanted"),
            stops=True,
            source="trade brief P7.4; invariant 20",
        ),
        _ending(
            "put back as found",
            "The old device goes back into the way; nothing is improved.",
            ("work is going", "check:job is done"),
            ("ending is put back",),
            stops=False,
            source="trade brief P7.4",
        ),
        _ending(
            "to be continued",
            "Work goes on another day; until then every source stays locked off.",
            (),
            ("ending is continue later", "others is off"),
            stops=True,
            source="trade brief P7.4",
        ),
        _ending(
            "to be continued, other ways on",
            "Work goes on another day; until then this way is locked off, and the other ways are on.",
            WHILE_LEFT,
            ("ending is continue later", "others is wanted"),
            stops=True,
            source="trade brief P7.4; invariant 20",
        ),
    )
}

WITH_OLD_DEVICE = ("put back as found",)
"""Ends that want an old device with its terminals on the card."""
