"""Sums about turning round: the hold, the base turn, the procedure turn."""

from assistant.nav.airspeed import Category
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import Turn, difference_deg, normalize_deg, reciprocal_deg
from assistant.nav.holding import Outbound, entry_sector, outbound_by_rule, outbound_solved
from assistant.nav.reversal import base_turn as fly_base_turn
from assistant.nav.reversal import base_turn_angle_rule_deg, procedure_turn_time_s
from assistant.nav.reversal import procedure_turn as fly_procedure_turn
from assistant.nav.turns import bank_in_use_deg
from assistant.nav.wind import Wind, clock_code_drift_deg
from assistant.sums.answer import Answer, Figure

DRIFT_TAKEN_OFF = "the track less the drift by the clock code"


def hold(
    *,
    course_mag_deg: float,
    turn: Turn,
    tas_kt: float,
    wind: Wind,
    time_s: float,
    bank_deg: float,
    heading_mag_deg: float | None = None,
) -> Answer:
    """
    The outbound leg of a hold, solved and by the rule of three drifts; with a heading, the entry too.

    Solved for an inbound leg of the time given; the rule takes it as the outbound time in still air. Raises
    NoSolution, with what the rule gives, where no outbound heading rolls out on course.
    """
    bank_used_deg = bank_in_use_deg(tas_kt, bank_deg)
    flown = (course_mag_deg, turn, tas_kt, bank_used_deg, *wind)
    rule = outbound_by_rule(*flown, nominal_time_s=time_s)
    try:
        solved = outbound_solved(*flown, inbound_time_s=time_s)
    except NoSolution as error:
        raise NoSolution(
            f"{error} Three times the drift, heading {rule.heading_deg:03.0f} for {rule.time_s:.0f} s,"
            f" rolls out {_aside(rule)}."
        ) from None
    remarks = [f"By the rule the inbound turn rolls out {_aside(rule)}."]
    if bank_used_deg < bank_deg:
        remarks.append(f"Bank {bank_used_deg:.0f}°: rate one needs no more at this speed.")
    if heading_mag_deg is not None:
        entry = entry_sector(heading_mag_deg, course_mag_deg, turn)
        also = f", or {entry.also}: within 5° of the boundary" if entry.also is not None else ""
        remarks.append(f"Entry on heading {heading_mag_deg:03.0f}: {entry.sector}{also}.")
    three = "three times the inbound drift, to the other side"
    return Answer(
        figures=(
            Figure(
                name="outbound_heading_mag_deg",
                quantity="outbound heading",
                exact=solved.heading_deg,
                rule=rule.heading_deg,
                rule_is=three,
            ),
            Figure(
                name="outbound_correction_deg",
                quantity="outbound correction, right positive",
                exact=solved.drift_correction_deg,
                rule=rule.drift_correction_deg,
                rule_is=three,
            ),
            Figure(
                name="outbound_time_s",
                quantity="outbound time, from abeam or wings level",
                exact=solved.time_s,
                rule=rule.time_s,
                rule_is="a second more for every knot of head wind outbound, less for tail wind; 30 at least",
            ),
            Figure(
                name="roll_out_across_nm",
                quantity="rolls out right of the course, left negative",
                exact=solved.across_error_nm,
                rule=rule.across_error_nm,
                rule_is="where that outbound leg leads",
            ),
            Figure(
                name="inbound_time_s",
                quantity="time then left inbound",
                exact=solved.inbound_time_s,
                rule=rule.inbound_time_s,
                rule_is="where that outbound leg leads",
            ),
            Figure(
                name="inbound_heading_mag_deg",
                quantity="inbound heading",
                exact=solved.inbound_heading_deg,
                rule=_heading_by_rule_deg(course_mag_deg, tas_kt, wind),
                rule_is=DRIFT_TAKEN_OFF,
            ),
        ),
        source="Two turns at fixed bank in moving air, solved; FAA AIM 5-3-8 for three drifts.",
        remarks=tuple(remarks),
    )


