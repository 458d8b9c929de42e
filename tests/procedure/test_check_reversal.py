"""Whether a reversal can be entered, comes back and sinks as it may: against figures worked by hand."""

from pathlib import Path

import pytest
import yaml
from chart_checks import checked, remark, results

from assistant.procedure.check_reversal import MOST_DESCENT_FPM
from assistant.procedure.findings import Severity

FOLDER = Path(__file__).parents[2] / "procedures"
PUBLISHED = Path(__file__).parents[1] / "nav" / "check_values.yaml"


@pytest.fixture(scope="module")
def quorrel() -> str:
    """Procedure turn with a hold, by time."""
    return (FOLDER / "quorrel-vor-dme-20.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def ulvane() -> str:
    """Racetrack."""
    return (FOLDER / "ulvane-vor-dme-35.yaml").read_text(encoding="utf-8")


def test_a_base_turn_the_wrong_way_is_found(lunmar, broken):
    """Outbound 269 lies left of 280, the reciprocal of 100: only a right turn comes back."""
    check = checked(broken(lunmar, "    turn: right\n", "    turn: left\n"))

    assert "a left turn from 269 does not come back to 100" in remark(
        check, "legs[0].outbound[0].course_mag_deg"
    )


def test_where_a_base_turn_rolls_out(lunmar):
    """
    The turn is flown from the end of the outbound leg.

    By hand, category B at 140 kt and 2,400 ft: TAS 145 kt, r = 145 / 188.5 = 0.77 NM at rate one (25 degrees
    would be 0.66). Outbound 8 NM (7.99 over the ground) at 11 degrees: 7.99 sin 11 = 1.524 NM left of the
    line; the turn through 191 degrees carries it r (1 + cos 11) = 1.524 NM to the right: on it. Along it,
    7.99 cos 11 + r sin 11 = 7.99 NM from the station: 2.5 NM before HADIN at 5.5 DME.
    """
    texts = results(checked(lunmar), "reversal")

    assert texts[1].startswith("category B at 140 kt: outbound 8.0 NM, 3.3 min")
    assert texts[1].endswith("191° rolls out 0.0 NM right of the inbound course, 2.5 NM before HADIN")


def test_a_turn_beyond_the_outer_limit_is_found(lunmar, broken):
    text = broken(lunmar, "remain_within_dme_nm: 13", "remain_within_dme_nm: 8")

    assert (
        remark(checked(text), "legs[0].outbound[1].dme_nm")
        == "the turn begins at 9 DME, and the limit is 8 DME"
    )


def test_a_category_without_outbound_track_is_found(lunmar, broken):
    text = broken(lunmar, "categories: [C, D]", "categories: [C]")

    assert "category D has minima and no outbound track" in remark(checked(text), "legs[0].outbound")


def test_a_turn_that_ends_past_the_final_approach_fix_is_remarked(lunmar, broken):
    """Out to 4 DME on 260 the turn ends (as above) at 4 cos 20 + 0.77 sin 20 = 4.0 NM; HADIN is at 5.5."""
    text = broken(lunmar, "course_mag_deg: 269, dme_nm: 8}", "course_mag_deg: 260, dme_nm: 4}")

    found = [item for item in checked(text).remarks if "past HADIN" in item.problem]

    assert [item.severity for item in found] == [Severity.WARNING, Severity.WARNING]


# --- how it is entered ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hold_deg", "is_sound"),
    # Outbound 264 and 269: 30 degrees (ICAO Doc 8168 Vol II I-4-3 3.5.3) leave 239 to 294 for both.
    [(280, True), (294, True), (295, False), (239, True), (238, False), (100, False)],
)
def test_a_base_turn_is_entered_within_30_degrees_of_every_outbound_track(lunmar, broken, hold_deg, is_sound):
    text = broken(lunmar, "inbound_course_mag_deg: 280 ", f"inbound_course_mag_deg: {hold_deg:03d} ")

    errors = [item for item in checked(text).remarks if item.severity is Severity.ERROR]

    assert (errors == []) is is_sound


