"""
All that crosses the engine's boundary, in and out. Read this first.

In: what the pilot (or a position feed) told us, each stamped with `t_s`, the seconds since the session began
at which it arrived, and, where it is a reading, `observed_t_s`, the moment at which it was true (the pilot
began to speak). Out: callouts to speak, stages entered, reports refused. Nothing here knows any words:
`language` does.

Vertical values: `altitude_ft` is above mean sea level on QNH, always. What the needle shows is
`indicated_ft`, and travels with its `datum`.
"""

from dataclasses import dataclass, field
from enum import IntEnum, StrEnum

from assistant.procedure.model import Datum as Datum  # noqa: PLC0414 - exported again on purpose
from assistant.procedure.model import EntrySector as EntrySector  # noqa: PLC0414 - exported again on purpose
from assistant.procedure.model import Turn as Turn  # noqa: PLC0414 - exported again on purpose

HEARD_SURELY = 0.5
"""A report of less confidence is never taken in: it is asked back, and counts once it is affirmed."""

# --- in -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionReport:
    """
    What the pilot read out: any of the fields, at least one.

    `datum` is None unless the pilot named it ("flight level eight zero", "… QFE"): then the altimeter's own
    is meant. `confidence`, 0 to 1, is the recogniser's; below `HEARD_SURELY` the report is asked back.
    """

    t_s: float
    observed_t_s: float
    radial_deg: float | None = None
    dme_nm: float | None = None
    indicated_ft: float | None = None
    datum: Datum | None = None
    heading_mag_deg: float | None = None
    groundspeed_kt: float | None = None
    fix: str | None = None
    confidence: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionSample:
    """A sample from a position feed. Altitude is above mean sea level; track is true."""

    t_s: float
    observed_t_s: float
    latitude_deg: float
    longitude_deg: float
    altitude_ft: float
    track_true_deg: float
    groundspeed_kt: float


class Said(StrEnum):
    """What a pilot can state."""

    ENTERING_HOLD = "entering_hold"
    ONE_MORE = "one_more"
    LEAVING = "leaving"
    TURNING = "turning"
    OUTBOUND = "outbound"
    INBOUND = "inbound"
    ON_ARC = "on_arc"
    ESTABLISHED = "established"
    NEEDLE_MOVING = "needle_moving"
    LEVEL = "level"
    DESCENDING = "descending"
    VISUAL = "visual"
    NOT_VISUAL = "not_visual"
    GOING_AROUND = "going_around"
    LANDED = "landed"
    AFFIRM = "affirm"
    NEGATIVE = "negative"
    DISREGARD = "disregard"


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """Something the pilot stated that is no reading."""

    t_s: float
    said: Said


