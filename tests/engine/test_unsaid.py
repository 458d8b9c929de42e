"""A descent called while the pilot speaks, and not said yet, when the report shows the fix still ahead."""

import pytest
from placed import NOW_S, placed, report

from assistant.engine.core import step
from assistant.engine.events import Callout, CalloutKind, CueDropped, Tick

WAITING = frozenset({"final descent"})


@pytest.fixture
def called(still):
    """Established on the final from BESKA (6 DME), level at 1,900 ft, the descent called on reckoning."""
    state = placed(
        still, "final", 6.1, progress_s=-2.0, altitude_ft=1900.0, established=True, target_ft=1900.0
    )
    state, outputs = step(state, Tick(t_s=NOW_S + 12.0))
    assert [one.cue for one in outputs if isinstance(one, Callout)] == ["final descent"]
    return state


def heard(called, dme_nm, unsaid):
    """The state after a range read a second later, what was dropped, and the callouts."""
    read = report(NOW_S + 13.0, dme_nm=dme_nm, indicated_ft=1900.0)
    state, outputs = step(called, read, unsaid)
    return state, [one.cue for one in outputs if isinstance(one, CueDropped)], outputs


def test_one_that_would_be_too_soon_is_taken_back_and_called_again_past_the_fix(called):
    # Two tenths before the fix, where reckoning was four past it.
    state, dropped, _ = heard(called, 6.2, WAITING)

    assert dropped == ["final descent"]
    assert state.target_ft == 1900.0
    assert state.altitude.descent_fpm == 0.0

    _, outputs = step(state, Tick(t_s=NOW_S + 60.0))
    (descent,) = [one for one in outputs if getattr(one, "kind", None) is CalloutKind.FINAL_DESCENT]
    # 0.2 NM and the 0.15 that a range is misread by, at 140 kt indicated: 8 s and more; less 4 s of words.
    assert descent.t_s > NOW_S + 13.0 + 4.0


def test_one_whose_fix_is_surely_passed_is_said(called):
    state, dropped, _ = heard(called, 5.6, WAITING)

    assert dropped == []
    assert state.target_ft == called.target_ft


def test_one_that_was_said_is_not_taken_back(called):
    state, dropped, _ = heard(called, 6.2, frozenset())

    assert dropped == []
    assert state.target_ft == called.target_ft


def test_another_callout_that_waits_changes_nothing(called):
    assert heard(called, 6.2, frozenset({"not established"}))[1] == []


def test_one_of_a_leg_that_is_taken_back_is_not_said_either(still, called):
    before = placed(still, "course_2", 6.7, altitude_ft=1900.0, established=True, target_ft=1900.0)
    state = called.but(predicted=True, confirmed=before, entered_s=NOW_S + 5.0, anchor_progress_s=-6.0)

    state, dropped, outputs = heard(state, 6.4, WAITING)

    assert state.stage_name == "course_2"
    assert "final descent" in dropped
    assert CalloutKind.NOT_YET in [getattr(one, "kind", None) for one in outputs]
    assert state.target_ft == 1900.0
    assert state.altitude.descent_fpm == 0.0


def test_of_a_leg_that_is_taken_back_its_turn_is_not_said_either(still):
    # Inbound to the arc's turn, called on reckoning; a range then shows it more than six seconds away.
    before = placed(still, "course_0", 14.5, altitude_ft=3500.0, established=True)
    state = placed(
        still, "arc_1", None, progress_s=-8.0, altitude_ft=3500.0, predicted=True, confirmed=before,
        entered_s=NOW_S - 2.0, observed_s=NOW_S - 20.0,
    )  # fmt: skip

    _, outputs = step(state, report(NOW_S, radial_deg=345.0, dme_nm=14.5), frozenset({"turn"}))

    assert "turn" in [one.cue for one in outputs if isinstance(one, CueDropped)]
    assert CalloutKind.NOT_YET in [getattr(one, "kind", None) for one in outputs]


@pytest.mark.parametrize(
    ("dme_nm", "unsaid", "recalled"), [(3.6, True, True), (3.0, True, False), (3.6, False, False)]
)
def test_a_lower_floor_that_waits_is_called_again_once_its_step_down_is_passed(
    still, dme_nm, unsaid, recalled
):
    # On final the floor of the 3.5 DME step-down was let go on reckoning, and waits to be said.
    state = placed(
        still, "final", 3.2, altitude_ft=1000.0, established=True, fired=frozenset({"step 3.5 DME"})
    )
    waiting = frozenset({"step 3.5 DME"}) if unsaid else frozenset()

    state, outputs = step(state, report(NOW_S + 2.0, dme_nm=dme_nm, indicated_ft=1000.0), waiting)

    assert ("step 3.5 DME" in [one.cue for one in outputs if isinstance(one, CueDropped)]) is recalled
    assert ("step 3.5 DME" not in state.fired) is recalled
