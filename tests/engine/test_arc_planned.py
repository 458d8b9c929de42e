"""An arc as it is planned in still air: on to it, along it in straight pieces, off it; by hand."""

from dataclasses import replace
from math import asin, degrees, radians, sqrt, tan

import pytest

from assistant.engine.arc_lead import arc_join, lead_radial
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.engine.draft import Draft
from assistant.engine.events import CalloutKind, Priority, Said, Turn
from assistant.engine.plan import FOREVER_S, Phase, When
from assistant.engine.today import Today
from assistant.engine.triggers import RadialReached
from assistant.nav.geometry import difference_deg
from assistant.procedure.model import ArcDirection, CourseLeg


@pytest.fixture
def skarrow(plan):
    """Clockwise at 12 DME from radial 345 to the course along 063; category C, 210 kt, 25 degrees of bank."""
    return plan("skarrow-tacan-24")


@pytest.fixture
def brennok(plan):
    """Anticlockwise at 14 DME from radial 215 to the course along 144."""
    return plan("brennok-vortac-33")


@pytest.fixture
def draft(procedure):
    return Draft(Today(procedure=procedure("skarrow-tacan-24"), conditions=Conditions()))


def radius_nm(tas_kt):
    v_m_s = tas_kt * 1852.0 / 3600.0
    return v_m_s**2 / (9.80665 * tan(radians(25.0))) / 1852.0


def ground_nm(slant_nm, altitude_ft):
    """The station lies at 80 ft."""
    return sqrt(slant_nm**2 - ((altitude_ft - 80.0) / 6076.115) ** 2)


def slant_nm(on_ground_nm, altitude_ft):
    return sqrt(on_ground_nm**2 + ((altitude_ft - 80.0) / 6076.115) ** 2)


@pytest.mark.parametrize(
    ("course_deg", "side", "closing"),
    # A circle of the turn's radius that touches the radial and the arc: outside the arc for one who comes in,
    # inside it for one who goes out. Its centre is R + r or R - r from the station, r beside the radial.
    [(165.0, 1.0, True), (345.0, -1.0, False)],
)
def test_the_turn_on_to_an_arc_begins_where_its_circle_touches_the_radial(draft, course_deg, side, closing):
    arc = draft.today.procedure.legs[1]
    arc_nm, r_nm = ground_nm(12.0, 3500.0), radius_nm(221.0)
    start_nm = sqrt((arc_nm + side * r_nm) ** 2 - r_nm**2)
    trigger, along_nm = arc_join(draft, "VELKA", course_deg, arc, 3500.0, 221.0)

    # VELKA lies on the arc: so far before it.
    assert along_nm == pytest.approx(-abs(start_nm - arc_nm), abs=0.01)
    assert trigger.dme_nm == pytest.approx(slant_nm(start_nm, 3500.0), abs=0.051)
    assert trigger.closing is closing


@pytest.mark.parametrize("course_deg", [165.0, 345.0])
def test_seen_in_a_mirror_along_the_course_the_lead_is_the_same(procedure, course_deg):
    """The wind from the other side, the arc the other way round: it holds only for the very radial flown."""
    skarrow = procedure("skarrow-tacan-24")
    arc = skarrow.legs[1]

    def along_nm(direction, from_the_left_deg):
        wind = (WindAtLevel(wind_from_mag_deg=(course_deg - from_the_left_deg) % 360.0, wind_kt=60.0),)
        draft = Draft(Today(procedure=skarrow, conditions=Conditions(wind=wind)))
        return arc_join(draft, "VELKA", course_deg, replace(arc, direction=direction), 3500.0, 221.0)[1]

    clockwise_nm = along_nm(ArcDirection.CLOCKWISE, 50.0)
    assert along_nm(ArcDirection.ANTICLOCKWISE, -50.0) == pytest.approx(clockwise_nm, abs=1e-4)
    # The wind matters, else the mirror would show nothing.
    assert abs(along_nm(ArcDirection.CLOCKWISE, -50.0) - clockwise_nm) > 0.1


def test_a_course_that_passes_the_station_has_no_lead_on_to_an_arc(draft):
    arc = draft.today.procedure.legs[1]

    # Through VELKA on 162 the station is passed by 12 sin 3 = 0.63 NM, on 163.5 by 0.31.
    assert arc_join(draft, "VELKA", 162.0, arc, 3500.0, 221.0) is None
    assert arc_join(draft, "VELKA", 163.5, arc, 3500.0, 221.0) is not None


@pytest.mark.parametrize(
    ("course_deg", "side"),
    # Off the arc inbound the turn's circle lies within it, outbound beyond it.
    [(243.0, -1.0), (63.0, 1.0)],
)
def test_the_lead_radial_is_where_the_circle_leaves_the_arc(draft, course_deg, side):
    _, arc, course, _ = draft.today.procedure.legs
    arc_nm, r_nm = ground_nm(12.0, 3000.0), radius_nm(219.0)
    beside = CourseLeg(to_fix="BESKA", course_mag_deg=course_deg, altitude=course.altitude)
    found = lead_radial(draft, arc, beside, 3000.0, 219.0)

    assert difference_deg(found.radial_deg, 63.0) == pytest.approx(
        degrees(asin(r_nm / (arc_nm + side * r_nm))), abs=0.1
    )


def headings(stage):
    return [cue for cue in stage.cues if cue.kind is CalloutKind.HEADING]


