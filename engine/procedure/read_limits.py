"""From the form of a limits file to its compiled form: bands as bounds, units made one, figures looked up.

For: limits.
Must never: decide whether bands have gaps; that is for the checks of structure.
"""

from __future__ import annotations

import re
from decimal import Decimal

from ferrule.engine.electrics.figures import NAMES
from ferrule.engine.electrics.limits import Band, Bound, Compares, Guard, LimitsSet, Outcome, Row
from ferrule.engine.findings import Findings, nearest
from ferrule.engine.procedure.amounts import quantity_in
from ferrule.engine.procedure.fields import Pair
from ferrule.engine.procedure.form import Refused
from ferrule.engine.procedure.models import LimitsForm, RowForm
from ferrule.engine.procedure.places import Places, band_key
from ferrule.engine.procedure.words import MINUTE_SETTINGS, SETTINGS
from ferrule.engine.procedure.yamltext import Series, Table, Text
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.interval import Interval, parse_interval
from ferrule.engine.quantity.units import find_unit, unknown_unit

_BANDS = (Outcome.PASS, Outcome.CONDITIONAL_PASS, Outcome.CONDITIONAL_FAIL, Outcome.FAIL)
_WITH_FIGURE = re.compile(
    r"(?:exactly (?P<point>.+)"
    r"|(?P<low_word>from|above) (?P<low>.+?)(?: (?P<then>up to|to below) (?P<then_high>.+))?"
    r"|(?P<high_word>up to|below) (?P<high>.+))"
)
"""The words of an interval, where either number may be `figure NAME`."""


def read_limits(form: LimitsForm, found: Findings, places: Places) -> LimitsSet:
    """The compiled limits; faults are kept."""
    _check_settings(form, found)
    rows: dict[str, Row] = {}
    _note_rows(form, places)
    for row_form in form.rows:
        if row_form.row in rows:
            found.add("duplicate-id", f'Two rows are called "{row_form.row}".', row_form.place("row"))
            continue
        row = _row(row_form, found, places)
        if row is not None:
            rows[row.id] = row
    return LimitsSet(
        form.limits,
        form.title,
        form.edition,
        form.withdrawn_on,
        {name: setting.value for name, setting in form.settings.items()},
        rows,
    )


def _check_settings(form: LimitsForm, found: Findings) -> None:
    for name in MINUTE_SETTINGS:
        if name not in form.settings:
            found.add("missing-key", f'The setting "{name}" is missing.', form.key_place("settings"))
    for name, setting in form.settings.items():
        if name in MINUTE_SETTINGS:
            if not (setting.value.isascii() and setting.value.isdecimal() and len(setting.value) <= 3):
                message = f'"{setting.value}" is no number of whole minutes for the setting "{name}".'
                found.add("wrong-value", message, setting.place("value"))
            continue
        allowed = SETTINGS.get(name)
        if allowed is None:
            known = (*SETTINGS, *MINUTE_SETTINGS)
            near = nearest(name, known)
            hint = f'"{near}"' if near else f"one of: {', '.join(known)}"
            table = form.table["settings"]
            place = table.keys_at[name] if isinstance(table, Table) else setting.place()
            found.add("unknown-key", f'There is no setting "{name}".', place, hint=hint)
        elif setting.value not in allowed:
            message = f'"{setting.value}" is no value of the setting "{name}"; its values are: {", ".join(allowed)}.'
            found.add("wrong-value", message, setting.place("value"))


def _note_rows(form: LimitsForm, places: Places) -> None:
    """Note the place of every row, of those too that could not be read."""
    rows = form.table.get("rows")
    for row in rows if isinstance(rows, Series) else ():
        name = row.get("row") if isinstance(row, Table) else None
        if isinstance(name, Text):
            places[band_key(name)] = name.place


