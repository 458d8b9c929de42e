"""What the second person does in a conversation: one claim a test, typed as a pilot types."""

import pytest
from driver import Flight

from assistant.dialogue import Prompting
from assistant.engine.conditions import Conditions
from assistant.engine.core import Engine, begin, step
from assistant.engine.events import PositionReport, ReportRefused, Tick
from assistant.procedure.model import Category, Datum

SKARROW = "procedures/skarrow-tacan-24.yaml"


@pytest.fixture
def flight():
    return Flight(SKARROW, prompting=Prompting.FULL)


@pytest.fixture
def inbound(flight):
    """Established on the course to the final approach fix, eight miles out at 1,900 ft."""
    to_the_final_course(flight)
    return flight


# Down the arc to its lead radial: what is typed, and how long is waited after it.
ALONG_THE_ARC = (
    ("radial 345, 20 DME, 4000, heading 165", 0),
    ("leaving", 50),
    ("R345 17.0 DME 4000", 55),
    ("R345 13.4 3500", 25),
    ("R348 12.0 DME 3500", 60),
    ("R006 12.0 3000", 60),
    ("R024 12.0 DME 2500", 60),
    ("R042 12.0 DME 2500", 45),
    ("R055 12.0 DME 2500", 60),
)


def to_the_final_course(flight):
    for text, seconds in (
        *ALONG_THE_ARC,
        ("established, 9.5 2500", 25),
        ("8.2 1900", 0),
    ):
        flight.pilot(text)
        flight.wait_s(seconds)


def test_the_flight_gets_to_the_final_course_and_is_cleared_of_doubt(inbound):
    assert inbound.stage == "course_2"
    assert not any("Say again" in text for text in inbound.heard)


def test_nothing_is_said_before_anything_was_heard(flight):
    assert flight.wait_s(600) == ()


def test_next_names_the_event_its_place_and_the_altitude_with_its_datum(flight):
    flight.pilot("radial 345, 26 DME, 4400")

    assert flight.pilot("next") == ("Next: hold TARNO at radial three four five, four thousand QNH.",)


def test_the_entry_is_by_the_heading_at_the_fix(flight):
    flight.pilot("heading 345, radial 345, 17 DME, 4000")

    # Inbound 165, right turns: on 345 the aircraft comes up the outbound course: sector 1 or 2, here the
    # parallel's edge.
    assert flight.pilot("entering hold")[0].startswith(("Parallel entry", "Offset entry"))


def test_a_hold_goes_on_until_the_pilot_leaves(flight):
    flight.pilot("heading 165, radial 345, 17 DME, 4000")
    flight.pilot("entering hold")
    stages = []
    for dme in (20.0, 23.2, 20.0, 16.8) * 3:
        flight.wait_s(45)
        flight.pilot(f"{dme} 4000")
        stages.append(flight.stage)

    assert stages[-1].startswith("hold")


def test_leaving_is_at_the_next_passing_of_the_fix(flight):
    flight.pilot("heading 165, radial 345, 17 DME, 4000")
    flight.pilot("entering hold")
    flight.wait_s(100)
    flight.pilot("R340 20.0 DME 4000")
    flight.wait_s(60)
    flight.pilot("23.2 4000")

    assert flight.pilot("leaving") == ("Leaving at the fix.",)
    flight.wait_s(90)
    flight.pilot("radial 345 21 DME 4000, established")
    flight.wait_s(65)
    flight.pilot("16.9 4000")
    assert flight.stage == "course_0"


def test_a_descent_is_not_called_before_established(flight):
    flight.pilot("radial 345, 20 DME, 4000, heading 165")
    flight.pilot("leaving")
    flight.wait_s(50)
    flight.pilot("R345 17.0 DME 4000")
    flight.wait_s(55)
    flight.pilot("R345 13.4 3500")
    turning = flight.wait_s(20)

    assert not any("Descend" in text for text in turning)
    assert any("Descend three thousand QNH." in text for text in flight.pilot("on the arc"))


def test_the_final_descent_names_a_rate_and_the_first_floor(inbound):
    inbound.wait_s(30)
    # Some seconds later: the range jumped ahead of the reckoning, and the fix is to be surely passed.
    said = inbound.pilot("6.0 1900") + inbound.wait_s(24)

    assert any(
        text.startswith("Final approach fix BESKA. Descend") and "Not below one thousand QNH." in text
        for text in said
    )


