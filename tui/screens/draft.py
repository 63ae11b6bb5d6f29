"""What is typed and not yet recorded: one line with a cursor, and the places of a step.

For: answering a step from a number pad, value by value, before anything is given to the walk.
Must never: judge a reading, fill a place by itself, or repeat the last value.
"""

from __future__ import annotations

from dataclasses import field

from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.quantity.reading import parse_reading
from ferrule.engine.text import check_text
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cell_view import CellView

LINE_MAX = 1000
"""Characters of one typed text; the log bounds a text to 4 KiB (record format, section 1)."""


@dataclass
class Line:
    """A typed line with a cursor."""

    text: str = ""
    at: int = 0

    def put(self, typed: str) -> None:
        """Type at the cursor."""
        room = LINE_MAX - len(self.text)
        self.text = self.text[: self.at] + typed[:room] + self.text[self.at :]
        self.at += len(typed[:room])

    def key(self, name: str) -> bool:
        """Take a key that edits; False when it is another one."""
        if name == "backspace":
            self.text = self.text[: max(0, self.at - 1)] + self.text[self.at :]
            self.at = max(0, self.at - 1)
        elif name == "delete":
            self.text = self.text[: self.at] + self.text[self.at + 1 :]
        elif name in ("left", "right"):
            self.at = min(len(self.text), max(0, self.at + (1 if name == "right" else -1)))
        elif name in ("home", "end"):
            self.at = 0 if name == "home" else len(self.text)
        else:
            return False
        return True


FORM_KEYS = {"+": c.ABOVE, "-": c.BELOW, "*": c.NOT_REACHED, "/": c.UNSTABLE}
"""Keys of a number pad for what is not a number."""

FORM_WORDS = {
    c.ABOVE: "above range",
    c.BELOW: "no indication",
    c.NOT_REACHED: "not reached",
    c.UNSTABLE: "unstable",
}


@dataclass
class Fault:
    """Why a value was not taken: the sentence, and the column in the typed text (0 where none is meant)."""

    reason: str
    column: int = 0


