"""All colours of the screens: day (dark on light), night (light on dark), mono.

Must never: carry a meaning that no word or shape carries too; or hold text below a contrast of 7 to 1.

Source of the ratio: WCAG 2.2, 1.4.6 (from memory); of day before night: HI-03, HI-04.
"""

from __future__ import annotations

from collections.abc import Mapping

from ferrule.engine.light import dataclass


@dataclass(frozen=True, slots=True)
class Pair:
    """Text and the ground behind it."""

    ink: str
    ground: str


PALETTES: Mapping[str, Mapping[str, Pair]] = {
    "day": {
        "page": Pair("#000000", "#ffffff"),
        "head": Pair("#ffffff", "#00108a"),
        "practice": Pair("#000000", "#70e8f4"),
        "strip": Pair("#000000", "#e4e4e4"),
        "danger": Pair("#000000", "#ffe14a"),
        "now": Pair("#000000", "#ffffff"),
        "field": Pair("#000000", "#dce8ff"),
        "said": Pair("#00301c", "#e8f2ea"),
        "fault": Pair("#3c0000", "#ffffff"),
        "keys": Pair("#ffffff", "#000000"),
    },
    "night": {
        "page": Pair("#ffffff", "#000000"),
        "head": Pair("#ffffff", "#00108a"),
        "practice": Pair("#000000", "#70e8f4"),
        "strip": Pair("#ffffff", "#202020"),
        "danger": Pair("#000000", "#ffe14a"),
        "now": Pair("#ffffff", "#000000"),
        "field": Pair("#ffff9c", "#202020"),
        "said": Pair("#c8f0d0", "#101810"),
        "fault": Pair("#ffb0a0", "#000000"),
        "keys": Pair("#000000", "#c0c0c0"),
    },
    "mono": {
        "page": Pair("#ffffff", "#000000"),
        "head": Pair("#000000", "#ffffff"),
        "practice": Pair("#000000", "#ffffff"),
        "strip": Pair("#ffffff", "#000000"),
        "danger": Pair("#000000", "#ffffff"),
        "now": Pair("#ffffff", "#000000"),
        "field": Pair("#ffffff", "#000000"),
        "said": Pair("#ffffff", "#000000"),
        "fault": Pair("#ffffff", "#000000"),
        "keys": Pair("#000000", "#ffffff"),
    },
}
"""Each theme by its parts."""

ORDER = ("day", "night", "mono")


def first_theme(environ: Mapping[str, str]) -> str:
    """Return the theme to start with: mono where colour is unwanted, night on a console of 16 colours."""
    if environ.get("NO_COLOR"):
        return "mono"
    return "night" if environ.get("TERM", "") in ("linux", "vt220") else "day"


def next_theme(name: str) -> str:
    """Return the theme after this one."""
    return ORDER[(ORDER.index(name) + 1) % len(ORDER)]
