"""`ferrule figure NAME key=value …`: one figure with its formula, the numbers put in, the result and the source.

Must never: end with another code than 0 because of a verdict, or take an unknown key for a known one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import TextIO

from ferrule.engine.electrics.asked import Amount, Answer, AskError, Given, Named
from ferrule.engine.electrics.asked_names import ASKED, ask, find_named
from ferrule.engine.quantity.units import UNITS
from ferrule.engine.text import visible
from ferrule.tui.around import UsageError

SHOWN = 0
JSON = "--json"
FLAGS = frozenset({"at_least", "at_most"})
"""Keys that may stand alone beside `limit=…`."""


def run_figure(name: str | None, words: Sequence[str], *, as_json_text: bool, out: TextIO) -> int:
    """Write the list of figures, or one figure as text or JSON; return the exit code.

    The words after the name come as they stood, so that `--json` may stand at any place among the keys.
    """
    if name is None:
        return _written(list_lines(ASKED.values()), out)
    try:
        if "--help" in words or "-h" in words:
            return _written(list_lines([find_named(name)]), out)
        given, answer = ask(name, _pairs(word for word in words if word != JSON))
    except AskError as error:
        raise UsageError(f"{error} `ferrule figure --help` shows what can be asked for.") from error
    if as_json_text or JSON in words:
        return _written([json.dumps(to_json(given, answer), ensure_ascii=True, indent=1)], out, raw=True)
    return _written(text_lines(given, answer), out)


def _written(lines: Iterable[str], out: TextIO, *, raw: bool = False) -> int:
    for line in lines:
        out.write(f"{line if raw else visible(line)}\n")
    return SHOWN


def _pairs(words: Iterable[str]) -> dict[str, str]:
    pairs: dict[str, str] = {}
    for word in words:
        key, sign, value = word.partition("=")
        if not sign and key not in FLAGS:
            raise UsageError(
                f"“{word}” is no key=value. Write the key, an equals sign and the number, as in length_m=60."
            )
        if key in pairs:
            raise UsageError(f"The key “{key}” stands there twice.")
        pairs[key] = value
    return pairs


def list_lines(figures: Iterable[Named]) -> Iterator[str]:
    """Yield figures with their keys."""
    for named in figures:
        yield f"{named.name}  {named.title}"
        yield f"    {' '.join(named.keys)}"


def to_json(given: Given, answer: Answer) -> dict[str, object]:
    """Return a figure as the JSON that scripts read; every number is a decimal string."""
    return {
        "figure": given.named.name,
        "given": dict(given.texts),
        "formula": f"{answer.formula}: {answer.put_in}",
        "result": answer.result.to_json(),
        "also": {name: found.to_json() for name, found in answer.also.items()},
        "verdict": answer.verdict.value if answer.verdict else None,
        "source": answer.source,
        "basis": answer.basis,
    }


def text_lines(given: Given, answer: Answer) -> Iterator[str]:
    """Yield a figure as a person reads it."""
    yield _heading(given.named)
    yield f"  formula  {answer.formula}"
    yield f"  put in   {answer.put_in}"
    if given.used:
        yield f"  taken    {', '.join(f'{key}={value}' for key, value in given.used.items())}"
    yield f"  result   {_amount(answer.result)}"
    for name, found in answer.also.items():
        yield f"  also     {name.replace('_', ' ')}: {_amount(found)}"
    if answer.verdict is not None:
        yield f"  verdict  {answer.verdict.value.replace('-', ' ')}"
    for note in answer.notes:
        yield f"  note     {note}"
    yield f"  source   {answer.source}"
    yield f"  basis    {answer.basis}"


def _heading(named: Named) -> str:
    return f"{named.name}: {named.title}"


def _amount(found: Amount) -> str:
    if found.value is None:
        return "none"
    unit = UNITS[found.unit].shown if found.unit in UNITS else {"A2s": "A²s"}.get(found.unit, found.unit)
    written = f"{found.rounded} {unit}".rstrip()
    full = found.to_json()["value"]
    return written if full == found.rounded else f"{written} (unrounded {full})"
