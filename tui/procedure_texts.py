"""The packaged set as it is read for lists, pages and graphs: compiled beside one card, with all of its plans.

Must never: write anything, or show a set that has an error.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from ferrule.engine.findings import BadFile, Level, nearest
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compare import read_tree
from ferrule.engine.procedure.compiled import Plan, Procedure
from ferrule.engine.procedure.load import compile_parts, load_card, load_plan
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.shell.sets import example_cards, packaged_set, read_text, set_texts
from ferrule.tui.around import InputError, UsageError
from ferrule.tui.check_files import role_of

_Text = tuple[str, str, str]
"""Role, id and text."""


@dataclass(frozen=True, slots=True)
class SetRead:
    """The packaged set compiled beside one card, with all of its plans."""

    parts: Parts
    plans: tuple[Plan, ...]

    def procedure(self, name: str) -> Procedure:
        """The procedure of this name; UsageError with the nearest name where there is none."""
        found = self.parts.procedures.get(name)
        if found is None:
            near = nearest(name, self.parts.procedures)
            hint = f"Did you mean “{near}”?" if near else "`ferrule procedures` lists them."
            raise UsageError(f"There is no procedure “{name}”. {hint}")
        return found


def read_set(card: str = "", limits: str = "", own: Sequence[_Text] = ()) -> SetRead:
    """The packaged set for a card, by file or example name; without one, for the first example card.

    `limits` names another edition than the card's; `own` texts stand in for packaged ones of the same role and id.
    """
    card_text = _card_text(card or example_cards()[0])
    found, findings = load_card(card_text, f"card/{card}")
    if found is None:
        raise BadFile(findings)
    replaced = {text[:2] for text in own}
    packaged = [(text.role, text.id, text.text) for text in set_texts(packaged_set())]
    texts = [*(text for text in packaged if text[:2] not in replaced), *own]
    edition = _known_limits(limits, texts) if limits else found.limits
    chosen = [
        t for t in texts if t[0] not in ("plan", "limits") or t[:2] in (("plan", found.plan), ("limits", edition))
    ]
    beside = [] if limits else [("card", found.id, card_text)]
    parts, findings = compile_parts([*beside, *chosen])
    if any(finding.level is Level.ERROR for finding in findings):
        raise BadFile(findings)
    return SetRead(parts, tuple(_plans(texts)))


def read_with(name: str, *, card: str = "", limits: str = "") -> tuple[SetRead, Procedure]:
    """The packaged set and one procedure: of the set by its name, or of a file, which then stands in the set."""
    own = own_procedure(name)
    found = read_set(card, limits, (own,) if own else ())
    return found, found.procedure(own[1] if own else name)


def _plans(texts: Iterable[_Text]) -> Iterator[Plan]:
    for role, name, text in texts:
        plan = load_plan(text, f"plan/{name}")[0] if role == "plan" else None
        if plan is not None:
            yield plan


def _known_limits(name: str, texts: Iterable[_Text]) -> str:
    known = [own for role, own, _ in texts if role == "limits"]
    if name not in known:
        near = nearest(name, known)
        hint = f"Did you mean “{near}”?" if near else f"There are: {', '.join(known)}."
        raise UsageError(f"There are no limits “{name}”. {hint}")
    return name


def _card_text(name: str) -> str:
    path = Path(name)
    if path.suffix or path.exists():
        return read_text(path)
    known = example_cards()
    if name not in known:
        near = nearest(name, known)
        hint = f"Did you mean “{near}”?" if near else f"Known: {', '.join(known)}."
        raise InputError(f"There is no card file “{name}” and no example card of that name. {hint}")
    return read_text(packaged_set() / "cards" / f"{name}.yaml")


def own_procedure(name: str) -> _Text | None:
    """The procedure in a file that is named instead of a packaged procedure; None where no file is meant."""
    if not name.endswith((".yaml", ".yml")):
        return None
    text = read_text(Path(name))
    if role_of(text) != "procedure":
        raise InputError(f"{name} does not begin with procedure:, so it holds no procedure.")
    return "procedure", str(read_tree(text, name)["procedure"]), text
