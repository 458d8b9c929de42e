"""A good flight has little said of it; of a bad one it says exactly what was wrong, and no more."""

import pytest
from flights import (
    STEP_DOWN_FT,
    TURN_LATE_S,
    WRONG_SETTING_S,
    bad_log,
    bad_log_by_feed,
    bad_outcome,
    good_log,
    log_bytes,
    read,
)

from assistant.debrief.compose import debrief_of
from assistant.debrief.content import Topic
from assistant.debrief.standards import ACS, PART_FCL
from assistant.engine.events import NotUnderstood, PositionReport
from assistant.flight_log import Heard, Spoken
from assistant.nav.geometry import polar_from_plane

GOOD = [
    ("brennok-vortac-33", "--wind 200/30 --qnh 998"),
    ("skarrow-tacan-24", "--wind 250/25 --qnh 996"),
    ("lunmar-vor-dme-10", "--wind 330/20"),
    ("teskel-vortac-06", "--wind 120/15 --datum qfe --qnh 1002"),
    ("sarnet-tacan-25", "--wind 300/25"),
    ("ostrey-high-tacan-13", "--wind 18000:290/45 --wind 2000:260/20 --qnh 987"),
    ("quorrel-vor-dme-20", "--wind 240/20 --category B"),
    ("pellow-vor-dme-28", "--wind 180/15 --category B"),
    ("ulvane-vor-dme-35", "--wind 040/15 --category B"),
]


@pytest.fixture(scope="module")
def bad():
    return debrief_of(read(bad_log()))


@pytest.mark.parametrize(("name", "flags"), GOOD, ids=[name for name, _ in GOOD])
def test_of_a_flight_flown_as_called_little_is_said(name, flags):
    made = debrief_of(read(good_log(name, flags)))

    assert made.ended == "landed"
    assert {found.topic for found in made.findings} <= {Topic.SLOPE}
    assert sum(found.size for found in made.findings) < 1.2
    assert made.marks_met >= len(made.marks) - 1


def test_of_the_bad_flight_it_names_the_three_things_that_were_wrong(bad):
    # The dive through the step-down also leaves the slope; nothing else was wrong.
    assert {found.topic for found in bad.findings} == {
        Topic.ALTIMETER,
        Topic.TURN,
        Topic.FLOOR,
        Topic.SLOPE,
    }
    assert [practice.topic for practice in bad.practise] == [Topic.FLOOR, Topic.ALTIMETER, Topic.TURN] or [
        practice.topic for practice in bad.practise
    ] == [Topic.FLOOR, Topic.TURN, Topic.ALTIMETER]


def test_the_wrong_setting_is_named_with_what_it_should_have_been(bad):
    (found,) = [found for found in bad.findings if found.topic is Topic.ALTIMETER]

    start_s, end_s = WRONG_SETTING_S
    assert start_s <= found.t_s < end_s
    # QFE is measured from the aerodrome at 352 ft (procedures/brennok-vortac-33.yaml).
    assert "altimeter on QFE where QNH was in use" in found.text
    assert "352 ft off" in found.text


def test_the_step_down_is_named_with_how_far_below_it_the_aircraft_was(bad):
    found = next(found for found in bad.findings if found.topic is Topic.FLOOR)

    # The pilot levels 200 ft low and reads to 20 ft.
    below_ft = int(found.text.split(" ft below")[0])
    assert below_ft == pytest.approx(200, abs=20)
    assert f"{STEP_DOWN_FT:.0f} ft QNH" in found.text
    assert "DME" in found.text


def turned_after_due_s():
    """From the simulated aircraft itself: from crossing the lead radial to the order to turn."""
    outcome = bad_outcome()
    called = next(
        record
        for record in outcome.flight.records
        if isinstance(record, Spoken)
        and record.callout.figures.event == "lead radial"
        and record.callout.figures.turn
        and record.callout.kind == "turn"
    )
    lead_deg = next(leaving.trigger.radial_deg for leaving in outcome.flight.plan.stage("arc_0").exits)
    near = [sample for sample in outcome.samples if abs(sample.t_s - called.t_s) < 40.0]
    # The arc is flown anticlockwise: the radial falls.
    crossed_s = next(s.t_s for s in near if polar_from_plane(s.point).radial_deg <= lead_deg)
    return called.t_s + 2.0 + TURN_LATE_S - crossed_s


