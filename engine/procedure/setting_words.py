"""The named settings of a limits file with the values that each may have.

For: loading limits files; the walk reads the settings themselves and not this table.
Must never: hold a value of a setting.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from ferrule.engine.electrics.supply_figures import LOOP_RULES
from ferrule.engine.procedure.choice_words import STEP_CHOICES
from ferrule.engine.procedure.words import RESIDUAL_TESTS, SECOND_ENTRIES

SETTINGS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "loop-rule": LOOP_RULES,
        "temperature-correction": ("off", "on"),
        "cpc-method": ("link", "long-lead"),
        "residual-test": RESIDUAL_TESTS,
        "tt-time": ("device", "table"),
        "tt-loop": ("table", "stable-electrode"),
        "step-three": ("by-place", "same-everywhere"),
        "insulation-look": ("look-again", "table-only"),
        **STEP_CHOICES,
    }
)
"""Named choices of a limits file where sources disagree, with their values."""
HOUSE_SETTINGS: Mapping[str, tuple[str, ...]] = MappingProxyType({"second-entry": tuple(SECOND_ENTRIES)})
"""Choices of those who approve a limits file, which no edition makes: a file may leave them out."""
MINUTE_SETTINGS = ("away-minutes", "proof-minutes")
"""Settings in whole minutes that every limits file must give; no published figure was found for either."""
HOUSE_MINUTES = ("lone-minutes",)
"""Settings in whole minutes that no edition makes: a file may leave them out."""
NUMBER_SETTINGS: Mapping[str, str] = MappingProxyType(
    {
        "cmin": "1",
        "supply-below": "%",
        "supply-above": "%",
        "measured-factor": "1",
        "warm-factor": "1",
        "touch-volts": "V",
        "dead-volts": "V",
        "leakage-share": "1",
        "ze-tn-c-s": "ohm",
        "ze-tn-s": "ohm",
        "ze-tt": "ohm",
        "tt-stable-ohm": "ohm",
        "tt-time-ms": "ms",
        "rcd-general-ms": "ms",
        "rcd-delayed-ms": "ms",
        "rcd-delayed-least-ms": "ms",
        "rcd-five-ms": "ms",
        "table-insulation": "Mohm",
        "refer-below": "Mohm",
        "look-again": "Mohm",
        "temperature-coefficient": "1",
        "ring-tolerance": "ohm",
    }
)
"""Numbers that an edition or a country sets, with the unit that they are kept in; a band may name them."""