def test_a_heading_is_called_at_every_ten_radials(skarrow, brennok):
    # From 351 to 055: not at 050, within five degrees of the lead radial. From 209 to 151: not at 160 … 151.
    assert [cue.figures.radial_deg % 360.0 for cue in headings(skarrow.stage("arc_1"))] == pytest.approx(
        [0.0, 10.0, 20.0, 30.0, 40.0]
    )
    assert [cue.figures.radial_deg for cue in headings(brennok.stage("arc_0"))] == pytest.approx(
        [200.0, 190.0, 180.0, 170.0, 160.0]
    )


def test_each_heading_is_that_of_the_middle_of_its_piece(skarrow, brennok):
    # Square to the radial half-way: clockwise a quarter turn more, anticlockwise less.
    clockwise, other = skarrow.stage("arc_1"), brennok.stage("arc_0")
    lead_deg = clockwise.exits[0].trigger.radial_deg
    assert [cue.figures.heading_mag_deg for cue in headings(clockwise)] == pytest.approx(
        [95.0, 105.0, 115.0, 125.0, 90.0 + (40.0 + lead_deg) / 2.0], abs=0.01
    )
    last_deg = (160.0 + other.exits[0].trigger.radial_deg) / 2.0 - 90.0
    assert [cue.figures.heading_mag_deg for cue in headings(other)] == pytest.approx(
        [105.0, 95.0, 85.0, 75.0, last_deg], abs=0.01
    )


def test_a_heading_is_called_five_seconds_before_its_radial(skarrow):
    arc = skarrow.stage("arc_1")
    first = headings(arc)[0]
    turn_ends_deg = arc.timeline.at(arc.timeline.turn_end_s).radial_deg
    round_nm = radians(360.0 - turn_ends_deg) * ground_nm(12.0, 3000.0)

    assert first.at_s == pytest.approx(
        arc.timeline.turn_end_s + round_nm / arc.tas_kt * 3600.0 - 5.0, abs=0.3
    )
    assert first.trigger == RadialReached(radial_deg=first.figures.radial_deg)
    assert (first.name, first.priority) == ("heading at 000", Priority.ACTION)
    # Ten radials are 2.09 NM.
    later = [b.at_s - a.at_s for a, b in zip(headings(arc), headings(arc)[1:], strict=False)]
    assert later == pytest.approx([radians(10.0) * 11.9904 / arc.tas_kt * 3600.0] * 4, abs=0.2)


def test_the_first_heading_is_that_of_the_piece_up_to_the_first_call(skarrow):
    arc = skarrow.stage("arc_1")
    turn = arc.cues[0]

    # A quarter turn of 1.52 NM radius, begun 13.43 miles out, ends 1.52 beside the radial and 11.91 out: 7.27
    # degrees round, at 352.3. Half-way from there to 000, and a quarter turn: 086.1.
    assert turn.figures.heading_mag_deg == pytest.approx(86.1, abs=0.15)
    assert (turn.kind, turn.figures.turn, turn.priority, turn.at_s) == (
        CalloutKind.TURN,
        Turn.LEFT,
        Priority.ACTION,
        0.0,
    )
    assert arc.turns
    assert not arc.free_turn


def test_an_arc_is_left_at_its_lead_radial_and_carries_the_charts_floors(skarrow, brennok):
    arc = skarrow.stage("arc_1")
    (leaving,) = arc.exits

    assert (leaving.to, leaving.at_s, arc.event) == ("course_2", arc.timeline.duration_s, "lead radial")
    assert arc.event_figures.radial_deg == leaving.trigger.radial_deg
    assert arc.timeline.radials_deg[-1] == pytest.approx(leaving.trigger.radial_deg, abs=0.01)
    # 3,000 ft to radial 020, then 2,500; out of 3,500 of the course before it, until on the arc.
    assert [floor.altitude_ft for floor in arc.floors] == [3000.0, 2500.0]
    assert arc.floors[0].until_s == pytest.approx(arc.timeline.when(RadialReached(radial_deg=20.0)), abs=0.1)
    assert arc.floors[1].until_s == FOREVER_S
    assert (arc.floor_until_established_ft, arc.target_ft) == (3500.0, 3000.0)
    descents = [cue for cue in arc.cues if cue.kind is CalloutKind.DESCEND]
    assert [(cue.name, cue.figures.altitude_ft, cue.when) for cue in descents] == [
        ("descend", 3000.0, When.ESTABLISHED),
        ("step radial 020", 2500.0, When.ESTABLISHED),
    ]
    assert (arc.phase, arc.joined_by, arc.title) == (
        Phase.INITIAL,
        (Said.ON_ARC,),
        "12.0 DME arc, clockwise",
    )
    assert (arc.arc.arc_dme_nm, arc.arc.direction) == (12.0, ArcDirection.CLOCKWISE)
    assert brennok.stage("arc_0").arc.direction is ArcDirection.ANTICLOCKWISE


def test_in_wind_every_heading_of_the_arc_holds_off_its_drift(plan):
    # 30 kt from 095 + 90 = 185, square to the first piece's heading from the right: asin(30 / 219.3) = 7.9.
    windy = headings(plan("skarrow-tacan-24", wind=(185, 30)).stage("arc_1"))[0]

    assert windy.figures.heading_mag_deg == pytest.approx(95.0 + 7.9, abs=0.1)
