"""Every published check value is met, or somebody else meets it, or there is nothing in it to compute."""

import published_descents  # noqa: F401 - registers its checks
import published_holds  # noqa: F401 - registers its checks
import published_levels  # noqa: F401 - registers its checks
import published_places  # noqa: F401 - registers its checks
import published_turns  # noqa: F401 - registers its checks
import pytest
from published import check_for, entries

NAV = entries("check_values.yaml")
ELSEWHERE = entries("check_values_elsewhere.yaml")

# Facts about flying or design that nothing in `nav` computes, and why.
FACTS = {
    "arc.ifh.overshoot": "advice to the pilot; two editions contradict each other, so nothing is built on it",
    "arc.chord_method": "limits for flying chords by eye; arc_heading flies the tangent in wind instead",
    "arc.min_radius": "a bound on charts: the procedure check's business, not a sum",
    "hold.speed_reduction_lead": "a reminder (three minutes before the fix): an event of the engine",
    "hold.dme_limits": "a bound on designed holds, not a sum of the pilot",
    "cat.icao_vat_definition": "how a threshold speed is found for an aircraft; the pilot gives the speed",
    "rev.dictionary_180_260": "a misprint in a dictionary, so that nobody repeats it: the turn is 80/260",
    "rev.base_turn_ab1": "a designer's area construction; its sum is redone below",
    "rev.max_speed_icao_reversal_usaf": "one air force's own limit, recalled; the category's speeds are used",
    "slant.vor_check_limits": "limits of a receiver check before flight",
    "time.timing_is_least_accurate": "when to time at all: the chart says so, and the engine prefers ranges",
    "cdfa.dda_rule": "a rule of conduct; the engine keeps it (never below the minimum without 'visual')",
    "cdfa.max_gradient": "bounds on charts, from memory: the procedure check's business",
    "vseg.visual_area_width": "an obstacle area of the designer; its sum is redone below",
    "vseg.msa": "what a minimum safe altitude circle is: a chart's contents",
    "vseg.papi": "what the lights by the runway show, from memory; nothing is computed from them",
    "vis.table.91_175c": "what must be in sight: the pilot says 'visual', the assistant does not judge",
    "vis.approach_lights_100ft": "law for the pilot below the minimum; outside what the assistant watches",
    "vis.three_conditions": "law for the pilot; the assistant asks for 'visual' only",
    "vis.circling_lost": "conduct while circling, which the assistant does not lead",
    "vis.one_missed_per_approach": "a rule for charts; the procedure model has one missed approach",
}

# Entries of other layers: which tests meet them, or why nothing does.
OTHER_LAYERS = {
    "rt": "tests/language (it keeps its own copy of these entries)",
    "arinc": "fact only here: the reader of ARINC 424 records tests its leg and altitude codes",
    "tol": "fact only here: limits that the debrief measures a flight against",
    "sp": "fact only: how fast people speak and hear; behind the design of the callouts, computed nowhere",
    "wmm2020": "nothing to compute: a procedure publishes its declination, so no field model is used",
    "wmm2025": "nothing to compute: a procedure publishes its declination, so no field model is used",
}


@pytest.mark.parametrize(
    "entry", [entry for entry in NAV if entry["id"] not in FACTS], ids=lambda entry: entry["id"]
)
def test_published_value_is_met(entry) -> None:
    check = check_for(entry["id"])

    assert check is not None, f"{entry['id']} is neither tested nor listed as a fact"
    check(entry)


def test_facts_are_entries_without_a_check() -> None:
    idents = {entry["id"] for entry in NAV}

    assert set(FACTS) <= idents
    assert not [ident for ident in FACTS if check_for(ident)]


def test_entries_of_other_layers_are_all_accounted_for() -> None:
    layers = {entry["id"].split(".")[0] for entry in ELSEWHERE}

    assert layers == set(OTHER_LAYERS)


def test_no_entry_is_there_twice_and_each_names_its_source() -> None:
    both = NAV + ELSEWHERE

    assert len({entry["id"] for entry in both}) == len(both) == 308
    for entry in both:
        assert entry["source"]["title"]
        assert entry["source"]["section"]
        assert entry["basis"] in {"read", "memory", "derived"}


def test_designers_sums_are_right_as_printed() -> None:
    """(t - 5)(v - w) - zN for the base turn; 0.15 d + 200 ft for the visual area."""
    by_id = {entry["id"]: entry for entry in NAV}
    turn = by_id["rev.base_turn_ab1"]
    given = turn["inputs"]

    ab1_nm = (given["outbound_s"] - 5) * (given["tas_nm_s"] - given["wind_nm_s"]) - given["zn_nm"]

    assert ab1_nm == pytest.approx(turn["expected"]["ab1_nm"], abs=turn["tolerance"]["abs"])
    area = by_id["vseg.visual_area_width"]
    assert 0.15 * area["inputs"]["distance_from_origin_ft"] + 200 == area["expected"]["half_width_ft"]
