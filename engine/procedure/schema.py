"""The JSON Schema of each form, for editors that help while a file is written.

For: the files in the folder of schemas, which a test keeps equal to the forms.
Must never: be used to check a file; the loader says more and says it better.
"""

from __future__ import annotations

from typing import Any

from ferrule.engine.procedure.form import Form
from ferrule.engine.procedure.models import LimitsForm, PlanForm, ProcedureForm
from ferrule.engine.procedure.models_card import CardForm
from ferrule.engine.procedure.models_glossary import GlossaryForm

FORMS: dict[str, type[Form]] = {
    "card": CardForm,
    "plan": PlanForm,
    "procedure": ProcedureForm,
    "limits": LimitsForm,
    "glossary": GlossaryForm,
}

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema_for(form: str) -> dict[str, Any]:
    """The JSON Schema of a form by its role; KeyError for no such form."""
    made = FORMS[form].model_json_schema(by_alias=True)
    return {"$schema": DIALECT, **made, "title": f"ferrule {form}"}
