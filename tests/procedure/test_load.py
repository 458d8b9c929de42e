"""A file that is not a procedure is refused with file, line, field and remedy, one line each, all at once."""

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.procedure.findings import ProcedureError
from assistant.procedure.load import load_procedure

FOLDER = Path(__file__).parents[2] / "procedures"
NAME = "procedures/skarrow.yaml"

BROKEN = [
    # what, passage, replaced by, where the finding stands (a piece of its line), what it says
    ("bad YAML", "runway:\n", "runway: [\n", "  course_mag_deg: 238", "not YAML"),
    ("unknown key", "  declination_deg: 6", "  declinaton_deg: 6", "declinaton_deg", "write declination_deg"),
    ("missing key", "  elevation_ft: 80\n", "", "navaid:", "navaid.elevation_ft: is missing"),
    (
        "missing station",
        "\nnavaid:\n",
        "\nnavaid: none\nold:\n",
        "navaid: none",
        "'none' is not a group of keys",
    ),
    (
        "radial 361",
        "    to_radial_deg: 063",
        "    to_radial_deg: 361",
        "to_radial_deg: 361",
        "361 is more than 360",
    ),
    (
        "text for a number",
        "arc_dme_nm: 12",
        "arc_dme_nm: 12 NM",
        "arc_dme_nm: 12 NM",
        "'12 NM' is not a number",
    ),
    ("truth for a number", "arc_dme_nm: 12", "arc_dme_nm: true", "arc_dme_nm: true", "true is not a number"),
    ("not a number", "arc_dme_nm: 12", "arc_dme_nm: .nan", "arc_dme_nm: .nan", "not a finite number"),
    (
        "infinite",
        "channel: 57X\n  latitude_deg: -38.5",
        "channel: 57X\n  latitude_deg: .inf",
        ".inf",
        "Remedy",
    ),
    ("number for text", 'ident: "24"', "ident: 24", "ident: 24", "put it in quotes"),
    (
        "unknown kind of leg",
        "- kind: dme_arc",
        "- kind: arc",
        "- kind: arc",
        "use course, dme_arc, reversal or final",
    ),
    (
        "unknown word",
        "direction: clockwise",
        "direction: right",
        "direction: right",
        "use clockwise or anticlockwise",
    ),
    (
        "list for a group",
        "hold:\n  fix: TARNO",
        "hold: []\nold:\n  fix: TARNO",
        "hold: []",
        "not a group of keys",
    ),
    ("unknown fix", "to_fix: VELKA", "to_fix: VELKO", "to_fix: VELKO", "VELKO is not among the fixes"),
    ("fix twice", "- ident: VELKA ", "- ident: TARNO ", "# where the arc begins", "TARNO is listed twice"),
    (
        "both limits",
        "outbound_dme_nm: 23",
        "outbound_dme_nm: 23\n  outbound_time_s: 60",
        "outbound_dme_nm",
        "keep exactly one",
    ),
    ("role elsewhere", "roles: [if]", "roles: [if, faf]", "roles: [if, faf]", "ORDEN has the role faf"),
    (
        "no limit",
        "  outbound_dme_nm: 23             # limited by range, not by time\n",
        "",
        "hold:",
        "exactly one",
    ),
    (
        "two datums",
        "{kind: at_or_above, altitude_ft: 3500}",
        "{altitude_ft: 3500, height_ft: 3400}",
        "3400",
        "exactly one",
    ),
    (
        "hold elsewhere",
        "hold:\n  fix: TARNO",
        "hold:\n  fix: VELKA",
        "- kind: course",
        "the first leg starts at TARNO",
    ),
    (
        "legs apart",
        "    to_fix: VELKA",
        "    to_fix: ORDEN",
        "- kind: dme_arc",
        "starts at VELKA, the leg before ends at ORDEN",
    ),
    (
        "floor after the fix unsaid",
        "{fix: BESKA, altitude",
        "{dme_nm: 5, altitude",
        "{dme_nm: 5, altitude:",
        "begin with {fix: BESKA",
    ),
    (
        "missed approach nowhere",
        "{to_fix: TARNO, turn: right",
        "{to_fix: VELKA, turn: right",
        "{to_fix: VELKA",
        "does not end at the holding fix",
    ),
    (
        "arc the wrong way round",
        "direction: clockwise",
        "direction: anticlockwise",
        "direction: anti",
        "282°, the long way round",
    ),
    (
        "lead radial past the end",
        "lead_radial_deg: 053",
        "lead_radial_deg: 065",
        "lead_radial_deg",
        "065 is past the arc's end at 063",
    ),
    (
        "minimum below threshold",
        "{category: C, mda_ft: 500, mdh_ft: 404",
        "{category: C, mda_ft: 90",
        "mda_ft: 90",
        "not above the threshold",
    ),
    (
        "altitude rising inbound",
        "{kind: at_or_above, altitude_ft: 3000}",
        "{altitude_ft: 3600}",
        "{altitude_ft: 3600}",
        "is above the 3500 ft",
    ),
]


