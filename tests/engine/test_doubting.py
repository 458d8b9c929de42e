"""What of a report cannot be true; by hand on Skarrow's course to BESKA."""

from dataclasses import replace

import pytest
from placed import NOW_S, placed, report

from assistant.engine.doubting import doubtful_place, is_going_wrong, other_setting
from assistant.engine.events import Datum


@pytest.mark.parametrize(
    ("stage", "dme_nm", "read", "item"),
    [
        # Within a mile of dead reckoning a fresh range is believed, on final within six tenths.
        ("course_2", 6.3, {"dme_nm": 7.2}, None),
        ("course_2", 6.3, {"dme_nm": 5.4}, None),
        ("course_2", 6.3, {"dme_nm": 5.2}, "range"),
        ("course_2", 6.3, {"dme_nm": 7.4}, "range"),
        ("final", 4.0, {"dme_nm": 3.5}, None),
        ("final", 4.0, {"dme_nm": 3.3}, "range"),
        ("final", 4.0, {"dme_nm": 4.7}, "range"),
        # Less than a minute after the turn there is a mile more.
        ("course_2", 9.0, {"dme_nm": 10.9}, None),
        ("course_2", 9.0, {"dme_nm": 11.1}, "range"),
        # Ten degrees are always believed; a mile at 6.3 is 9.1 degrees; within two miles no radial tells.
        ("course_2", 6.3, {"radial_deg": 72.5}, None),
        ("course_2", 6.3, {"radial_deg": 73.5}, "radial"),
        ("course_2", 6.3, {"radial_deg": 52.0}, "radial"),
        ("final", 1.9, {"radial_deg": 100.0}, None),
        ("final", 2.2, {"radial_deg": 100.0}, "radial"),
        ("course_2", 6.3, {}, None),
    ],
)
def test_what_cannot_be_true_of_a_place(still, stage, dme_nm, read, item):
    assert doubtful_place(placed(still, stage, dme_nm), report(**read), NOW_S) == item


def test_the_slack_grows_with_a_third_of_the_way_flown(inbound):
    # After 20 s at this speed: 1 NM and 35 % of the way, around where it is by then.
    straight = inbound.but(dme_nm=None, entered_s=0.0, anchor_progress_s=inbound.anchor_progress_s)
    t_s = NOW_S + 40.0
    there_nm = straight.place(t_s).dme_nm
    in_turn_nm = 1.0 if straight.progress_s(t_s) < straight.timeline.turn_end_s + 60.0 else 0.0
    slack_nm = 1.0 + 0.35 * straight.place(t_s).groundspeed_kt / 3600.0 * 40.0 + in_turn_nm

    assert doubtful_place(straight, report(dme_nm=there_nm + slack_nm - 0.05), t_s) is None
    assert doubtful_place(straight, report(dme_nm=there_nm + slack_nm + 0.05), t_s) == "range"


@pytest.mark.parametrize(
    ("range_nm", "wrong"),
    # 30 s after 9 miles the range has closed by a mile and a half; opening by more than 0.35 is wrong.
    [(9.3, False), (9.4, True), (8.5, False), (7.0, False)],
)
def test_a_range_that_opens_where_it_should_close_is_wrong(inbound, range_nm, wrong):
    rolled_out = inbound.but(entered_s=0.0)
    assert is_going_wrong(rolled_out, range_nm, NOW_S + 30.0) is wrong
    assert not is_going_wrong(rolled_out.but(dme_nm=None), range_nm, NOW_S + 30.0)
    # Judged with both readings on the leg.
    assert not is_going_wrong(rolled_out.but(entered_s=NOW_S + 1.0), range_nm, NOW_S + 30.0)


@pytest.mark.parametrize(
    ("shown_ft", "setting"),
    [
        # 30 hPa below standard: at 1900 ft on QNH, standard shows some 820 ft more; QFE 96 less.
        (2720.0, Datum.STANDARD),
        (2900.0, None),
        (1900.0, None),
        (1804.0, None),  # a hundred feet are a pilot's wandering
    ],
)
def test_a_reading_that_fits_another_setting_only_is_asked_about(plan, shown_ft, setting):
    level = placed(plan("skarrow-tacan-24", qnh_hpa=983.25), "course_2", 9.0, altitude_ft=1900.0)

    assert other_setting(level, report(indicated_ft=shown_ft), NOW_S) is setting
    # Not where the pilot named the setting, nor in a descent of his own.
    assert other_setting(level, report(indicated_ft=shown_ft, datum=Datum.QNH), NOW_S) is None
    going_down = level.but(altitude=replace(level.altitude, descent_fpm=600.0))
    assert other_setting(going_down, report(indicated_ft=shown_ft), NOW_S) is None
