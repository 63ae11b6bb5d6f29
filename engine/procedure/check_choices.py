"""Whether a card fits the disputed choices of its limits file: what a choice asks for has to be there.

For: contradictions between card and limits, found before a job is opened.
Must never: make a choice; the limits file does.
"""

from __future__ import annotations

from ferrule.engine.findings import Findings
from ferrule.engine.procedure.choice_words import MULTIMETER
from ferrule.engine.procedure.choices import choice, dead_instrument
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import card_key


def check_choices(parts: Parts, found: Findings) -> None:
    """Keep what the card cannot give although a choice of its limits file asks for it."""
    if parts.card is None or parts.limits is None or parts.limits.id != parts.card.limits:
        return
    _check_parted(parts, found)
    _check_indicator(parts, found)


def _check_parted(parts: Parts, found: Findings) -> None:
    """One person alone never parts the earthing conductor: hold point six wants somebody to read it back to."""
    card, limits = parts.card, parts.limits
    if card is None or limits is None or card.sign_off != "alone" or card.supply.ze_ohm.value is not None:
        return
    if choice(limits.settings, "external-impedance-reading") != "parted":
        return
    message = (
        f'The limits "{limits.id}" ask for a reading with the earthing conductor parted; '
        "the sign-off is alone, and hold point six does not exist for one person."
    )
    hint = "an external impedance from a record, or another sign-off"
    found.add("card-contradiction", message, parts.places.get(card_key("sign-off")), hint=hint)


def _check_indicator(parts: Parts, found: Findings) -> None:
    """A multimeter proves dead only where the limits file lets it."""
    card, limits = parts.card, parts.limits
    if card is None or limits is None:
        return
    instrument = dead_instrument(card)
    if instrument is None or instrument.kind != MULTIMETER:
        return
    if choice(limits.settings, "dead-instrument") == "multimeter-with-proving":
        return
    message = f'"{instrument.id}" is a multimeter; the limits "{limits.id}" want a two-pole indicator to prove dead.'
    hint = "name a two-pole indicator with the function indicator"
    found.add("card-contradiction", message, parts.places.get(card_key("instruments")), hint=hint)