def test_a_hold_on_the_wrong_side_is_told_with_what_to_do(lunmar, broken):
    """100 is 169 degrees from 269 and 164 from 264."""
    check = checked(broken(lunmar, "inbound_course_mag_deg: 280 ", "inbound_course_mag_deg: 100 "))

    assert "the hold arrives at LMR on 100, 169° off the outbound track 269 and 264" in remark(
        check, "hold.inbound_course_mag_deg"
    )
    assert "the other side of LMR" in check.remarks[0].remedy


def test_the_course_leg_before_a_reversal_counts_where_there_is_one(quorrel, broken):
    """A leg that comes to the station on 200 arrives on the reciprocal of the outbound course, 020."""
    text = broken(
        quorrel,
        "roles: [holding, iaf, faf, missed_approach]}",
        "roles: [holding, faf, missed_approach]}\n"
        "  - {ident: NORAB, roles: [iaf], radial_deg: 020, dme_nm: 12}",
    ).replace(
        "legs:\n  - kind: reversal",
        "legs:\n  - {kind: course, from_fix: NORAB, to_fix: QRL, course_mag_deg: 200,"
        " altitude: {altitude_ft: 4500}}\n  - kind: reversal",
        1,
    )
    without_hold = text[: text.index("hold:\n")] + text[text.index("legs:\n") :]
    without_hold = without_hold.replace("  then_hold: true\n", "")

    assert "the leg before arrives at QRL on 200, 180° off" in remark(
        checked(without_hold), "legs[0].course_mag_deg"
    )


def test_a_procedure_turn_is_entered_like_a_base_turn(quorrel, broken):
    check = checked(broken(quorrel, "inbound_course_mag_deg: 020", "inbound_course_mag_deg: 200"))

    assert "a procedure turn 45 is entered within 30°" in remark(check, "hold.inbound_course_mag_deg")


def test_a_racetrack_is_entered_from_anywhere(ulvane):
    assert results(checked(ulvane), "reversal entry") == []


# --- how fast it sinks ------------------------------------------------------------------------------------


def test_the_greatest_descents_are_the_published_ones():
    """ICAO Doc 8168 Vol II, Table I-4-3-1, from the published check values."""
    entries = yaml.safe_load(PUBLISHED.read_text(encoding="utf-8"))
    table = next(entry for entry in entries if entry["id"] == "rod.pansops_reversal_table")["expected"]

    for leg, by_category in MOST_DESCENT_FPM.items():
        for category, fpm in by_category.items():
            group = "ab" if category in "AB" else "cde"
            assert fpm == table[leg][f"cat_{group}_max_ft_min"]


def test_what_is_lost_for_each_minute_is_told(quorrel):
    """
    4500 to 3600 ft outbound, 3000 to 2400 inbound.

    By hand: A and B fly 75 s out, 900 / 1.25 = 720 and 600 / 1.25 = 480 a minute; C and D 60 s.
    """
    texts = results(checked(quorrel), "reversal descent")

    assert texts[1] == (
        "category B: 900 ft outbound, 720 for each minute out (804 at most);"
        " 600 ft inbound, 480 for each minute out (655 at most)"
    )
    assert "900 for each minute out (1197 at most)" in texts[2]


def test_a_descent_outbound_that_is_too_steep_is_remarked(quorrel, broken):
    """From 4700 ft: 1100 ft in 1.25 minutes is 880 a minute for A and B; 1100 in one is within 1197."""
    text = broken(quorrel, "minimum: {kind: at_or_above, altitude_ft: 4500}", "minimum: {altitude_ft: 4700}")

    found = [item.problem for item in checked(text).remarks if "outbound, 880 for each" in item.problem]

    assert len(found) == 2
    assert all("804 at most" in problem for problem in found)


def test_a_descent_inbound_that_is_too_steep_is_remarked(quorrel, broken):
    """From 3500 to 2400 ft: 1100 ft a minute is too much for C and D, 880 for A and B."""
    text = broken(
        quorrel, "turn_altitude: {kind: at_or_above, altitude_ft: 3000}", "turn_altitude: {altitude_ft: 3500}"
    )

    found = [item.problem for item in checked(text).remarks if "ft inbound" in item.problem]

    assert [problem[:10] for problem in found] == ["category A", "category B", "category C", "category D"]
