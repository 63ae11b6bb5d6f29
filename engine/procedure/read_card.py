"""From the form of a job card to its compiled form.

For: cards.
Must never: fill in a value that the card does not give; unknown stays unknown.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from ferrule.engine.electrics.model import Circuit, Device, Function, How, Point, Supply, Terminal, TorqueTool, Upstream
from ferrule.engine.findings import Findings
from ferrule.engine.procedure.amounts import quantity_in
from ferrule.engine.procedure.compiled import Card, Earlier, Instrument, Listed, Person, Source
from ferrule.engine.procedure.form import Refused
from ferrule.engine.procedure.models_card import (
    CardForm,
    DeviceForm,
    EarlierForm,
    FunctionForm,
    InstrumentForm,
    ListedForm,
    SourceForm,
    SupplyForm,
    TerminalForm,
    ToolForm,
)
from ferrule.engine.procedure.places import Places, card_key
from ferrule.engine.procedure.words import FUNCTIONS, TORQUE
from ferrule.engine.quantity.exact import plain


def read_card(form: CardForm, found: Findings, places: Places) -> Card:
    """The compiled card; faults inside a value are kept, contradictions between values are for `check_card`."""
    for name in form.table:
        places[card_key(name)] = form.key_place(name)
    return Card(
        id=form.card,
        title=form.title,
        site=form.site,
        board=form.board,
        way=form.way,
        plan=form.plan,
        limits=form.limits,
        sign_off=form.sign_off,
        work=form.work,
        decimal_comma=form.decimal_comma,
        temperature_c=form.room_temperature,
        circuit=_circuit(form),
        supply=_supply(form),
        device=_device(form.device),
        old_device=form.old_device,
        tails=form.tails,
        sources=tuple(_source(source) for source in form.sources),
        people=tuple(Person(p.id, p.name, tuple(p.roles), p.until) for p in form.people),
        instruments=tuple(_instrument(instrument, found) for instrument in form.instruments),
        torque_tools=tuple(_tool(tool) for tool in form.torque_tools),
        proving_points=_listed(form.proving_points),
        loads=tuple(Listed(load.id, load.name, load.kind) for load in form.loads),
        items=_listed(form.items),
        as_found_point=form.as_found_point,
        far_point=form.far_point,
        landing_point=form.landing_point,
        incoming_point=form.incoming_point,
        old_terminals=tuple(_terminal(terminal) for terminal in form.old_terminals),
        shutdown="" if form.shutdown is None else form.shutdown.name,
        other_ways=() if form.shutdown is None else _listed(form.shutdown.other_ways),
        earlier=None if form.continues is None else _earlier(form.continues),
    )


def _earlier(form: EarlierForm) -> Earlier:
    return Earlier(form.head, form.old_device, form.ends)


def _source(form: SourceForm) -> Source:
    minutes = plain(form.stored_energy) if isinstance(form.stored_energy, Decimal) else "0"
    return Source(
        form.id, form.name, form.main, form.isolator, minutes, form.shares_neutral, form.upstream, form.custody
    )


def _circuit(form: CardForm) -> Circuit:
    circuit = form.circuit
    return Circuit(
        circuit.kind,
        circuit.name,
        circuit.line,
        circuit.protective,
        circuit.length,
        tuple(Point(p.id, p.name, p.at, p.from_, p.spur, p.earth == "yes") for p in circuit.points),
        How(circuit.points_known),
        circuit.new_wiring,
        circuit.use,
        circuit.two_way,
        high_protective_current=circuit.high_protective_current,
    )


def _supply(form: CardForm) -> Supply:
    supply = form.supply
    phases = 1 if supply.phases == "one" else 3
    return Supply(
        supply.earthing,
        phases,
        supply.nominal,
        supply.ze,
        supply.fault,
        supply.phase,
        supply.main_switch == "opens the neutral",
        upstream=_upstream(supply),
        origin=supply.origin,
        conditional_rating=supply.conditional_rating,
    )


def _upstream(form: SupplyForm) -> Upstream | None:
    """The residual-current device upstream, none of it, or nothing while the card does not say."""
    if form.upstream is None:
        return None
    residual = form.upstream if isinstance(form.upstream, Decimal) else None
    return Upstream(residual, form.upstream_delayed, form.upstream_in_board)


def _device(form: DeviceForm) -> Device:
    return Device(
        curve=form.curve,
        rating_a=form.rating,
        residual_ma=form.residual,
        residual_type=form.residual_type,
        delayed=form.delayed,
        poles=form.poles,
        breaking_ka=form.breaking,
        bidirectional=form.bidirectional,
        functional_earth_lead=form.functional_earth_lead,
        insulation_rule=form.insulation_rule,
        leaflet=form.leaflet,
        terminals=tuple(_terminal(terminal) for terminal in form.terminals),
        confirming_release=form.confirming_release,
        toggle_may_be_held=form.toggle_may_be_held,
    )


def _terminal(form: TerminalForm) -> Terminal:
    late = form.landed == "after insulation"
    return Terminal(form.id, form.name, form.takes, form.count, *form.torque, late=late, part=form.part)


def _instrument(form: InstrumentForm, found: Findings) -> Instrument:
    functions = [function for part in form.functions if (function := _function(part, found)) is not None]
    return Instrument(form.id, form.name, form.serial, form.due, tuple(functions), form.kind)


def _function(form: FunctionForm, found: Findings) -> Function | None:
    if form.function == TORQUE:
        message = "A torque tool stands in the list of torque tools, not among the instruments."
        found.add("wrong-value", message, form.place("function"))
        return None
    unit = FUNCTIONS[form.function]
    sizes = {key: _size(key, text, unit, form, found) for key, text in _sizes(form)}
    if form.error is None and form.function != "indicator" and not form.has("error"):
        hint = '"3 % + 3 digits", from the instrument\'s papers'
        found.add("missing-key", 'The key "error" is missing here.', form.place(), hint=hint)
    resolution = sizes["resolution"]
    if resolution is None:
        return None
    full_scale = sizes["full scale"]
    if full_scale is not None and full_scale <= resolution:
        message = "The range shows no step: its full scale is not above its resolution."
        found.add(
            "card-contradiction", message, form.place("full scale"), hint="look both up in the instrument's papers"
        )
    pct, digits = form.error or (Decimal(0), Decimal(0))
    return Function(form.function, unit, resolution, full_scale, sizes["lowest"], pct, digits, form.source)


def _sizes(form: FunctionForm) -> tuple[tuple[str, str], ...]:
    return ("resolution", form.resolution), ("full scale", form.full_scale), ("lowest", form.lowest)


def _size(key: str, text: str, unit: str, form: FunctionForm, found: Findings) -> Decimal | None:
    if not text:
        return None
    try:
        value = quantity_in(text, unit)
        if value <= 0:
            raise Refused("wrong-value", "This number is above zero.")
    except Refused as fault:
        found.add(fault.code, fault.message, form.spot(key, max(fault.column, 1)), hint=fault.hint)
        return None
    return value


def _tool(form: ToolForm) -> TorqueTool:
    return TorqueTool(form.id, form.serial, form.due, form.from_, form.to, form.marks, form.error)


def _listed(forms: Sequence[ListedForm]) -> tuple[Listed, ...]:
    return tuple(Listed(form.id, form.name) for form in forms)