@pytest.mark.parametrize(
    ("change", "where", "phrase"),
    [(row[1:3], row[3], row[4]) for row in BROKEN],
    ids=[row[0] for row in BROKEN],
)
def test_a_broken_file_names_line_field_and_remedy(skarrow, broken, change, where, phrase):
    text = broken(skarrow, *change)

    with pytest.raises(ProcedureError) as caught:
        load_procedure(text, NAME)

    line = text[: text.index(where)].count("\n") + 1
    said = [str(finding) for finding in caught.value.findings if phrase in str(finding)]
    assert said, str(caught.value)
    assert said[0].startswith(f"{NAME}:{line}: ")
    assert "Remedy: " in said[0]
    assert all("\n" not in str(finding) for finding in caught.value.findings)


def _without_block(text: str, key: str) -> str:
    """The text with a top key's block emptied to []."""
    start = text.index(f"\n{key}:\n") + 1
    return text[:start] + f"{key}: []\n" + text[text.index("\n\n", start) + 1 :]


@pytest.mark.parametrize(
    ("key", "phrase"),
    [
        ("minima", "there are no minima"),
        ("legs", "end the legs with one of kind final"),
        ("fixes", "TARNO is not among"),
    ],
)
def test_an_empty_list_is_refused_where_the_chart_must_have_one(skarrow, key, phrase):
    with pytest.raises(ProcedureError, match=re.escape(phrase)):
        load_procedure(_without_block(skarrow, key), NAME)


def test_everything_wrong_is_said_at_once_in_the_order_of_the_file(skarrow, broken):
    text = broken(skarrow, "  elevation_ft: 80\n", "  elevation_ft: 80 m\n")
    text = broken(text, "arc_dme_nm: 12", "arc_nm: 12")
    text = broken(text, "to_radial_deg: 063", "to_radial_deg: 361")

    with pytest.raises(ProcedureError) as caught:
        load_procedure(text, NAME)

    findings = caught.value.findings
    assert [finding.field for finding in findings] == [
        "navaid.elevation_ft",
        "legs[1].arc_dme_nm",
        "legs[1].arc_nm",
        "legs[1].to_radial_deg",
    ]
    assert [finding.line for finding in findings] == sorted(finding.line for finding in findings)


def test_what_a_field_means_stands_in_the_remedy(skarrow, broken):
    with pytest.raises(ProcedureError, match="add it: Elevation of the antenna, ft above mean sea level"):
        load_procedure(broken(skarrow, "  elevation_ft: 80\n", ""), NAME)


def test_radials_with_leading_zeros_are_decimal(skarrow):
    """063 is sixty-three, not fifty-one."""
    assert load_procedure(skarrow, NAME).fix("BESKA").radial_deg == 63


def test_a_fix_may_be_called_no(skarrow):
    assert load_procedure(skarrow.replace("ORDEN", "NO"), NAME).fix("NO").dme_nm == 12


@pytest.mark.parametrize(
    "text", ["12", "[]", "text", "null", "{}", "legs: 3", "legs: [[]]", "legs: [{kind: [1]}]"]
)
def test_what_is_yaml_but_no_procedure_is_refused(text):
    with pytest.raises(ProcedureError):
        load_procedure(text, NAME)


def _load_or_refuse(text: str) -> None:
    findings = None
    try:
        load_procedure(text, NAME)
    except ProcedureError as error:
        findings = error.findings
    assert findings != ()
    assert all(str(finding).isprintable() for finding in findings or ())


@given(st.text(alphabet=st.sampled_from("ab0: -[]{}\n\t'\"#&*!|>%@,?\x00\x85é"), max_size=60))
@settings(max_examples=150, deadline=None)
def test_no_text_is_an_error_of_the_program(text):
    _load_or_refuse(text)


LINES = (FOLDER / "skarrow-tacan-24.yaml").read_text(encoding="utf-8").splitlines()
VALUES = st.one_of(
    st.integers(-70000, 70000).map(str),
    st.floats(-400, 400, allow_nan=False).map(repr),
    st.sampled_from(
        ["0", "360", "TARNO", "BESKA", "left", "reversal", "[]", "{}", "null", ".nan", "1e400", "true"]
    ),
)


@given(st.integers(0, len(LINES) - 1), VALUES)
@settings(max_examples=150, deadline=None)
def test_no_value_in_a_good_file_is_an_error_of_the_program(number, value):
    """One value of a sound chart changed to any other: it loads or is refused; no check falls over."""
    key, colon, _ = LINES[number].partition(": ")
    _load_or_refuse("\n".join([*LINES[:number], key + colon + value, *LINES[number + 1 :]]))


@given(st.lists(st.integers(0, len(LINES) - 1), min_size=1, max_size=3))
@settings(max_examples=80, deadline=None)
def test_lines_left_out_are_no_error_of_the_program(left_out):
    _load_or_refuse("\n".join(line for number, line in enumerate(LINES) if number not in left_out))
