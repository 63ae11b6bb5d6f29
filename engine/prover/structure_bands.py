"""Gaps and overlaps in the bands of the limits, as findings at the band that they begin at.

For: limits.
Must never: judge a reading; which numbers are concerned is worked out in the room of the electrics.
"""

from __future__ import annotations

from collections.abc import Iterator

from ferrule.engine.electrics.bands import BandTrouble, Trouble, check_row
from ferrule.engine.electrics.limits import Row
from ferrule.engine.findings import Finding, Level
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import band_key

_CODES = {
    Trouble.GAP: "band-gap",
    Trouble.OVERLAP: "band-overlap",
    Trouble.UNORDERED: "band-unordered",
    Trouble.EMPTY: "band-empty",
}


def band_faults(parts: Parts) -> Iterator[Finding]:
    """Every number that no band or more than one band of a row holds."""
    if parts.limits is None:
        return
    for row in parts.limits.rows.values():
        for trouble in check_row(row):
            yield _finding(row, trouble, parts)


def _finding(row: Row, trouble: BandTrouble, parts: Parts) -> Finding:
    message, hint = _words(row, trouble)
    places = [parts.places.get(band_key(row.id, at)) for at in trouble.bands]
    own = places[0] if places else parts.places.get(band_key(row.id))
    related = tuple(("the other band", place) for place in places[1:] if place is not None)
    return Finding(_CODES[trouble.trouble], Level.ERROR, message, own, hint, related)


def _words(row: Row, trouble: BandTrouble) -> tuple[str, str]:
    if trouble.trouble is Trouble.GAP:
        hint = "let one band beside it hold the number: up to and from hold it, below and above do not"
        return f'No band of "{row.id}" holds {trouble.text}.', hint
    if trouble.trouble is Trouble.OVERLAP:
        return f'Two bands of "{row.id}" hold {trouble.text}.', "end one band where the other begins"
    if trouble.trouble is Trouble.EMPTY:
        return f'The band "{trouble.text}" of "{row.id}" holds no number.', "look at its two ends"
    hint = "write the band between two bounds: from one up to the other"
    return f'The bands of "{row.id}" do not say which is the larger of {trouble.text}.', hint
