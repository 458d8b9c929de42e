"""`leadradial check` and `leadradial schema`: exit status, one line a finding, never a traceback."""

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from assistant.cli.check import register

FOLDER = Path(__file__).parents[2] / "procedures"
GOOD = FOLDER / "skarrow-tacan-24.yaml"


@pytest.fixture
def run():
    app = typer.Typer()
    register(app)

    def start(*words: object):
        return CliRunner().invoke(app, [str(word) for word in words], catch_exceptions=False)

    return start


@pytest.fixture
def bad(tmp_path) -> Path:
    path = tmp_path / "bad.yaml"
    path.write_text(GOOD.read_text().replace("lead_radial_deg: 053", "lead_radial_deg: 065"))
    return path


def test_a_sound_file_is_told_what_was_checked_and_exits_0(run):
    done = run("check", GOOD)

    assert done.exit_code == 0
    assert "published 3.05°" in done.stdout
    assert "hangs together" in done.stdout


def test_a_chart_that_does_not_hang_together_exits_2_with_line_and_remedy(run, bad):
    done = run("check", bad)

    assert done.exit_code == 2
    line = next(line for line in done.stdout.splitlines() if "past the arc's end" in line)
    number = (
        bad.read_text()
        .splitlines()
        .index("    lead_radial_deg: 065          # 10 degrees round, some 2 NM, before the course")
        + 1
    )
    assert line.startswith(f"{bad}:{number}: legs[1].lead_radial_deg: ")
    assert "Remedy: " in line


def test_one_bad_file_among_good_ones_decides_the_exit_status(run, bad):
    done = run("check", GOOD, bad)

    assert done.exit_code == 2
    assert "Skarrow TACAN runway 24" in done.stdout


def test_json_carries_every_finding_and_result(run, bad):
    done = run("check", "--json", GOOD, bad)

    good_file, bad_file = json.loads(done.stdout)
    assert (good_file["sound"], good_file["findings"]) == (True, [])
    assert any(result["subject"] == "descent" for result in good_file["results"])
    assert bad_file["sound"] is False
    assert bad_file["findings"][0]["field"] == "legs[1].lead_radial_deg"


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"\x00\x01\x02", b"", b"a: [", b"\xef\xbb\xbf"])
def test_what_is_no_procedure_is_one_line_and_exit_2(run, tmp_path, content):
    path = tmp_path / "odd.yaml"
    path.write_bytes(content)

    done = run("check", path)

    assert done.exit_code == 2
    assert len(done.stdout.splitlines()) == 1
    assert done.stdout.startswith(f"{path}:1: ")


def test_a_file_that_is_not_there_is_one_line(run, tmp_path):
    for path in (tmp_path / "none.yaml", tmp_path):
        done = run("check", path)

        assert done.exit_code == 2
        assert "cannot be read" in done.stdout
        assert len(done.stdout.splitlines()) == 1


def test_a_byte_order_mark_does_not_matter(run, tmp_path):
    path = tmp_path / "marked.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.read_bytes())

    assert run("check", path).exit_code == 0


def test_schema_prints_and_writes_the_published_schema(run, tmp_path):
    published = (FOLDER / "procedure.schema.json").read_text(encoding="utf-8")
    written = tmp_path / "schema.json"

    assert run("schema").stdout == published
    assert run("schema", "--write", written).exit_code == 0
    assert written.read_text(encoding="utf-8") == published


def test_the_reference_is_markdown_of_every_key(run):
    assert "| `lead_radial_deg` |" in run("schema", "--reference").stdout
