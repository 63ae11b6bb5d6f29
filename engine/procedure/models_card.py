"""The form of a job card as people write it: which keys, which sorts of value.

For: reading card files and telling editors; whether the values fit each other is looked at in `check_card`.
Must never: hold a usual value where the person has not said one; a key that is left out has its strictest meaning.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, ClassVar

from pydantic import Field

from ferrule.engine.electrics.model import How, Known
from ferrule.engine.procedure.amounts import Amount, ErrorOf, KnownAmount, Torque
from ferrule.engine.procedure.choice_words import INSTRUMENT_KINDS
from ferrule.engine.procedure.fields import (
    Choice,
    Count,
    Day,
    DayOrNone,
    Head,
    Id,
    ObjectId,
    OrNone,
    Words,
    YesNo,
    names,
)
from ferrule.engine.procedure.form import Form, Several
from ferrule.engine.procedure.models import Function
from ferrule.engine.procedure.words import (
    CARD_FACTS,
    CURVES,
    CUSTODIES,
    INSULATION_RULES,
    LOAD_KINDS,
    PHASES,
    RESIDUAL_TYPES,
    ROLES,
    TERMINAL_PARTS,
)

UNKNOWN = Known(None, How.UNKNOWN)

Metres = Annotated[Known, KnownAmount("m")]
Size = Annotated[Decimal, Amount("mm2")]
TorqueBand = tuple[Decimal | None, Decimal | None, Decimal | None]


class PointForm(Form):
    """A socket or other point; `at` counts from the board along leg 1."""

    id: ObjectId
    name: Words
    at: Metres = UNKNOWN
    from_: ObjectId = Field("", alias="from")
    spur: Metres = UNKNOWN
    earth: Annotated[str, Choice(("yes", "none"))] = "yes"


class CircuitForm(Form):
    """The final circuit under work."""

    kind: Annotated[str, Choice(CARD_FACTS["circuit"])]
    use: Annotated[str, Choice(CARD_FACTS["use"])] = "sockets"
    two_way: YesNo = Field(False, alias="two-way switching")
    name: Words
    line: Size
    protective: Size
    length: Metres
    new_wiring: YesNo = Field(alias="new wiring")
    points_known: Annotated[str, names(h.value for h in How)] = Field(alias="points known")
    high_protective_current: YesNo = Field(True, alias="protective current above 10 mA")
    points: Several[PointForm]


class SupplyForm(Form):
    """The supply at the origin of the board."""

    earthing: Annotated[str, Choice(CARD_FACTS["earthing"])]
    phases: Annotated[str, Choice(CARD_FACTS["phases"])]
    phase: Annotated[str, Choice(PHASES)] = ""
    main_switch: Annotated[str, Choice(CARD_FACTS["main switch"])] = Field("leaves the neutral", alias="main switch")
    origin: Annotated[str, Choice(CARD_FACTS["origin"])] = "distributor"
    nominal: Annotated[Decimal, Amount("V")]
    ze: Annotated[Known, KnownAmount("ohm")] = Field(alias="external impedance")
    fault: Annotated[Known, KnownAmount("kA")] = Field(alias="fault current")
    upstream: Annotated[Decimal | str | None, OrNone(Amount("mA"))] = Field(None, alias="upstream residual")
    upstream_delayed: YesNo = Field(False, alias="upstream delayed")
    upstream_in_board: YesNo = Field(False, alias="upstream in this board")
    conditional_rating: YesNo = Field(False, alias="conditional rating")


class TerminalForm(Form):
    """A screw that the job tightens."""

    id: ObjectId
    name: Words
    takes: Words
    count: Count
    torque: Annotated[TorqueBand, Torque()]
    landed: Annotated[str, Choice(("with the others", "after insulation"))] = "with the others"
    part: Annotated[str, Choice(TERMINAL_PARTS)] = ""


class DeviceForm(Form):
    """The device to be fitted, as its leaflet and its marks say."""

    leaflet: Words
    curve: Annotated[str, Choice(CURVES)]
    rating: Annotated[Decimal, Amount("A")]
    residual: Annotated[Decimal, Amount("mA")]
    residual_type: Annotated[str, Choice(RESIDUAL_TYPES)] = Field(alias="residual type")
    delayed: YesNo
    poles: Annotated[str, Choice(("single", "double"))]
    breaking: Annotated[Decimal, Amount("kA")]
    bidirectional: YesNo
    functional_earth_lead: YesNo = Field(alias="functional earth lead")
    insulation_rule: Annotated[str, Choice(INSULATION_RULES)] = Field(alias="insulation rule")
    terminals: Several[TerminalForm]
    confirming_release: YesNo = Field(False, alias="confirming release")
    toggle_may_be_held: YesNo = Field(False, alias="toggle may be held")


class SourceForm(Form):
    """A source of supply and what isolates it; stored energy is `none` or the minutes that it takes to go."""

    id: ObjectId
    name: Words
    main: YesNo
    isolator: Words
    stored_energy: Annotated[Decimal | str, OrNone(Amount("min"))] = Field(alias="stored energy")
    shares_neutral: YesNo = Field(False, alias="shares the neutral")
    upstream: YesNo = False
    custody: Annotated[str, Choice(CUSTODIES)] = CUSTODIES[0]


class PersonForm(Form):
    """Somebody with roles on this job."""

    id: ObjectId
    name: Words
    roles: Several[Annotated[str, Choice(ROLES)]]
    until: DayOrNone = ""


class FunctionForm(Form):
    """One function of an instrument on one range."""

    function: Function
    resolution: Words
    full_scale: Words = Field("", alias="full scale")
    lowest: Words = ""
    error: Annotated[tuple[Decimal, Decimal] | None, ErrorOf()] = None
    source: Words


class InstrumentForm(Form):
    """An instrument; `due` is the last day of its calibration."""

    id: ObjectId
    name: Words
    serial: Words
    due: Day
    functions: Several[FunctionForm]
    kind: Annotated[str, Choice(INSTRUMENT_KINDS)] = ""


class ToolForm(Form):
    """A torque tool with its marks."""

    id: ObjectId
    name: Words = ""
    serial: Words
    due: Day
    from_: Annotated[Decimal, Amount("Nm")] = Field(alias="from")
    to: Annotated[Decimal, Amount("Nm")]
    marks: Annotated[Decimal, Amount("Nm")]
    error: Annotated[Decimal, Amount("%")]


class ListedForm(Form):
    """An entry of a list that rounds go through."""

    id: ObjectId
    name: Words


class LoadForm(ListedForm):
    """A load with what it puts into its protective conductor, where that is known."""

    kind: Annotated[str, Choice(LOAD_KINDS)] = ""


class ShutdownForm(Form):
    """The shutdown that this way shares with others, each of which has a log of its own."""

    name: Words
    other_ways: Several[ListedForm] = Field(alias="other ways")


class EarlierForm(Form):
    """The log that this one continues: the sum of its last line, and how it left the way."""

    head: Head
    old_device: Annotated[str, Choice(("fitted", "out"))] = Field(alias="old device")
    ends: Annotated[str, Choice(("as found", "parked"))]


class CardForm(Form):
    """A whole job card."""

    stand_ins: ClassVar[Mapping[str, str]] = {
        "card": "x",
        "title": "?",
        "site": "?",
        "board": "?",
        "way": "?",
        "plan": "x",
        "limits": "x",
        "room temperature": "unknown",
    }

    card: Id
    title: Words
    site: Words
    board: Words
    way: Words
    plan: Id
    limits: Id
    sign_off: Annotated[str, Choice(CARD_FACTS["sign-off"])] = Field(alias="sign-off")
    work: Annotated[str, Choice(CARD_FACTS["work"])]
    old_device: Annotated[str, Choice(CARD_FACTS["old device"])] = Field(alias="old device")
    tails: Annotated[str, Choice(CARD_FACTS["tails"])]
    decimal_comma: YesNo = Field(alias="decimal comma")
    room_temperature: Annotated[Known, KnownAmount("C")] = Field(alias="room temperature")
    circuit: CircuitForm
    supply: SupplyForm
    device: DeviceForm
    sources: Several[SourceForm]
    people: Several[PersonForm]
    instruments: Several[InstrumentForm]
    torque_tools: Several[ToolForm] = Field(alias="torque tools")
    proving_points: Several[ListedForm] = Field(alias="proving points")
    loads: Several[LoadForm] = Field([])
    items: Several[ListedForm] = Field([])
    as_found_point: ObjectId = Field(alias="as-found point")
    far_point: ObjectId = Field(alias="far point")
    landing_point: ObjectId = Field(alias="landing point")
    incoming_point: ObjectId = Field("", alias="incoming point")
    old_terminals: Several[TerminalForm] = Field([], alias="old terminals")
    shutdown: ShutdownForm | None = None
    continues: EarlierForm | None = None
