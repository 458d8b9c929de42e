"""`leadradial brief`: its forms, its exit status, its sentences."""

import json

import pytest
from command_line import TACAN
from driver import ROOT

from assistant.caution import CAUTION

PELLOW = str(ROOT / "procedures" / "pellow-vor-dme-28.yaml")


def test_on_the_screen(command):
    outcome = command.run("brief", TACAN, "--wind", "250/15", "--qnh", "996")

    assert (outcome.status, outcome.err) == (0, "")
    assert "Skarrow TACAN runway 24" in outcome.out
    assert "wind 250/15 kt; QNH 996, flown on QNH" in " ".join(outcome.out.split())
    assert CAUTION in " ".join(outcome.out.split())
    assert "\x1b" not in outcome.out


def test_the_days_conditions_are_taken(command):
    outcome = command.run("brief", TACAN, "--datum", "qfe", "--category", "D", "--speed", "final=150")

    assert "final 150" in outcome.out
    assert "444 QFE (540 QNH), cat. D" in outcome.out


def test_json_holds_the_content(command):
    outcome = command.run("brief", TACAN, "--json")
    brief = json.loads(outcome.out)

    assert outcome.status == 0
    assert brief["caution"] == CAUTION
    assert brief["minima"]["minimum"] == {"indicated_ft": 500.0, "datum": "qnh"}
    assert brief["arcs"][0]["published_lead_radial_deg"] == 53.0


def test_spoken_words(command):
    outcome = command.run("brief", TACAN, "--spoken")

    assert outcome.status == 0
    assert outcome.out.startswith("Skarrow TACAN runway two four. Simulation and training only.")


def test_a_page_is_written_and_named(command, tmp_path):
    page = tmp_path / "page.html"
    outcome = command.run("brief", TACAN, "--page", page)

    assert (outcome.status, outcome.out) == (0, "")
    assert outcome.err == f"{page} written.\n"
    assert CAUTION in page.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ((TACAN, "--page", "page.txt"), "use .html, .pdf or .png."),
        ((TACAN, "--page", "no/such/place.html"), "cannot be written"),
        ((PELLOW, "--category", "E"), "category E"),
        ((TACAN, "--temperature", "-60"), "cannot be briefed for today"),
        ((TACAN, "--wind", "153/190"), "cannot be planned for today"),
        (("no-such-file.yaml",), "No such file"),
    ],
)
def test_what_cannot_be_briefed_is_told_in_a_line(command, tmp_path, monkeypatch, arguments, sentence):
    monkeypatch.chdir(tmp_path)
    outcome = command.run("brief", *arguments)

    assert outcome.status == 2
    assert outcome.out == ""
    assert sentence in outcome.err
    assert outcome.err.count("\n") == 1
