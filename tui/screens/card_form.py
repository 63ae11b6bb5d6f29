"""The form that makes a card: one thing asked after the other, each checked where it is typed.

Must never: fill in what was not typed, or lose what was when another screen is opened.
"""

from __future__ import annotations

from dataclasses import field

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.new_card import AMOUNT, CHOICE, NAMES, TAKEN_OVER, Asked, fault_of
from ferrule.engine.quantity.units import UNITS
from ferrule.tui.screens.areas import Area
from ferrule.tui.screens.draft import Line
from ferrule.tui.screens.entry import with_cursor
from ferrule.tui.widgets.paint import Block, Room
from ferrule.tui.widgets.rows import Row, Rows
from ferrule.tui.widgets.text import Part, content, rows

_TO_PATH = "All is said. Enter has the card checked and writes it; Up goes back."


@dataclass
class Form:
    """What is asked, and what is typed so far."""

    example: str
    asked: tuple[Asked, ...]
    at: int = 0
    """The field with the cursor; the number of fields once all are behind."""
    lines: list[Line] = field(default_factory=list)
    fault: str = ""

    def __post_init__(self) -> None:
        """Begin with every field empty."""
        self.lines = [Line() for _ in self.asked]

    @property
    def here(self) -> Asked | None:
        """The field with the cursor, or None behind the last."""
        return self.asked[self.at] if self.at < len(self.asked) else None

    @property
    def filled(self) -> int:
        """How many fields hold what can stand there."""
        return sum(not fault_of(a, line.text) for a, line in zip(self.asked, self.lines, strict=True))

    def said(self) -> dict[str, str]:
        """Return everything that was typed, by its key."""
        return {a.key: line.text.strip() for a, line in zip(self.asked, self.lines, strict=True)}

    def key(self, name: str, char: str) -> bool:
        """Take a key; False when it is not for the form."""
        asked = self.here
        if name in ("up", "down"):
            self._go(self.at + (1 if name == "down" else -1))
            return True
        if asked is None:
            return False
        line = self.lines[self.at]
        if name == "enter":
            self._enter(asked, line)
        elif asked.kind == CHOICE and len(char) == 1 and char in "123456789" and int(char) <= len(asked.choices):
            chosen = asked.choices[int(char) - 1]
            self.lines[self.at], self.fault = Line(chosen, len(chosen)), ""
        elif line.key(name):
            self.fault = ""
        elif asked.kind != CHOICE and len(char) == 1 and char.isprintable():
            self.fault = ""
            line.put(char)
        else:
            return False
        return True

    def paste(self, text: str) -> None:
        """Take pasted text where text is typed."""
        if self.here is not None and self.here.kind != CHOICE:
            self.lines[self.at].put(text)

    def open_again(self) -> None:
        """Go to the first field whose text cannot stand, or behind the last."""
        faults = [fault_of(a, line.text) for a, line in zip(self.asked, self.lines, strict=True)]
        self.at = next((n for n, fault in enumerate(faults) if fault), len(self.asked))
        self.fault = ""

    def _go(self, at: int) -> None:
        self.fault = ""
        self.at = max(0, min(len(self.asked), at))
        if self.at == len(self.asked) and self.filled < len(self.asked):
            self.at = len(self.asked) - 1

    def _enter(self, asked: Asked, line: Line) -> None:
        self.fault = fault_of(asked, line.text)
        if self.fault:
            return
        if self.at == len(self.asked) - 1:
            self.open_again()
        else:
            self._go(self.at + 1)


def form_area(form: Form, cells: int) -> Area:
    """Return the form as it is shown: all fields, and the one with the cursor below them."""
    title = f"A card made from the example {form.example}: {form.filled} of {len(form.asked)} filled"
    found = tuple(Row((a.section, a.says, line.text or "[ ]")) for a, line in zip(form.asked, form.lines, strict=True))
    fields = Rows(found, (11, (cells - 2) * 2 // 5, 0), min(form.at, len(found) - 1))
    return Area(
        (
            Block("form-title", "page", content((title, "bold")), pad=1),
            Room("form-rows", "page", fields, 3),
            Block("form-says", "page", rows(_says(form)), pad=1),
            Block("form-field", "field", content(*_field(form, cells)), pad=1),
            Block("form-fault", "fault", content(f"NOT TAKEN: {form.fault}" if form.fault else ""), pad=1),
        )
    )


def _says(form: Form) -> list[str]:
    asked = form.here
    if asked is None:
        return [
            _TO_PATH,
            "Taken over from the example, to be looked through in the file:",
            *(f"- {x}" for x in TAKEN_OVER),
        ]
    lines = [f"{asked.says}."]
    if asked.kind == CHOICE:
        lines.append("   ".join(f"{n} {choice}" for n, choice in enumerate(asked.choices, 1)))
    elif asked.example:
        lines.append(f"In the example: {asked.example}{_unit(asked)}")
    return lines


def _unit(asked: Asked) -> str:
    return f" {UNITS[asked.unit].shown}" if asked.kind == AMOUNT else ""


def _field(form: Form, cells: int) -> list[Part]:
    asked = form.here
    if asked is None:
        return [""]
    return [(f"[ {with_cursor(form.lines[form.at], cells - 16)} ]", "bold"), _unit(asked)]


def form_hint(form: Form) -> str:
    """Return which keys answer the form."""
    asked = form.here
    if asked is None:
        return "Enter checks and writes  Up back  Esc: list; text stays"
    dash = "- nothing  " if asked.may_lack or asked.kind == NAMES else ""
    digits = f"1 to {len(asked.choices)}  " if asked.kind == CHOICE else ""
    return f"{digits}{dash}Enter next  Up, Down  Esc: list; text stays"
