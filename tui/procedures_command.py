"""`ferrule procedures`: list the packaged procedures, show one as a page, draw it, compare two revisions, copy the set.

For: people who read, approve or change procedures.
Must never: hide that a procedure is a draft, or change a file that is there.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ferrule.engine.text import visible
from ferrule.tui.around import Around, UsageError

if TYPE_CHECKING:
    from ferrule.engine.procedure.graph import Graph
    from ferrule.engine.shell.folders import Folders

SHOWN, EQUAL, DIFFERS = 0, 0, 1
FORMS = ("text", "mermaid", "dot")
"""In which a graph is written: a tree to read, or text for a program that draws it."""


def add_procedures(commands: Any, folders: Callable[[str], Folders]) -> None:
    """Add the command and its four uses; `folders` finds the folders that `--home` names."""
    pages = commands.add_parser(
        "procedures",
        help="list the packaged procedures, show or draw one, or compare two revisions",
        description="Lists the packaged procedures by the chapters of the plan that uses them.",
    )
    pages.add_argument("--json", action="store_true", help="the list as JSON")
    pages.set_defaults(run=run_list, home="")
    uses = pages.add_subparsers(title="what else can be asked for", metavar="show | graph | compare | copy")
    _add_show(uses)
    _add_graph(uses)
    _add_compare(uses, folders)
    _add_copy(uses)


def _add_show(uses: Any) -> None:
    show = uses.add_parser("show", help="one procedure as a page to read")
    show.add_argument("name", metavar="PROCEDURE", help="its name, or a file with a procedure")
    show.add_argument("--markdown", action="store_true", help="the page as Markdown")
    show.add_argument("--limits", metavar="NAME", default="", help="the limits whose bands are shown")
    show.set_defaults(run=run_show, home="")


def _add_graph(uses: Any) -> None:
    graph = uses.add_parser("graph", help="a procedure's steps and answers, or a plan's goals and suppliers")
    graph.add_argument("name", nargs="?", metavar="PROCEDURE", help="its name, or a file; without it, the plan")
    graph.add_argument("card", nargs="?", metavar="CARD", help="a card: only what it asks for is drawn")
    graph.add_argument("--plan", action="store_true", help="the plan of the card, or of the first example card")
    graph.add_argument("--form", choices=FORMS, default="text", help="a tree of text, or a text for a drawing program")
    graph.set_defaults(run=run_graph, home="")


def _add_compare(uses: Any, folders: Callable[[str], Folders]) -> None:
    compare = uses.add_parser("compare", help="what differs between two revisions, and what may bear on safety")
    sorts = "a file, a folder, a log, or `packaged`"
    compare.add_argument("old", metavar="OLD", help=f"what was: {sorts}")
    compare.add_argument("new", metavar="NEW", help=f"what is: {sorts}")
    compare.add_argument("--json", action="store_true", help="the differences as JSON")
    compare.add_argument("--home", metavar="DIR", default="", help="the folder for logs and cache")
    compare.set_defaults(run=lambda args, around: run_compare(args, around, folders(args.home)))


def _add_copy(uses: Any) -> None:
    copy = uses.add_parser("copy", help="the packaged set as files of one's own, to change and to check")
    copy.add_argument("folder", metavar="DIR", help="a folder that is not there yet")
    copy.set_defaults(run=run_copy, home="")


def _write(around: Around, lines: Iterable[str]) -> None:
    for line in lines:
        around.stdout.write(f"{visible(line, keep_lf=True)}\n")


def run_list(args: argparse.Namespace, around: Around) -> int:
    """Write every packaged procedure under the chapters of each plan; return the exit code."""
    from ferrule.engine.procedure.listing import list_json, list_lines
    from ferrule.tui.procedure_texts import read_set

    found = read_set()
    plans, procedures = found.plans, found.parts.procedures
    _write(around, [_json(list_json(plans, procedures))] if args.json else list_lines(plans, procedures))
    return SHOWN


def run_show(args: argparse.Namespace, around: Around) -> int:
    """Write one procedure as a page; return the exit code."""
    from ferrule.engine.procedure.page import page_of
    from ferrule.engine.procedure.page_forms import markdown_lines, text_lines
    from ferrule.tui.pattern_words import WORDING
    from ferrule.tui.procedure_texts import read_with

    found, procedure = read_with(args.name, limits=args.limits)
    page = page_of(procedure, found.parts.procedures, found.parts.limits, WORDING)
    _write(around, markdown_lines(page) if args.markdown else text_lines(page))
    return SHOWN


def run_graph(args: argparse.Namespace, around: Around) -> int:
    """Write a procedure or a plan as a graph; return the exit code."""
    from ferrule.engine.procedure.graph import tree_lines
    from ferrule.engine.procedure.graph_forms import dot_lines, mermaid_lines

    drawn = {"text": tree_lines, "mermaid": mermaid_lines, "dot": dot_lines}[args.form]
    _write(around, drawn(_graph(args)))
    return SHOWN


def _graph(args: argparse.Namespace) -> Graph:
    from ferrule.engine.procedure.graph import graph_of_procedure
    from ferrule.engine.prover.supply import supply_of
    from ferrule.engine.prover.supply_graph import graph_of_plan, thinned
    from ferrule.tui.procedure_texts import read_set, read_with

    if args.plan and args.card:
        raise UsageError("Ask for a procedure or for the plan, not for both: `graph --plan CARD`.")
    if args.name and not args.plan:
        found, procedure = read_with(args.name, card=args.card or "")
        return graph_of_procedure(procedure, found.parts.procedures, found.parts.card_facts if args.card else None)
    supply = supply_of(read_set(args.name or "").parts)
    if supply is None:
        raise UsageError("This card names a plan that is not in the set.")
    whole = graph_of_plan(supply)
    return whole if args.form == "text" else thinned(whole)


def run_compare(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Write what differs between two revisions; return 0 when nothing does, 1 when something does."""
    from ferrule.engine.procedure.compare import compare_sets
    from ferrule.engine.procedure.compare_forms import text_lines, to_json
    from ferrule.tui.procedure_sides import find_side, match, trees

    old, new = match(*(find_side(name, folders, around.stderr) for name in (args.old, args.new)))
    found = compare_sets(*trees(old, new))
    if args.json:
        _write(around, [_json(to_json(found, old.says, new.says))])
    else:
        _write(around, text_lines(found, old.says, new.says))
    return DIFFERS if found else EQUAL


def run_copy(args: argparse.Namespace, around: Around) -> int:
    """Write the packaged cards, plans, procedures, limits and glossary into a new folder; return the exit code."""
    from ferrule.engine.shell.sets import copy_packaged_set

    count = copy_packaged_set(Path(args.folder))
    name = visible(args.folder)
    _write(around, [f"{count} files are in {name}. After a change: ferrule check --set {name}"])
    return SHOWN


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=True, indent=1)
