"""
Finding a flight again, to the very edge: on a leg drawn without rounding, and on Skarrow.

The drawn leg runs south along radial 360 from 20 to 5 DME at a 32nd of a mile a second, in place of Skarrow's
last course; the flight is at 80 ft, the station's height, so that ranges are those on the ground.
"""

from dataclasses import replace
from math import atan2, degrees, hypot

import pytest
from on_paper import binary, in_plan, stage
from placed import NOW_S, placed

from assistant.engine.core import begin
from assistant.engine.events import CalloutKind, PositionReport, Priority, Turn
from assistant.engine.outbox import Outbox
from assistant.engine.plan import Cue, Exit, Floor, Phase
from assistant.engine.relocate import arrival_stage, relocate, take_back
from assistant.engine.state import Doubt
from assistant.engine.triggers import DmeReached
from assistant.nav.geometry import PlanePoint, plane_from_polar


@pytest.fixture
def drawn_plan(still):
    """With the drawn leg; the final is out of the way, on the other side of the station."""

    def changed(**changes):
        leg = stage(
            **{"name": "course_2", "timeline": binary(), "tas_kt": 112.5, "target_ft": 80.0} | changes
        )
        return in_plan(still, leg)

    return changed


def on_leg(compiled, progress_s, **changes):
    known = {"progress_s": progress_s, "altitude_ft": 80.0} | changes
    return placed(compiled, "course_2", 20.0 - progress_s / 32.0, **known)


def report(radial_deg=None, dme_nm=None, **changes):
    known = {"t_s": NOW_S, "observed_t_s": NOW_S, "radial_deg": radial_deg, "dme_nm": dme_nm}
    return PositionReport(**known | changes)


def found(state, read):
    state, lost = relocate(state, read, Outbox())
    return state.stage_name, lost


# -- the arrival --------------------------------------------------------------------------------------------


def test_the_arrival_ends_at_the_very_range_of_its_fix(still):
    # Slant range at the altitude of the leg, above the station and not above the sea: 17 miles, as charted.
    stage_ = arrival_stage(begin(still), plane_from_polar(345.0, 37.0))

    assert stage_.timeline.dmes_nm[-1] == pytest.approx(17.0, abs=1e-6)


@pytest.mark.parametrize(
    ("heading_deg", "turn"),
    # Lunmar's outbound leg is flown on 269, less in its turn: from 300 to the left, from 200 to the right. A
    # pilot who read no heading comes along the track: from radial 010, on 190.
    [(300.0, Turn.LEFT), (200.0, Turn.RIGHT), (None, Turn.RIGHT)],
)
def test_the_first_turn_is_prepared_as_it_is_from_the_heading_of_the_way_in(plan, heading_deg, turn):
    state = begin(plan("lunmar-vor-dme-10")).but(heading_mag_deg=heading_deg)
    way_in = arrival_stage(state, plane_from_polar(10.0, 30.0))
    leaving = [cue for cue in way_in.cues if cue.kind is CalloutKind.PREPARE and "leaving" in cue.name]

    assert [cue.figures.turn for cue in leaving] == [turn]


def test_from_the_first_fix_itself_there_is_no_way_to_fly(still):
    # 17 DME at 4,000 ft, 3,920 above the station: sqrt(17^2 - 0.645^2) = 16.988 NM on the ground.
    here = arrival_stage(begin(still), plane_from_polar(345.0, 16.98776))

    # A stage has two seconds at the least.
    assert here.timeline.duration_s <= 2.0


# -- taken back ---------------------------------------------------------------------------------------------


def leaving_at(at_s):
    return (Exit(trigger=DmeReached(dme_nm=20.0 - at_s / 32.0, closing=True), to="final", at_s=at_s),)


def back(drawn_plan, found_s, *, called_s=400.0, entered_ago_s=2.0, age_s=0.0, final=True):
    """The stage after a report at a progress on the leg before, with the next one called from there."""
    compiled = drawn_plan(exits=leaving_at(called_s))
    if not final:
        compiled = in_plan(compiled, replace(compiled.stage("final"), phase=Phase.INTERMEDIATE))
    before = on_leg(compiled, found_s, observed_s=NOW_S - age_s)
    state = placed(
        compiled,
        "final",
        None,
        progress_s=2.0,
        predicted=True,
        confirmed=before,
        entered_s=NOW_S - entered_ago_s,
        altitude_ft=80.0,
    )
    return take_back(state, report(dme_nm=20.0 - found_s / 32.0), Outbox()).stage_name


@pytest.mark.parametrize(
    ("before_s", "age_s", "came_to"),
    # Six seconds before its place a leg is still on it; fifteen more, and a third of the age of the
    # reckoning, are as far as that can have been wrong.
    [
        (5.75, 0.0, "final"),
        (6.0, 0.0, "course_2"),
        (21.0, 0.0, "course_2"),
        (21.25, 0.0, "final"),
        (35.0, 40.0, "course_2"),
        (35.25, 40.0, "final"),
    ],
)
def test_a_leg_is_taken_back_from_six_seconds_before_its_place_on(drawn_plan, before_s, age_s, came_to):
    assert back(drawn_plan, 400.0 - before_s, age_s=age_s) == came_to


@pytest.mark.parametrize(
    ("final", "ago_s", "came_to"),
    [(False, 12.0, "course_2"), (False, 12.25, "final"), (True, 100.0, "course_2")],
)
def test_just_twelve_seconds_after_its_call_a_turn_is_taken_back(drawn_plan, final, ago_s, came_to):
    assert back(drawn_plan, 390.0, entered_ago_s=ago_s, final=final) == came_to


