"""Where a shown value comes from, in words: beside the value in short, whole under the reasons and in plain mode.

Must never: name a value that the step hides; it says only what the place itself carries.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.walk.cell_view import CellView
from ferrule.engine.walk.origins import EXPECTED, LIMIT, VALUE, Origin

_OF = {VALUE: "Value", EXPECTED: "Expected", LIMIT: "Limit"}
LIMITS_FILE = "limits file"


def origin_short(place: CellView, of: str) -> str:
    """Return in a word or two where a value of a place comes from; empty where it shows none."""
    found = [origin for origin in place.origins if origin.of == of]
    if not found:
        return ""
    if not any(origin.rule for origin in found):
        return LIMITS_FILE
    entries = dict.fromkeys(str(carried.entry) for origin in found for carried in origin.carried)
    return f"computed from entry {', '.join(entries)}" if entries else "computed"


def value_words(place: CellView) -> str:
    """Return a computed place with its value and where that comes from; before it can be told, when it will be."""
    if not place.value:
        return f"{place.prompt}: worked out once this is recorded."
    (origin,) = (origin for origin in place.origins if origin.of == VALUE)
    return f"{place.prompt}: {place.value}. {origin_line(origin)}"


def origin_line(origin: Origin) -> str:
    """Return one source line: how it was computed and carried, or that it stands in the limits file."""
    head = _OF[origin.of]
    source = f" Source: {origin.source}." if origin.source else ""
    if not origin.rule:
        return f"{head}: {LIMITS_FILE}, {origin.put_in}.{source}"
    carried = "".join(f" Carried from “{x.step}”, entry {x.entry}: {x.key}." for x in origin.carried)
    return f"{head}: computed, {origin.rule}: {origin.put_in}.{carried}{source}"


def origin_lines(places: Iterable[CellView]) -> tuple[str, ...]:
    """Return the source lines of what is expected and what passes at these places, each once."""
    found = (origin for place in places for origin in place.origins if origin.of != VALUE)
    return tuple(dict.fromkeys(origin_line(origin) for origin in found))
