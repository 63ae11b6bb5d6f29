"""The disputed choices that a step or a goal may ask for: settings with their values, and the words made of them.

For: the conditions of steps and goals, and the loading of limits files.
Must never: say which value holds; the limits file does, with its reason and its source.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

STEP_CHOICES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "external-impedance-reading": ("as-read", "connected-is-doubtful", "parted"),
        "button-order": ("after-timing", "before-timing"),
        "re-tightening": ("never", "one-confirming-release"),
        "high-protective-current": ("separate-terminals", "one-terminal"),
        "dead-instrument": ("two-pole-indicator", "multimeter-with-proving"),
        "probe-order": ("earth-first", "line-first"),
        "trip-free-check": ("if-leaflet-allows", "never"),
    }
)
"""Settings of a limits file that change what is done, with their values, the usual one first."""

TWO_POLE, MULTIMETER = "two-pole indicator", "multimeter"
INSTRUMENT_KINDS = (TWO_POLE, MULTIMETER)
"""What an instrument with the function `indicator` is; a multimeter needs the setting that allows it."""

CHOICE_FACTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "button order": STEP_CHOICES["button-order"],
        "external impedance reading": STEP_CHOICES["external-impedance-reading"],
        "probe order": STEP_CHOICES["probe-order"],
        "dead instrument": INSTRUMENT_KINDS,
        "confirming release": ("called for", "none"),
        "held toggle": ("tried", "not tried"),
        "earth ends": ("separate", "any"),
        "load kinds": ("known", "unknown"),
        "upstream residual device": ("some", "none", "unknown"),
    }
)
"""Conditions that rest on a setting of the limits file, on the device's leaflet or on both, with their values."""
