"""Each question has its answer from the plan and the flight, or is said to have none; values of the chart."""

import pytest
from placed import NOW_S, placed, said

from assistant.engine.answers import answer
from assistant.engine.core import begin
from assistant.engine.events import Asked, CalloutKind, Priority, Request
from assistant.engine.flow import MAX_AGE_S


def asked(state, question, *, after_s=0.0, **more):
    (callout,) = said(answer, state, Request(t_s=NOW_S + after_s, asked=question, **more))
    assert callout.priority is Priority.ANSWER
    assert callout.cue == question.value
    return callout


def is_unknown(state, question, **more):
    callout = asked(state, question, **more)
    return callout.kind is CalloutKind.UNKNOWN and callout.figures.item == question.value.replace("_", " ")


@pytest.mark.parametrize(("dme_nm", "printed_ft"), [(5.0, 1570.0), (4.0, 1250.0), (3.0, 930.0), (2.0, 600.0)])
def test_the_altitude_due_at_a_range_is_what_the_chart_prints(still, dme_nm, printed_ft):
    figures = asked(begin(still), Asked.ALTITUDE_DUE, dme_nm=dme_nm).figures

    # The chart rounds to tens from the descent angle, as the answer does: they part by one step at most.
    assert figures.altitude_ft == pytest.approx(printed_ft, abs=10.0)
    assert figures.dme_nm == dme_nm


def test_no_altitude_is_due_below_the_minimum(still):
    # At the missed approach point, 1.5 NM, the slope lies at some 440 ft; the MDA of category C is 500.
    assert asked(begin(still), Asked.ALTITUDE_DUE, dme_nm=1.5).figures.altitude_ft == 500.0


def test_at_a_range_off_the_final_approach_no_altitude_is_known(still):
    assert is_unknown(begin(still), Asked.ALTITUDE_DUE, dme_nm=20.0)


def test_on_final_without_a_range_it_is_the_altitude_due_here(still):
    figures = asked(placed(still, "final", 5.0, established=True), Asked.ALTITUDE_DUE).figures

    assert figures.dme_nm == pytest.approx(5.0, abs=0.01)
    assert figures.altitude_ft == pytest.approx(1570.0, abs=10.0)


def test_on_final_at_the_limit_of_age_the_reckoned_range_still_serves(still):
    figures = asked(placed(still, "final", 5.9), Asked.ALTITUDE_DUE, after_s=MAX_AGE_S).figures

    # 140 kt for so many seconds from 5.9 NM.
    assert figures.dme_nm == pytest.approx(5.9 - 140.0 * MAX_AGE_S / 3600.0, abs=0.1)


def test_on_final_with_old_knowledge_it_is_the_altitude_called_for(still):
    state = placed(still, "final", 5.9, target_ft=1000.0, established=True)
    figures = asked(state, Asked.ALTITUDE_DUE, after_s=MAX_AGE_S + 1.0).figures

    assert figures.dme_nm is None
    assert figures.altitude_ft == 1000.0


def test_before_final_it_is_the_altitude_called_for_or_the_legs_own(still):
    # The chart: at or above 1,900 ft on the course to BESKA.
    assert asked(placed(still, "course_2", 9.0), Asked.ALTITUDE_DUE).figures.altitude_ft >= 1900.0
    called = placed(still, "course_2", 9.0, target_ft=2600.0, established=True)
    assert asked(called, Asked.ALTITUDE_DUE).figures.altitude_ft == 2600.0


def test_an_altitude_called_for_is_never_given_below_the_floor(still):
    low = placed(still, "course_2", 9.0, target_ft=1200.0, established=True)

    assert asked(low, Asked.ALTITUDE_DUE).figures.altitude_ft == 1900.0


@pytest.mark.parametrize(("after_s", "known"), [(0.0, True), (MAX_AGE_S, True), (MAX_AGE_S + 1.0, False)])
def test_the_heading_of_a_course_in_still_air_is_the_course_while_the_place_is_fresh(still, after_s, known):
    state = placed(still, "course_2", 9.5)

    if known:
        # 243, flown to the nearest 5 degrees.
        assert asked(state, Asked.HEADING, after_s=after_s).figures.heading_mag_deg == 245.0
    else:
        assert is_unknown(state, Asked.HEADING, after_s=after_s)


def test_the_heading_on_an_arc_is_square_to_the_radial_where_the_aircraft_is(still):
    arc = still.stage("arc_1")
    middle_s = (arc.timeline.turn_end_s + arc.timeline.duration_s) / 2.0
    radial_deg = arc.timeline.at(middle_s).radial_deg
    state = placed(still, "arc_1", 12.0, progress_s=middle_s)

    # Clockwise: the heading is the radial and a quarter turn, to 5 degrees and half a sample.
    heading_deg = asked(state, Asked.HEADING).figures.heading_mag_deg
    assert heading_deg == pytest.approx((radial_deg + 90.0) % 360.0, abs=5.0)