@pytest.mark.parametrize(
    ("log", "within_s"), [(bad_log, 15.0), (bad_log_by_feed, 6.0)], ids=["reports", "feed"]
)
def test_the_late_turn_is_named_and_timed_as_the_aircraft_flew_it(log, within_s):
    made = debrief_of(read(log()))
    (found,) = [found for found in made.findings if found.topic is Topic.TURN]
    (row,) = [row for row in made.events if row.name == "lead radial"]

    assert "at the lead radial" in found.text
    assert row.late_s == pytest.approx(turned_after_due_s(), abs=within_s)


def test_events_are_in_order_and_each_says_when_it_was_due_called_and_reported(bad):
    due = [row.due_s for row in bad.events]
    names = [row.name for row in bad.events]

    assert due == sorted(due)
    assert [row.number for row in bad.events] == list(range(1, len(due) + 1))
    for name in ("hold GARDU", "inbound turn", "lead radial", "final approach fix HILBA", "visual"):
        assert name in names
    assert all(row.called_s is not None or row.not_called for row in bad.events)
    assert all(row.reported_s is None or row.reported_s >= row.due_s - 1.0 for row in bad.events)


def test_a_cut_log_is_debriefed_as_far_as_it_goes_and_says_so():
    data = bad_log()
    whole = debrief_of(read(data))

    cut = debrief_of(read(data[: len(data) * 2 // 3]))

    assert cut.notice is not None
    assert cut.ended.startswith("ended on: ")
    assert 0 < len(cut.events) < len(whole.events)


@pytest.mark.parametrize("lines", [1, 2, 3, 5, 9, 20, 40, 80, 160])
def test_a_log_cut_after_any_line_is_debriefed(lines):
    data = bad_log()
    kept = b"".join(line + b"\n" for line in data.split(b"\n")[:lines])

    made = debrief_of(read(kept))

    assert made.marks_met <= len(made.marks)


def test_silences_challenges_and_words_not_understood_are_listed():
    outcome = bad_outcome()
    last_s = 900.0
    records = [
        record
        for record in outcome.flight.records
        if not (isinstance(record, Heard | PositionReport) and 150.0 < record.t_s < 420.0)
    ]
    place = next(n for n, record in enumerate(records) if record.t_s > last_s)
    records.insert(place, NotUnderstood(t_s=last_s, text="er", reason="no phrase"))

    talked = debrief_of(read(log_bytes(outcome, records))).conduct

    assert talked.misunderstood == ((last_s, "er"),)
    # Nothing was said between the reports about 141 s and 421 s (one every 28 s, 270 s taken out).
    assert talked.silences[0].lasted_s == pytest.approx(280.0, abs=30.0)
    assert talked.silences[0].from_s < 150.0


def test_standards_are_those_published():
    # FAA-S-ACS-8: 100 ft, three quarters of full scale (10 degrees), MDA +100/-0, arc 1 NM.
    assert (ACS.altitude_ft, ACS.course_deg, ACS.arc_nm) == (100.0, 7.5, 1.0)
    assert (ACS.minimum_above_ft, ACS.minimum_below_ft) == (100.0, 0.0)
    # Regulation (EU) 1178/2011, Annex I, Appendix 7: 100 ft, 5 degrees, MDH +50/-0, nothing of arcs.
    assert (PART_FCL.altitude_ft, PART_FCL.course_deg, PART_FCL.arc_nm) == (100.0, 5.0, None)
    assert (PART_FCL.minimum_above_ft, PART_FCL.minimum_below_ft) == (50.0, 0.0)


def test_what_a_standard_does_not_state_is_not_marked_under_it():
    marks = debrief_of(read(good_log()), PART_FCL).marks

    assert Topic.ARC not in {mark.topic for mark in marks}
    assert {mark.allowed for mark in marks if mark.topic is Topic.COURSE} == {"±5.0°"}
