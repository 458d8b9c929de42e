"""The calls that every leg has, and the slope of a final, each by hand."""

import pytest
from on_paper import straight

from assistant.engine.compile_final import due_on
from assistant.engine.compile_legs import descent_cue, established_cues, place_name, step_trigger, steps_on
from assistant.engine.conditions import Conditions
from assistant.engine.draft import Draft
from assistant.engine.events import CalloutKind, Priority
from assistant.engine.plan import FOREVER_S, When
from assistant.engine.today import Today
from assistant.engine.triggers import DmeReached, RadialReached, TimeElapsed
from assistant.procedure.model import Altitude, AltitudeKind, StepDown


@pytest.fixture
def draft(procedure):
    begun = Draft(Today(procedure=procedure("skarrow-tacan-24"), conditions=Conditions()))
    begun.floor_ft = 2000.0
    return begun


@pytest.mark.parametrize(
    ("target_ft", "called"), [(1949.0, True), (1950.0, True), (1951.0, False), (2500.0, False)]
)
def test_a_descent_of_fifty_feet_and_more_is_called(draft, target_ft, called):
    cues = descent_cue(draft, target_ft, when=When.ESTABLISHED, at_s=4.0)

    assert bool(cues) is called
    if called:
        (cue,) = cues
        assert (cue.kind, cue.priority, cue.when) == (CalloutKind.DESCEND, Priority.ACTION, When.ESTABLISHED)
        assert (cue.at_s, cue.figures.altitude_ft, cue.window_s, cue.descends) == (
            4.0,
            target_ft,
            FOREVER_S,
            True,
        )


@pytest.mark.parametrize(
    ("turn_s", "needle_s", "radial_s"),
    [
        # The needle at seven tenths of the turn, the radial eight seconds before its end; but not before four
        # fifths of it, and no needle where the radial is asked for within eight seconds.
        (75.0, 52.5, 67.0),
        (53.4, 37.38, 45.4),
        (53.2, None, 45.2),
        (40.0, None, 32.0),
        (30.0, None, 24.0),
        (20.0, None, 16.0),
    ],
)
def test_in_a_turn_on_to_a_course_needle_radial_and_established_are_asked_for(turn_s, needle_s, radial_s):
    cues = {cue.name: cue for cue in established_cues(straight(turn_end_s=turn_s))}

    assert cues.get("needle") is None if needle_s is None else cues["needle"].at_s == pytest.approx(needle_s)
    assert cues["radial?"].at_s == pytest.approx(radial_s)
    assert cues["established?"].at_s == pytest.approx(turn_s + 15.0)
    assert all(cue.when is When.NOT_ESTABLISHED for cue in cues.values())
    assert all(cue.priority is Priority.PREPARATION for cue in cues.values())
    assert cues["established?"].figures.item == "established"


@pytest.mark.parametrize(
    ("trigger", "name"),
    [
        (DmeReached(dme_nm=3.5, closing=True), "3.5 DME"),
        (DmeReached(dme_nm=10.0, closing=False), "10 DME"),
        (RadialReached(radial_deg=20.0), "radial 020"),
        (TimeElapsed(time_s=60.0), "60 s"),
    ],
)
def test_a_place_without_a_name_is_called_by_its_range_or_radial(trigger, name):
    assert place_name(trigger) == name


def step(altitude_ft=1500.0, **where):
    return StepDown(altitude=Altitude(kind=AltitudeKind.AT_OR_ABOVE, altitude_ft=altitude_ft), **where)


def test_a_step_down_is_shown_by_its_radial_its_range_or_the_range_of_its_fix(draft):
    # Southward on radial 360 from 20 miles the range closes.
    inbound = straight()

    assert step_trigger(draft, inbound, step(radial_deg=20.0)) == RadialReached(radial_deg=20.0)
    assert step_trigger(draft, inbound, step(dme_nm=15.0)) == DmeReached(dme_nm=15.0, closing=True)
    assert step_trigger(draft, inbound, step(fix="BESKA")) == DmeReached(dme_nm=6.0, closing=True)


def test_step_downs_are_in_the_order_flown_after_the_turn(draft):
    # Two miles a minute: 18 DME after 60 s, 15 after 150; 13 comes after the leg's end.
    inbound = straight(turn_end_s=30.0)
    found = steps_on(
        draft, inbound, (step(1200.0, dme_nm=15.0), step(1500.0, dme_nm=18.0), step(dme_nm=13.0)), 900.0
    )

    assert [(round(at_s, 3), name, altitude_ft) for at_s, name, altitude_ft in found] == [
        (60.0, "18 DME", 1500.0),
        (150.0, "15 DME", 1200.0),
    ]
    # One that was passed in the turn holds from its end on.
    assert steps_on(draft, straight(turn_end_s=90.0), (step(dme_nm=18.0),), 900.0)[0][0] == pytest.approx(
        90.0, abs=10.0
    )


@pytest.mark.parametrize(
    ("dme_nm", "due_ft"), [(1.0, 500.0), (2.0, 800.0), (1.5, 650.0), (4.0, 1500.0), (0.9, None), (4.1, None)]
)
def test_between_the_points_of_a_profile_the_slope_is_straight(dme_nm, due_ft):
    assert due_on(((1.0, 500.0), (2.0, 800.0), (4.0, 1500.0)), dme_nm) == due_ft


def test_the_profile_is_the_printed_table_and_half_miles_of_the_slope_around_it(plan):
    # Skarrow: BESKA is 5.99 NM from the station on the ground, the threshold 0.6: 5.39 apart. Every half mile
    # from BESKA reads 6.0, 5.5, 5.0 … 1.5, 1.0; what lies from 1.8 to 5.2 gives way to the table.
    profile = plan("skarrow-tacan-24").profile

    assert [dme_nm for dme_nm, _ in profile] == pytest.approx(
        [0.6, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0], abs=0.02
    )
    # 96 + 50 ft over the threshold, 323.76 ft a mile: 5.39 miles before it 1,892.
    assert profile[0][1] == pytest.approx(146.0)
    assert profile[-1][1] == pytest.approx(146.0 + 323.76 * 5.3925, abs=0.5)
    assert profile[-2][1] == pytest.approx(146.0 + 323.76 * 4.8925, abs=0.5)
    assert [altitude_ft for _, altitude_ft in profile[3:7]] == [600.0, 930.0, 1250.0, 1570.0]


def test_the_altitude_due_is_known_from_the_threshold_to_the_fix_and_half_a_tenth_beyond(plan):
    skarrow = plan("skarrow-tacan-24")

    # From 146 ft at 0.6 DME, 323.76 ft a mile.
    assert skarrow.altitude_due_ft(0.6) == pytest.approx(146.0, abs=0.1)
    assert skarrow.altitude_due_ft(0.7) == pytest.approx(146.0 + 32.4, abs=1.0)
    assert skarrow.altitude_due_ft(0.56) is not None
    assert skarrow.altitude_due_ft(0.54) is None
    assert skarrow.altitude_due_ft(6.04) is not None
    assert skarrow.altitude_due_ft(6.06) is None
