"""The page of a procedure holds everything that the compiled set holds of it, in words, within 80 columns."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.electrics.figures import NAMES
from ferrule.engine.procedure import page as room
from ferrule.engine.procedure.compiled import Procedure, Step, Warned
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.procedure.page import Wording, page_of
from ferrule.engine.procedure.page_forms import WIDTH, escaped, markdown_lines, text_lines
from ferrule.engine.procedure.page_words import KIND_WORDS, band_words
from ferrule.engine.procedure.words import KINDS
from ferrule.engine.safety.acts import ACTS
from tests.procedure.cases import good_set
from tests.procedure.packaged import packaged_parts

JOB = compile_job(good_set())


def plain_fact(fact: str, values: tuple[str, ...], of: str) -> str:
    """A fact as the table has it."""
    return f"<{fact} {'|'.join(values)} {of}>"


def plain_warning(warned: Warned) -> str:
    """A warning as its record has it."""
    return f"<{warned.severity} {warned.hazard} {warned.consequence} {warned.avoid}>"


WORDING = Wording(plain_fact, plain_warning)


def squeezed(lines: Iterator[str]) -> str:
    """A page as one line."""
    return " ".join(" ".join(lines).split())


def whole(procedure: Procedure) -> str:
    """The page of a procedure of the packaged set as one line."""
    parts = packaged_parts()
    return squeezed(text_lines(page_of(procedure, parts.procedures, parts.limits, WORDING)))


def said(text: str) -> str:
    """A text as it stands on a page that is one line."""
    return " ".join(text.split())


# --- nothing is left out ---


@pytest.mark.parametrize("name", sorted(packaged_parts().procedures))
def test_the_page_holds_the_whole_procedure(name: str) -> None:
    """Head, sentences, acts with all needs and effects, warnings, cells, states, answers, reasons: all are there."""
    procedure = packaged_parts().procedures[name]
    found = whole(procedure)
    wanted = [procedure.title, procedure.purpose, procedure.scope, *procedure.prerequisites]
    wanted += [text for step in procedure.steps for text in texts_of(step)]

    assert [text for text in wanted if said(text) not in found] == []
    assert ("DRAFT: not approved for work" in found) is procedure.draft


def texts_of(step: Step) -> Iterator[str]:
    """Everything of a step that has to be on its page."""
    yield from (step.text, step.why, step.source, step.act)
    yield from (plain_warning(warned) for warned in step.warnings)
    yield from (condition.fact for condition in step.when)
    act = ACTS.get(step.act)
    if act is not None:
        yield from (plain_fact(need.fact, need.values, step.of) for need in act.needs)
        yield from (plain_fact(e.fact, (e.value,), step.of) for effects in act.effects.values() for e in effects)
        yield from act.voids
        yield from (act.hazard, *act.touches)
    for cell in step.cells:
        yield from (cell.prompt.rstrip("."), cell.judge, cell.expect, cell.figure, cell.slot, cell.function)
        yield from (f"{state.seen}: {state.answer}" for state in cell.states)
    yield from (word for word in step.answers if not (word == "pass" and "done" in step.answers))
    yield from (target.partition(":")[2] for target in step.answers.values() if target.startswith("procedure:"))


@pytest.mark.parametrize("name", sorted(packaged_parts().procedures))
def test_a_page_is_80_columns_wide(name: str) -> None:
    """No line of a packaged procedure is wider than a terminal of 80 columns."""
    parts = packaged_parts()
    page = page_of(parts.procedures[name], parts.procedures, parts.limits, WORDING)
    longest = [line for line in text_lines(page) if len(line) > WIDTH and " " in line.strip()]

    assert longest == []


def test_every_kind_of_step_has_its_word() -> None:
    """The kinds on a page are those of the forms."""
    assert tuple(KIND_WORDS) == KINDS


# --- what it says ---


def page_text(name: str, **changes: object) -> list[str]:
    """The page of a procedure of the small set, as lines."""
    procedure = replace(JOB.procedures[name], **changes)  # type: ignore[arg-type]
    return list(text_lines(page_of(procedure, JOB.procedures, JOB.limits, WORDING)))


def test_an_approved_procedure_says_so() -> None:
    """The second line says draft or approved, never nothing."""
    assert page_text("condition")[1] == "condition, revision 1, approved"
    assert page_text("condition", draft=True)[1] == "condition, revision 1, DRAFT: not approved for work"


def test_warnings_stand_before_the_step() -> None:
    """A warning is read before the sentence that it guards."""
    found = whole(packaged_parts().procedures["prove-dead"])
    step = packaged_parts().procedures["prove-dead"].steps[0]

    assert found.index(said(plain_warning(step.warnings[0]))) < found.index(said(step.text))


def test_a_critical_step_is_marked_in_its_sentence() -> None:
    """The mark stands before the words of the step, not somewhere below."""
    assert "1. Round. CRITICAL." in whole(packaged_parts().procedures["prove-dead"])
    assert "CRITICAL" not in " ".join(page_text("condition"))


def test_where_answers_lead_is_said_by_number_and_by_title() -> None:
    """A step by its number, a procedure by id and title, the way on, the end."""
    text = " ".join(" ".join(page_text("find-lead")).split())

    assert "fail, over-range: step 4" in text
    assert "done: the procedure ends" in text
    assert "fail: the procedure find-lead, A bad lead" in " ".join(" ".join(page_text("null-leads")).split())


def test_bands_are_in_words_with_the_figure_that_they_name() -> None:
    """A band reads as in the limits file; a figure has its title beside it and a setting its value."""
    figure = band_words(JOB.limits.rows["loop"].bands[0], {})
    assert figure == f"up to {NAMES['loop.limit'].title} (loop.limit)"
    parts = packaged_parts()
    assert parts.limits is not None
    legs = parts.limits.rows["ring-step-two"].bands[0]

    assert band_words(legs, {"ring-tolerance": "0.05"}) == "up to 0.05 ohm (setting ring-tolerance)"
    assert band_words(legs, {}) == "up to setting ring-tolerance"


def test_a_limit_is_spelt_out_once_on_a_page() -> None:
    """The bands of a row stand where it is first named; further cells refer to them."""
    text = whole(packaged_parts().procedures["insulation"])

    assert text.count("limit from: ") == 1
    assert text.count("judged by the limit insulation, as above") == 2


def test_without_limits_a_row_is_still_named() -> None:
    """A page that has no limits at hand names the row instead of passing over it."""
    page = page_of(JOB.procedures["null-leads"], {}, None, WORDING)

    assert "judged by the limit lead-null" in squeezed(text_lines(page))


def test_hold_points_say_who_signs() -> None:
    """The page of a hold point names the roles under each sign-off plan."""
    text = whole(packaged_parts().procedures["hold-five"])

    assert "working alone: technician" in text
    assert "supervised: technician, supervisor" in text
    assert "by telephone" in text


def test_the_needs_are_those_of_the_table_of_acts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take the needs out of the table and they are gone from the page: the page keeps no list of its own."""
    act = ACTS["tell the users"]
    before = page_text("tell-users")
    monkeypatch.setattr(room, "ACTS", {**ACTS, act.name: replace(act, needs=(), effects={})})
    after = page_text("tell-users")

    assert "<users told >" in " ".join(before)
    assert "<users told >" not in " ".join(after)
    assert sum("    Needs " in line for line in before) == sum("    Needs " in line for line in after) + 1


