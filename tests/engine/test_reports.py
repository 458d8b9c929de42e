"""A report is watched, judged, asked back or answered; by hand on Skarrow."""

import pytest
from placed import NOW_S, after, placed

from assistant.engine.core import begin, step
from assistant.engine.events import Callout, CalloutKind, Datum, PositionReport, ReportRefused
from assistant.engine.reports import with_fix
from assistant.engine.state import AltitudeKnown


def known(altitude_ft, descent_fpm=0.0, *, ago_s=60.0):
    return AltitudeKnown(
        altitude_ft=altitude_ft, t_s=NOW_S - ago_s, read_s=NOW_S - ago_s, descent_fpm=descent_fpm
    )


@pytest.fixture
def low_pressure(plan):
    """Level at 1,900 ft on a QNH of 983.25: on standard the altimeter would show some 820 ft more."""
    return placed(plan("skarrow-tacan-24", qnh_hpa=983.25), "course_2", 9.0, altitude_ft=1900.0)


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


@pytest.mark.parametrize(
    ("shown_ft", "confidence", "kind"),
    [
        (2720.0, 1.0, CalloutKind.CHECK_ALTIMETER),
        (2720.0, 0.1, CalloutKind.CHALLENGE),  # heard badly: first what was said
        (9000.0, 1.0, CalloutKind.CHALLENGE),  # fits no setting
    ],
)
def test_an_altitude_that_cannot_be_but_fits_another_setting_is_a_matter_of_the_altimeter(
    low_pressure, shown_ft, confidence, kind
):
    state, callouts = after(low_pressure, indicated_ft=shown_ft, confidence=confidence)

    assert [one.kind for one in callouts] == [kind]
    assert state.altitude.altitude_ft == 1900.0
    if kind is CalloutKind.CHECK_ALTIMETER:
        # What it is to be set to.
        assert (callouts[0].figures.datum, callouts[0].figures.qnh_hpa) == (Datum.QNH, 983.25)


def test_an_altitude_that_can_be_but_fits_another_setting_is_taken_and_the_altimeter_named(low_pressure):
    # A minute after the last one, 820 ft can have been climbed.
    level = low_pressure.but(altitude=known(1900.0))
    state, callouts = after(level, indicated_ft=2720.0)

    assert CalloutKind.CHECK_ALTIMETER in [one.kind for one in callouts]
    assert state.altitude.altitude_ft == 2720.0
    assert CalloutKind.CHECK_ALTIMETER not in [one.kind for one in after(level, indicated_ft=1910.0)[1]]


@pytest.mark.parametrize(
    ("read", "item"),
    [
        ({"dme_nm": 8.9, "radial_deg": 63.0, "indicated_ft": 1900.0}, "range"),
        ({"radial_deg": 63.0, "indicated_ft": 1900.0}, "radial"),
        ({"indicated_ft": 1900.0}, "altitude"),
    ],
)
def test_of_a_report_heard_badly_the_range_is_asked_before_the_radial_and_that_before_the_altitude(
    still, read, item
):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    state, outputs = step(state, PositionReport(t_s=NOW_S, observed_t_s=NOW_S, confidence=0.4, **read))
    (refused,) = [output for output in outputs if isinstance(output, ReportRefused)]
    (challenge,) = [one for one in outputs if isinstance(one, Callout) and one.kind is CalloutKind.CHALLENGE]

    assert (challenge.figures.item, state.doubt.item) == (item, item)
    assert refused.reason == f"{item} was not heard surely"
    assert challenge.figures.radial_deg == read.get("radial_deg")


def test_what_was_heard_badly_twice_is_taken_and_nobody_is_lost_by_it(still):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    state, _ = after(state, radial_deg=63.0, confidence=0.1)
    state, _ = after(state, at_s=NOW_S + 5.0, radial_deg=63.0, confidence=0.1)

    assert (state.doubt, state.lost, state.radial_deg) == (None, False, 63.0)


def test_half_sure_is_sure_enough(still):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)

    assert after(state, dme_nm=8.9, confidence=0.5)[0].doubt is None


@pytest.mark.parametrize(("datum", "said"), [(Datum.QFE, Datum.QFE), (None, Datum.QNH)])
def test_an_altitude_asked_back_carries_the_datum_named_or_the_altimeters(still, datum, said):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    _, (challenge,) = after(state, indicated_ft=9000.0, datum=datum)

    assert (challenge.figures.indicated_ft, challenge.figures.datum) == (9000.0, said)
    assert after(state, dme_nm=16.0)[1][0].figures.datum is None


@pytest.mark.parametrize(("visual", "warned"), [(False, True), (True, True)])
def test_below_the_minimum_on_final_the_warning_is_the_same(still, visual, warned):
    state = placed(still, "final", 2.5, altitude_ft=560.0, established=True, visual=visual)
    _, callouts = after(state, radial_deg=63.0, dme_nm=2.5, indicated_ft=450.0)

    assert (CalloutKind.BELOW_FLOOR in [one.kind for one in callouts]) is warned


def test_a_report_below_a_floor_is_warned_of_and_not_answered_besides(still):
    said = frozenset({"final descent"})
    state = placed(still, "final", 4.0, altitude_ft=1000.0, established=True, fired=said)
    _, callouts = after(state, radial_deg=63.0, dme_nm=4.0, indicated_ft=900.0)

    kinds = [one.kind for one in callouts]
    assert CalloutKind.BELOW_FLOOR in kinds
    assert CalloutKind.HEIGHT_CHECK not in kinds