def test_not_established_at_the_final_approach_fix_the_altitude_is_kept():
    fresh = Flight(SKARROW)
    for text, seconds in (
        *ALONG_THE_ARC,
        ("9.5 2500", 75),
        ("6.0 2500", 2),
    ):
        fresh.pilot(text)
        fresh.wait_s(seconds)

    assert "Maintain two thousand five hundred QNH until established." in fresh.heard
    assert not any(text.startswith("Final approach fix BESKA. Descend") for text in fresh.heard)


def test_the_height_check_gives_difference_rate_and_the_altitude_due(inbound):
    inbound.wait_s(30)
    inbound.pilot("6.0 1900")
    inbound.wait_s(25)
    # The chart prints 1570 at 5 miles.
    (said,) = inbound.pilot("5.0 1700")

    assert said.startswith("One three zero high.")
    assert said.endswith("One five seven zero QNH at five DME.")


def test_below_a_step_down_the_first_word_is_climb(inbound):
    inbound.wait_s(30)
    inbound.pilot("6.0 1900")
    inbound.wait_s(40)

    assert inbound.pilot("4.5 900")[0] == "Climb one thousand QNH. Below minimum altitude."


def test_a_range_a_mile_and_more_out_is_challenged_and_changes_nothing(inbound):
    inbound.wait_s(25)
    before = inbound.conversation.dialogue.engine.state
    (said,) = inbound.pilot("9.9 1900")
    after = inbound.conversation.dialogue.engine.state

    assert said == "Say again range. Heard niner decimal niner DME?"
    assert after.but(doubt=None, since_s=0.0, reached_s=0.0) == before.but(since_s=0.0, reached_s=0.0)


def test_said_twice_it_is_believed(inbound):
    inbound.wait_s(25)
    inbound.pilot("R063 9.9 DME 1900")
    inbound.wait_s(5)

    assert not any("Say again" in text for text in inbound.pilot("R063 9.7 DME 1900"))
    assert inbound.conversation.dialogue.engine.state.doubt is None


def test_negative_drops_the_doubt_and_affirm_takes_the_reading(inbound):
    inbound.wait_s(20)
    inbound.pilot("5.0 1900")
    inbound.pilot("negative")
    assert inbound.conversation.dialogue.engine.state.doubt is None
    assert inbound.stage == "course_2"


def test_a_reading_on_the_wrong_altimeter_setting_is_noticed():
    flight = Flight("procedures/brennok-vortac-33.yaml", prompting=Prompting.FULL)
    flight.pilot("radial 214, 20 DME, 5000, heading 034")
    flight.pilot("entering hold")
    flight.wait_s(30)
    elevation_ft = flight.procedure.qfe_elevation_ft
    # Level at 5,000 ft QNH with the altimeter put on QFE by mistake reads lower by the elevation of the
    # datum.
    said = flight.pilot(f"altitude {round((5000 - elevation_ft) / 10) * 10:.0f}")

    assert any(text.startswith("Check altimeter. QNH one zero one three") for text in said)


def test_setting_qfe_changes_what_every_altitude_is_said_on(inbound):
    inbound.pilot("set QFE 1010")

    # 500 ft QNH above a threshold at 96 ft: 404, printed as 410 on the chart or rounded up to it.
    assert inbound.pilot("minimum")[0].endswith("QFE.")


def test_a_setting_that_does_not_belong_to_the_days_pressure_changes_it(inbound):
    inbound.pilot("set QFE 987")

    # 987 hPa at 96 ft is 987 + 96 / 27.3 = 990.5 hPa at sea level (27.3 ft a hectopascal, ICAO standard
    # atmosphere).
    assert inbound.conversation.dialogue.engine.state.plan.conditions.qnh_hpa == pytest.approx(990.5, abs=0.2)


def test_a_wind_that_nobody_can_fly_in_is_said_to_be_none(inbound):
    assert inbound.pilot("wind 153 at 190")[0].startswith("No conditions known")


def test_going_around_from_final_climbs_and_names_the_heading(inbound):
    inbound.wait_s(30)
    inbound.pilot("6.0 1900")
    inbound.wait_s(20)

    (said,) = inbound.pilot("going around")
    assert said.startswith("Go around. Climb four thousand QNH.")


def test_there_is_nothing_to_go_around_from_in_the_hold(flight):
    flight.pilot("heading 165, radial 345, 17 DME, 4000")
    flight.pilot("entering hold")

    assert flight.pilot("going around") == ("Not on the approach.",)


def test_visual_on_final_names_the_side_of_the_runway(inbound):
    inbound.wait_s(30)
    inbound.pilot("6.0 1900")
    inbound.wait_s(60)
    inbound.pilot("3.4 1060")

    (said,) = inbound.pilot("visual")
    # The final track is 5 degrees to the right of the runway's: it lies to the left of the nose, in calm air.
    assert said.startswith("Land. Runway left")


