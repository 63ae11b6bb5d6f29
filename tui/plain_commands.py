"""The lines that do not answer a step: what each is called, how it is written, which command it gives.

Must never: tie a command to a step that is not on screen.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from ferrule.engine.safety.endings import ENDINGS
from ferrule.engine.walk import commands as c
from ferrule.tui.plain_line import Around, Give, LineError, Local, Parsed

COMMAND_FORMS: tuple[tuple[str, str], ...] = (
    ("sign HOLD as ROLE by PERSON [telephone WORDS]", "sign a hold point"),
    ("settle pass|fail|again because REASON", "decide on a doubtful answer"),
    ("not applicable because REASON", "pass over a step that allows it"),
    ("stop [because REASON]", "stop work: from here only what makes the place ready to be left is open"),
    ("carry on because REASON", "take work up again after a stop"),
    ("end as END because REASON", f"say how the job is to end: {', '.join(ENDINGS)}"),
    ("away [because REASON]", "leave the board"),
    ("back", "be at the board again"),
    ("hand over to PERSON locks WORDS", "hand the job to another person"),
    ("report WHAT [of OBJECT] [: NOTE]", "report something that happened"),
    ("correct ENTRY because REASON", "strike out an earlier entry"),
    ("remark WORDS", "add a remark to this step"),
    ("remark on STEP: WORDS", "add a remark to any step, by its name"),
    ("amend FIELD = VALUE seen WORDS agreed PERSON", "amend the card"),
    ("supervisor present | supervisor absent", "say whether the supervisor is beside the work"),
    ("by PERSON", "who acts from here on"),
    ("look", "show the step again"),
    ("list", "show every goal of the job"),
    ("path", "show what was done so far"),
    ("why", "show the reason and the source of this step"),
    ("causes", "show what may lie behind the readings so far, likeliest first; advice, not a verdict"),
    ("log code", "show the code of the log so far, to be kept away from this machine"),
    ("give up because REASON", "close the log as abandoned"),
    ("go on in FOLDER", "after a failed save: go on with the log on another medium"),
    ("clear", "empty the places that were filled and not recorded yet"),
    ("help", "show these forms"),
    ("leave", "end here; the job can be taken up again"),
)
"""Each command by its form, with what it does."""

_KEYWORDS = re.compile(
    r"(sign|settle|remark|stop|carry|end as|away|back|hand|report|correct|amend|not applicable|supervisor|by|look|list"
    r"|path|why|causes|clear|help|leave|log code|give up|go on in)\b",
    re.IGNORECASE,
)


def match_words(pattern: str, text: str) -> re.Match[str] | None:
    """Return the match of a whole line with a form, whatever its case."""
    return re.fullmatch(pattern, text, re.IGNORECASE | re.DOTALL)


def parse_command(text: str, around: Around) -> Parsed:
    """Return the command that a line gives; None for a line that begins with no command's word."""
    keyword = _KEYWORDS.match(text)
    if keyword is None:
        return None
    for pattern, make in _MAKERS:
        found = match_words(pattern, text)
        if found:
            return make(found, around)
    first = keyword[1].casefold()
    forms = [form for form, _ in COMMAND_FORMS if form.startswith(first)]
    raise LineError(f"“{first}” is written like this: {' or '.join(forms)}.")


def read_settle(found: re.Match[str], around: Around) -> Parsed:
    """Return the decision on the doubtful answer of the step on screen."""
    step = around.step()
    return Give(c.Settle(around.person, around.at, step.where, found["decision"].casefold(), found["reason"]))


def _settle_unnamed(found: re.Match[str], around: Around) -> Parsed:
    if around.script:
        raise LineError(f"In a script a decision names its step, as in “{around.step().where}: settle …”.")
    return read_settle(found, around)


def _not_applicable(found: re.Match[str], around: Around) -> Parsed:
    step = around.step()
    if around.script:
        raise LineError(f"In a script this names its step, as in “{step.where}: not applicable because …”.")
    return Give(c.NotApplicable(around.person, around.at, step.where, found["reason"]))


