"""The published schemas are those of the forms, and the packaged files use no key that they do not have."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import ferrule.procedures
from ferrule.engine.procedure.schema import FORMS, schema_for
from ferrule.engine.procedure.yamltext import Series, Table, parse_yaml
from tests.procedure.cases import good_set

FOLDER = Path(ferrule.procedures.__file__ or "").parent / "schema"


@pytest.mark.parametrize("form", FORMS)
def test_the_published_schema_is_that_of_the_form(form: str) -> None:
    """The file that editors use says what the loader takes today."""
    assert json.loads((FOLDER / f"{form}.json").read_text("utf-8")) == schema_for(form)


def test_there_is_one_schema_for_each_form() -> None:
    """No schema is missing and none is left over."""
    assert {path.stem for path in FOLDER.glob("*.json")} == set(FORMS)


def unknown(schema: dict[str, Any], node: object, defs: dict[str, Any]) -> Iterator[str]:
    """The keys of a tree that a schema does not allow, and those that it wants and that are not there."""
    schema = defs[schema["$ref"].rsplit("/", 1)[1]] if "$ref" in schema else schema
    if isinstance(node, Table) and "properties" in schema:
        yield from (key for key in node if key not in schema["properties"])
        yield from (key for key in schema.get("required", ()) if key not in node)
        for key, part in node.items():
            yield from unknown(schema["properties"].get(key, {}), part, defs)
    elif isinstance(node, Table):
        for part in node.values():
            yield from unknown(schema.get("additionalProperties") or {}, part, defs)
    elif isinstance(node, Series):
        for part in node:
            yield from unknown(schema.get("items", {}), part, defs)


def test_files_that_load_fit_their_schema() -> None:
    """Every key of the small set is in its schema, at every depth, and every key that a schema wants is there."""
    for role, name, text in good_set():
        schema = schema_for(role)
        node, _ = parse_yaml(text, name)

        assert list(unknown(schema, node, schema["$defs"])) == []


def test_a_wrong_key_does_not_fit_the_schema() -> None:
    """A key that the loader refuses is not in the schema either, and a missing one is missed."""
    schema = schema_for("plan")
    node, _ = parse_yaml("plan: a\nrevision: 1\ngoals:\n  - {fact: x is y, bye: z}\n", "f")

    assert list(unknown(schema, node, schema["$defs"])) == ["title", "bye", "by"]