def test_not_visual_after_visual_is_a_missed_approach(inbound):
    inbound.wait_s(30)
    inbound.pilot("6.0 1900")
    inbound.wait_s(60)
    inbound.pilot("3.4 1060")
    inbound.pilot("visual")

    assert any(text.startswith("Go around") for text in inbound.pilot("not visual"))


def test_at_the_missed_approach_point_without_visual_it_says_go_around(inbound):
    inbound.wait_s(30)
    inbound.pilot("6.0 1900")
    inbound.wait_s(70)
    inbound.pilot("2.8 880")
    inbound.wait_s(31)

    assert any(text.startswith("Missed approach point. Go around.") for text in inbound.pilot("1.4 520"))


def test_disregard_takes_back_a_statement_and_says_nothing_twice(inbound):
    inbound.wait_s(30)
    inbound.pilot("6.0 1900")
    inbound.wait_s(24)
    inbound.pilot("going around")
    assert inbound.stage.startswith("missed")
    inbound.pilot("disregard")

    assert inbound.stage == "final"
    assert sum(text.startswith("Final approach fix BESKA. Descend") for text in inbound.heard) == 1


def test_landed_ends_it(inbound):
    inbound.pilot("landed")

    assert inbound.wait_s(600) == ()


@pytest.mark.parametrize(
    "text",
    ["", "   ", "mumble mumble", "x" * 10_000, "\x00\x07\x1b[31m", "16.4 4800 banana", "💥", "12 34 56 78"],
)
def test_what_is_not_understood_gets_a_short_say_again_and_nothing_is_lost(inbound, text):
    before = inbound.conversation.dialogue.engine.state

    assert inbound.pilot(text) == ("Say again.",)
    assert inbound.conversation.dialogue.engine.state.but(reached_s=0.0) == before.but(reached_s=0.0)


def test_the_engine_refuses_time_that_goes_back(plan):
    engine = Engine(plan("skarrow-tacan-24"))
    engine.handle(Tick(t_s=10.0))

    with pytest.raises(ValueError, match=r"an event at 9\.000 s comes after 10\.000 s"):
        engine.handle(Tick(t_s=9.0))


def test_a_refused_report_is_an_output_with_its_reason(plan):
    state = begin(plan("skarrow-tacan-24"))
    state, _ = step(
        state, PositionReport(t_s=0.0, observed_t_s=0.0, radial_deg=345.0, dme_nm=20.0, indicated_ft=4000.0)
    )
    _, outputs = step(state, PositionReport(t_s=5.0, observed_t_s=5.0, indicated_ft=9000.0))

    assert [output.reason for output in outputs if isinstance(output, ReportRefused)] == [
        "altitude does not fit what is known"
    ]


def test_the_altimeter_starts_on_standard_where_the_hold_is_at_a_flight_level(plan):
    assert begin(plan("ostrey-high-tacan-13")).datum is Datum.STANDARD


def test_the_glance_shows_event_altitude_due_and_floor_with_datum(inbound):
    glance = inbound.conversation.dialogue.glance(inbound.now_s)

    assert (glance.event, glance.due_ft, glance.floor_ft, glance.datum) == (
        "final approach fix BESKA",
        1900.0,
        1900.0,
        Datum.QNH,
    )


def test_silent_prompting_keeps_what_is_wrong_and_drops_the_rest():
    flight = Flight(SKARROW, Conditions().for_category(Category.C), Prompting.SILENT)
    to_the_final_course(flight)

    assert not any("Descend" in text or text.startswith("Next") for text in flight.heard)
    flight.wait_s(25)
    assert flight.pilot("9.9 1900") == ("Say again range. Heard niner decimal niner DME?",)


def test_a_corrected_altitude_says_so():
    cold = Conditions(temperature_c=-10.0, cold_corrections=True)
    flight = Flight(SKARROW, cold, Prompting.FULL)

    assert flight.pilot("minimum")[0].endswith("QNH, corrected.")


def test_a_needle_said_to_be_moving_is_not_asked_about(flight):
    flight.pilot("heading 165, radial 345, 17 DME, 4000")
    flight.pilot("entering hold")
    flight.wait_s(100)
    flight.pilot("R340 20.0 DME 4000")
    flight.wait_s(60)
    flight.pilot("23.2 4000, needle moving")

    assert flight.stage == "hold_inbound"
    assert "Check needle." not in flight.wait_s(80)
