"""
Where a reading lies that could mean two places, or none; legs drawn by hand.

The leg runs at a 32nd of a mile a second (112.5 kt); ranges are those on the ground.
"""

from dataclasses import replace
from math import sqrt

import pytest
from on_paper import binary, drawn, in_plan, stage
from placed import NOW_S, placed, report

from assistant.engine.placing import progress_from
from assistant.engine.plan import CourseFacts, Phase
from assistant.nav.geometry import PlanePoint, polar_from_plane

NM_S = 1.0 / 32.0
STATION = PlanePoint(0.0, 0.0)


@pytest.fixture
def on(plan):
    """A flight at a progress of a leg drawn by hand, whose course is south over the station."""
    skarrow = plan("skarrow-tacan-24")

    def at(timeline, progress_s, *, turns=False, phase=Phase.INTERMEDIATE, **changes):
        drawn_stage = stage(
            name="course_2",
            phase=phase,
            timeline=timeline,
            tas_kt=112.5,
            target_ft=80.0,
            turns=turns,
            course=CourseFacts(course_mag_deg=180.0, anchor=STATION),
        )
        changed = in_plan(skarrow, drawn_stage)
        return placed(
            changed,
            "course_2",
            changes.pop("dme_nm", None),
            progress_s=progress_s,
            altitude_ft=80.0,
            **changes,
        )

    return at


def found_s(state, **read):
    found = progress_from(state, report(**read), NOW_S)
    return None if found is None else found[0]


# -- read before the turn was called -------------------------------------------------------------------------


@pytest.mark.parametrize(("entered_ago_s", "tells"), [(-3.0, False), (0.0, True), (3.0, True)])
def test_what_was_read_before_a_turn_was_called_tells_nothing_of_it(on, entered_ago_s, tells):
    state = on(binary(turn_end_s=64.0), -8.0, turns=True, entered_s=NOW_S - entered_ago_s)

    # Eight seconds farther on than reckoned: on the leg before, that is nearer to the turn, not in it.
    assert (found_s(state, dme_nm=20.0, radial_deg=360.0) is not None) is tells


def test_on_a_leg_without_a_turn_it_tells_all_the_same(on):
    state = on(binary(), -8.0, entered_s=NOW_S + 3.0)

    assert found_s(state, dme_nm=20.0, radial_deg=360.0) == pytest.approx(0.0)


# -- about the station ---------------------------------------------------------------------------------------

TO_STATION = {"length_s": 20.0 / NM_S}


@pytest.mark.parametrize(
    ("ago_s", "before_nm", "there_s"),
    [
        # Three miles a minute ago, 1.5 now: over the station and as far again are 4.5, and 1.875 were flown.
        (60.0, 3.0, 18.5 / NM_S),
        # Two minutes ago it may have been passed since: 3.75 flown, and 1.4 for the height over it.
        (120.0, 3.0, None),
        (120.0, 4.0, 18.5 / NM_S),
    ],
)
def test_a_range_about_the_station_is_before_it_where_nobody_can_have_passed_it_since(
    on, ago_s, before_nm, there_s
):
    # Reckoning has come to a mile before the station.
    state = on(binary(**TO_STATION), 19.0 / NM_S, dme_nm=before_nm, dme_s=NOW_S - ago_s)

    found = found_s(state, dme_nm=1.5)

    assert found == (None if there_s is None else pytest.approx(there_s, abs=1.0))


def test_the_report_just_taken_in_is_held_against_the_range_before_it(on):
    state = on(binary(**TO_STATION), 19.0 / NM_S, dme_nm=1.5, dme_s=NOW_S, range_before=(3.0, NOW_S - 60.0))

    assert found_s(state, dme_nm=1.5) == pytest.approx(18.5 / NM_S, abs=1.0)
    assert found_s(state.but(range_before=None), dme_nm=1.5) is None


# -- established, farther out than planned -------------------------------------------------------------------


@pytest.fixture
def turned_in():
    """Out from 4 to 5 miles, back on to the course at 3 (60 s), and along it to the station (156 s)."""
    back = [(0.0, 3.0 - 0.3125 * number) for number in range(1, 10)]
    return drawn([(1.0, 4.0), (1.0, 5.0), (0.5, 5.0), (0.0, 4.5), (0.0, 4.0), (0.0, 3.5), (0.0, 3.0), *back],
                 turn_end_s=60.0)  # fmt: skip


