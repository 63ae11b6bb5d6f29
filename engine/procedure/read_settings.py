"""The settings of a limits file: named choices, minutes and numbers, and which rows they choose.

For: limits; an edition, a country or a disputed point is a setting, never a number in the code.
Must never: guess a setting that the file does not give.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ferrule.engine.findings import Findings, nearest
from ferrule.engine.procedure.amounts import quantity_in
from ferrule.engine.procedure.form import Refused
from ferrule.engine.procedure.models import LimitsForm, RowForm, SettingForm
from ferrule.engine.procedure.setting_words import (
    HOUSE_MINUTES,
    HOUSE_SETTINGS,
    MINUTE_SETTINGS,
    NUMBER_SETTINGS,
    SETTINGS,
)
from ferrule.engine.procedure.yamltext import Table
from ferrule.engine.quantity.exact import plain


def read_settings(form: LimitsForm, found: Findings) -> dict[str, str]:
    """The settings by name: the word of a choice, the minutes, or the number as plain decimals in its own unit."""
    for name in MINUTE_SETTINGS:
        if name not in form.settings:
            found.add("missing-key", f'The setting "{name}" is missing.', form.key_place("settings"))
    return {name: _value(form, name, setting, found) for name, setting in form.settings.items()}


def _value(form: LimitsForm, name: str, setting: SettingForm, found: Findings) -> str:
    if name in (*MINUTE_SETTINGS, *HOUSE_MINUTES):
        if not (setting.value.isascii() and setting.value.isdecimal() and len(setting.value) <= 3):
            message = f'"{setting.value}" is no number of whole minutes for the setting "{name}".'
            found.add("wrong-value", message, setting.place("value"))
        return setting.value
    if name in NUMBER_SETTINGS:
        return _number(NUMBER_SETTINGS[name], setting, found)
    allowed = SETTINGS.get(name) or HOUSE_SETTINGS.get(name)
    if allowed is None:
        table = form.table["settings"]
        place = table.keys_at[name] if isinstance(table, Table) else setting.place()
        found.add("unknown-key", f'There is no setting "{name}".', place, hint=setting_hint(name))
    elif setting.value not in allowed:
        message = f'"{setting.value}" is no value of the setting "{name}"; its values are: {", ".join(allowed)}.'
        found.add("wrong-value", message, setting.place("value"))
    return setting.value


def _number(unit: str, setting: SettingForm, found: Findings) -> str:
    """A number with its unit; a plain factor has none."""
    written = f"{setting.value} 1" if unit == "1" else setting.value
    try:
        return plain(quantity_in(written, unit))
    except Refused as fault:
        found.add(fault.code, fault.message, setting.place("value"), hint=fault.hint)
        return "0"


def setting_hint(name: str) -> str:
    """The nearest setting, or all of them."""
    known = (*SETTINGS, *HOUSE_SETTINGS, *NUMBER_SETTINGS, *MINUTE_SETTINGS, *HOUSE_MINUTES)
    near = nearest(name, known)
    return f'"{near}"' if near else f"one of: {', '.join(known)}"


def number_of(name: str, settings: Mapping[str, str], column: int) -> tuple[Decimal, str]:
    """The number that a band means by `setting NAME`, and its unit; Refused with the column."""
    unit = NUMBER_SETTINGS.get(name)
    if unit is None:
        near = nearest(name, NUMBER_SETTINGS)
        hint = f'"{near}"' if near else f"one of: {', '.join(NUMBER_SETTINGS)}"
        raise Refused("unknown-key", f'There is no number setting "{name}".', column=column, hint=hint)
    if name not in settings:
        message = f'The band names the setting "{name}", which this file does not give.'
        raise Refused("missing-key", message, column=column, hint="give it under settings, with why and source")
    return Decimal(settings[name]), unit


def applies(row: RowForm, settings: Mapping[str, str], found: Findings) -> bool:
    """True when every condition of the row holds; a condition that asks for no such choice is kept as a fault."""
    holds = True
    for said in row.when:
        allowed = SETTINGS.get(said.fact)
        wrong = [value for value in said.values if allowed is not None and value not in allowed]
        if allowed is None:
            near = nearest(said.fact, SETTINGS)
            hint = f'"{near}"' if near else f"one of: {', '.join(SETTINGS)}"
            found.add("unknown-key", f'There is no setting "{said.fact}".', said.text.place, hint=hint)
        elif wrong:
            message = f'"{wrong[0]}" is no value of the setting "{said.fact}"; its values are: {", ".join(allowed)}.'
            found.add("wrong-value", message, said.value_place(wrong[0]))
        elif said.fact not in settings:
            message = f'The row "{row.row}" asks for the setting "{said.fact}", which this file does not give.'
            found.add("missing-key", message, said.text.place)
        elif settings[said.fact] in said.values:
            continue
        holds = False
    return holds
