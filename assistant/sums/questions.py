"""Every question that can be asked, in the order of a flight's planning."""

from assistant.sums import air, descending, patterns, turning
from assistant.sums.question import Choice, Input, Kind, Question, Range, Written

DIRECTION = Range(unit="degrees magnetic", low=0.0, high=360.0)
SPEED = Range(unit="knots", low=1.0, high=600.0)
BANK = Range(unit="degrees", low=1.0, high=60.0)
SLOPE = Range(unit="degrees", low=0.5, high=10.0)
THROUGH = Range(unit="degrees", low=1.0, high=360.0)
TIME = Range(unit="seconds", low=1.0, high=600.0)
DISTANCE = Range(unit="NM", low=0.0, high=200.0)
SIZE = Range(unit="NM", low=0.1, high=200.0)
OFFSET = Range(unit="NM", low=-10.0, high=10.0)
ALTITUDE = Range(unit="feet above mean sea level", low=-1500.0, high=60000.0)
HEIGHT = Range(unit="feet", low=0.0, high=60000.0)
TEMPERATURE = Range(unit="degrees Celsius", low=-90.0, high=60.0)
SIDE = Choice(words=("left", "right"))
ROUND = Choice(words=("clockwise", "anticlockwise"))
SENSE = Choice(words=("inbound", "outbound"))
CATEGORY = Choice(words=("A", "B", "C", "D", "E"))


def _input(
    option: str,
    parameter: str,
    kind: Kind,
    asks: str,
    example: str,
    *,
    default: str | None = None,
    wanted: bool = True,
) -> Input:
    """An input in one line of the table below."""
    return Input(
        option=option,
        parameter=parameter,
        kind=kind,
        asks=asks,
        example=example,
        default=default,
        wanted=wanted,
    )


def _course(option: str, parameter: str, asks: str, example: str) -> Input:
    return _input(option, parameter, DIRECTION, f"{asks}, degrees", example)


def _turn(asks: str, example: str) -> Input:
    return _input("turn", "turn", SIDE, f"{asks}, left or right", example)


_TAS = _input("tas", "tas_kt", SPEED, "true airspeed, knots", "150")
_WIND = _input("wind", "wind", Written.WIND, "wind, magnetic direction it blows from / knots", "250/25")
_BANK = _input(
    "bank", "bank_deg", BANK, "most bank used, degrees (less where rate one needs less)", "25", default="25"
)
_ARC = _input("arc", "arc_nm", SIZE, "range of the arc, NM", "12")
_ROUND = _input(
    "direction", "direction", ROUND, "way round the station, clockwise or anticlockwise", "clockwise"
)
_SENSE = _input(
    "sense", "sense", SENSE, "inbound (toward the station) or outbound", "inbound", default="inbound"
)
_THRESHOLD = _input(
    "threshold", "threshold_elevation_ft", ALTITUDE, "threshold elevation, feet above mean sea level", "96"
)
_CROSSING = _input(
    "crossing",
    "crossing_height_ft",
    HEIGHT,
    "height at which the slope crosses the threshold, feet",
    "50",
    default="50",
)
_GROUNDSPEED = _input("groundspeed", "groundspeed_kt", SPEED, "groundspeed, knots", "140")
_SLOPE = _input("angle", "angle_deg", SLOPE, "descent angle, degrees", "3", default="3")