def _row(form: RowForm, found: Findings, places: Places) -> Row | None:
    unit = find_unit(form.unit)
    if unit is None:
        found.add("bad-quantity", unknown_unit(form.unit), form.place("unit"))
        return None
    compares = Compares(form.compares)
    if (compares is Compares.RATIO) is not (unit.kind == "ratio"):
        message = f'A row that compares a {compares.value} does not go with the unit "{form.unit}".'
        found.add("unit-mismatch", message, form.place("unit"), hint='"1" for a ratio; else the unit of the reading')
    bands: list[Band] = []
    for pair in form.bands:
        band = _band(pair, form, found)
        if band is not None:
            places[band_key(form.row, len(bands))] = pair.right_place
            bands.append(band)
    if not form.bands and form.has("bands"):
        found.add("wrong-value", f'The row "{form.row}" has no band.', form.key_place("bands"))
    return Row(
        form.row,
        form.title,
        form.unit,
        compares,
        tuple(bands),
        Guard(form.guard),
        form.settle_alone,
        form.source,
        form.basis,
    )


def _band(pair: Pair, form: RowForm, found: Findings) -> Band | None:
    if pair.left not in _BANDS:
        words = ", ".join(_BANDS)
        near = nearest(pair.left, _BANDS)
        message = f'A band is one of {words}, not "{pair.left}".'
        found.add("wrong-value", message, pair.left_place, hint=f'"{near}"' if near else "")
        return None
    try:
        low, high = parse_band(pair.right, form.unit)
    except Refused as fault:
        place = pair.right.spot(max(fault.column, 1))
        found.add(fault.code, fault.message, place, hint=fault.hint)
        return None
    return Band(Outcome(pair.left), low, high, str(pair.right))


def parse_band(text: str, unit: str) -> tuple[Bound | None, Bound | None]:
    """The two bounds that the words write, in the row's unit; Refused with the column."""
    if "figure " not in text:
        return _plain_band(text, unit)
    form = _WITH_FIGURE.fullmatch(text)
    if form is None:
        raise Refused(
            "bad-quantity", f'"{text}" does not say which numbers are meant.', hint='"up to figure loop.limit"'
        )
    if form["point"] is not None:
        point = _bound(form, "point", unit, closed=True)
        return point, point
    if form["high_word"] is not None:
        return None, _bound(form, "high", unit, closed=form["high_word"] == "up to")
    low = _bound(form, "low", unit, closed=form["low_word"] == "from")
    if form["then"] is None:
        return low, None
    return low, _bound(form, "then_high", unit, closed=form["then"] == "up to")


def _plain_band(text: str, unit: str) -> tuple[Bound | None, Bound | None]:
    try:
        interval, written = parse_interval(text)
    except QuantityError as fault:
        raise Refused("bad-quantity", str(fault), column=fault.column) from None
    if interval == Interval(None, False, None, False):
        return None, None
    low = None if interval.low is None else _in_unit(text, interval.low, written, unit)
    high = None if interval.high is None else _in_unit(text, interval.high, written, unit)
    return (
        None if low is None else Bound(low, "", interval.low_closed),
        None if high is None else Bound(high, "", interval.high_closed),
    )


def _in_unit(text: str, value: Decimal, written: str, unit: str) -> Decimal:
    column = text.rindex(written) + 1
    return quantity_in(f"{value:f} {written}", unit, shift=column - len(f"{value:f} ") - 1)


def _bound(form: re.Match[str], group: str, unit: str, *, closed: bool) -> Bound:
    words = form[group]
    if not words.startswith("figure "):
        return Bound(quantity_in(words, unit, shift=form.start(group)), "", closed)
    name = words.removeprefix("figure ")
    column = form.start(group) + len("figure ") + 1
    spec = NAMES.get(name)
    if spec is None:
        raise Refused("unknown-figure", f'There is no figure "{name}".', column=column, hint=figure_hint(name))
    kinds = [known.kind if (known := find_unit(symbol)) else "" for symbol in (spec.unit, unit)]
    if kinds[0] != kinds[1]:
        message = f'The figure "{name}" is in {spec.unit}; the row is in {unit}.'
        raise Refused("unit-mismatch", message, column=column, hint="a figure of the row's kind, or another unit")
    return Bound(None, name, closed)


def figure_hint(name: str) -> str:
    """The nearest figure, or all of them."""
    near = nearest(name, NAMES)
    return f'"{near}"' if near else f"one of: {', '.join(NAMES)}"
