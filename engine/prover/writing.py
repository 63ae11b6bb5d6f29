"""The rules of writing for a set, as a table: code, requirement, check, and an example of each kind.

For: texts that somebody reads aloud beside live parts; none of these findings keeps a job from being walked.
Must never: be a second place for what is dangerous; needs and effects are looked at elsewhere.

A rule's sentence is that of its code in the table of finding codes.
An example is a step, or a whole procedure where it begins with `procedure:`; one test runs each rule on both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ferrule.engine.findings import CODES, Finding, Findings, Level
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.prover import writing_steps, writing_terms, writing_warnings
from ferrule.engine.prover.writing_texts import Fault, Ground


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of writing."""

    code: str
    requirement: str
    """The row of the requirement table that it holds to."""
    check: Callable[[Ground], Iterator[Fault]]
    bad: str
    good: str
    level: Level = Level.WARNING

    @property
    def sentence(self) -> str:
        """What the rule says of a text that it finds."""
        return CODES[self.code]


_TEN = "".join(f"  - {{id: s{n}, do: Read the label., act: look for a fault}}\n" for n in range(1, 11))
_HEAD = "procedure: example\nrevision: 1\ntitle: Example\npurpose: Show one rule.\n"
_LINK = "act: fit a link\nof: line to earth at the board"
_LONG = " at the board, at the first socket, at the second socket"
_WARN = "warnings:\n  - {{severity: {0}, hazard: {1}, consequence: {2}, avoid: {3}}}"


def _warned(severity: str, hazard: str, consequence: str, avoid: str) -> str:
    return f"do: Join line to neutral.\nact: look for a fault\n{_WARN.format(severity, hazard, consequence, avoid)}"


def _do(sentence: str) -> str:
    return f"do: {sentence}\nact: look for a fault"


def _seen(state: str) -> str:
    return f"observe: Look at the lock.\nact: look for a fault\nstates: [{state}, still open]"


