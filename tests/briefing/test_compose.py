"""The content of a briefing against hand calculations and the chart's own numbers."""

import dataclasses
import math
import re

import pytest

from assistant.briefing import content
from assistant.briefing.content import Vertical
from assistant.briefing.levels import Levels
from assistant.caution import CAUTION
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.procedure.model import Category, Datum, EntrySector

FT_PER_NM = 6076.115
# What is no height of anything, though it is measured in feet.
DIFFERENCES = {"addon_ft", "cold_correction_ft", "gradient_ft_per_nm"}


def texts_of(value):
    """Every text anywhere in a brief."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from texts_of(item)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from texts_of(getattr(value, field.name))


def verticals_of(value):
    if isinstance(value, Vertical):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from verticals_of(item)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from verticals_of(getattr(value, field.name))


def test_no_height_is_a_bare_number():
    """In every content type a height is a Vertical, with its datum; only differences are plain feet."""
    types = [
        thing for thing in vars(content).values() if dataclasses.is_dataclass(thing) and thing is not Vertical
    ]
    feet = {field.name for thing in types for field in dataclasses.fields(thing) if "_ft" in field.name}

    assert feet == DIFFERENCES


def test_every_height_in_a_text_names_its_datum(made, demonstration, wind):
    """In what is to be done, every number that is no heading, course or rate is followed by its datum."""
    brief = made(demonstration, wind=wind).brief
    for event in brief.events:
        bare = re.sub(r"(heading|course) \d{3}", "", event.action)
        bare = re.sub(r"\d+ ft/min|FL\d{3}|\d+ (QNH|QFE)", "", bare)

        assert not re.search(r"\d{3}", bare), event.action


def test_on_qfe_no_height_is_on_qnh_but_the_other_datums(made, demonstration):
    """Flown on QFE, what is due and what is a floor is on QFE (or a flight level)."""
    brief = made(demonstration, datum=Datum.QFE).brief
    flown = [*verticals_of(brief.events), brief.minima.minimum, *(row.due for row in brief.descent.heights)]

    assert Datum.QNH not in {vertical.datum for vertical in flown}


def test_the_caution_is_in_it(skarrow):
    assert skarrow.caution == CAUTION


def test_events_come_in_the_order_flown(made, demonstration, wind):
    brief = made(demonstration, wind=wind).brief
    times = [event.elapsed_s for event in brief.events if event.elapsed_s is not None]

    assert times == sorted(times)
    assert brief.events[-1].phase == "missed approach"


def test_no_event_is_below_the_floor_before_it(made, demonstration, wind):
    """An altitude due is never below the floor of the event before."""
    brief = made(demonstration, wind=wind).brief
    floor = None
    for event in brief.events:
        if floor is not None and event.due is not None and event.due.datum is floor.datum:
            assert event.due.indicated_ft >= floor.indicated_ft, event
        floor = event.floor if event.floor is not None else floor if event.phase == "final" else None


def test_published_heights_on_both_datums(skarrow):
    """The chart prints 1570, 1250, 930, 600; 96 ft less is 1474, 1154, 834, 504, up to the next ten."""
    rows = [(row.dme_nm, str(row.due), str(row.other)) for row in skarrow.descent.heights]

    assert rows == [
        (5.0, "1570 QNH", "1480 QFE"),
        (4.0, "1250 QNH", "1160 QFE"),
        (3.0, "930 QNH", "840 QFE"),
        (2.0, "600 QNH", "510 QFE"),
    ]


def test_rates_follow_the_angle(skarrow):
    """3.05 degrees: 6076.1 x tan(3.05) = 323.75 ft a mile; from 6 DME to 1.5 DME is 4.5 miles."""
    assert skarrow.descent.gradient_ft_per_nm == pytest.approx(323.75, abs=0.05)
    for row in skarrow.descent.rates:
        assert row.descent_fpm == pytest.approx(323.75 * row.groundspeed_kt / 60.0, abs=0.5)
        assert row.final_time_s == pytest.approx(4.5 / row.groundspeed_kt * 3600.0, rel=0.01)


def test_five_rates_with_todays_in_the_middle(skarrow):
    """140 kt indicated half way from 1900 to 500 ft: density ratio 0.9653, so 142.5 kt true."""
    speeds = [row.groundspeed_kt for row in skarrow.descent.rates]

    assert [row.is_today for row in skarrow.descent.rates] == [False, False, True, False, False]
    assert speeds[2] == pytest.approx(140.0 / math.sqrt(0.9653), abs=1.0)
    assert [speed - speeds[2] for speed in speeds] == [-20.0, -10.0, 0.0, 10.0, 20.0]


def test_minimum_on_both_datums_and_with_the_add_on(skarrow):
    """Category C: 500 on QNH, printed 404 on QFE; called 50 ft before it."""
    minima = skarrow.minima

    assert (str(minima.minimum), str(minima.other), str(minima.decision)) == ("500 QNH", "404 QFE", "550 QNH")
    assert minima.visibility_m == 1700.0


def test_lights_out_ask_for_the_charts_visibility(made):
    assert made("skarrow-tacan-24", lights_out=True).brief.minima.visibility_m == 2400.0
    assert made("teskel-vortac-06", lights_out=True).brief.minima.visibility_m is None


def test_cold_minimum_by_the_published_table(made):
    """
    At -15 the minimum of 500 is 398 above the aerodrome.

    FAA AIM Table 7-3-1 between its 300 and 400 ft columns: 59.8 at -20, 39.8 at -10; half way 49.8, up to 50.
    """
    minima = made("skarrow-tacan-24", temperature_c=-15.0).brief.minima

    assert (str(minima.cold), minima.cold_correction_ft) == ("550 QNH", 50.0)
    assert str(minima.decision) == "550 QNH"
    assert str(minima.cold_decision) == "600 QNH"


def test_no_cold_correction_without_cold(made):
    assert made("skarrow-tacan-24", temperature_c=20.0).brief.minima.cold is None


def test_altimeter_settings(made):
    """QNH 996 at 96 ft: one hPa for some 27.7 ft there, so 992.5, passed as 992."""
    brief = made("skarrow-tacan-24", qnh_hpa=996.0).brief
    altimeter = next(item for item in brief.setting_up if item.name == "Altimeter")

    assert (altimeter.text, altimeter.detail) == ("QNH 996", "QFE 992")


def test_a_start_at_flight_levels_sets_standard_first(made):
    brief = made("ostrey-high-tacan-13").brief
    altimeter = next(item for item in brief.setting_up if item.name == "Altimeter")

    assert (altimeter.text, altimeter.detail[:8]) == ("1013", "then QNH")
    assert str(brief.hold.minimum) == "FL180"


def test_lead_radial_in_still_air(skarrow):
    """
    210 kt at 3000 ft: density ratio 0.9151, so 219.5 kt; radius 219.5^2 / (68625 tan 25) = 1.506 NM.

    The 12 DME arc is 11.99 miles over the ground: asin(1.506 / (11.99 - 1.506)) = 8.3 degrees before 063.
    """
    (arc,) = skarrow.arcs
    radius_nm = 219.5**2 / (68625.0 * math.tan(math.radians(25.0)))
    lead_deg = math.degrees(math.asin(radius_nm / (11.99 - radius_nm)))

    assert arc.lead_radial_deg == pytest.approx(63.0 - lead_deg, abs=1.0)
    assert arc.published_lead_radial_deg == 53.0


def test_arc_references_in_still_air(skarrow):
    """Clockwise without wind: heading radial + 90, pointer on the right wing tip."""
    for row in skarrow.arcs[0].rows:
        assert row.heading_mag_deg == pytest.approx((row.radial_deg + 90.0) % 360.0, abs=1e-6)
        assert (row.pointer_deg, row.ahead_deg) == pytest.approx((90.0, 0.0), abs=1e-6)
    assert [round(row.radial_deg) % 360 for row in skarrow.arcs[0].rows] == [0, 10, 20, 30, 40, 50]


def test_triple_drift_by_hand(made):
    """
    Inbound 165, 210 kt, 4000 ft: density ratio 0.8881, 222.8 kt true. Wind 250/25: 24.9 kt from the right.

    asin(24.9 / 222.8) = 6.4 degrees, so 171.4 inbound, and 345 - 19.3 = 325.7 outbound by the rule.
    """
    hold = made("skarrow-tacan-24", wind=(WindAtLevel(wind_from_mag_deg=250.0, wind_kt=25.0),)).brief.hold

    assert hold.inbound_heading_mag_deg == pytest.approx(171.4, abs=0.2)
    assert hold.rule.heading_mag_deg == pytest.approx(325.7, abs=0.5)
    assert abs(hold.solved.across_error_nm) < 0.05 < abs(hold.rule.across_error_nm)


def test_entry_sectors(skarrow):
    """Right turns, outbound 345 (ICAO Doc 8168): offset to 70 right of it, parallel to 110 left of it."""
    bounds = {
        entry.sector: (entry.from_heading_mag_deg, entry.to_heading_mag_deg) for entry in skarrow.hold.entries
    }

    assert bounds == {
        EntrySector.DIRECT: (55.0, 235.0),
        EntrySector.PARALLEL: (235.0, 345.0),
        EntrySector.OFFSET: (345.0, 55.0),
    }


def test_an_entry_that_the_chart_forbids_says_so(made):
    """Ostrey: "No offset entry"."""
    entries = made("ostrey-high-tacan-13").brief.hold.entries

    assert [entry.sector for entry in entries if not entry.is_permitted] == [EntrySector.OFFSET]


def test_runway_visual_descent_point_and_missed_approach_point(skarrow):
    """
    Crossing at 96 + 50 = 146: from 500 the slope needs 354 / 323.75 = 1.09 miles.

    From 1.5 DME to the threshold's 0.6 are 0.9 miles: atan(354 / (0.9 x 6076)) = 3.7 degrees. At 550, 1.25
    miles out on radial 063, the threshold (0.585 miles on radial 069.3 by its coordinates) bears 240: 3 left
    of 243.
    """
    runway = skarrow.runway

    assert runway.vdp_to_threshold_nm == pytest.approx(354.0 / 323.75, abs=0.005)
    assert runway.vdp_dme_nm == pytest.approx(0.6 + 1.09, abs=0.03)
    assert runway.missed_point_slope_deg == pytest.approx(
        math.degrees(math.atan(354.0 / (0.9 * FT_PER_NM))), abs=0.05
    )
    assert (runway.side, round(runway.angle_deg)) == ("left", 3)


def test_a_missed_approach_point_past_the_threshold_has_no_slope(made):
    """Pellow's is overhead the station, beyond the threshold."""
    runway = made("pellow-vor-dme-28").brief.runway

    assert runway.missed_point_slope_deg is None
    assert runway.missed_point_to_threshold_nm < 0.0