def test_two_miles_from_the_station_a_range_alone_still_takes_back(drawn_plan):
    # The leg goes on to the station: its place at 2 DME, at 576 s, and a bit nearer.
    def along(**changes):
        return drawn_plan(timeline=binary(length_s=640.0), **changes)

    assert back(along, 566.0, called_s=576.0) == "course_2"
    assert back(along, 567.0, called_s=577.0) == "final"


# -- insisted on --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("off_s", "age_s", "lost"),
    [
        # A minute's pace either way; a third of the age more, but no more than of five minutes: 105 s.
        (60.0, 0.0, False),
        (60.25, 0.0, True),
        (-60.0, 0.0, False),
        (-60.25, 0.0, True),
        (95.0, 100.0, False),
        (165.0, 300.0, False),
        (165.0, 1000.0, False),
        (165.25, 1000.0, True),
    ],
)
def test_a_range_alone_shows_the_same_leg_a_minute_sooner_or_later(drawn_plan, off_s, age_s, lost):
    state = on_leg(drawn_plan(), 240.0, observed_s=NOW_S - age_s)

    assert found(state, report(dme_nm=20.0 - (240.0 + off_s) / 32.0))[1] is lost


@pytest.mark.parametrize(
    ("progress_s", "lost"), [(-30.0, False), (-30.25, True), (510.0, False), (510.25, True)]
)
def test_half_a_minute_before_and_after_its_leg_a_place_belongs_to_it(drawn_plan, progress_s, lost):
    state = on_leg(drawn_plan(), 240.0)

    assert found(state, report(360.0, 20.0 - progress_s / 32.0))[1] is lost


@pytest.mark.parametrize(
    ("dme_nm", "came_to"), [(20.0, "course_2"), (20.0625, "course_0"), (5.0, "course_2")]
)
def test_a_leg_further_on_reaches_from_its_beginning_to_its_end(drawn_plan, dme_nm, came_to):
    # The flight is on Skarrow's first leg, on radial 345, and lower than its later ones begin.
    state = placed(drawn_plan(), "course_0", 15.0, altitude_ft=80.0)

    assert found(state, report(360.0, dme_nm))[0] == came_to


def test_what_a_leg_calls_from_the_place_found_on_is_still_to_be_called(drawn_plan):
    def cue(name, at_s, **changes):
        priority = Priority.PREPARATION
        return Cue(name=name, at_s=at_s, kind=CalloutKind.CHECK, priority=priority, **changes)

    cues = (
        cue("past", 159.75),
        cue("here", 160.0),
        cue("ahead", 161.0),
        cue("down", 10.0, descends=True),
    )
    state = placed(drawn_plan(cues=cues), "course_0", 15.0, altitude_ft=80.0)
    state, _ = relocate(state, report(360.0, 15.0), Outbox())

    assert (state.stage_name, state.anchor_progress_s, state.fired) == ("course_2", 160.0, {"past"})


@pytest.mark.parametrize(
    ("changes", "altitude_ft", "came_to"),
    [
        # Five thousand feet above the altitude that a leg begins with, its floor until established if it has
        # one, is too high for it; on a leg without any floor nobody is.
        ({"floors": (Floor(altitude_ft=2000.0),)}, 7000.0, "course_2"),
        ({"floors": (Floor(altitude_ft=2000.0),)}, 7000.25, "course_0"),
        (
            {"floors": (Floor(altitude_ft=2000.0, until_s=99.0), Floor(altitude_ft=1000.0))},
            7000.0,
            "course_2",
        ),
        ({"floor_until_established_ft": 3000.0}, 8000.0, "course_2"),
        ({"floor_until_established_ft": 3000.0}, 8000.25, "course_0"),
        ({}, 9000.0, "course_2"),
        ({"floors": (Floor(altitude_ft=2000.0),)}, None, "course_2"),
    ],
)
def test_a_flight_far_above_a_leg_is_not_on_it(drawn_plan, changes, altitude_ft, came_to):
    state = placed(drawn_plan(**changes), "course_0", 15.0, altitude_ft=altitude_ft)

    assert found(state, report(360.0, 15.0))[0] == came_to


@pytest.mark.parametrize(
    ("first_nm", "came_to"),
    # South along the leg the range closes: from 14 1/2 to 15 it opened by half a mile, which tells.
    [(14.5, "course_0"), (14.515625, "course_2"), (15.5, "course_2")],
)
def test_half_a_mile_between_two_reports_tells_a_direction(drawn_plan, first_nm, came_to):
    compiled = drawn_plan()
    doubt = Doubt(report=report(360.0, first_nm), item="range")
    before = placed(compiled, "course_0", 15.0, altitude_ft=80.0, doubt=doubt)
    state = placed(compiled, "course_0", 15.0, altitude_ft=80.0, before_report=before)

    assert found(state, report(360.0, 15.0))[0] == came_to


@pytest.mark.parametrize(("beside_nm", "lost"), [(3.8, False), (4.2, True)])
def test_about_a_hold_four_miles_belong_to_it(still, beside_nm, lost):
    # Inbound on 165 to TARNO, and turned to the right: on its other side, east of it, nothing is flown.
    timeline = still.stage("hold_inbound").timeline
    state = placed(still, "hold_inbound", None, progress_s=timeline.duration_s - 20.0, altitude_ft=4000.0)
    here = state.place(NOW_S).point
    away = plane_from_polar(75.0, beside_nm)
    point = PlanePoint(here.east_nm + away.east_nm, here.north_nm + away.north_nm)

    assert found(state, _at(point, above_ft=3920.0))[1] is lost


def _at(point, *, above_ft):
    return report(degrees(atan2(point.east_nm, point.north_nm)) % 360.0, hypot(*point, above_ft / 6076.115))
