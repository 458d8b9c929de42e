"""`leadradial check --plan`: the chain of events as the engine flies it, in 80 columns and as JSON."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from command_line import TACAN

from assistant.cli.plan_table import plan_of, shown_stages
from assistant.preferences.settings import Settings, settings_from_flags
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Category

FOLDER = Path(__file__).parents[2] / "procedures"
FILES = sorted(FOLDER.glob("*.yaml"))
LEVEL = re.compile(r"(\d+ (QNH|QFE)|FL\d{3})\b")
# What has three figures or more and is no level: bearings after their word, and rates.
NO_LEVEL = re.compile(r"(heading|course|radial|track|R) ?\d{3}\b|\d+ fpm|Q(NH|FE) \d{3,4}\b", re.IGNORECASE)


def loaded(stem: str):
    return load_procedure((FOLDER / f"{stem}.yaml").read_text(encoding="utf-8"), stem)


def stages(stem: str, *flags: str) -> dict:
    return {stage.name: stage for stage in shown_stages(plan_of(loaded(stem), settings_from_flags(flags)))}


def test_a_stage_is_told_by_its_end_its_floors_and_its_target():
    """The chart of Skarrow: 1000 until 3.5 DME, then 500, the minimum of C; missed approach at 1.5 DME."""
    final = stages("skarrow-tacan-24")["final"]

    assert final.title == "Final approach 243"
    assert [(end.event, end.trigger, end.to, end.when) for end in final.exits] == [
        ("missed approach point", "1.5 DME closing", ("missed_0",), "not visual")
    ]
    assert final.floors == ("1900 QNH until established", "1000 QNH until 3.5 DME", "500 QNH")
    assert final.target == "500 QNH"


def test_on_qfe_the_floors_are_the_heights_that_the_chart_prints():
    """Teskel: 1300 until SUDRA, 700 until 3.5 DME, then 330, all above the threshold."""
    final = stages("teskel-vortac-06", "--datum", "qfe")["final"]

    assert final.floors[-3:] == ("1300 QFE until SUDRA", "700 QFE until 3.5 DME", "330 QFE")


def test_levels_above_the_transition_altitude_are_flight_levels():
    assert stages("ostrey-high-tacan-13")["hold_inbound"].floors == ("FL180",)


def test_a_hold_is_entered_by_the_permitted_entries_only():
    """Ostrey permits no offset entry."""
    arrival = stages("ostrey-high-tacan-13")["arrival"]

    assert set(arrival.exits[0].to) == {"hold_entry_direct", "hold_entry_parallel"}


def test_callouts_are_told_with_their_time_kind_condition_and_words():
    """The heights of Skarrow: 1570 at 5 DME, 1250 at 4; a mile at 142 kt (140 kt at 1200 ft) is 25.3 s."""
    cues = {cue.words: cue for cue in stages("skarrow-tacan-24")["final"].cues}
    first, second = cues["1570 QNH AT 5 DME"], cues["1250 QNH AT 4 DME"]

    assert (first.kind, first.when) == ("altitude_due", "established")
    assert second.at_s - first.at_s == pytest.approx(25.3, abs=0.3)


def test_a_calm_arc_takes_as_long_as_its_length_at_its_speed():
    """
    Skarrow at 210 kt and 3000 ft: 219 kt.

    By hand: the turn on to the arc, 90 degrees at 25 degrees of bank, turns 1091 tan 25 / 219 = 2.32 degrees
    a second: 39 s, with a radius of 1.5 NM. From radial 345 to the day's lead radial near 055 are 70 degrees
    of 12 NM, 14.6 NM, less the radius 13.1: 215 s. Together 4.2 minutes.
    """
    assert stages("skarrow-tacan-24")["arc_1"].duration_s / 60.0 == pytest.approx(4.2, abs=0.1)


def test_the_wind_of_the_day_is_flown():
    """Clockwise from north to east, with a wind from the west behind, an arc is over sooner than in calm."""
    calm = stages("skarrow-tacan-24")["arc_1"].duration_s

    assert stages("skarrow-tacan-24", "--wind", "300/30")["arc_1"].duration_s < calm - 10.0


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
@pytest.mark.parametrize("datum", ["qnh", "qfe"])
def test_every_level_carries_what_it_is_measured_from(file, datum):
    for stage in stages(file.stem, "--datum", datum).values():
        levels = [stage.target, *stage.floors]
        assert all(LEVEL.match(level) for level in levels if level not in {"", "the runway", "the sector's"})
        for cue in stage.cues:
            left = NO_LEVEL.sub("", LEVEL.sub("", cue.words))
            assert not re.search(r"\d{3}", left), cue.words


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_no_stage_has_a_target_below_its_last_floor(file):
    for stage in stages(file.stem).values():
        if stage.floors and stage.target.endswith(" QNH") and stage.floors[-1].endswith(" QNH"):
            assert int(stage.target.removesuffix(" QNH")) >= int(stage.floors[-1].removesuffix(" QNH"))


def test_category_c_is_flown_or_the_first_that_has_a_minimum():
    procedure = loaded("skarrow-tacan-24")
    only_d = replace(procedure, minima=tuple(m for m in procedure.minima if m.category is Category.D))

    assert plan_of(procedure, Settings()).conditions.category is Category.C
    assert plan_of(only_d, Settings()).conditions.category is Category.D


# --- as a command -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_piped_it_fits_80_columns(command, file):
    outcome = command.run("check", file, "--plan")

    table = outcome.out[outcome.out.index("Chain of events") :].splitlines()
    assert outcome.status == 0
    assert max(len(line) for line in table) <= 80
    assert "\x1b" not in outcome.out
    assert any(line.split()[-5:] == ["Next", "Not", "below", "Target", "Time"] for line in table)


def test_json_has_the_same_chain_with_stages_that_exist(command):
    (checked,) = json.loads(command.run("check", TACAN, "--plan", "--json").out)

    names = [stage["name"] for stage in checked["plan"]["stages"]]
    assert checked["plan"]["category"] == "C"
    assert len(set(names)) == len(names)
    assert {to for stage in checked["plan"]["stages"] for end in stage["exits"] for to in end["to"]} <= set(
        names
    )


def test_the_days_conditions_need_the_plan(command):
    outcome = command.run("check", TACAN, "--wind", "250/15")

    assert outcome.status == 2
    assert "need --plan" in outcome.err


def test_a_day_that_cannot_be_flown_is_a_line_and_exit_2(command):
    """Lunmar has no minimum for category E."""
    outcome = command.run("check", FOLDER / "lunmar-vor-dme-10.yaml", "--plan", "--category", "E")

    assert outcome.status == 2
    assert "no outbound track for category E" in outcome.out.splitlines()[-1]


def test_an_unsound_chart_gets_its_findings_and_no_chain(command, tmp_path):
    bad = tmp_path / "bad.yaml"
    bad.write_text(
        Path(TACAN).read_text(encoding="utf-8").replace("lead_radial_deg: 053", "lead_radial_deg: 065")
    )

    outcome = command.run("check", bad, "--plan")

    assert outcome.status == 2
    assert "past the arc's end" in outcome.out
    assert outcome.out.splitlines()[-1] == f"{bad}: no chain of events: correct what was found first."
