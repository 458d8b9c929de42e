"""The ways into a racetrack flown on paper in still air: Ulvane's by time, Skarrow's by range; by hand."""

from math import cos, radians, sin

import pytest

from assistant.engine.circuit import limit_figures
from assistant.engine.events import CalloutKind, EntrySector, Figures, Priority, Said, Turn
from assistant.engine.plan import Phase, When
from assistant.engine.triggers import DmeReached, RadialReached, TimeElapsed
from assistant.procedure.model import Category


@pytest.fixture
def ulvane(plan):
    """Racetrack on NIMRO (radial 165, 10 DME), inbound 345, right, 90 s; category B: 150 kt at 2,600 ft."""
    return plan("ulvane-vor-dme-35", category=Category.B)


@pytest.fixture
def skarrow(plan):
    """Hold on TARNO (radial 345, 17 DME), inbound 165, right, out to 23 DME; category C."""
    return plan("skarrow-tacan-24")


def gone(stage):
    """How far east and north a stage leads, NM."""
    first, last = stage.timeline.points[0], stage.timeline.points[-1]
    return last.east_nm - first.east_nm, last.north_nm - first.north_nm


def straight(bearing_deg, length_nm):
    return pytest.approx(
        (length_nm * sin(radians(bearing_deg)), length_nm * cos(radians(bearing_deg))), abs=0.01
    )


def test_a_timed_racetrack_is_a_turn_and_its_time(ulvane):
    outbound = ulvane.stage("outbound_0")

    # Rate one: 180 degrees in 60 s, then 90 s on 165 from abeam the fix.
    assert outbound.timeline.turn_end_s == pytest.approx(60.0, abs=0.1)
    assert outbound.timeline.duration_s == pytest.approx(150.0, abs=0.1)
    assert outbound.exits[0].trigger == TimeElapsed(time_s=90)
    assert (outbound.turns, outbound.free_turn, outbound.course) == (True, False, None)
    call = outbound.cues[0]
    assert (call.kind, call.priority) == (CalloutKind.OUTBOUND, Priority.ACTION)
    assert (call.figures.turn, call.figures.time_s, call.figures.course_mag_deg) == (Turn.RIGHT, 90, None)
    assert call.figures.heading_mag_deg == pytest.approx(165.0, abs=0.01)


def test_the_offset_entry_leads_thirty_degrees_into_the_pattern_for_a_minute(ulvane):
    # The pattern lies right of 345, that is east: from outbound 165 thirty degrees toward it, 135.
    offset = ulvane.stage("outbound_0_entry_offset")

    assert gone(offset) == straight(135.0, offset.tas_kt * 60.0 / 3600.0)
    assert offset.exits[0].trigger == TimeElapsed(time_s=60)
    assert offset.exits[0].at_s == pytest.approx(60.0)
    assert (offset.entry, offset.course, offset.title) == (
        EntrySector.OFFSET,
        None,
        "Racetrack, offset entry",
    )
    figures = offset.cues[0].figures
    assert (offset.cues[0].kind, figures.entry, figures.time_s, figures.turn) == (
        CalloutKind.HOLD_ENTRY,
        EntrySector.OFFSET,
        60,
        None,
    )
    assert figures.heading_mag_deg == pytest.approx(135.0)
    assert offset.event_figures.time_s == 60


def test_the_parallel_entry_leads_along_the_course_for_the_patterns_time(ulvane):
    parallel = ulvane.stage("outbound_0_entry_parallel")

    assert gone(parallel) == straight(165.0, parallel.tas_kt * 90.0 / 3600.0)
    assert parallel.exits[0].trigger == TimeElapsed(time_s=90)
    assert parallel.exits[0].to == "outbound_0_parallel_return"
    assert parallel.cues[0].figures.heading_mag_deg == pytest.approx(165.0)


def test_the_parallel_entry_turns_through_the_pattern_to_cut_the_course_at_45_degrees(ulvane):
    back = ulvane.stage("outbound_0_parallel_return")
    # Left from 165 to 300 (345 less 45) through 225 degrees: 75 s at rate one.
    assert back.timeline.turn_end_s == pytest.approx(75.0, abs=0.1)
    call = back.cues[0]
    assert (call.kind, call.figures.turn, call.figures.course_mag_deg) == (
        CalloutKind.INBOUND_TURN,
        Turn.LEFT,
        345.0,
    )
    assert call.figures.heading_mag_deg == pytest.approx(300.0)
    # r = V / rate = 155.8 / 3600 / 0.05236 = 0.8266 NM; across the course r (1 + cos 45) = 1.411 NM,
    # along it back by r sin 45 = 0.585 of 3.895. The cut takes 1.411 sqrt 2 NM = 46.1 s, in twos 48; it
    # brings 1.469 along. The rest, 3.895 - 0.585 - 1.469 = 1.841 NM, takes 42.5 s: 165.5 s in all.
    assert back.timeline.duration_s == pytest.approx(165.5, abs=0.5)
    assert back.exits[0].trigger == DmeReached(dme_nm=10.0, closing=True)
    assert back.exits[0].at_s == pytest.approx(back.timeline.duration_s)
    assert back.exits[0].to == "course_2"
    # Where the course will be joined only the radial tells: asked for four seconds after the turn's end.
    radial = next(cue for cue in back.cues if cue.name == "radial?")
    assert radial.at_s == pytest.approx(75.0 + 4.0, abs=0.5)
    assert (radial.kind, radial.when) == (CalloutKind.SAY_POSITION, When.NOT_ESTABLISHED)
    assert back.timeline.points[-1] == pytest.approx(ulvane.stage("outbound_0").timeline.points[0], abs=0.01)


