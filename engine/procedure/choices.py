"""What card and settings decide together: which of two disputed ways a job goes, in words that steps may ask for.

For: the conditions of steps and goals.
Must never: judge anything; a word here only picks a step, and what the step needs stands in the table of acts.
"""

from __future__ import annotations

from collections.abc import Mapping

from ferrule.engine.procedure.choice_words import MULTIMETER, STEP_CHOICES, TWO_POLE
from ferrule.engine.procedure.compiled import Card, Instrument


def choice(settings: Mapping[str, str], name: str) -> str:
    """The value of a named choice; the first of its values where the limits file makes none."""
    return settings.get(name, STEP_CHOICES[name][0])


def choices_of(card: Card, settings: Mapping[str, str]) -> dict[str, str]:
    """The words of the disputed choices for one card under the settings of its limits."""
    device = card.device
    confirming = choice(settings, "re-tightening") == "one-confirming-release" and device.confirming_release
    held = choice(settings, "trip-free-check") == "if-leaflet-allows" and device.toggle_may_be_held
    apart = choice(settings, "high-protective-current") == "separate-terminals"
    indicator = dead_instrument(card)
    return {
        "button order": choice(settings, "button-order"),
        "external impedance reading": choice(settings, "external-impedance-reading"),
        "probe order": choice(settings, "probe-order"),
        "dead instrument": MULTIMETER if indicator is not None and indicator.kind == MULTIMETER else TWO_POLE,
        "confirming release": "called for" if confirming else "none",
        "held toggle": "tried" if held else "not tried",
        "earth ends": "separate" if apart and card.circuit.high_protective_current else "any",
        "load kinds": "known" if all(load.kind for load in card.loads) else "unknown",
        "upstream residual device": _upstream(card),
    }


def _upstream(card: Card) -> str:
    upstream = card.supply.upstream
    if upstream is None:
        return "unknown"
    return "none" if upstream.residual_ma is None else "some"


def dead_instrument(card: Card) -> Instrument | None:
    """The instrument that the card names for proving dead."""
    for instrument in card.instruments:
        if any(function.name == "indicator" for function in instrument.functions):
            return instrument
    return None
