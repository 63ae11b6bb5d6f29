"""A page as plain text of a fixed width, or as Markdown.

Must never: leave out a line of the page, or let a text of a file act as markup.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from textwrap import wrap

from ferrule.engine.procedure.page import Page, Part, StepPage

WIDTH = 80
_NAME = 12
_ROOM = 30
"""The least width that a text is wrapped to, however deep it stands."""


def text_lines(page: Page, width: int = WIDTH) -> Iterator[str]:
    """The page as plain text; no line is wider than `width` unless one word is."""
    yield from wrap(page.title, width)
    yield from wrap(page.standing, width)
    yield ""
    for part in page.parts:
        yield from _part_text(part, 0, width)
    section = ""
    for step in page.steps:
        if step.section and step.section != section:
            yield ""
            yield from wrap(step.section.upper(), width)
        section = step.section
        yield ""
        yield from _step_text(step, width)


def _step_text(step: StepPage, width: int) -> Iterator[str]:
    for warning in step.warnings:
        yield from _hanging(warning, "    ", "    ", width)
    mark = "CRITICAL. " if step.critical else ""
    yield from _hanging(f"{step.kind}. {mark}{step.text}", f"{step.number:>2}. ", "    ", width)
    for part in step.parts:
        yield from _part_text(part, 4, width)


def _part_text(part: Part, indent: int, width: int) -> Iterator[str]:
    first = f"{' ' * indent}{part.name:<{_NAME}}"
    rest = " " * len(first)
    for line in part.lines:
        if line.detail:
            yield from _hanging(line.text, f"{rest}- ", f"{rest}  ", width)
        else:
            yield from _hanging(line.text, first, f"{rest}  ", width)
        first = rest


def _hanging(text: str, first: str, rest: str, width: int) -> Iterator[str]:
    yield from wrap(
        text,
        max(width, len(rest) + _ROOM),
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )


def markdown_lines(page: Page) -> Iterator[str]:
    """The page as Markdown: one heading a section, one numbered paragraph a step, its parts as a list."""
    yield f"# {escaped(page.title)}"
    yield ""
    yield escaped(page.standing)
    yield ""
    for part in page.parts:
        yield from _part_markdown(part)
    section = ""
    for step in page.steps:
        if step.section and step.section != section:
            yield ""
            yield f"## {escaped(step.section)}"
        section = step.section
        yield ""
        yield from _step_markdown(step)


def _step_markdown(step: StepPage) -> Iterator[str]:
    for warning in step.warnings:
        yield f"> **{escaped(warning)}**"
        yield ""
    mark = " **CRITICAL.**" if step.critical else ""
    yield f"**{step.number}. {escaped(step.kind)}.**{mark} {escaped(step.text)}"
    yield ""
    for part in step.parts:
        yield from _part_markdown(part)


def _part_markdown(part: Part) -> Iterator[str]:
    if len(part.lines) == 1:
        yield f"- {escaped(part.name)}: {escaped(part.lines[0].text)}"
        return
    yield f"- {escaped(part.name)}:"
    yield from (f"{'    ' if line.detail else '  '}- {escaped(line.text)}" for line in part.lines)


_MARKUP = re.compile(r"([\\`*_{}\[\]<>#|~!&])")
_START = re.compile(r"^(\s*)([-+=]|\d+[.)])")


def escaped(text: str) -> str:
    """The text with every sign that Markdown would read as markup taken as itself."""
    marked = _MARKUP.sub(r"\\\1", text)
    return _START.sub(lambda m: f"{m[1]}{m[2][:-1]}\\{m[2][-1]}", marked)
