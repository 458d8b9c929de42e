"""The closed lists of words that a procedure file may use."""

from enum import StrEnum


class Datum(StrEnum):
    """What the altimeter is set to, and so what a vertical value is measured from."""

    QNH = "qnh"
    QFE = "qfe"
    STANDARD = "standard"


class Turn(StrEnum):
    """Which way a turn goes."""

    LEFT = "left"
    RIGHT = "right"


class ArcDirection(StrEnum):
    """Which way round the station an arc is flown, seen from above."""

    CLOCKWISE = "clockwise"
    ANTICLOCKWISE = "anticlockwise"


class AltitudeKind(StrEnum):
    """How a charted altitude binds: a line above, below, both or none."""

    AT = "at"
    AT_OR_ABOVE = "at_or_above"
    AT_OR_BELOW = "at_or_below"
    RECOMMENDED = "recommended"


class NavaidKind(StrEnum):
    """The stations whose range and radial a pilot can read out."""

    TACAN = "tacan"
    VORTAC = "vortac"
    VOR_DME = "vor_dme"


class FixRole(StrEnum):
    """What a fix is for (ICAO names)."""

    HOLDING = "holding"
    IAF = "iaf"
    IF = "if"
    FAF = "faf"
    STEP_DOWN = "step_down"
    MISSED_APPROACH_POINT = "missed_approach_point"
    MISSED_APPROACH = "missed_approach"


class Category(StrEnum):
    """Aircraft approach category by speed at the threshold (ICAO Doc 8168, FAA)."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"
    E = "E"


class EntrySector(StrEnum):
    """The three ways into a hold (ICAO Doc 8168)."""

    PARALLEL = "parallel"
    OFFSET = "offset"
    DIRECT = "direct"
