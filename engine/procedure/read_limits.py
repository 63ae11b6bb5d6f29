"""From the form of a limits file to its compiled form: bands as bounds, units made one, figures looked up.

For: limits.
Must never: decide whether bands have gaps; that is for the checks of structure.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from ferrule.engine.electrics.figures import NAMES
from ferrule.engine.electrics.limits import Band, Bound, Compares, Guard, LimitsSet, Outcome, Row
from ferrule.engine.findings import Findings, nearest
from ferrule.engine.procedure.amounts import quantity_in
from ferrule.engine.procedure.fields import Pair
from ferrule.engine.procedure.form import Refused
from ferrule.engine.procedure.models import LimitsForm, RowForm
from ferrule.engine.procedure.places import Places, band_key
from ferrule.engine.procedure.read_settings import applies, number_of, read_settings
from ferrule.engine.procedure.yamltext import Series, Table, Text
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.interval import Interval, parse_interval
from ferrule.engine.quantity.units import convert, find_unit, unknown_unit

_BANDS = (Outcome.PASS, Outcome.CONDITIONAL_PASS, Outcome.CONDITIONAL_FAIL, Outcome.FAIL)
_WITH_FIGURE = re.compile(
    r"(?:exactly (?P<point>.+)"
    r"|(?P<low_word>from|above) (?P<low>.+?)(?: (?P<then>up to|to below) (?P<then_high>.+))?"
    r"|(?P<high_word>up to|below) (?P<high>.+))"
)
"""The words of an interval, where either number may be `figure NAME` or `setting NAME`."""


def read_limits(form: LimitsForm, found: Findings, places: Places) -> LimitsSet:
    """The compiled limits; faults are kept."""
    settings = read_settings(form, found)
    rows: dict[str, Row] = {}
    _note_rows(form, places)
    for row_form in form.rows:
        chosen = applies(row_form, settings, found)
        if chosen and row_form.row in rows:
            found.add("duplicate-id", f'Two rows are called "{row_form.row}".', row_form.place("row"))
            continue
        row = _row(row_form, settings, found, places if chosen else {})
        if chosen and row is not None:
            rows[row.id] = row
    _without_choice(form, rows, found)
    return LimitsSet(
        form.limits,
        form.title,
        form.edition,
        form.withdrawn_on,
        settings,
        rows,
        {name: setting.source for name, setting in form.settings.items()},
    )


def _without_choice(form: LimitsForm, rows: Mapping[str, Row], found: Findings) -> None:
    """Find the names whose rows all ask for choices that this file has not made."""
    for name in dict.fromkeys(row.row for row in form.rows if row.when):
        if name not in rows and not found.has_errors():
            last = [row for row in form.rows if row.row == name][-1]
            message = f'No row "{name}" holds under the settings of this file.'
            found.add("unknown-limit", message, last.place("row"), hint="write one for the choice that was made")


def _note_rows(form: LimitsForm, places: Places) -> None:
    """Note the place of every row, of those too that could not be read."""
    rows = form.table.get("rows")
    for row in rows if isinstance(rows, Series) else ():
        name = row.get("row") if isinstance(row, Table) else None
        if isinstance(name, Text):
            places[band_key(name)] = name.place


def _row(form: RowForm, settings: Mapping[str, str], found: Findings, places: Places) -> Row | None:
    unit = find_unit(form.unit)
    if unit is None:
        found.add("bad-quantity", unknown_unit(form.unit), form.place("unit"))
        return None
    compares = Compares(form.compares)
    bare = unit.kind == "ratio"
    if (compares is Compares.RATIO and not bare) or (compares is Compares.DIFFERENCE and bare):
        message = f'A row that compares a {compares.value} does not go with the unit "{form.unit}".'
        found.add("unit-mismatch", message, form.place("unit"), hint='"1" for a ratio; else the unit of the reading')
    bands: list[Band] = []
    for pair in form.bands:
        band = _band(pair, form, settings, found)
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


def _band(pair: Pair, form: RowForm, settings: Mapping[str, str], found: Findings) -> Band | None:
    if pair.left not in _BANDS:
        words = ", ".join(_BANDS)
        near = nearest(pair.left, _BANDS)
        message = f'A band is one of {words}, not "{pair.left}".'
        found.add("wrong-value", message, pair.left_place, hint=f'"{near}"' if near else "")
        return None
    try:
        low, high = parse_band(pair.right, form.unit, settings)
    except Refused as fault:
        place = pair.right.spot(max(fault.column, 1))
        found.add(fault.code, fault.message, place, hint=fault.hint)
        return None
    return Band(Outcome(pair.left), low, high, str(pair.right))


def parse_band(text: str, unit: str, settings: Mapping[str, str]) -> tuple[Bound | None, Bound | None]:
    """The two bounds that the words write, in the row's unit; Refused with the column."""
    if "figure " not in text and "setting " not in text:
        return _plain_band(text, unit)
    form = _WITH_FIGURE.fullmatch(text)
    if form is None:
        raise Refused(
            "bad-quantity", f'"{text}" does not say which numbers are meant.', hint='"up to figure loop.limit"'
        )
    if form["point"] is not None:
        point = _bound(form, "point", unit, settings, closed=True)
        return point, point
    if form["high_word"] is not None:
        return None, _bound(form, "high", unit, settings, closed=form["high_word"] == "up to")
    low = _bound(form, "low", unit, settings, closed=form["low_word"] == "from")
    if form["then"] is None:
        return low, None
    return low, _bound(form, "then_high", unit, settings, closed=form["then"] == "up to")


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


def _bound(form: re.Match[str], group: str, unit: str, settings: Mapping[str, str], *, closed: bool) -> Bound:
    words = form[group]
    if words.startswith("setting "):
        return _from_setting(words.removeprefix("setting "), unit, settings, form.start(group), closed=closed)
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


def _from_setting(name: str, unit: str, settings: Mapping[str, str], start: int, *, closed: bool) -> Bound:
    column = start + len("setting ") + 1
    value, own = number_of(name, settings, column)
    kinds = [known.kind if (known := find_unit(symbol)) else "" for symbol in (own, unit)]
    if kinds[0] != kinds[1]:
        message = f'The setting "{name}" is in {own}; the row is in {unit}.'
        raise Refused("unit-mismatch", message, column=column, hint="a setting of the row's kind, or another unit")
    return Bound(convert(value, own, unit), "", closed)


def figure_hint(name: str) -> str:
    """The nearest figure, or all of them."""
    near = nearest(name, NAMES)
    return f'"{near}"' if near else f"one of: {', '.join(NAMES)}"