# --- Markdown ---


@pytest.mark.parametrize("name", sorted(packaged_parts().procedures))
def test_markdown_says_what_the_text_says(name: str) -> None:
    """Read by another program, the Markdown of a page holds the same words in the same order as its text."""
    markdown = pytest.importorskip("markdown_it").MarkdownIt("commonmark")
    parts = packaged_parts()
    page = page_of(parts.procedures[name], parts.procedures, parts.limits, WORDING)
    tokens = markdown.parse("\n".join(markdown_lines(page)))
    inline = ["".join(child.content for child in token.children) for token in tokens if token.type == "inline"]
    read = said(" ".join(inline))

    assert {token.type for token in tokens if token.type.startswith(("html", "fence", "code", "hr"))} == set()
    assert [text for step in page.steps for text in (step.text, *step.warnings) if said(text) not in read] == []
    assert [text for step in parts.procedures[name].steps for text in texts_of(step) if said(text) not in read] == []


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.text(st.characters(codec="ascii", categories=("L", "N", "P", "S", "Zs")), min_size=1, max_size=30))
def test_no_text_acts_as_markup(text: str) -> None:
    """Whatever a file says, its page shows as these signs: nothing becomes bold, a list, a link or a heading."""
    markdown = pytest.importorskip("markdown_it").MarkdownIt("commonmark")
    words = " ".join(text.split())
    if not words:
        return
    tokens = markdown.parse(escaped(words))
    inline = [child for token in tokens for child in token.children or ()]

    assert [token.type for token in tokens] == ["paragraph_open", "inline", "paragraph_close"]
    assert {child.type for child in inline} <= {"text", "text_special", "softbreak"}
    assert "".join(child.content for child in inline) == words
