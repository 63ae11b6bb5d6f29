"""A figure asked for by name with `key=value`, without any job: what was given, what was found, and in what words.

For: `ferrule figure`.  The formulas are those of the walk; this module only reads keys and writes answers.
Must never: guess a missing key, or take an unknown key for a known one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import field
from decimal import ROUND_HALF_UP, Decimal

from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.electrics.tables import Sourced
from ferrule.engine.findings import FerruleError, nearest
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import EXACT, exact, plain
from ferrule.engine.quantity.number import explain

__all__ = ["Amount", "Answer", "AskError", "Given", "Named", "amount", "said_with"]

MAX_DIGITS = 12
"""Digits on each side of the point, as in files."""


class AskError(FerruleError):
    """A figure that was asked for in a way that has no answer; the message says what to write instead."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit, unrounded, and as a person writes it; `value` is None where there is none."""

    value: Decimal | None
    unit: str
    rounded: str

    def to_json(self) -> dict[str, str | None]:
        """The amount as texts."""
        value = None if self.value is None else plain(self.value)
        return {"value": value, "unit": self.unit, "rounded": self.rounded if self.value is not None else None}


def amount(value: Decimal, unit: str, places: int, rounding: str = ROUND_HALF_UP) -> Amount:
    """An amount rounded to a count of decimals for reading; a limit is rounded to its safe side."""
    with exact():
        rounded = value.quantize(Decimal(1).scaleb(-places), rounding=rounding)
        return Amount(_short(value), unit, plain(rounded))


def _short(value: Decimal) -> Decimal:
    """The number without zeros at its end."""
    return Decimal(plain(value.normalize(EXACT)))


@dataclass(frozen=True, slots=True)
class Answer:
    """A figure as found, with everything that a person checks it by."""

    formula: str
    put_in: str
    result: Amount
    source: str
    basis: str = "published"
    """`published`, `from memory` or `common practice`: the weakest of what it rests on."""
    also: Mapping[str, Amount] = field(default_factory=dict)
    verdict: Outcome | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Named:
    """A figure that can be asked for: its keys and how it is found."""

    name: str
    title: str
    keys: tuple[str, ...]
    """Every key, those that must stand there first; `a|b` needs one of the two, `[a]` may be left out."""
    find: Callable[[Given], Answer]

    @property
    def all_keys(self) -> tuple[str, ...]:
        """Every key that may be written, without the signs."""
        return tuple(dict.fromkeys(part for key in self.keys for part in _parts(key)))


def _parts(key: str) -> list[str]:
    return key.strip("[]").replace("|", " ").split()


def meant(word: str, known: Iterable[str]) -> str:
    """What may have been meant: the nearest spelling, a word that begins or holds it, else all that there are."""
    names = tuple(known)
    near = nearest(word, names)
    if near is None and word:
        near = min((name for name in names if name.startswith(word) or word in name), key=len, default=None)
    return f"Did you mean “{near}”?" if near else f"There are: {', '.join(names)}."


class Given:
    """The keys and texts that were given for one figure, read as numbers or words."""

    def __init__(self, named: Named, texts: Mapping[str, str]) -> None:
        self.named = named
        self.texts = dict(texts)
        for key in texts:
            if key not in named.all_keys:
                raise AskError(f"The figure {named.name} has no key “{key}”. {meant(key, named.all_keys)}")
        self.used: dict[str, str] = {}
        """Keys that were left out, with the value that was taken for each."""

    def has(self, key: str) -> bool:
        """True when the key was given."""
        return key in self.texts

    def text(self, key: str, usual: str | None = None) -> str:
        """The text of a key, or what is taken when it was left out."""
        if key in self.texts:
            return self.texts[key]
        if usual is None:
            raise AskError(f"The figure {self.named.name} needs {key}=…; its keys are: {' '.join(self.named.keys)}.")
        self.used[key] = usual
        return usual

    def number(self, key: str, usual: str | None = None, *, least: Decimal | None = Decimal(0)) -> Decimal:
        """The number of a key; by default none below zero, and `least=None` for a temperature."""
        return self.parse(key, self.text(key, usual), least=least)

    def above_zero(self, key: str, usual: str | None = None) -> Decimal:
        """The number of a key where zero has no meaning."""
        value = self.number(key, usual)
        if value == 0:
            raise AskError(f"{key} is 0; it has to be above zero.")
        return value

    def numbers(self, key: str) -> list[tuple[Decimal, bool]]:
        """A list of numbers with commas between; true marks one that only says `above this`."""
        parts = self.text(key).split(",")
        return [(self.parse(key, part.removeprefix(">")), part.startswith(">")) for part in parts]

    def parse(self, key: str, text: str, *, least: Decimal | None = Decimal(0)) -> Decimal:
        """The number that a text writes, in the grammar of files; the error names the key and the character."""
        digits = text.removeprefix("-")
        whole, point, part = digits.partition(".")
        good = all(
            bit.isascii() and bit.isdigit() and len(bit) <= MAX_DIGITS for bit in (whole, *([part] * bool(point)))
        )
        if not good:
            start = len(text) - len(digits)
            message, column = explain(text, start, comma=False, max_digits=MAX_DIGITS)
            raise AskError(f"{key}={text}: {message} (character {column})")
        value = Decimal(text)
        if least is not None and value < least:
            raise AskError(f"{key} is {plain(value)}; it may not be below {plain(least)}.")
        return value

    def one_of(self, key: str, choices: Mapping[str, str], usual: str | None = None) -> str:
        """The choice that a word stands for; any spelling in `choices` counts."""
        text = self.text(key, usual)
        chosen = choices.get(text.casefold().strip())
        if chosen is None:
            raise AskError(f"{key} knows no “{text}”. {meant(text.casefold(), dict.fromkeys(choices.values()))}")
        return chosen

    def either(self, *keys: str) -> str:
        """The one key of several that was given; more than one or none is an error."""
        given = [key for key in keys if key in self.texts]
        if len(given) != 1:
            wanted = " or ".join(keys)
            raise AskError(f"The figure {self.named.name} needs one of {wanted}, not {len(given) or 'none'} of them.")
        return given[0]


def said_with(value: Sourced | Decimal, unit: str) -> str:
    """A number for a formula, with its unit."""
    number = value.value if isinstance(value, Sourced) else value
    return f"{plain(_short(number))} {unit}".rstrip()