@dataclass
class Draft:
    """The places of the step on screen with what is typed in them so far."""

    job: Job
    places: tuple[CellView, ...]
    at: int = 0
    """The place with the cursor; the number of places once all of them are behind."""
    lines: list[Line] = field(default_factory=list)
    forms: list[str] = field(default_factory=list)
    """How each place is filled; empty while it is open."""
    fault: Fault | None = None
    held: dict[tuple[str, str], str] = field(default_factory=dict)
    """Point and cell to the text that was held there as hard to believe; typed anew, it counts as given again."""

    def __post_init__(self) -> None:
        """Begin with every place open."""
        self.lines = [Line() for _ in self.places]
        self.forms = ["" for _ in self.places]

    @property
    def here(self) -> CellView | None:
        """The place with the cursor, or None behind the last."""
        return self.places[self.at] if self.at < len(self.places) else None

    @property
    def filled(self) -> int:
        """How many places are filled."""
        return sum(map(bool, self.forms))

    @property
    def begun(self) -> bool:
        """True when anything was typed."""
        return any(self.forms) or any(line.text for line in self.lines)

    @property
    def ready(self) -> bool:
        """True when every place is filled and the cursor is behind the last."""
        return self.here is None and all(self.forms)

    def answers(self) -> tuple[c.CellAnswer, ...]:
        """Return what is typed, verbatim."""
        return tuple(
            c.CellAnswer(place.point, place.cell, form, line.text, self._again(place, form, line))
            for place, form, line in zip(self.places, self.forms, self.lines, strict=True)
        )

    def _again(self, place: CellView, form: str, line: Line) -> bool:
        return form == c.NUMBER and self.held.get((place.point, place.cell)) == line.text

    def hold(self, point: str, cell: str) -> None:
        """Empty a place whose value is held, so that the same value has to be typed anew."""
        for number, place in enumerate(self.places):
            if (place.point, place.cell) == (point, cell):
                self.held[point, cell] = self.lines[number].text
                self.lines[number], self.forms[number] = Line(), ""

    def carry_to(self, places: tuple[CellView, ...]) -> None:
        """Go on with other places, as after a point was added; what stands in those that stay is kept."""
        kept = {
            (place.point, place.cell): (line, form)
            for place, line, form in zip(self.places, self.lines, self.forms, strict=True)
        }
        here = (self.here.point, self.here.cell) if self.here is not None else None
        found = [kept.get((place.point, place.cell), (Line(), "")) for place in places]
        self.places, self.lines, self.forms = places, [line for line, _ in found], [form for _, form in found]
        names = [(place.point, place.cell) for place in places]
        self.at = names.index(here) if here in names else self.forms.index("") if "" in self.forms else len(places)

    def point_at(self, point: str, cell: str, fault: Fault) -> None:
        """Put the cursor on a place that was refused, with the reason; its text stays."""
        self.fault = fault
        for number, place in enumerate(self.places):
            if (place.point, place.cell) == (point, cell):
                self.at = number
                self.forms[number] = ""

    # --- keys ---

    def key(self, name: str, char: str) -> bool:
        """Take a key; False when it does not belong to a place."""
        if name in ("up", "down"):
            self._go(-1 if name == "up" else 1)
            return True
        place = self.here
        if place is None:
            return False
        if name == "enter":
            self._enter(place)
            return True
        if place.kind == "state":
            return self._state_key(place, char)
        if char in FORM_KEYS and not self.lines[self.at].text and (place.kind == "number" or char == "*"):
            self._form(place, FORM_KEYS[char])
            return True
        return self._text_key(place, name, char)

    def paste(self, text: str) -> None:
        """Take pasted text as if it was typed, where text is typed."""
        place = self.here
        if place is not None and place.twice:
            self.fault = Fault("This reading is typed from the instrument, key by key; nothing is pasted here.")
        elif place is not None and place.kind != "state":
            self._type(text)

    def _go(self, step: int) -> None:
        self.fault = None
        self.at = max(0, min(len(self.places), self.at + step))
        if self.at == len(self.places) and not all(self.forms):
            self.at = len(self.places) - 1

    def _next(self) -> None:
        self.fault = None
        self.at += 1
        if self.at == len(self.places) and not all(self.forms):
            self.at = self.forms.index("")

    def _state_key(self, place: CellView, char: str) -> bool:
        if char == "*":
            self._form(place, c.NOT_REACHED)
            return True
        if not (len(char) == 1 and char in "123456789"):
            return False
        if int(char) > len(place.states):
            self.fault = Fault(f"There are {len(place.states)} states here; {char} is none of them.")
            return True
        self._set(c.SEEN, place.states[int(char) - 1])
        return True

    def _form(self, place: CellView, form: str) -> None:
        if form == c.ABOVE and not place.above:
            self.fault = Fault("This range has no end that a display could be above.")
        elif form == c.BELOW and not place.below:
            self.fault = Fault("Here a display shows down to zero; type the number that it shows.")
        else:
            self._set(form, "")

    def _set(self, form: str, text: str) -> None:
        """Fill the place; among several the cursor goes on by itself."""
        self.fault = None
        self.forms[self.at] = form
        self.lines[self.at] = Line(text, len(text))
        if len(self.places) > 1:
            self._next()

    def _text_key(self, place: CellView, name: str, char: str) -> bool:
        was_form = self.forms[self.at] in FORM_WORDS
        if was_form and name == "backspace":
            self.forms[self.at] = ""
            return True
        if self.lines[self.at].key(name):
            self.forms[self.at], self.fault = "", None
            return True
        if not (len(char) == 1 and char.isprintable()):
            return False
        if place.kind == "number" and char in FORM_KEYS:
            self.fault = Fault(f"“{char}” stands for “{FORM_WORDS[FORM_KEYS[char]]}”; empty the field first.")
            return True
        self._type(char)
        return True

    def _type(self, text: str) -> None:
        self.forms[self.at], self.fault = "", None
        self.lines[self.at].put(text)

    def _enter(self, place: CellView) -> None:
        form, text = self.forms[self.at], self.lines[self.at].text
        if not form:
            self.fault = self._fault_of(place, text)
            if self.fault is not None:
                self.lines[self.at].at = min(self.fault.column or len(text), len(text))
                return
            self.forms[self.at] = c.NUMBER if place.kind == "number" else c.WORDS
            if all(self.forms):
                self.at = len(self.places) - 1  # The last open place is filled: there is nothing to type in between.
        self._next()

    def _fault_of(self, place: CellView, text: str) -> Fault | None:
        """Return why a text cannot stand here, by the one grammar of readings; nothing is judged."""
        if place.kind == "state":
            return Fault("Press the digit beside what was seen.")
        if not text.strip():
            return Fault("The field is still empty.")
        if place.kind != "number":
            why = check_text(text)
            return Fault(why) if why else None
        found = function_of(self.job.card, place.function)
        if found is None:
            return None
        function = found[1]
        try:
            parse_reading(
                text,
                function.unit,
                resolution=function.resolution,
                full_scale=function.full_scale,
                lowest=function.lowest,
                comma=self.job.card.decimal_comma,
            )
        except FerruleError as error:
            return Fault(str(error), int(getattr(error, "column", 0)))
        return None