def base_turn(
    *,
    outbound_mag_deg: float,
    inbound_mag_deg: float,
    turn: Turn,
    tas_kt: float,
    wind: Wind,
    bank_deg: float,
    time_s: float | None = None,
) -> Answer:
    """The outbound time of a base turn that rolls out on the inbound course; and what a charted time does."""
    bank_used_deg = bank_in_use_deg(tas_kt, bank_deg)
    flown = (outbound_mag_deg, inbound_mag_deg, turn, tas_kt, bank_used_deg, *wind)
    solved = fly_base_turn(*flown)
    divergence_deg = abs(difference_deg(outbound_mag_deg, reciprocal_deg(inbound_mag_deg)))
    # The designers' rule gives the divergence of a time, in inverse proportion; so from one minute's.
    rule_s = 60.0 * base_turn_angle_rule_deg(tas_kt, 60.0) / divergence_deg if divergence_deg > 0.0 else None
    figures = [
        Figure(
            name="outbound_time_s",
            quantity="outbound time that rolls out on course",
            exact=solved.time_s,
            rule=rule_s,
            rule_is="still air: 36 over the divergence in minutes; 0.215 TAS for 36 above 170 kt",
        ),
        Figure(
            name="outbound_heading_mag_deg",
            quantity="outbound heading",
            exact=solved.headings_deg[0],
            rule=_heading_by_rule_deg(outbound_mag_deg, tas_kt, wind),
            rule_is=DRIFT_TAKEN_OFF,
        ),
        Figure(
            name="inbound_heading_mag_deg",
            quantity="inbound heading",
            exact=solved.headings_deg[-1],
            rule=_heading_by_rule_deg(inbound_mag_deg, tas_kt, wind),
            rule_is=DRIFT_TAKEN_OFF,
        ),
        Figure(name="divergence_deg", quantity="divergence of the tracks", exact=divergence_deg),
        Figure(name="roll_out_nm", quantity="left to the fix after the turn", exact=solved.roll_out_nm),
        Figure(name="total_time_s", quantity="time fix to roll-out", exact=solved.total_time_s),
    ]
    if time_s is not None:
        charted = fly_base_turn(*flown, outbound_time_s=time_s)
        figures.append(
            Figure(
                name="charted_across_nm",
                quantity=f"after {time_s:.0f} s: right of course, left negative",
                exact=charted.across_error_nm,
            )
        )
    return Answer(
        figures=tuple(figures),
        source="Turn at fixed bank in moving air, solved; ICAO Doc 8168 Vol II I-4-3 App C for the rule.",
    )


def procedure_turn(
    *,
    outbound_mag_deg: float,
    turn: Turn,
    tas_kt: float,
    wind: Wind,
    time_s: float,
    category: Category,
    bank_deg: float,
) -> Answer:
    """The 45 degree procedure turn: how long to fly away from the course so that the turn back ends on it."""
    bank_used_deg = bank_in_use_deg(tas_kt, bank_deg)
    flown = (outbound_mag_deg, turn, tas_kt, bank_used_deg, *wind)
    charted_s = procedure_turn_time_s(category)
    solved = fly_procedure_turn(*flown, outbound_time_s=time_s)
    charted = fly_procedure_turn(*flown, outbound_time_s=time_s, leg_time_s=charted_s)
    side = 1.0 if turn == "right" else -1.0
    tracks = (
        ("outbound", "outbound heading", outbound_mag_deg),
        ("away", "heading away from the course", normalize_deg(outbound_mag_deg + side * 45.0)),
        ("inbound", "inbound heading", reciprocal_deg(outbound_mag_deg)),
    )
    published = f"{charted_s:.0f} s from the start of the turn for category {category}"
    return Answer(
        figures=(
            Figure(
                name="away_time_s",
                quantity="time from the start of the first turn",
                exact=solved.time_s,
                rule=charted_s,
                rule_is=published,
            ),
            Figure(
                name="roll_out_across_nm",
                quantity="rolls out right of the course, left negative",
                exact=solved.across_error_nm,
                rule=charted.across_error_nm,
                rule_is=published,
            ),
            *(
                Figure(
                    name=f"{name}_heading_mag_deg",
                    quantity=quantity,
                    exact=heading_deg,
                    rule=_heading_by_rule_deg(track_deg, tas_kt, wind),
                    rule_is=DRIFT_TAKEN_OFF,
                )
                for (name, quantity, track_deg), heading_deg in zip(tracks, solved.headings_deg, strict=True)
            ),
            Figure(name="roll_out_nm", quantity="left to the fix after the turn", exact=solved.roll_out_nm),
            Figure(name="total_time_s", quantity="time fix to roll-out", exact=solved.total_time_s),
        ),
        source="Turns at fixed bank in moving air, solved; ICAO Doc 8168 Vol I I-4-3 for the times.",
    )


def _aside(outbound: Outbound) -> str:
    if abs(outbound.across_error_nm) < 0.005:
        return "on the course"
    side = "right" if outbound.across_error_nm > 0.0 else "left"
    return f"{abs(outbound.across_error_nm):.2f} NM {side} of the course"


def _heading_by_rule_deg(track_mag_deg: float, tas_kt: float, wind: Wind) -> float:
    return normalize_deg(track_mag_deg - clock_code_drift_deg(track_mag_deg, tas_kt, *wind))
