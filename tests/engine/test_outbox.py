"""Figures leave the engine as pilots fly and read them; values by hand."""

import pytest
from placed import NOW_S, placed

from assistant.engine.conditions import Conditions
from assistant.engine.events import CalloutKind, CueDropped, Datum, Figures, Priority
from assistant.engine.outbox import Outbox, as_flown, datum_at


@pytest.fixture
def state(plan):
    """Skarrow: transition altitude 10,000 ft, QFE datum at 96 ft."""
    return placed(plan("skarrow-tacan-24"), "course_2", 9.0)


@pytest.mark.parametrize(
    ("heading_deg", "said_deg"),
    [(243.0, 245.0), (242.0, 240.0), (358.0, 360.0), (2.0, 360.0), (0.0, 360.0), (3.0, 5.0), (360.0, 360.0)],
)
def test_headings_are_said_in_fives_and_north_is_360(state, heading_deg, said_deg):
    assert as_flown(state, Figures(heading_mag_deg=heading_deg)).heading_mag_deg == said_deg


@pytest.mark.parametrize(("rate_fpm", "said_fpm"), [(700.0, 700.0), (701.0, 750.0), (749.0, 750.0)])
def test_rates_go_up_to_the_next_fifty(state, rate_fpm, said_fpm):
    assert as_flown(state, Figures(descent_fpm=rate_fpm)).descent_fpm == said_fpm


@pytest.mark.parametrize(
    ("altitude_ft", "datum", "shown_ft"),
    [
        (1900.0, Datum.QNH, 1900.0),  # printed on the chart
        (1901.0, Datum.QNH, 1910.0),
        (1990.0, Datum.QFE, 1900.0),  # 1894 above 96 ft
        (500.0, Datum.QFE, 404.0),  # the minimum's printed height, said as it is printed
    ],
)
def test_an_altitude_is_given_as_the_altimeter_shows_it_never_rounded_down(
    state, altitude_ft, datum, shown_ft
):
    figures = as_flown(state.but(datum=datum), Figures(altitude_ft=altitude_ft))

    assert (figures.indicated_ft, figures.datum) == (shown_ft, datum)


def test_a_value_shown_already_is_left_as_it_is(state):
    figures = as_flown(state, Figures(altitude_ft=1900.0, indicated_ft=1804.0, datum=Datum.QFE))

    assert (figures.indicated_ft, figures.datum) == (1804.0, Datum.QFE)
    assert as_flown(state, Figures()).indicated_ft is None


@pytest.mark.parametrize(
    ("altitude_ft", "datum"), [(9000.0, Datum.QNH), (10000.0, Datum.QNH), (10001.0, Datum.STANDARD)]
)
def test_from_standard_an_altitude_up_to_the_transition_altitude_is_on_the_days_setting(
    state, altitude_ft, datum
):
    assert datum_at(state.but(datum=Datum.STANDARD), altitude_ft) is datum
    assert datum_at(state.but(datum=Datum.QFE), altitude_ft) is Datum.QFE


def test_above_transition_the_level_is_by_pressure_to_the_next_whole_one(plan):
    # 10 hPa above standard are some 270 ft: 15,000 ft are 14,730 on standard, level 148.
    state = placed(plan("skarrow-tacan-24", qnh_hpa=1023.25), "course_2", 9.0, datum=Datum.STANDARD)

    assert as_flown(state, Figures(altitude_ft=15000.0)).indicated_ft == 14800.0


@pytest.mark.parametrize(
    ("temperature_c", "asked_for", "corrected"),
    [
        (-10.0, True, True),
        (14.9, True, True),
        (15.0, True, False),
        (-10.0, False, False),
        (None, True, False),
    ],
)
def test_an_altitude_corrected_for_cold_says_so(plan, temperature_c, asked_for, corrected):
    cold = plan("skarrow-tacan-24", temperature_c=temperature_c, cold_corrections=asked_for)
    state = placed(cold, "course_2", 9.0)

    assert as_flown(state, Figures(altitude_ft=2500.0)).corrected is corrected
    # A level is flown by pressure, and a figure without an altitude has none to correct.
    assert not as_flown(state.but(datum=Datum.STANDARD), Figures(altitude_ft=15000.0)).corrected
    assert not as_flown(state, Figures(heading_mag_deg=90.0)).corrected


@pytest.mark.parametrize(
    ("kind", "priority", "shelf_s"),
    [
        (CalloutKind.BELOW_FLOOR, Priority.SAFETY, 8.0),
        (CalloutKind.TURN, Priority.ACTION, 8.0),
        (CalloutKind.PREPARE, Priority.PREPARATION, 8.0),
        (CalloutKind.POSITION, Priority.ANSWER, 12.0),
        (CalloutKind.CONFIRM, Priority.CONFIRMATION, 5.0),
        (CalloutKind.MINIMUM, Priority.ACTION, 25.0),  # the question holds until the missed approach point
    ],
)
def test_a_callout_expires_by_its_priority(state, kind, priority, shelf_s):
    out = Outbox()
    out.say(state, NOW_S, kind, priority, "cue")
    (callout,) = out.outputs

    assert (callout.t_s, callout.expires_t_s, callout.cue) == (NOW_S, NOW_S + shelf_s, "cue")
    assert (callout.kind, callout.priority, callout.figures) == (kind, priority, Figures())


def test_what_is_not_called_is_noted_with_its_reason():
    out = Outbox()
    out.drop(5.0, "turn", "too old")

    assert out.outputs == [CueDropped(t_s=5.0, cue="turn", reason="too old")]


def test_the_days_own_setting_is_the_pilots(plan):
    on_qfe = plan("skarrow-tacan-24", datum=Datum.QFE)

    assert datum_at(placed(on_qfe, "course_2", 9.0, datum=Datum.STANDARD), 5000.0) is Datum.QFE
    assert Conditions().datum is Datum.QNH
