"""Whether what a card says of its incoming side, its old device and its shutdown can be true together.

For: boards that are isolated upstream, devices that may be put back, ways that share a shutdown.
Must never: ask for more than the card needs to be walked.
"""

from __future__ import annotations

from ferrule.engine.findings import Findings
from ferrule.engine.procedure.models_card import CardForm
from ferrule.engine.procedure.words import OWN


def check_upstream(form: CardForm, found: Findings) -> None:
    """Keep every contradiction of the incoming side, the old device and the shutdown."""
    if form.is_whole("sources"):
        _check_tails(form, found)
        _check_custody(form, found)
    _check_incoming_point(form, found)
    if form.old_terminals and form.old_device == "none":
        message = "The card lists terminals of an old device, and says that there is none."
        found.add("card-contradiction", message, form.key_place("old terminals"), hint="leave the old terminals out")
    if form.shutdown is not None and not form.shutdown.other_ways:
        message = "A shutdown that is shared names the other ways."
        found.add("card-contradiction", message, form.key_place("shutdown"), hint='"other ways:" with id and name')


def _check_tails(form: CardForm, found: Findings) -> None:
    upstream = [source for source in form.sources if source.upstream]
    if (form.tails == "isolated") is not bool(upstream):
        message = (
            f'The tails are "{form.tails}", and {len(upstream) or "no"} source of the card isolates them upstream.'
        )
        hint = '"tails: isolated" goes with a source that says "upstream: true"'
        found.add("card-contradiction", message, form.place("tails"), hint=hint)
    for source in upstream:
        if source.main:
            message = f'The source "{source.id}" cannot be both behind the main switch and upstream of it.'
            found.add("card-contradiction", message, source.place("upstream"), hint="two sources, one for each switch")


def _check_custody(form: CardForm, found: Findings) -> None:
    for source in form.sources:
        if source.custody == OWN:
            continue
        if not source.upstream or form.supply.origin == "own board":
            message = f'The source "{source.id}" is of our own installation, so that its lock is our own.'
            found.add("card-contradiction", message, source.place("custody"), hint='"custody: own"')


def _check_incoming_point(form: CardForm, found: Findings) -> None:
    points = [point.id for point in form.proving_points]
    if form.tails == "isolated" and not form.incoming_point:
        message = "The incoming side is isolated upstream, and no proving point stands for it."
        hint = '"incoming point:" with the id of a proving point'
        found.add("card-contradiction", message, form.place("tails"), hint=hint)
    elif form.incoming_point and form.tails == "live":
        message = f'The incoming side stays live, and "{form.incoming_point}" is to prove it.'
        hint = 'leave the incoming point out, or "tails: isolated"'
        found.add("card-contradiction", message, form.place("incoming point"), hint=hint)
    elif form.incoming_point and form.incoming_point not in points:
        message = f'The incoming point "{form.incoming_point}" is no proving point.'
        found.add("card-contradiction", message, form.place("incoming point"), hint=f"one of: {', '.join(points)}")
