"""The commands debrief and progress, from a log on disk to the screen, the page and the store."""

import json
import sys

import pytest
from driver import ROOT

sys.path.insert(0, str(ROOT / "tests" / "debrief"))

from flights import bad_log, good_log

from assistant.flight_log import VERSION


@pytest.fixture
def logs(tmp_path):
    good, bad = tmp_path / "good.jsonl", tmp_path / "bad.jsonl"
    good.write_bytes(good_log("skarrow-tacan-24", "--wind 250/25 --qnh 996"))
    bad.write_bytes(bad_log())
    return good, bad


def test_a_debrief_says_what_to_practise_and_what_went_wrong(command, logs):
    made = command.run("debrief", logs[1])

    assert made.status == 0
    assert "PRACTISE FIRST" in made.out
    assert "late at the lead radial" in made.out
    assert "Simulation and training only" in made.out
    assert made.err == ""


def test_json_is_one_object_a_log_and_an_array_for_several(command, logs):
    one = json.loads(command.run("debrief", logs[0], "--json").out)
    two = json.loads(command.run("debrief", *logs, "--json", "--apart").out)

    assert one["title"] == "Skarrow TACAN runway 24"
    assert [made["ended"] for made in two] == ["landed", "landed"]


@pytest.mark.parametrize(
    ("ending", "begins"), [("html", b"<!DOCTYPE html>"), ("pdf", b"%PDF"), ("png", b"\x89PNG")]
)
def test_a_page_is_written_in_each_form(command, logs, tmp_path, ending, begins):
    page = tmp_path / f"debrief.{ending}"

    made = command.run("debrief", logs[1], "--page", page)

    assert made.status == 0
    assert page.read_bytes().startswith(begins)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--page", "debrief.doc"], "use .html, .pdf or .png"),
        (["--standard", "mine"], "use acs or part-fcl"),
        (["--page", "no/such/folder/debrief.pdf"], "choose another place"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(command, logs, arguments, said):
    made = command.run("debrief", logs[1], *arguments)

    assert made.status == 2
    assert said in made.err
    assert made.err.count("\n") == 1
    assert "Traceback" not in made.err


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda data: data[:0], "is empty"),
        (lambda data: b"%PDF-1.7\n" + data, "is no flight log"),
        (lambda data: data.replace(b"legs:", b"lags:", 1), "procedure in the log is not usable"),
        (lambda data: data.replace(b'"version": %d' % VERSION, b'"version": 99', 1), "update leadradial"),
    ],
    ids=["empty", "another file", "procedure spoilt", "newer"],
)
def test_a_log_that_is_no_use_is_refused_in_one_line(command, logs, change, said):
    logs[1].write_bytes(change(logs[1].read_bytes()))

    made = command.run("debrief", logs[1])

    assert made.status == 2
    assert said in made.err
    assert made.err.count("\n") == 1


def test_progress_knows_the_flights_debriefed_and_no_other(command, logs):
    assert "No flights are kept yet" in command.run("progress").out
    command.run("debrief", logs[0], "--apart")
    assert "No flights are kept yet" in command.run("progress").out

    data = logs[0].read_bytes()
    for origin in (b"simulation", b"transcript"):
        logs[0].write_bytes(data.replace(b'"origin": "live"', b'"origin": "%s"' % origin, 1))
        assert command.run("debrief", logs[0]).status == 0
    assert "No flights are kept yet" in command.run("progress").out

    command.run("debrief", logs[1])
    command.run("debrief", logs[1])
    shown = command.run("progress", "--json")

    assert len(json.loads(shown.out)["flights"]) == 1
    assert "FLY NEXT" in command.run("progress").out


def test_progress_proposes_what_was_never_flown_of_the_files_named_or_of_the_folder(
    command, logs, tmp_path, monkeypatch
):
    command.run("debrief", logs[0])
    folder = ROOT / "procedures"
    monkeypatch.chdir(tmp_path)

    flown_alone = command.run("progress").out
    named = command.run("progress", folder / "skarrow-tacan-24.yaml", folder / "teskel-vortac-06.yaml").out
    (tmp_path / "procedures").mkdir()
    (tmp_path / "procedures" / "spoilt.yaml").write_text("legs: none")
    (tmp_path / "procedures" / "teskel.yaml").write_bytes((folder / "teskel-vortac-06.yaml").read_bytes())

    assert "this one was flown least" in " ".join(flown_alone.split())
    assert "Teskel VORTAC runway 06" in named
    assert "this one was never flown" in named
    assert "Teskel VORTAC runway 06" in command.run("progress").out
    assert "spoilt.yaml:1: " in command.run("progress", "procedures/spoilt.yaml").err


def test_flights_are_exported_and_deleted(command, logs, tmp_path):
    command.run("debrief", *logs)
    table, whole = tmp_path / "flights.csv", tmp_path / "flights.json"

    assert command.run("progress", "--export", table).status == 0
    assert command.run("progress", "--export", whole).status == 0
    assert command.run("progress", "--export", whole).status == 2
    rows = table.read_text(encoding="utf-8").splitlines()
    names = [entry["ident"] for entry in json.loads(whole.read_text(encoding="utf-8"))]

    assert len(rows) == 3
    assert rows[0].startswith("ident,started_utc,procedure")
    assert command.run("progress", "--delete", names[0]).out == "1 flight deleted.\n"
    assert command.run("progress", "--delete", names[0]).status == 2
    assert command.run("progress", "--delete", "all").out == "1 flight deleted.\n"
    assert "No flights are kept yet" in command.run("progress").out


def test_a_spoilt_store_does_not_cost_the_debrief(command, logs, tmp_path):
    place = tmp_path / "data" / "leadradial"
    place.mkdir(parents=True)
    (place / "progress.sqlite3").write_bytes(b"nonsense" * 100)

    made = command.run("debrief", logs[1])

    assert made.status == 0
    assert "PRACTISE FIRST" in made.out
    assert "Not kept for progress" in made.err
    assert command.run("progress").status == 2