RULES: tuple[Rule, ...] = (
    Rule(
        "two-actions",
        "PA-01",
        writing_steps.two_actions,
        _do("Loosen the screw and pull the wire out."),
        _do("Move the wire while reading end to end.") + "\nsimultaneous: true",
    ),
    Rule(
        "not-imperative",
        "PA-02",
        writing_steps.not_imperative,
        _do("The screw is loosened."),
        _do("With the lock off, close the isolator."),
    ),
    Rule("not-a-sentence", "PA-02", writing_steps.not_a_sentence, _do("read the label"), _do("Read the label.")),
    Rule(
        "long-sentence",
        "PA-02",
        writing_steps.long_sentence,
        _do(f"Read line twice{_LONG}, and at last at the far point."),
        _do(f"Read line twice{_LONG}, at last at the far point."),
    ),
    Rule(
        "condition-after",
        "PA-03",
        writing_steps.condition_after,
        _do("Close the cover if the barrier is on."),
        '"do": "If the barrier is on, close the cover."\nact: look for a fault',
    ),
    Rule(
        "command-in-note",
        "PA-04",
        writing_warnings.command_in_note,
        _do("Read the label.") + "\nwhy: Count the screws as well.",
        _do("Read the label.") + "\nwhy: Labels get mixed up.",
    ),
    Rule(
        "act-in-warning",
        "PA-04",
        writing_warnings.act_in_warning,
        _warned("danger", "A link", "Shock", "Keep clear; test the link again."),
        _warned("danger", "A link", "Shock", "Keep clear of the link."),
    ),
    Rule(
        "no-way-out",
        "PA-05",
        writing_warnings.no_way_out,
        _warned("danger", "A link", "Shock", "Danger of death."),
        _warned("danger", "A link", "Shock", "Do not touch the link."),
    ),
    Rule(
        "no-warning",
        "PA-05",
        writing_warnings.no_warning,
        f"do: Join line to the protective conductor.\n{_LINK}",
        f"do: Join line to the protective conductor.\n{_LINK}\n" + _WARN.format("danger", "A", "Shock", "Keep clear."),
    ),
    Rule(
        "severity-unlike-harm",
        "PA-06",
        writing_warnings.severity_unlike_harm,
        _warned("warning", "A link", "The lamp is spoilt", "Keep clear."),
        _warned("notice", "A link", "The lamp is spoilt", "Keep clear."),
    ),
    Rule("and-or", "PA-07", writing_terms.and_or, _do("Read line and/or neutral."), _do("Read line or neutral.")),
    Rule(
        "double-negative",
        "PA-07",
        writing_terms.double_negative,
        _do("Read the label.") + "\nwhy: No end is never bare.",
        _do("Read the label.") + "\nwhy: Every end is covered.",
    ),
    Rule(
        "value-without-limit",
        "PA-10",
        writing_steps.value_without_limit,
        "round: Read the circuit.\nact: read separation\ncells:\n  - {read: Line to neutral, with: low resistance}",
        "round: Read the circuit.\nact: read separation\ncells:\n"
        "  - {read: Line to neutral, with: low resistance, expect: ring.r1}",
        level=Level.NOTE,
    ),
    Rule(
        "no-prerequisite",
        "PA-11",
        writing_steps.no_prerequisite,
        f"{_HEAD}steps:\n  - {{id: one, do: Read the label., act: look for a fault}}\n",
        f"{_HEAD}prerequisites: [None.]\nsteps:\n  - {{id: one, do: Read the label., act: look for a fault}}\n",
        level=Level.NOTE,
    ),
    Rule(
        "two-names",
        "PA-16",
        writing_terms.two_names,
        _do("Look at the consumer unit."),
        _do("Look at the board."),
    ),
    Rule(
        "no-reason",
        "PA-17",
        writing_steps.no_reason,
        _do("Read the label."),
        _do("Read the label.") + "\nwhy: Labels get mixed up.",
    ),
    Rule(
        "no-reference",
        "PA-17",
        writing_steps.no_reference,
        _do("Read the label."),
        _do("Read the label.") + "\nsource: common practice",
    ),
    Rule(
        "reason-in-step",
        "PA-17",
        writing_steps.reason_in_step,
        _do("Read the label because labels get mixed up."),
        _do("Read the label.") + "\nwhy: Labels get mixed up.",
    ),
    Rule(
        "unknown-reference",
        "PA-17",
        writing_steps.unknown_reference,
        _do("Read the label.") + "\nwhy: Hold point twelve rests on it.",
        _do("Read the label.") + "\nwhy: Hold point five rests on it.",
    ),
    Rule(
        "no-look-after",
        "PA-21",
        writing_steps.no_look_after,
        "do: Pull the ends out.\nact: take out the conductors\ncritical: true\nsource: common practice",
        "observe: Pull the ends out.\nact: take out the conductors\ncritical: true\nsource: common practice\n"
        "states:\n  - all out: pass\n  - one held fast: fail\nanswers:\n  - fail: again",
    ),
    Rule(
        "vague-word",
        "PA-22",
        writing_terms.vague_word,
        _do("Tighten the screw as required."),
        _do("Tighten the screw to the torque of the leaflet."),
    ),
    Rule(
        "bare-number",
        "PA-23",
        writing_terms.bare_number,
        _do("Read the pair at 250 again."),
        _do("Read the pair at 250 V again."),
    ),
    Rule("answer-of-approval", "SP-07", writing_steps.answer_of_approval, _seen("OK"), _seen("shut, key out")),
    Rule(
        "long-section",
        "SP-14",
        writing_steps.long_section,
        f"{_HEAD}sections:\n  - section: All\n    steps:\n" + _TEN.replace("  - ", "      - "),
        f"{_HEAD}sections:\n  - section: All\n    steps:\n" + _TEN.replace("  - ", "      - ").rsplit("      - ", 1)[0],
        level=Level.NOTE,
    ),
)
"""All rules, in the order of the requirement table."""

BY_CODE: dict[str, Rule] = {rule.code: rule for rule in RULES}


def check_writing(parts: Parts) -> tuple[Finding, ...]:
    """All findings of the rules of writing, sorted by place; without a glossary the rules that need one are silent."""
    ground = Ground(parts)
    found = Findings()
    for rule in RULES:
        for fault in rule.check(ground):
            found.add(rule.code, fault.message, fault.place, hint=fault.hint, level=rule.level)
    return found.all()
