"""Whether what a card says of its kind of job can be true together: phases, neutral, points without earth, late leads.

For: contradictions, each at its place with a remedy.
Must never: judge the electrics of a job; that is done in the walk, with readings.
"""

from __future__ import annotations

from ferrule.engine.findings import Findings
from ferrule.engine.procedure.models_card import CardForm

_CODE = "card-contradiction"


def check_variant(form: CardForm, found: Findings) -> None:
    """Keep every contradiction in what makes this job different from another."""
    _check_phases(form, found)
    _check_lighting(form, found)
    _check_unearthed(form, found)
    _check_late_leads(form, found)
    _check_upstream(form, found)
    _check_shared(form, found)


def _check_phases(form: CardForm, found: Findings) -> None:
    supply = form.supply
    if supply.phases == "three" and not supply.phase:
        message = "The board has three phases, and the card does not say which one the way is on."
        found.add(_CODE, message, supply.place("phases"), hint='"phase: L2", as the board shows it')
    if supply.phases == "one" and supply.phase:
        message = f'The board has one phase, and the card puts the way on "{supply.phase}".'
        found.add(_CODE, message, supply.place("phase"), hint='leave "phase" out, or "phases: three"')
    if supply.earthing == "TT" and supply.main_switch == "leaves the neutral":
        message = "On a TT supply the main switch opens the neutral too; the card does not say that this one does."
        place = supply.place("main switch" if supply.has("main switch") else "earthing")
        found.add(_CODE, message, place, hint='"main switch: opens the neutral", when that was seen')


def _check_lighting(form: CardForm, found: Findings) -> None:
    circuit = form.circuit
    if circuit.two_way and circuit.use != "lighting":
        message = f'Lights are switched from two places, and the circuit is for "{circuit.use}".'
        found.add(_CODE, message, circuit.place("two-way switching"), hint='"use: lighting"')


def _check_unearthed(form: CardForm, found: Findings) -> None:
    circuit = form.circuit
    without = [point for point in circuit.points if point.earth == "none"]
    named = {
        "as-found point": form.as_found_point,
        "far point": form.far_point,
        "landing point": form.landing_point,
    }
    for point in without:
        if circuit.kind == "ring":
            message = f'The point "{point.id}" has no earth, and the circuit is a ring, whose legs all carry one.'
            found.add(_CODE, message, point.place("earth"), hint='"kind: radial", or "earth: yes"')
        for key, name in named.items():
            if name == point.id:
                message = f'The {key} "{name}" has no earth, so nothing can be read to earth there.'
                related = [("the point", point.place("earth"))]
                found.add(_CODE, message, form.place(key), hint="a point with earth", related=related)


def _check_late_leads(form: CardForm, found: Findings) -> None:
    """A solid neutral and a functional earth lead tie the insulation test to the board or to the electronics."""
    device = form.device
    late = sum(terminal.landed == "after insulation" for terminal in device.terminals)
    solid, measures = device.poles == "single", device.functional_earth_lead
    if device.insulation_rule == "permits" or late >= solid + measures:
        return
    named = "a neutral fly-lead that no toggle parts" if solid else ""
    named += " and " if solid and measures else ""
    named += "a functional earth lead" if measures else ""
    message = f"The device has {named}; too few of its terminals are landed after the insulation test."
    hint = '"landed: after insulation" at the terminal of each such lead'
    found.add(_CODE, message, device.key_place("terminals"), hint=hint)


def _check_upstream(form: CardForm, found: Findings) -> None:
    supply = form.supply
    if supply.upstream_in_board and supply.upstream in (None, ""):
        message = "A section of the board has a residual device, and the card does not give its current."
        hint = '"upstream residual: 30 mA", from its marks'
        found.add(_CODE, message, supply.place("upstream in this board"), hint=hint)


def _check_shared(form: CardForm, found: Findings) -> None:
    for source in form.sources:
        if source.main and source.shares_neutral:
            message = f'The source "{source.id}" is the main one; only another way can share the neutral.'
            found.add(_CODE, message, source.place("shares the neutral"), hint='"shares the neutral: false"')
