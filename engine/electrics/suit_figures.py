"""Figures of how the device suits its board: what may be broken, selectivity, the loads, the board's insulation.

For: the table of the device on paper, and the search for a fault of insulation.
Must never: decide; a row of the limits file does.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics import fault_level, insulation, rcd
from ferrule.engine.electrics.figure import MissingError, Trace, Worked, one, said
from ferrule.engine.quantity.exact import divide

WITH_CIRCUIT, WITHOUT_CIRCUIT = "board/with", "board/without"
"""The keys under which the board's insulation is kept, with the circuit on it and without."""

_UNIT = "Mohm"


def fault_rating(trace: Trace, _point: str) -> Worked:
    """The fault current that may be broken here: the device's own, or the board's conditional one where that is more.

    The conditional rating counts only where the card says that the board is declared for the device.
    """
    device, supply = trace.inputs.device, trace.inputs.supply
    rating = fault_level.rating_ka(device.breaking_ka, conditional=supply.conditional_rating)
    words = f"{said(rating.value)} kA"
    if rating.value == device.breaking_ka:
        return one(rating.value, "rated short-circuit capacity", words, f"leaflet {device.leaflet}; 434.5.1")
    return one(rating.value, "conditional rating of the board", words, rating.source)


def upstream_ratio(trace: Trace, _point: str) -> Worked:
    """By how many times the upstream device's residual current exceeds this one's; 0 where it does not wait.

    Only a delayed device waits for another, and only for one that is not delayed itself.
    """
    upstream, device = trace.inputs.supply.upstream, trace.inputs.device
    if upstream is None or upstream.residual_ma is None:
        raise MissingError("The card names no residual-current device upstream.")
    source = rcd.SELECTIVE_LEAST_RATIO.source
    if not upstream.delayed or device.delayed:
        who = "both are delayed" if upstream.delayed else "the upstream device is not delayed"
        return one(Decimal(0), "0 where the upstream device does not wait", who, source)
    ratio = divide(upstream.residual_ma, device.residual_ma)
    put_in = f"{said(upstream.residual_ma)} mA ÷ {said(device.residual_ma)} mA"
    return one(ratio, "upstream IΔn ÷ IΔn", put_in, source)


def upstream_least(_trace: Trace, _point: str) -> Worked:
    """The least ratio at which only the device downstream should trip."""
    least = rcd.SELECTIVE_LEAST_RATIO
    return one(least.value, "least ratio", said(least.value), least.source)


def loads_unsuited(trace: Trace, _point: str) -> Worked:
    """How many loads of the card the residual type does not suit."""
    kinds, kind = trace.inputs.load_kinds, trace.inputs.device.residual_type
    if not all(kinds):
        raise MissingError("The card does not say what every load puts into its protective conductor.")
    unsuited = [load for load in kinds if not rcd.suits_load(kind, load)]
    named = f"type {kind}, loads: {', '.join(kinds) or 'none'}"
    return one(Decimal(len(unsuited)), "loads that the type does not suit", named, rcd.LOADS_SOURCE)


def insulation_recovered(trace: Trace, _point: str) -> Worked:
    """The circuit's own insulation from the board read with it and without it, the lowest that the display allows."""
    with_it, without_it = trace.reading(WITH_CIRCUIT, _UNIT), trace.reading(WITHOUT_CIRCUIT, _UNIT)
    if with_it is None or without_it is None:
        raise MissingError("The board is read with the circuit and without it, each as a number.")
    step = max(trace.resolution(WITH_CIRCUIT, _UNIT), trace.resolution(WITHOUT_CIRCUIT, _UNIT))
    half = step / 2
    if with_it > without_it:
        raise MissingError("The board reads more with the circuit than without it; read both again.")
    if with_it <= half:
        return one(Decimal(0), "1 ÷ (1/R with − 1/R without)", "0 MΩ with the circuit on", insulation.RECOVERED_SOURCE)
    low, _ = insulation.recovered_band(with_it, without_it, step)
    put_in = f"1 ÷ (1/{said(with_it)} − 1/{said(without_it)}) MΩ, each less half a step of {said(step)} MΩ"
    return one(low, "1 ÷ (1/R with − 1/R without)", put_in, insulation.RECOVERED_SOURCE)
