"""
The needles show where the aircraft is.

Six miles east and eight north of the station, a mile above it: radial atan(6/8) = 36.87 degrees, ten miles
over the ground, a slant range of sqrt(101) = 10.05. Reports are those needles, rounded as they are read.
"""

from random import Random

import pytest
from driver import ROOT

from assistant.nav.geometry import PlanePoint
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Datum
from assistant.simulation.aircraft import Motion
from assistant.simulation.habits import STEADY
from assistant.simulation.panel import Panel
from assistant.simulation.reading import position_report, saying_s

STATION_FT = 530.0
"""Of this procedure's station."""
MILE_FT = 6076.1


def seeded(seed):
    return Random(seed)  # noqa: S311 - readings are to be repeatable, not secret


def panel(datum=Datum.QNH, *, altitude_ft=STATION_FT + MILE_FT, qnh_hpa=1013.25, **more):
    name = "teskel-vortac-06"
    procedure = load_procedure((ROOT / f"procedures/{name}.yaml").read_text(encoding="utf-8"), name)
    assert procedure.navaid.elevation_ft == STATION_FT
    motion = Motion(
        point=PlanePoint(6.0, 8.0),
        altitude_ft=altitude_ft,
        heading_mag_deg=185.4,
        bank_deg=0.0,
        vertical_fpm=0.0,
        ias_kt=120.0,
        groundspeed_kt=120.0,
    )
    return Panel(motion=motion, procedure=procedure, datum=datum, qnh_hpa=qnh_hpa, **more)


def test_radial_and_slant_range():
    assert panel().radial_deg == pytest.approx(36.87, abs=0.005)
    assert panel().dme_nm == pytest.approx(10.05, abs=0.001)


def test_below_the_station_the_range_is_that_over_the_ground():
    assert panel(altitude_ft=100.0).dme_nm == pytest.approx(10.0)


def test_the_needle_is_off_by_the_angle_between_radial_and_course_in_either_direction():
    assert panel().deviation_deg(30.0) == pytest.approx(6.87, abs=0.005)  # outbound
    assert panel().deviation_deg(210.0) == pytest.approx(6.87, abs=0.005)  # inbound


def test_right_of_an_outbound_course_is_left_of_its_inbound_one():
    # By hand: 10.05 x sin 6.87 = 1.202 NM.
    assert panel().right_of_course_nm(30.0) == pytest.approx(1.202, abs=0.002)
    assert panel().right_of_course_nm(210.0) == pytest.approx(-1.202, abs=0.002)


def test_the_way_to_a_fix_has_the_drift_taken_off_and_overhead_tells_none():
    # The station lies behind: 36.87 + 180.
    assert panel(fix=PlanePoint(0.0, 0.0), drift_deg=4.0).heading_to_fix_deg == pytest.approx(
        212.87, abs=0.01
    )
    assert panel(fix=PlanePoint(6.3, 8.3)).heading_to_fix_deg == 185.4  # 0.42 NM from it
    assert panel().heading_to_fix_deg == 185.4


def test_the_altimeter_shows_its_own_setting():
    # On QFE it reads from the threshold, 512 ft; on standard 8 hPa low is about 8 x 27.3 ft higher.
    assert panel(Datum.QNH, altitude_ft=3000.0).indicated_ft == 3000.0
    assert panel(Datum.QFE, altitude_ft=3000.0).indicated_ft == 3000.0 - 512.0
    low = panel(Datum.STANDARD, altitude_ft=3000.0, qnh_hpa=1005.25)
    assert low.indicated_ft == pytest.approx(3000.0 + 8.0 * 27.3, abs=10.0)


@pytest.mark.parametrize(
    ("form", "said"),
    [
        # Radial to the degree, range to the tenth, altitude to the 20 ft between two marks.
        ("full", ("radial 037 10.0 DME 3020",)),
        ("arrival", ("radial 037, 10.0 DME, 3020, heading 185",)),
        ("brief", ("10.0 DME 3020", "range 10.0 passing 3020")),
    ],
)
def test_a_report_rounds_as_needles_are_read(form, said):
    shown = panel(altitude_ft=3012.0)

    assert position_report(shown, Datum.QNH, STEADY, seeded(1), form=form, slip=False) in said


def test_on_standard_a_level_is_reported():
    shown = panel(Datum.STANDARD, altitude_ft=8512.0)

    assert position_report(shown, Datum.STANDARD, STEADY, seeded(1), form="full", slip=False).endswith("FL85")


def test_a_slip_is_a_whole_mile_or_ten():
    shown = panel(altitude_ft=100.0)  # ten miles
    read = {
        position_report(shown, Datum.QNH, STEADY, seeded(seed), form="full", slip=True).split()[2]
        for seed in range(40)
    }

    assert read == {"8.0", "9.0", "11.0", "12.0", "20.0"}


def test_saying_takes_time_by_figures_and_words():
    # Three figures a second and half as much for a word: "12.1 DME 4800" is seven figures, three words.
    assert saying_s("12.1 DME 4800") == pytest.approx((7 + 1.5) / 3.0 + 0.3)
