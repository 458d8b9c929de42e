"""The published schema and the reference are current, and say what the loader says."""

import json
from pathlib import Path

import jsonschema
import pytest

from assistant.procedure.findings import ProcedureError
from assistant.procedure.load import load_procedure
from assistant.procedure.reference import field_reference
from assistant.procedure.schema import procedure_schema, schema_text
from assistant.procedure.yaml12 import read_yaml

FOLDER = Path(__file__).parents[2] / "procedures"
FILES = sorted(FOLDER.glob("*.yaml"))
PUBLISHED = FOLDER / "procedure.schema.json"
VALIDATOR = jsonschema.Draft202012Validator(json.loads(PUBLISHED.read_text(encoding="utf-8")))


def test_the_checked_in_schema_is_current():
    """If not: leadradial schema --write procedures/procedure.schema.json."""
    assert PUBLISHED.read_text(encoding="utf-8") == schema_text()


def test_the_reference_in_the_documentation_is_current():
    """If not: put the output of leadradial schema --reference after "## Every key"."""
    text = (FOLDER.parent / "docs" / "procedure_files.md").read_text(encoding="utf-8")

    assert text.partition("## Every key\n\n")[2] == field_reference()


def test_the_schema_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(procedure_schema())


def test_every_key_says_what_it_means():
    schema = procedure_schema()
    for name, group in {"Procedure": schema, **schema["$defs"]}.items():
        assert group.get("description"), name
        for key, entry in group.get("properties", {}).items():
            assert entry.get("description") or "$ref" in entry, f"{name}.{key}"


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_second_validator_takes_every_demonstration_file(file):
    VALIDATOR.validate(read_yaml(file.read_text(encoding="utf-8"), file.name).data)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_demonstration_file_tells_editors_of_the_schema(file):
    first = file.read_text(encoding="utf-8").partition("\n")[0]

    assert first == "# yaml-language-server: $schema=procedure.schema.json"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("declination_deg: 6 ", "declinaton_deg: 6 "),
        ("to_radial_deg: 063", "to_radial_deg: 361"),
        ("arc_dme_nm: 12", "arc_dme_nm: 0"),
        ("arc_dme_nm: 12", "arc_dme_nm: twelve"),
        ("arc_dme_nm: 12", "arc_dme_nm: true"),
        ("kind: dme_arc", "kind: arc"),
        ("kind: tacan", "kind: ndb"),
        ("ident: SKW", "ident: skw"),
        ("edition: Edition 1, invented\n", ""),
        ("descent_angle_deg: 3.05", "descent_angle_deg: 30.5"),
    ],
)
def test_schema_and_loader_refuse_the_same(skarrow, old, new):
    text = skarrow.replace(old, new)
    assert text != skarrow

    with pytest.raises(ProcedureError):
        load_procedure(text, "x")
    assert not VALIDATOR.is_valid(read_yaml(text, "x").data)