def test_a_timed_missed_approach_point(made):
    """Quorrel: 4.4 miles at the groundspeed of the day."""
    brief = made("quorrel-vor-dme-20").brief
    minutes, seconds = divmod(round(4.4 / brief.descent.groundspeed_kt * 3600.0), 60)

    assert brief.runway.missed_point == f"{minutes}:{seconds:02d} from QRL (4.4 NM)"


def test_what_changes_if(made):
    """Category D and lights out are the chart's figures; 10 kt more on final are about 55 ft/min more."""
    changes = {change.condition: change.effect for change in made("skarrow-tacan-24").brief.changes}

    assert changes["category D"] == "minimum 540 QNH, visibility 2000 m"
    assert changes["approach lights out"] == "visibility 2400 m in place of 1700 m"
    assert changes["flown on QFE"] == "minimum 404 QFE, called at 460 QFE"
    assert changes["10 kt faster on final"] == "rate 850 ft/min"


def test_wind_reversed_turns_the_drift_over(made):
    """Wind from the left of 243 today (heading below it), reversed from the right (heading above it)."""
    wind = (WindAtLevel(wind_from_mag_deg=160.0, wind_kt=20.0),)
    brief = made("skarrow-tacan-24", wind=wind).brief
    effect = next(change.effect for change in brief.changes if change.condition == "wind reversed")

    assert brief.descent.final_heading_mag_deg < 243.0
    assert int(re.search(r"final heading (\d{3})", effect)[1]) > 243


def test_what_the_wind_makes_unflyable_is_said_not_raised(made):
    """60 kt of wind and 100 kt of airspeed leave some changed days without a solution; a sentence says so."""
    speeds = dataclasses.replace(Conditions().for_category(Category.A).speeds, final_kt=70.0)
    wind = (WindAtLevel(wind_from_mag_deg=333.0, wind_kt=62.0),)
    brief = made("skarrow-tacan-24", category=Category.A, speeds=speeds, wind=wind).brief
    effect = next(change.effect for change in brief.changes if change.condition == "wind 10 kt more")

    assert effect.startswith("not to be flown: ")


def test_levels_round_up_and_never_down(made):
    """A floor of 1900 on QNH is 1804 above 96 ft: shown as 1810."""
    levels = Levels(made("skarrow-tacan-24", datum=Datum.QFE).plan)

    assert str(levels.shown(1900.0)) == "1810 QFE"


def test_the_minimum_is_called_where_the_slope_comes_to_it(skarrow):
    """Decision at 550, the minimum with its 50 ft; the visual descent point at the minimum, 500."""
    due = {event.name: str(event.due) for event in skarrow.events}

    assert due["decision"] == "550 QNH"
    assert due["visual descent point"] == "500 QNH"
