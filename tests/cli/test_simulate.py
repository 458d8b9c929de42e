"""`leadradial simulate` and `rehearse`: figures, JSON, a picture, and what is refused."""

import json
from math import hypot

import pytest
from driver import ROOT

TACAN = str(ROOT / "procedures/teskel-vortac-06.yaml")


def test_a_few_flights_are_listed_and_held_to_limits(command):
    done = command.run(
        "simulate", TACAN, "--flights", "2", "--wind", "250/15", "--category", "C", "--cores", "1"
    )

    assert done.status == 0, done.err
    assert "2 flights by callouts alone" in done.out
    assert "Simulation and training only" in done.out


def test_json_is_the_same_for_the_same_seed_and_a_picture_is_drawn(command, tmp_path):
    page = tmp_path / "flown.png"
    wanted = (
        "simulate",
        TACAN,
        "--flights",
        "2",
        "--seed",
        "5",
        "--cores",
        "1",
        "--json",
        "--page",
        str(page),
    )
    first, second = command.run(*wanted), command.run(*wanted)

    assert json.loads(first.out) == json.loads(second.out)
    assert len(json.loads(first.out)["flights"]) == 2
    assert page.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("flags", "said"),
    [
        (("--model", "glider"), "choose point or jsbsim"),
        (("--page", "tracks.doc"), "give a name that ends in"),
    ],
)
def test_what_cannot_be_done_is_said_in_a_line(command, flags, said):
    done = command.run("simulate", TACAN, "--flights", "1", "--cores", "1", *flags)

    assert done.status == 2
    assert said in done.err
    assert "Traceback" not in done.err


def test_a_rehearsal_can_be_watched_to_its_end(command):
    done = command.run("rehearse", TACAN, "--text", "--demonstrate", "--rate", "400", "--every", "60")

    assert done.status == 0, done.err
    assert "DME" in done.out
    assert "Next: initial approach fix KORVA" in done.out
    assert done.out.rstrip().endswith("Ended.")


def test_simulated_flights_can_be_debriefed_and_replayed_from_their_logs(command, tmp_path):
    flights = ("simulate", TACAN, "--flights", "2", "--seed", "3", "--cores", "1", "--log", tmp_path / "logs")
    made = command.run(*flights)
    assert made.status == 0, made.err
    logs = sorted((tmp_path / "logs").glob("*.jsonl"))
    assert [log.name for log in logs] == [f"teskel-vortac-06-seed-{seed}.jsonl" for seed in (3, 4)]

    debriefed = command.run("debrief", str(logs[0]), "--json")
    assert debriefed.status == 0, debriefed.err
    debrief = json.loads(debriefed.out)
    assert debrief["origin"] == "simulation"
    assert debrief["conduct"]["reports"] > 5

    # The true way is in it, near what was reported.
    track = debrief["track"]
    true = [place for place in track if place["source"] == "truth"]
    assert true[0]["t_s"] < 10.0
    assert len(true) > 50
    for read in (place for place in track if place["source"] == "report"):
        there = min(true, key=lambda place: abs(place["t_s"] - read["t_s"]))
        assert hypot(there["east_nm"] - read["east_nm"], there["north_nm"] - read["north_nm"]) < 1.5

    replayed = command.run("replay", str(logs[0]))
    assert "the same came out as was logged" in replayed.out + replayed.err

    again = command.run(*flights)
    assert again.status == 2
    assert "seed-3.jsonl: exists already. Choose another folder for --log." in again.err


def test_a_folder_for_logs_that_cannot_be_made_is_said_in_a_line(command, tmp_path):
    (tmp_path / "taken").write_text("a file", encoding="utf-8")

    done = command.run("simulate", TACAN, "--flights", "1", "--cores", "1", "--log", tmp_path / "taken/logs")

    assert done.status == 2
    assert "Choose another folder." in done.err
    assert "Traceback" not in done.err