def test_a_left_hand_pattern_is_entered_the_other_way_round(plan):
    # Quorrel: inbound 020, left: the offset entry from 200 to the left-hand side, 230; the return is a right
    # turn to 020 + 45.
    quorrel = plan("quorrel-vor-dme-20", category=Category.B)

    assert quorrel.stage("hold_entry_offset").cues[0].figures.heading_mag_deg == pytest.approx(230.0)
    back = quorrel.stage("hold_parallel_return").cues[0].figures
    assert (back.turn, back.heading_mag_deg) == (Turn.RIGHT, pytest.approx(65.0))


def test_an_entry_limited_by_range_is_flown_as_long_as_the_patterns_own_leg(skarrow):
    straight_s = (
        skarrow.stage("hold_outbound").timeline.duration_s
        - skarrow.stage("hold_outbound").timeline.turn_end_s
    )
    for name, bearing_deg in (("hold_entry_offset", 315.0), ("hold_entry_parallel", 345.0)):
        entry = skarrow.stage(name)
        # Neither reaches 23 DME in that time: 17 and 5.8 miles at most, so it ends by the clock.
        assert entry.exits[0].trigger == TimeElapsed(time_s=round(straight_s))
        assert entry.timeline.duration_s == pytest.approx(straight_s, abs=0.1)
        assert gone(entry) == straight(bearing_deg, entry.tas_kt * straight_s / 3600.0)


def test_the_parallel_return_begins_where_the_entry_ends_by_range(plan):
    # Ostrey: inbound 310 from the station, outbound to 9 DME; at flight level 180 that is 8.5 on the ground.
    ostrey = plan("ostrey-high-tacan-13")
    entry, back = ostrey.stage("hold_entry_parallel"), ostrey.stage("hold_parallel_return")

    assert entry.exits[0].trigger == DmeReached(dme_nm=9.0, closing=True)
    assert entry.timeline.dmes_nm[-1] == pytest.approx(9.0, abs=0.01)
    assert back.timeline.points[0] == pytest.approx(entry.timeline.points[-1])


def test_from_the_parallel_entry_the_hold_goes_on_or_is_left_at_its_fix(skarrow):
    back = skarrow.stage("hold_parallel_return")

    assert {(leaving.to, leaving.when) for leaving in back.exits} == {
        ("hold_outbound", When.STAYING),
        ("course_0", When.LEAVING),
    }
    assert all(leaving.at_s == pytest.approx(back.timeline.duration_s) for leaving in back.exits)
    assert (back.phase, back.event, back.event_figures.dme_nm) == (Phase.HOLD, "hold fix TARNO", 17.0)
    assert back.course.course_mag_deg == 165.0


def test_a_racetrack_is_entered_by_all_three_ways_and_a_hold_by_those_permitted(ulvane, skarrow):
    racetrack = ulvane.racetracks["outbound_0"]

    assert racetrack.entries == (
        (EntrySector.DIRECT, "outbound_0"),
        (EntrySector.OFFSET, "outbound_0_entry_offset"),
        (EntrySector.PARALLEL, "outbound_0_entry_parallel"),
    )
    assert (racetrack.inbound_course_mag_deg, racetrack.turn) == (345.0, Turn.RIGHT)
    assert ulvane.stage("outbound_0").joined_by == (Said.OUTBOUND,)
    assert ulvane.stage("outbound_0_entry_offset").joined_by == ()
    assert [sector for sector, _ in skarrow.racetracks["hold_entry"].entries] == list(EntrySector)


def test_an_outbound_leg_ends_by_time_or_range_only():
    assert limit_figures(DmeReached(dme_nm=23.0, closing=False)) == Figures(dme_nm=23.0)
    assert limit_figures(TimeElapsed(time_s=60.0)) == Figures(time_s=60.0)
    with pytest.raises(ValueError, match="does not end an outbound leg"):
        limit_figures(RadialReached(radial_deg=10.0))


def test_the_hold_overhead_the_station_has_no_range_to_read(plan):
    quorrel = plan("quorrel-vor-dme-20", category=Category.B)
    inbound = quorrel.stage("hold_inbound")

    assert inbound.event_figures.dme_nm is None
    # 4,500 ft above a station at 578 ft: 0.6 NM overhead.
    assert [leaving.trigger for leaving in inbound.exits] == [DmeReached(dme_nm=0.6, closing=True)] * 2
    assert "range" not in [cue.name for cue in quorrel.stage("hold_outbound").cues]
