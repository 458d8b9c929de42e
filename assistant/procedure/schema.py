"""The published JSON Schema of a procedure file (draft 2020-12), from the types that the loader checks."""

import json

from assistant.procedure.load import procedure_adapter

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def procedure_schema() -> dict[str, object]:
    """
    The schema as plain values.

    Rules between fields ("exactly one of …", fixes that legs name) are the loader's; an editor sees keys,
    types, ranges and meanings.
    """
    schema = procedure_adapter().json_schema()
    return {
        "$schema": DIALECT,
        "title": "Instrument approach procedure",
        **{key: value for key, value in schema.items() if key != "title"},
    }


def schema_text() -> str:
    """The schema as the text of the published file."""
    return json.dumps(procedure_schema(), indent=2, ensure_ascii=False) + "\n"
