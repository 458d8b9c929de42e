"""What is written loads again as the same procedure."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.load import load_procedure
from assistant.procedure.writing import plain_values, procedure_text
from assistant.procedure.yaml12 import read_yaml

FILES = sorted((Path(__file__).parents[2] / "procedures").glob("*.yaml"))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_demonstration_file_survives_being_written(file):
    procedure = load_procedure(file.read_text(encoding="utf-8"), file.name)

    text = procedure_text(plain_values(procedure))

    assert load_procedure(text, "written") == procedure
    assert (
        max(len(line) for line in text.splitlines() if "text:" not in line and "drawn_from:" not in line)
        <= 110
    )


def test_radials_and_courses_have_three_digits():
    text = procedure_text({"fixes": [{"ident": "TARNO", "radial_deg": 63.0, "dme_nm": 12.0}]})

    assert "{ident: TARNO, radial_deg: 063, dme_nm: 12}" in text


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=30))
def test_any_text_survives(written):
    text = procedure_text({"title": written, "notes": [written], "airport": {"name": written}})

    assert read_yaml(text, "x").data == {"title": written, "notes": [written], "airport": {"name": written}}


@given(st.floats(-1e6, 1e6, allow_nan=False))
def test_any_number_survives(number):
    assert read_yaml(procedure_text({"dme_nm": number}), "x").data == {"dme_nm": number}
