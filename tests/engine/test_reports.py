"""A report becomes knowledge: altitude and rate, pace, floors watched, doubts; by hand on Skarrow."""

import pytest
from placed import NOW_S, placed

from assistant.engine.core import begin, step
from assistant.engine.events import Callout, CalloutKind, Datum, PositionReport, ReportRefused
from assistant.engine.reports import with_fix
from assistant.engine.state import AltitudeKnown


@pytest.fixture
def still(plan):
    """Skarrow in still air, category C."""
    return plan("skarrow-tacan-24")


def after(state, *, at_s=NOW_S, **read):
    """The state after a report, and the callouts."""
    state, outputs = step(state, PositionReport(t_s=at_s, observed_t_s=at_s, **read))
    return state, [output for output in outputs if isinstance(output, Callout)]


def known(altitude_ft, descent_fpm=0.0, *, ago_s=60.0):
    return AltitudeKnown(
        altitude_ft=altitude_ft, t_s=NOW_S - ago_s, read_s=NOW_S - ago_s, descent_fpm=descent_fpm
    )


@pytest.mark.parametrize(
    ("before_ft", "ago_s", "now_ft", "rate_fpm"),
    [
        (4000.0, 60.0, 3000.0, 1000.0),
        (4000.0, 30.0, 3000.0, 2000.0),
        (3000.0, 60.0, 4000.0, -1000.0),
        (3000.0, 60.0, 2860.0, 0.0),  # less than 150 ft/min is level
        (3000.0, 60.0, 2840.0, 160.0),
        (3000.0, 8.0, 2900.0, 750.0),
        (3000.0, 7.0, 2900.0, 500.0),  # too near in time to measure: the rate known before
    ],
)
def test_two_altitudes_give_the_rate(still, before_ft, ago_s, now_ft, rate_fpm):
    state = placed(still, "course_2", 9.0, altitude=known(before_ft, 500.0, ago_s=ago_s))

    assert after(state, indicated_ft=now_ft)[0].altitude.descent_fpm == pytest.approx(rate_fpm)


@pytest.mark.parametrize(("now_ft", "rate_fpm"), [(2060.0, 940.0), (2050.0, 0.0), (1950.0, 0.0)])
def test_within_50_ft_of_the_altitude_called_for_a_descent_is_over(still, now_ft, rate_fpm):
    state = placed(still, "course_2", 9.0, altitude=known(3000.0, 1000.0), target_ft=2000.0)

    assert after(state, indicated_ft=now_ft)[0].altitude.descent_fpm == pytest.approx(rate_fpm)


@pytest.mark.parametrize(
    ("ran_s", "gone_s", "rate"),
    # Two readings are trusted for 1 / (1 + (2.5 / (0.05 t))^2) of the difference. For 40 s 0.3902, for
    # 60 s 0.5902; not below 20 s; and no more than 0.75 to 1.35 is believed.
    [
        (44.0, 40.0, 1.0 + 0.3902 * 0.1),
        (36.0, 40.0, 1.0 - 0.3902 * 0.1),
        (66.0, 60.0, 1.0 + 0.5902 * 0.1),
        (24.0, 40.0, 1.0 - 0.3902 * 0.25),
        (22.0, 19.0, 1.0),
        (40.0, 40.0, 1.0),
    ],
)
def test_the_pace_is_learnt_from_two_places_on_a_leg_as_far_as_they_can_be_read(plan, ran_s, gone_s, rate):
    leg = plan("teskel-vortac-06")
    state = placed(leg, "course_0", 19.0)
    later = leg.stage("course_0").timeline.at(state.anchor_progress_s + ran_s)
    read = {"radial_deg": 238.0, "dme_nm": later.dme_nm}

    assert after(state, at_s=NOW_S + gone_s, **read)[0].rate == pytest.approx(rate, abs=2e-3)


