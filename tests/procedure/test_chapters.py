"""Procedures stand under the chapters of the plan, each once, and the list leaves none out."""

from __future__ import annotations

from dataclasses import replace

from ferrule.engine.procedure.chapters import LED_TO, NOT_USED, chapters_of
from ferrule.engine.procedure.compiled import Plan
from ferrule.engine.procedure.listing import list_json, list_lines
from ferrule.engine.procedure.load import compile_job, load_plan
from tests.procedure.cases import good, good_set
from tests.procedure.packaged import packaged_parts

JOB = compile_job(good_set())


def plan_of(text: str) -> Plan:
    """The plan of a text."""
    plan, _ = load_plan(text, "plan/x")
    assert plan is not None
    return plan


def test_a_chapter_goes_on_until_the_next_one_is_named() -> None:
    """A goal without a chapter belongs to that of the goal before it in the same list, and never to another list's."""
    text = (
        "plan: x\nrevision: 1\ntitle: X\ngoals:\n"
        "  - {fact: users is told, by: a}\n"
        "  - {fact: cover is closed, by: b, chapter: One}\n"
        "  - {fact: cover is open, by: c}\n"
        "suppliers:\n  - {fact: tails is shrouded, by: d}\n"
    )
    plan = plan_of(text)

    assert [goal.chapter for goal in plan.goals] == ["", "One", "One"]
    assert [goal.chapter for goal in plan.suppliers] == [""]


def test_every_procedure_stands_in_one_chapter() -> None:
    """Over the packaged set, the chapters hold each procedure just once."""
    parts = packaged_parts()
    assert parts.plan is not None
    listed = [name for chapter in chapters_of(parts.plan, parts.procedures) for name in chapter.procedures]

    assert sorted(listed) == sorted(parts.procedures)


def test_chapters_come_in_the_order_of_the_plan() -> None:
    """The titles are the plan's own, in its order; behind them what only answers lead to, and what nothing names."""
    parts = packaged_parts()
    assert parts.plan is not None
    own = list(dict.fromkeys(goal.chapter for goal in parts.plan.goals))
    titles = [chapter.title for chapter in chapters_of(parts.plan, parts.procedures)]

    assert titles[: len(own)] == own
    assert len(own) > 5
    assert "" not in titles


def test_what_only_an_answer_leads_to_is_told_apart() -> None:
    """A procedure that no goal names is led to by an answer, however far, or is not used."""
    alone = replace(JOB.procedures["walk-round"], id="alone")
    procedures = {**JOB.procedures, "alone": alone}
    found = {chapter.title: chapter.procedures for chapter in chapters_of(JOB.plan, procedures)}

    assert "find-lead" in found[LED_TO]
    assert "alone" in found[NOT_USED]


def test_without_chapters_the_lists_of_the_plan_are_the_headings() -> None:
    """A plan that names no chapter is listed as goals and suppliers."""
    titles = [chapter.title for chapter in chapters_of(JOB.plan, JOB.procedures)]

    assert titles[:2] == ["Goals", "Suppliers"]


def test_the_list_shows_standing_and_purpose() -> None:
    """Each procedure is listed with title, revision and purpose; a draft is called so, and an approved one too."""
    draft = {**JOB.procedures, "identify": replace(JOB.procedures["identify"], draft=True, revision=7)}
    text = "\n".join(list_lines((JOB.plan,), draft))

    assert "identify: Board and way, revision 7, DRAFT" in text
    assert "condition: Condition, revision 1, approved" in text
    assert "Show that earthing and bonding are there." in text
    assert f"{len(draft)} procedures, 1 of them drafts" in text


def test_the_list_as_values_has_the_same_procedures() -> None:
    """The JSON names every procedure with its standing, under the same chapters."""
    made: dict[str, list[dict[str, list[dict[str, list[dict[str, object]]]]]]]
    made = list_json((JOB.plan,), JOB.procedures)  # type: ignore[assignment]
    listed = [p for chapter in made["plans"][0]["chapters"] for p in chapter["procedures"]]

    assert {str(p["id"]) for p in listed} == set(JOB.procedures)  # type: ignore[index]
    assert good("plan", "small-plan").count("by: identify") == 1