def test_who_is_established_farther_out_than_the_turn_was_to_end_is_on_the_course_run_on(on, turned_in):
    state = on(turned_in, 40.0, turns=True, established=True)

    # 4.2 DME: 1.2 miles before the place where the turn ends on paper, from where on 0.3125 take ten seconds.
    assert found_s(state, dme_nm=4.2) == pytest.approx(60.0 - 1.2 / 0.3125 * 10.0)


def test_who_is_established_nearer_is_where_the_range_lies(on, turned_in):
    state = on(turned_in, 70.0, turns=True, established=True)

    assert found_s(state, dme_nm=2.375) == pytest.approx(80.0)


def test_who_is_not_established_may_be_in_the_turn_still(on, turned_in):
    state = on(turned_in, 40.0, turns=True)

    # Coming in from 4.5 miles at 30 s to 4 at 40 s, on paper.
    assert found_s(state, dme_nm=4.2) == pytest.approx(36.0)


def test_who_is_established_has_flown_the_turn_whatever_was_reckoned(on):
    state = on(binary(turn_end_s=300.0), 250.0, turns=True)

    # Twenty seconds back in what is reckoned to be a turn.
    assert found_s(state, dme_nm=20.0 - 230.0 * NM_S) is None
    assert found_s(state.but(established=True), dme_nm=20.0 - 230.0 * NM_S) == pytest.approx(230.0)


def test_who_is_established_is_looked_for_past_the_turn_alone(on):
    """In from five miles to the station's near side at two, round, and out again: 3.5 DME is read twice."""
    out = [(0.0, 2.0 + 0.3125 * number) for number in range(1, 11)]
    there_and_back = drawn([*((1.0, 5.0 - 0.3125 * number) for number in range(10)), *out], turn_end_s=100.0)
    state = on(there_and_back, 30.0, turns=True)

    assert found_s(state, dme_nm=3.5) < 60.0
    # 1.5 miles out from two: 1.5 / 0.3125 pieces after the one that ends at 100 s.
    assert found_s(state.but(established=True), dme_nm=3.5) == pytest.approx(90.0 + 48.0)


# -- beside a cut --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("beside_nm", [0.0, 0.5, -0.5])
def test_beside_a_cut_progress_is_counted_along_the_course(on, beside_nm):
    """At 45 degrees from the north-east to the course, so far off that it ends abeam the fix."""
    step_nm = 0.3125 / sqrt(2.0)
    cut = drawn([(4.0 - step_nm * number, 10.0 - step_nm * number) for number in range(13)])
    state = on(cut, 50.0)
    # As far along the course as the cut is after 60 s, and half a mile to either side of it.
    north_nm = cut.at(60.0).point.north_nm
    polar = polar_from_plane(PlanePoint(cut.at(60.0).point.east_nm + beside_nm, north_nm))

    assert found_s(state, radial_deg=polar.radial_deg, dme_nm=polar.ground_nm) == pytest.approx(
        60.0, abs=0.05
    )


def test_beside_the_course_itself_nothing_is_changed(on):
    state = on(binary(), 300.0)
    polar = polar_from_plane(PlanePoint(0.5, 20.0 - 310.0 * NM_S))

    found = progress_from(state, report(radial_deg=polar.radial_deg, dme_nm=polar.ground_nm), NOW_S)

    assert found == (pytest.approx(310.0, abs=0.1), pytest.approx(0.5, abs=0.01))


def test_in_its_turn_a_leg_has_no_cut(on):
    step_nm = 0.3125 / sqrt(2.0)
    points = [(4.0 - step_nm * number, 10.0 - step_nm * number) for number in range(13)]
    state = on(replace(drawn(points), turn_end_s=120.0), 50.0, turns=True)
    there = PlanePoint(drawn(points).at(60.0).point.east_nm + 0.5, drawn(points).at(60.0).point.north_nm)
    polar = polar_from_plane(there)

    # Half a mile beside it to the east the nearest place is 0.354 NM earlier: 11.3 s.
    found = found_s(state, radial_deg=polar.radial_deg, dme_nm=polar.ground_nm)
    assert found == pytest.approx(60.0 - 0.5 / sqrt(2.0) / NM_S, abs=1.5)
