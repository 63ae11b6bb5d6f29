"""What `ferrule check --sarif` writes: the findings in SARIF 2.1.0, the open format of OASIS for results of checks.

For: editors and services that show findings beside the text.
Must never: hold a path of this machine where the file was named by a relative one, or a time: the same files give the
same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from ferrule.engine.findings import CODES, Finding, Level, Place
from ferrule.engine.prover.writing import BY_CODE
from ferrule.engine.version import VERSION

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"


def as_sarif_text(
    found: Sequence[Finding], texts: Mapping[str, str], unread: Sequence[str], *, exit_code: int, folder: Path
) -> str:
    """Return one run as SARIF; files below the folder are named from it."""
    index = {name: at for at, name in enumerate(texts)}
    uris = {name: _uri(name, folder) for name in texts}
    run = {
        "tool": {"driver": {"name": "ferrule", "version": VERSION, "rules": [_rule(code) for code in CODES]}},
        "columnKind": "unicodeCodePoints",
        "artifacts": [{"location": {"uri": uri}, "roles": ["analysisTarget"]} for uri in uris.values()],
        "invocations": [_invocation(unread, exit_code)],
        "results": [_result(finding, index, uris) for finding in found],
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, ensure_ascii=True, indent=1) + "\n"


def _uri(name: str, folder: Path) -> str:
    """Return how SARIF names a file: from the folder where it lies below it, else as it was given."""
    path = Path(name)
    if path.is_absolute():
        if not path.is_relative_to(folder):
            return path.as_uri()
        path = path.relative_to(folder)
    return quote(path.as_posix())


def _rule(code: str) -> dict[str, Any]:
    """Return a finding code as a rule, with its examples where it is a rule of writing."""
    rule = BY_CODE.get(code)
    level = rule.level if rule else Level.ERROR
    found: dict[str, Any] = {
        "id": code,
        "shortDescription": {"text": CODES[code]},
        "help": {"text": CODES[code]},
        "defaultConfiguration": {"level": level.value},
    }
    if rule:
        found["help"] = {"text": f"{rule.sentence}\n\nNot so:\n{rule.bad}\n\nBut so:\n{rule.good}"}
        found["properties"] = {"tags": [rule.requirement]}
    return found


def _invocation(unread: Sequence[str], exit_code: int) -> dict[str, Any]:
    told = [{"level": "error", "message": {"text": sentence}} for sentence in unread]
    return {"executionSuccessful": not unread, "exitCode": exit_code, "toolExecutionNotifications": told}


def _result(finding: Finding, index: Mapping[str, int], uris: Mapping[str, str]) -> dict[str, Any]:
    hint = f" Try: {finding.hint}" if finding.hint else ""
    found: dict[str, Any] = {
        "ruleId": finding.code,
        "ruleIndex": list(CODES).index(finding.code),
        "level": finding.level.value,
        "message": {"text": f"{finding.message}{hint}"},
    }
    if finding.place:
        found["locations"] = [_location(finding.place, index, uris)]
    if finding.related:
        found["relatedLocations"] = [
            {"id": at, **_location(place, index, uris), "message": {"text": note}}
            for at, (note, place) in enumerate(finding.related)
        ]
    if finding.walk:
        steps = [{"location": {"message": {"text": line}}} for line in finding.walk]
        found["codeFlows"] = [{"threadFlows": [{"locations": steps}]}]
    return found


def _location(place: Place, index: Mapping[str, int], uris: Mapping[str, str]) -> dict[str, Any]:
    artifact: dict[str, Any] = {"uri": uris.get(place.file, quote(place.file))}
    if place.file in index:
        artifact["index"] = index[place.file]
    region = {"startLine": place.line, "startColumn": place.column}
    found: dict[str, Any] = {"physicalLocation": {"artifactLocation": artifact, "region": region}}
    if place.path:
        found["logicalLocations"] = [{"fullyQualifiedName": place.path}]
    return found