@pytest.mark.parametrize(("share", "rate"), [(1.1, 1.1), (0.9, 0.9), (1.5, 1.35), (0.5, 0.75)])
def test_a_feeds_groundspeed_is_the_pace(plan, share, rate):
    leg = plan("teskel-vortac-06")
    state = placed(leg, "course_0", 19.0)
    planned_kt = leg.stage("course_0").timeline.groundspeeds_kt[0]
    read = {"radial_deg": 238.0, "dme_nm": 19.0, "groundspeed_kt": planned_kt * share}

    assert after(state, **read)[0].rate == pytest.approx(rate, abs=1e-3)


@pytest.mark.parametrize(
    ("altitude_ft", "warned"),
    # On final between BESKA and 3.5 DME not below 1,000 ft, printed on the chart: 5 ft are rounding.
    [(1000.0, False), (996.0, False), (994.0, True), (900.0, True)],
)
def test_an_altitude_below_the_floor_is_warned_of_at_once(still, altitude_ft, warned):
    state = placed(still, "final", 4.0, altitude_ft=1000.0, established=True)
    _, callouts = after(state, radial_deg=63.0, dme_nm=4.0, indicated_ft=altitude_ft)
    floors = [one.figures.altitude_ft for one in callouts if one.kind is CalloutKind.BELOW_FLOOR]

    assert floors == ([1000.0] if warned else [])


@pytest.mark.parametrize(("height_ft", "warned"), [(900.0, False), (890.0, False), (887.0, True)])
def test_on_another_datum_than_the_charts_fifteen_feet_are_rounding(plan, height_ft, warned):
    # The floor of 1,000 ft is 904 on QFE (the threshold lies at 96), no number of the chart.
    state = placed(
        plan("skarrow-tacan-24", datum=Datum.QFE), "final", 4.0, altitude_ft=1000.0, established=True
    ).but(datum=Datum.QFE)
    _, callouts = after(state, radial_deg=63.0, dme_nm=4.0, indicated_ft=height_ft)

    assert (CalloutKind.BELOW_FLOOR in [one.kind for one in callouts]) is warned


def test_the_place_reported_decides_which_floor_holds(still):
    state = placed(still, "final", 3.7, altitude_ft=1000.0, established=True)
    _, past = after(state, radial_deg=63.0, dme_nm=3.4, indicated_ft=900.0)
    _, before = after(state, radial_deg=63.0, dme_nm=3.7, indicated_ft=900.0)

    assert CalloutKind.BELOW_FLOOR not in [one.kind for one in past]
    assert CalloutKind.BELOW_FLOOR in [one.kind for one in before]


@pytest.mark.parametrize(
    ("read", "heard", "unheard"),
    [
        ({"dme_nm": 14.0, "radial_deg": 63.0}, ("range", 14.0, None), "radial_deg"),
        ({"radial_deg": 120.0}, ("radial", None, 120.0), "dme_nm"),
    ],
)
def test_what_cannot_be_true_is_asked_again_with_what_was_heard(still, read, heard, unheard):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    state, outputs = step(state, PositionReport(t_s=NOW_S, observed_t_s=NOW_S, **read))
    (refused,) = [output for output in outputs if isinstance(output, ReportRefused)]
    (challenge,) = [output for output in outputs if isinstance(output, Callout)]

    assert refused.reason == f"{heard[0]} does not fit what is known"
    assert challenge.kind is CalloutKind.CHALLENGE
    assert (challenge.figures.item, challenge.figures.dme_nm, challenge.figures.radial_deg) == heard
    assert getattr(challenge.figures, unheard) is None
    assert (state.dme_nm, state.doubt.item) == (9.0, heard[0])


