"""Files made to harm: nothing in them is executed, nothing grows without bound, each is refused in a line."""

import time

import pytest
from driver import ROOT

from assistant.cli import inputs
from assistant.preferences.files import PreferencesError, settings_from_yaml
from assistant.procedure.findings import ProcedureError
from assistant.procedure.load import load_procedure

CHART = (ROOT / "procedures" / "skarrow-tacan-24.yaml").read_text(encoding="utf-8")
BOMB = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 12)
)
"""Nine to the twelfth strings, were its aliases written out."""


@pytest.mark.parametrize(
    "tag",
    [
        "!!python/object/apply:os.system ['touch {marker}']",
        "!!python/object/new:os.system ['touch {marker}']",
        "!!python/name:os.system",
        "!!python/module:os",
    ],
)
def test_no_object_is_made_of_a_tag(tmp_path, tag):
    marker = tmp_path / "executed"
    value = tag.format(marker=marker)

    with pytest.raises(ProcedureError):
        load_procedure(CHART.replace("title: Skarrow TACAN runway 24", f"title: {value}"), "hostile.yaml")
    with pytest.raises(PreferencesError):
        settings_from_yaml(f"qnh: {value}\n", "hostile.yaml")

    assert not marker.exists()


@pytest.mark.parametrize(
    "text",
    [BOMB, BOMB + CHART, "a: " + "[" * 20_000, "{a: " * 20_000, "- " * 20_000, "&a [*a]", "a: &a\n  b: *a\n"],
    ids=["aliases", "aliases in a chart", "brackets", "braces", "dashes", "self", "self in a mapping"],
)
def test_what_nests_or_repeats_without_end_is_refused_soon(text):
    begun_s = time.monotonic()

    with pytest.raises(ProcedureError):
        load_procedure(text, "hostile.yaml")
    with pytest.raises(PreferencesError):
        settings_from_yaml(text, "hostile.yaml")

    assert time.monotonic() - begun_s < 20.0


@pytest.mark.parametrize("command_name", ["check", "debrief"])
def test_a_file_too_large_is_refused_before_it_is_read(command, tmp_path, command_name):
    large = tmp_path / "large.yaml"
    with large.open("wb") as stream:
        stream.truncate(inputs.LARGEST_FILE + 1)

    made = command.run(command_name, large)

    assert made.status == 2
    said = made.out + made.err  # check prints what it finds, other commands print errors
    assert "too large" in said or "longer than" in said
    assert said.count("\n") == 1


@pytest.mark.parametrize("command_name", ["check", "debrief"])
def test_a_folder_or_nothing_is_refused_in_one_line(command, tmp_path, command_name):
    for path in (tmp_path, tmp_path / "no-such-file"):
        made = command.run(command_name, path)

        assert made.status == 2
        said = made.out + made.err
        assert said.count("\n") == 1
        assert "Traceback" not in said