def _sign(found: re.Match[str], around: Around) -> Parsed:
    person = found["person"] or around.person
    return Give(c.Sign(person, around.at, found["hold"].casefold(), found["role"].casefold(), found["words"] or ""))


def _amend(found: re.Match[str], around: Around) -> Parsed:
    field, new, seen, agreed = (found[name].strip() for name in ("field", "new", "seen", "agreed"))
    return Give(c.Amend(around.person, around.at, field, seen, new, agreed))


def _report(found: re.Match[str], around: Around) -> Parsed:
    return Give(c.Report(around.person, around.at, found["what"].casefold(), found["of"] or "", found["note"] or ""))


def _give(make: Callable[[re.Match[str], str, c.Stamp], c.Command]) -> Callable[[re.Match[str], Around], Parsed]:
    return lambda found, around: Give(make(found, around.person, around.at))


_MAKERS: tuple[tuple[str, Callable[[re.Match[str], Around], Parsed]], ...] = (
    (r"sign (?P<hold>.+?) as (?P<role>\w+)(?: by (?P<person>\S+))?(?: telephone (?P<words>.+))?", _sign),
    (r"settle (?P<decision>\w+) because (?P<reason>.+)", _settle_unnamed),
    (r"not applicable because (?P<reason>.+)", _not_applicable),
    (r"stop(?: because (?P<reason>.+))?", _give(lambda m, who, at: c.StopWork(who, at, m["reason"] or ""))),
    (r"carry on because (?P<reason>.+)", _give(lambda m, who, at: c.CarryOn(who, at, m["reason"]))),
    (
        r"end as (?P<end>.+?) because (?P<reason>.+)",
        _give(lambda m, who, at: c.EndAs(who, at, m["end"].casefold(), m["reason"])),
    ),
    (r"away(?: because (?P<reason>.+))?", _give(lambda m, who, at: c.StepAway(who, at, m["reason"] or ""))),
    (r"back", _give(lambda _, who, at: c.ComeBack(who, at))),
    (
        r"hand over to (?P<to>\S+) locks (?P<locks>.+)",
        _give(lambda m, who, at: c.HandOver(who, at, m["to"], m["locks"])),
    ),
    (r"report (?P<what>[^:]+?)(?: of (?P<of>\S+?))?\s*(?::\s*(?P<note>.*))?", _report),
    (
        r"correct (?P<entry>[0-9]{1,6}) because (?P<reason>.+)",
        _give(lambda m, who, at: c.Correct(who, at, int(m["entry"]), m["reason"])),
    ),
    (
        r"remark on (?P<step>[^\s/:]+/[^\s:]+)\s*:\s*(?P<words>.+)",
        _give(lambda m, who, at: c.Remark(who, at, m["words"], m["step"])),
    ),
    (r"remark (?P<words>.+)", _give(lambda m, who, at: c.Remark(who, at, m["words"]))),
    (r"amend (?P<field>.+?)\s*=\s*(?P<new>.+?) seen (?P<seen>.+) agreed (?P<agreed>\S+)", _amend),
    (
        r"supervisor (?P<word>present|absent)",
        _give(lambda m, who, at: c.SayPresence(who, at, m["word"].casefold() == "present")),
    ),
    (r"by (?P<person>\S+)", lambda m, _: Local("by", m["person"])),
    (r"log code", lambda *_: Local("log code")),
    (
        r"(?P<word>give up) because (?P<reason>.+)",
        lambda m, _: Local(m["word"].casefold(), m["reason"]),
    ),
    (r"(?P<word>go on in) (?P<folder>.+)", lambda m, _: Local("go on in", m["folder"])),
    (r"(?P<word>look|list|path|why|causes|clear|help|leave)", lambda m, _: Local(m["word"].casefold())),
)