@pytest.mark.parametrize(("confidence", "taken"), [(1.0, True), (0.1, False)])
def test_what_was_not_heard_surely_is_asked_again_with_all_that_was_heard(still, confidence, taken):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    state, callouts = after(state, dme_nm=8.8, indicated_ft=1900.0, confidence=confidence)

    assert (state.doubt is None) is taken
    if not taken:
        (challenge,) = [one for one in callouts if one.kind is CalloutKind.CHALLENGE]
        assert (challenge.figures.dme_nm, challenge.figures.indicated_ft) == (8.8, 1900.0)
        assert challenge.figures.datum is Datum.QNH


def test_a_fix_named_stands_for_its_radial_and_range_where_they_were_not_read(still):
    state = begin(still)

    def filled(**read):
        report = with_fix(state, PositionReport(t_s=NOW_S, observed_t_s=NOW_S, **read))
        return report.radial_deg, report.dme_nm

    # The chart: BESKA on radial 063 at 6 DME.
    assert filled(fix="BESKA") == (63.0, 6.0)
    assert filled(fix="BESKA", dme_nm=6.1) == (63.0, 6.1)
    assert filled(fix="BESKA", radial_deg=64.0) == (64.0, 6.0)
    assert filled(fix="NOSUCH") == (None, None)
    assert filled(dme_nm=5.0) == (None, 5.0)


@pytest.mark.parametrize(("dme_nm", "answered"), [(4.38, True), (4.0, True), (3.62, True), (4.42, False)])
def test_a_height_answered_beside_a_mile_is_not_called_there_again(still, dme_nm, answered):
    said = frozenset({"final descent"})
    state = placed(still, "final", dme_nm + 0.05, altitude_ft=1400.0, established=True, fired=said)
    state, _ = after(state, at_s=NOW_S + 1.0, dme_nm=dme_nm, indicated_ft=1300.0)

    assert ("due at 4" in state.fired) is answered


def test_a_report_past_the_fix_brings_the_next_stage(still):
    state = placed(still, "course_2", 6.5, altitude_ft=1900.0, established=True)
    state, _ = after(state, at_s=NOW_S + 5.0, radial_deg=63.0, dme_nm=5.9)

    assert (state.stage_name, state.predicted) == ("final", False)


def test_an_unread_value_keeps_what_was_known(still):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0, radial_deg=63.0)
    state, _ = after(state, at_s=NOW_S + 10.0, dme_nm=8.5)

    assert (state.radial_deg, state.dme_nm, state.dme_s) == (63.0, 8.5, NOW_S + 10.0)
    assert state.altitude.altitude_ft == 1900.0
    assert state.observed_s == NOW_S + 10.0


def test_a_report_answers_the_question_for_one(still):
    state = placed(still, "course_2", 9.0, asked=frozenset({"position", "level", "altitude?"}))
    state, _ = after(state, dme_nm=8.9, indicated_ft=1900.0)

    assert "position" not in state.asked
    assert "altitude?" not in state.asked


@pytest.mark.parametrize(
    ("stage", "dme_nm", "read", "established"),
    [
        ("course_2", 7.0, {"radial_deg": 63.0, "dme_nm": 6.6}, True),
        ("course_2", 7.0, {"radial_deg": 65.5, "dme_nm": 6.6}, True),
        ("course_2", 7.0, {"radial_deg": 67.0, "dme_nm": 6.6}, False),  # four degrees off
        ("course_2", 7.0, {"dme_nm": 6.6}, False),  # no needle read
        ("course_2", 7.0, {"radial_deg": 63.0, "dme_nm": 6.6, "heading_mag_deg": 300.0}, True),
        (
            "course_2",
            7.0,
            {"radial_deg": 63.0, "dme_nm": 6.6, "heading_mag_deg": 310.0},
            False,
        ),  # 67 degrees off
    ],
)
def test_a_place_on_the_course_shows_that_the_aircraft_is_established(
    still, stage, dme_nm, read, established
):
    state = placed(still, stage, dme_nm, altitude_ft=2500.0)

    assert after(state, at_s=NOW_S + 8.0, **read)[0].established is established