class Asked(StrEnum):
    """What a pilot can ask for."""

    # event, dme_nm|radial_deg|time_s, indicated_ft: "Next: lead radial zero five five, two thousand QNH."
    NEXT = "next"
    SAY_AGAIN = "say_again"
    MINIMUM = "minimum"
    FLOOR = "floor"
    ALTITUDE_DUE = "altitude_due"
    HEADING = "heading"
    RATE = "rate"
    MISSED_APPROACH = "missed_approach"
    SECTOR_ALTITUDE = "sector_altitude"
    POSITION = "position"
    ALTIMETER = "altimeter"
    WIND = "wind"
    FREQUENCY = "frequency"
    NOTES = "notes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """
    A question.

    `dme_nm` goes with ALTITUDE_DUE ("altitude at four miles"); `name` with FREQUENCY ("tower").
    """

    t_s: float
    asked: Asked
    dme_nm: float | None = None
    name: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionsGiven:
    """
    What changed in the day's conditions; None where nothing was said.

    `datum` is what the altimeter was set to ("set QFE niner eight seven" gives datum and qfe_hpa).
    """

    t_s: float
    wind_from_mag_deg: float | None = None
    wind_kt: float | None = None
    qnh_hpa: float | None = None
    qfe_hpa: float | None = None
    temperature_c: float | None = None
    datum: Datum | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUnderstood:
    """Words in which no phrase was found, or whose numbers make no sense. `reason` is for the log."""

    t_s: float
    text: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """Time has passed. The engine says when it wants one (`wake_at_s`); extra ones change nothing."""

    t_s: float


EngineInput = PositionReport | PositionSample | Statement | Request | ConditionsGiven | NotUnderstood | Tick


# --- out ----------------------------------------------------------------------------------------------------


class Priority(IntEnum):
    """Who may interrupt whom; a lower number is more urgent. Arrival order within a tier."""

    SAFETY = 0
    ACTION = 1
    PREPARATION = 2
    ANSWER = 3
    CONFIRMATION = 4


class CalloutKind(StrEnum):
    """
    What a callout says. Beside each: the figures it carries, and the sense of it in words.

    `event` is a name to be spoken ("lead radial", "final approach fix BELIM").
    """

    # --- the rhythm of an event
    # event, time_s, then the coming action: entry, turn+heading | descent_fpm | altitude_ft with item "climb"
    PREPARE = "prepare"
    # event, dme_nm|radial_deg|time_s, indicated_ft: "Next: lead radial zero five five, two thousand QNH."
    NEXT = "next"
    CHECK = "check"  # item: "Check needle moving." "Check range opening."
    # --- turns
    TURN = (
        "turn"  # event, turn, heading_mag_deg, course_mag_deg: "Lead radial. Turn left heading two one five."
    )
    # entry, turn, heading_mag_deg, time_s|dme_nm: "Offset entry. Heading 060. One minute."
    HOLD_ENTRY = "hold_entry"
    OUTBOUND = "outbound"  # event, turn, heading_mag_deg, time_s|dme_nm (limit)
    INBOUND_TURN = "inbound_turn"  # turn, course_mag_deg
    HEADING = "heading"  # heading_mag_deg: next heading along an arc or course
    ARC_OFFSET = "arc_offset"  # offset_nm, side (inside/outside), heading_mag_deg
    COURSE_OFFSET = (
        "course_offset"  # side (left/right of course), offset_deg, heading_mag_deg, course_mag_deg
    )
    # --- heights
    DESCEND = "descend"  # event?, indicated_ft, datum, descent_fpm?, dme_nm? (to be reached by)
    FINAL_DESCENT = "final_descent"  # event, descent_fpm, indicated_ft+datum = first floor or the minimum
    MAINTAIN = "maintain"  # indicated_ft, datum: not to be left yet; condition: "until established"
    LEVEL_OFF = "level_off"  # indicated_ft, datum: "Approaching two thousand QNH."
    HEIGHT_CHECK = "height_check"  # dme_nm, indicated_ft due, datum, difference_ft (+ high), descent_fpm
    ALTITUDE_DUE = "altitude_due"  # dme_nm, indicated_ft, datum
    FLOOR = "floor"  # indicated_ft, datum
    SET_ALTIMETER = "set_altimeter"  # datum, qnh_hpa|qfe_hpa
    VISUAL_DESCENT_POINT = "visual_descent_point"  # event, dme_nm
    NEAR_MINIMUM = "near_minimum"  # difference_ft to go, indicated_ft, datum
    MINIMUM_IS = "minimum_is"  # indicated_ft, datum: the answer to "minimum?": "Minimum five two zero QNH."
    MINIMUM = "minimum"  # indicated_ft, datum: "Minimum, five two zero QNH. Visual?"
    # --- the end
    GO_AROUND = "go_around"  # event?, indicated_ft, datum, turn?, heading_mag_deg|course_mag_deg
    CLIMB = "climb"  # event?, indicated_ft, datum, turn?, heading_mag_deg, course_mag_deg
    LAND = "land"  # side, angle_deg: "Land. Runway right, one zero degrees." descent_fpm?
    # --- what does not fit
    BELOW_FLOOR = (
        "below_floor"  # indicated_ft (floor), datum: "Climb two thousand QNH. Below minimum altitude."
    )
    # item (range|altitude|radial) and the value heard: "Say again range. Heard one six decimal four DME?"
    CHALLENGE = "challenge"
    CHECK_ALTIMETER = "check_altimeter"  # datum, qnh_hpa|qfe_hpa: reading fits another setting
    NOT_YET = "not_yet"  # event, dme_nm|radial_deg: our reckoning was early; heading/altitude to hold
    SAY_POSITION = "say_position"  # item: "Report range."
    SAY_AGAIN = "say_again"  # text?: "Say again, heard leaving?"
    # --- answers and confirmations
    REPEAT = "repeat"  # text: the last words again
    POSITION = "position"  # dme_nm, radial_deg, time_s age
    WIND = "wind"  # wind_from_mag_deg, wind_kt
    RATE = "rate"  # descent_fpm
    SECTOR_ALTITUDE = "sector_altitude"  # indicated_ft, datum
    FREQUENCY = "frequency"  # event (name), frequency_mhz
    TEXT = "text"  # text: a note of the chart, the missed approach in the chart's words
    CONFIRM = "confirm"  # item (+ figures): "Established." "Disregarded." "Wind two five zero, one five."
    UNKNOWN = "unknown"  # item: "No altitude due known." an answer cannot be given


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """
    The numbers and names of a callout.

    None where it has none. See `CalloutKind` for which goes with which.
    """

    event: str | None = None
    item: str | None = None
    text: str | None = None
    entry: EntrySector | None = None
    turn: Turn | None = None
    side: str | None = None
    heading_mag_deg: float | None = None
    course_mag_deg: float | None = None
    radial_deg: float | None = None
    dme_nm: float | None = None
    offset_nm: float | None = None
    offset_deg: float | None = None
    angle_deg: float | None = None
    time_s: float | None = None
    altitude_ft: float | None = None
    indicated_ft: float | None = None
    datum: Datum | None = None
    difference_ft: float | None = None
    descent_fpm: float | None = None
    qnh_hpa: float | None = None
    qfe_hpa: float | None = None
    wind_from_mag_deg: float | None = None
    wind_kt: float | None = None
    temperature_c: float | None = None
    frequency_mhz: float | None = None
    corrected: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Callout:
    """
    Something to say.

    After `expires_t_s` it is not said. `cue` names the plan's cue, or the rule, that caused it.
    """

    t_s: float
    expires_t_s: float
    kind: CalloutKind
    priority: Priority
    cue: str
    figures: Figures = field(default_factory=Figures)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageEntered:
    """
    The flight has come to another stage of the plan.

    `predicted`: by dead reckoning, no report has shown it yet.
    """

    t_s: float
    stage: str
    predicted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportRefused:
    """A report that no flyable path joins to what is known; nothing was changed by it."""

    t_s: float
    report: PositionReport | PositionSample
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CueDropped:
    """A cue that came due and was not called, and why (overtaken by a later one, knowledge too old, …)."""

    t_s: float
    cue: str
    reason: str


EngineOutput = Callout | StageEntered | ReportRefused | CueDropped