QUESTIONS: tuple[Question, ...] = (
    Question(
        name="wind",
        about="Heading, drift and groundspeed for a track.",
        inputs=(_course("track", "track_mag_deg", "track to make good", "243"), _TAS, _WIND),
        answer=air.wind_triangle,
    ),
    Question(
        name="speed",
        about="True airspeed of an indicated one.",
        inputs=(
            _input("ias", "ias_kt", SPEED, "indicated airspeed, knots", "210"),
            _input("altitude", "altitude_ft", ALTITUDE, "altitude, feet above mean sea level", "5000"),
            _input(
                "temperature",
                "temperature_c",
                TEMPERATURE,
                "temperature there, degrees Celsius; standard without",
                "-5",
                wanted=False,
            ),
        ),
        answer=air.true_airspeed,
    ),
    Question(
        name="turn",
        about="Radius, rate and time of a turn, and the bank of rate one.",
        inputs=(
            _TAS,
            _input("bank", "bank_deg", BANK, "bank, degrees", "25", default="25"),
            _input("through", "through_deg", THROUGH, "angle turned through, degrees", "90", default="90"),
        ),
        answer=turning.turn,
    ),
    Question(
        name="arc",
        about="Heading and bearing pointer at a radial of an arc.",
        inputs=(
            _course("radial", "radial_deg", "radial now", "020"),
            _ARC,
            _ROUND,
            _TAS,
            _WIND,
            _input("off", "offset_nm", OFFSET, "NM off the arc, outside positive", "0.5", default="0"),
        ),
        answer=turning.arc,
    ),
    Question(
        name="lead",
        about="Lead radial of the turn from an arc on to a course.",
        inputs=(
            _ARC,
            _ROUND,
            _course("course", "course_mag_deg", "course to turn on to, through the station", "243"),
            _TAS,
            _WIND,
            _SENSE,
            _BANK,
        ),
        answer=turning.lead_off_arc,
    ),
    Question(
        name="intercept",
        about="Where to begin the turn from a track on to a course.",
        inputs=(
            _course("track", "track_mag_deg", "track flown now", "198"),
            _course("course", "course_mag_deg", "course to turn on to", "243"),
            _TAS,
            _WIND,
            _BANK,
        ),
        answer=turning.lead_to_intercept,
    ),
    Question(
        name="join-arc",
        about="Range on a radial at which to turn on to an arc.",
        inputs=(
            _ARC,
            _course("radial", "radial_deg", "radial flown", "345"),
            _ROUND,
            _TAS,
            _WIND,
            _SENSE,
            _BANK,
        ),
        answer=turning.lead_on_to_arc,
    ),
    Question(
        name="hold",
        about="Outbound heading and time of a hold, and the entry.",
        inputs=(
            _course("course", "course_mag_deg", "inbound course", "165"),
            _turn("turns", "right"),
            _TAS,
            _WIND,
            _input("time", "time_s", TIME, "length of the straight legs, seconds", "60", default="60"),
            _BANK,
            _input(
                "heading",
                "heading_mag_deg",
                DIRECTION,
                "heading on arrival, for the entry, degrees",
                "200",
                wanted=False,
            ),
        ),
        answer=patterns.hold,
    ),
    Question(
        name="base-turn",
        about="Outbound time of a base turn, and its headings.",
        inputs=(
            _course("outbound", "outbound_mag_deg", "outbound track", "109"),
            _course("inbound", "inbound_mag_deg", "inbound course", "275"),
            _turn("turn on to the inbound course", "left"),
            _TAS,
            _WIND,
            _BANK,
            _input("time", "time_s", TIME, "the chart's outbound time, seconds", "120", wanted=False),
        ),
        answer=patterns.base_turn,
    ),
    Question(
        name="procedure-turn",
        about="Headings and time of a 45 degree procedure turn.",
        inputs=(
            _course("outbound", "outbound_mag_deg", "outbound course", "063"),
            _turn("first turn, away from the course", "left"),
            _TAS,
            _WIND,
            _input("time", "time_s", TIME, "time outbound before it, seconds", "60", default="60"),
            _input("category", "category", CATEGORY, "approach category, A to E", "C", default="C"),
            _BANK,
        ),
        answer=patterns.procedure_turn,
    ),
    Question(
        name="descent",
        about="Rate of descent on a slope, and where to start down.",
        inputs=(
            _GROUNDSPEED,
            _SLOPE,
            _input("lose", "lose_ft", HEIGHT, "height to lose, feet", "3000", wanted=False),
        ),
        answer=descending.descent,
    ),
    Question(
        name="altitude",
        about="Altitude due at a range on the final approach.",
        inputs=(
            _input("dme", "dme_nm", DISTANCE, "range read, NM, the station at or beyond the threshold", "4"),
            _THRESHOLD,
            _SLOPE,
            _input(
                "threshold-dme",
                "threshold_dme_nm",
                DISTANCE,
                "range read at the threshold, NM",
                "0.6",
                default="0",
            ),
            _CROSSING,
            _input(
                "station",
                "station_elevation_ft",
                ALTITUDE,
                "station elevation, feet above mean sea level",
                "80",
                default="0",
            ),
        ),
        answer=descending.altitude_due,
    ),
    Question(
        name="minimum",
        about="Where the slope leaves a minimum.",
        inputs=(
            _input("minimum", "minimum_ft", ALTITUDE, "minimum descent altitude, feet on QNH", "500"),
            _THRESHOLD,
            _SLOPE,
            _CROSSING,
            _input(
                "add",
                "add_on_ft",
                HEIGHT,
                "added to the minimum for a continuous descent, feet",
                "50",
                default="50",
            ),
            _input(
                "missed",
                "missed_nm",
                SIZE,
                "missed approach point before the threshold, NM",
                "0.9",
                wanted=False,
            ),
        ),
        answer=descending.minimum,
    ),
    Question(
        name="timing",
        about="Time over a distance at a groundspeed.",
        inputs=(
            _input("distance", "distance_nm", SIZE, "distance, NM", "4.7"),
            _GROUNDSPEED,
        ),
        answer=descending.timing,
    ),
    Question(
        name="slant",
        about="Ground range of a slant range.",
        inputs=(
            _input("dme", "dme_nm", DISTANCE, "range read, NM", "5"),
            _input("height", "height_ft", HEIGHT, "height above the station, feet", "6000"),
        ),
        answer=air.slant_range,
    ),
    Question(
        name="regain",
        about="How far to turn, from off track, to reach a leg's end.",
        inputs=(
            _input("leg", "leg_nm", SIZE, "length of the leg, NM", "90"),
            _input("gone", "gone_nm", SIZE, "distance gone, NM", "60"),
            _input("off", "off_nm", DISTANCE, "distance off the track, NM", "4"),
        ),
        answer=descending.regain_track,
    ),
    Question(
        name="altimeter",
        about="QFE, an altitude on each datum, transition level.",
        inputs=(
            _input("qnh", "qnh_hpa", Written.SETTING, "QNH, hPa or inches of mercury", "996"),
            _input("elevation", "elevation_ft", ALTITUDE, "elevation that QFE is for, feet", "338"),
            _input("altitude", "altitude_ft", ALTITUDE, "an altitude on QNH, feet", "4000", wanted=False),
            _input(
                "transition",
                "transition_altitude_ft",
                ALTITUDE,
                "transition altitude, feet on QNH",
                "5000",
                wanted=False,
            ),
        ),
        answer=air.altimeter,
    ),
    Question(
        name="cold",
        about="What to add to an altitude in colder air than standard.",
        inputs=(
            _input(
                "temperature",
                "temperature_c",
                TEMPERATURE,
                "temperature at the aerodrome, degrees Celsius",
                "-15",
            ),
            _input("height", "height_ft", HEIGHT, "height above the aerodrome, feet", "1500"),
            _input(
                "elevation", "elevation_ft", ALTITUDE, "elevation of the aerodrome, feet", "400", default="0"
            ),
        ),
        answer=air.cold_air,
    ),
)