def test_past_the_end_of_a_leg_the_heading_is_its_last(still):
    state = placed(still, "course_2", 6.0)

    assert asked(state, Asked.HEADING, after_s=30.0).figures.heading_mag_deg == 245.0


def test_the_rate_on_the_slope_is_the_gradient_times_the_speed(still):
    # 3.05 degrees are 6076 tan 3.05 = 323.8 ft a mile; at 140 kt 755 ft/min, said as 800: up to the next 50.
    state = placed(still, "final", 4.0, altitude_ft=1250.0)

    assert asked(state, Asked.RATE).figures.descent_fpm == pytest.approx(775.0, abs=25.0)


def test_without_an_altitude_a_place_or_a_final_no_rate_is_known(still):
    assert is_unknown(placed(still, "final", 4.0), Asked.RATE)
    assert is_unknown(placed(still, "final", 4.0, altitude_ft=1250.0), Asked.RATE, after_s=MAX_AGE_S + 1.0)
    assert is_unknown(placed(still, "course_2", 9.0, altitude_ft=1900.0), Asked.RATE)


def test_a_position_names_radial_range_and_how_old_it_is(still):
    figures = asked(placed(still, "course_2", 10.0), Asked.POSITION, after_s=20.0).figures

    # 180 kt in the intermediate part: a mile in 20 s, along radial 063.
    assert figures.radial_deg == pytest.approx(63.0, abs=0.5)
    assert figures.dme_nm == pytest.approx(9.0, abs=0.05)
    assert figures.time_s == 20.0


def test_a_position_is_known_up_to_the_limit_of_age_and_not_beyond(still):
    state = placed(still, "course_2", 10.0)

    assert asked(state, Asked.POSITION, after_s=MAX_AGE_S).kind is CalloutKind.POSITION
    assert is_unknown(state, Asked.POSITION, after_s=MAX_AGE_S + 1.0)
    assert is_unknown(begin(still), Asked.POSITION)


def test_the_wind_is_the_legs_and_unknown_where_none_was_given(still, plan):
    assert is_unknown(begin(still), Asked.WIND)
    figures = asked(placed(plan("skarrow-tacan-24", wind=(250, 15)), "final", 5.0), Asked.WIND).figures
    assert (figures.wind_from_mag_deg, figures.wind_kt) == (250.0, 15.0)


@pytest.mark.parametrize(
    ("name", "frequency_mhz"), [(None, 127.35), ("tower", 122.125), ("Skarrow Approach", 119.475)]
)
def test_a_frequency_is_found_by_part_of_its_name_or_is_the_charts_first(still, name, frequency_mhz):
    assert asked(begin(still), Asked.FREQUENCY, name=name).figures.frequency_mhz == frequency_mhz


def test_a_frequency_not_on_the_chart_is_unknown(still):
    assert is_unknown(begin(still), Asked.FREQUENCY, name="radar")


def test_the_charts_words_are_given_as_they_stand(still):
    assert asked(begin(still), Asked.MISSED_APPROACH).figures.text == (
        "Climb on track 243 to 1500. Then turn right direct TARNO, climbing to 4000, and hold."
    )
    assert asked(begin(still), Asked.NOTES).figures.text == (
        "Final approach track offset 5 degrees from the runway. "
        "Hold limited by range. Do not go beyond 23 DME."
    )


@pytest.mark.parametrize(("radial_deg", "minimum_ft"), [(345.0, 2300.0), (200.0, 3400.0)])
def test_the_sector_altitude_is_that_of_the_radial_last_read(still, radial_deg, minimum_ft):
    state = begin(still).but(radial_deg=radial_deg, dme_nm=15.0)

    assert asked(state, Asked.SECTOR_ALTITUDE).figures.altitude_ft == minimum_ft


def test_the_minimum_is_the_categorys(plan):
    # Category C 500 ft on the chart, E 560.
    assert asked(begin(plan("skarrow-tacan-24")), Asked.MINIMUM).figures.altitude_ft == 500.0


def test_the_last_words_are_not_the_engines_to_say_again(still):
    assert said(answer, begin(still), Request(t_s=NOW_S, asked=Asked.SAY_AGAIN)) == []


def test_on_final_a_range_named_in_the_question_is_the_one_that_counts(still):
    # The chart prints 1250 at 4 miles; the flight is at five.
    figures = asked(placed(still, "final", 5.0, established=True), Asked.ALTITUDE_DUE, dme_nm=4.0).figures

    assert (figures.dme_nm, figures.altitude_ft) == (4.0, pytest.approx(1250.0, abs=10.0))
