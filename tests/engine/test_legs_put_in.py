"""Courses that a chart leaves to be understood are put into the plan; charts changed by hand."""

from dataclasses import replace

import pytest

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.events import Figures
from assistant.engine.plan import Phase, PlanError
from assistant.procedure.model import Altitude, AltitudeKind, Category


def planned(procedure, category=Category.C):
    return compile_plan(procedure, Conditions().for_category(category))


def names(plan):
    return [
        stage.name
        for stage in plan.stages
        if stage.phase in (Phase.INITIAL, Phase.INTERMEDIATE, Phase.FINAL) and "entry" not in stage.name
    ]


@pytest.fixture
def skarrow(procedure):
    return procedure("skarrow-tacan-24")


def test_from_an_arc_straight_to_the_final_the_turn_on_to_it_is_a_course_to_its_fix(skarrow):
    to_fix, arc, _, final = skarrow.legs
    plan = planned(replace(skarrow, legs=(to_fix, arc, final)))
    course = plan.stage("course_2")

    assert names(plan) == ["course_0", "arc_1", "course_2", "final"]
    assert (course.course.course_mag_deg, course.passed_fix, course.target_ft) == (243.0, "BESKA", 1900.0)
    assert (course.phase, course.exits[0].to, course.turns) == (Phase.INTERMEDIATE, "final", True)


def test_an_arc_that_leads_nowhere_cannot_be_planned(skarrow):
    to_fix, arc, course, final = skarrow.legs

    for legs in ((to_fix, arc), (to_fix, arc, arc, course, final)):
        with pytest.raises(PlanError, match="an arc needs a course to turn on to after it"):
            planned(replace(skarrow, legs=legs))


def test_from_a_reversal_straight_to_the_final_the_way_back_is_a_course_to_its_fix(procedure):
    for name, category in (("quorrel-vor-dme-20", Category.B), ("sarnet-tacan-25", Category.C)):
        chart = procedure(name)
        plan = planned(chart, category)
        back = plan.stage("course_1")

        assert names(plan) == ["outbound_0", "procedure_turn_0", "course_1", "final"]
        assert back.passed_fix == chart.final.from_fix
        assert back.course.course_mag_deg == chart.legs[0].inbound_course_mag_deg


def test_a_reversals_fix_on_the_way_is_passed_first_on_its_own_altitude(procedure):
    # Ulvane: back over NIMRO not below 2,200, then to TORBU not below 1,900.
    plan = planned(procedure("ulvane-vor-dme-35"), Category.B)
    courses = [
        (plan.stage(name).passed_fix, plan.stage(name).floors[-1].altitude_ft)
        for name in ("course_1", "course_2")
    ]

    assert courses == [("NIMRO", 2200.0), ("TORBU", 1900.0)]
    assert plan.stage("course_2").turns is False


def test_a_reversals_fix_at_the_courses_end_is_not_passed_twice(procedure):
    ulvane = procedure("ulvane-vor-dme-35")
    reversal, course, final = ulvane.legs
    plan = planned(replace(ulvane, legs=(reversal, replace(course, to_fix="NIMRO"), final)), Category.B)

    assert [name for name in names(plan) if name.startswith("course")] == ["course_1"]
    # One altitude for both, the higher: 2,200 ft.
    assert (plan.stage("course_1").passed_fix, plan.stage("course_1").target_ft) == ("NIMRO", 2200.0)


def test_a_reversals_fix_beyond_the_course_binds_it_to_the_higher_altitude(procedure):
    # Lunmar: the base turn from overhead LMR comes back to HADIN, before LMR; one course, and its turn.
    lunmar = procedure("lunmar-vor-dme-10")
    reversal, course, final = lunmar.legs
    plan = planned(lunmar)
    assert [name for name in names(plan) if name.startswith("course")] == ["course_1"]
    assert plan.stage("course_1").passed_fix == "HADIN"
    assert plan.stage("course_1").cues[0].figures.turn is reversal.turn
    for course_ft, inbound_ft in ((1800.0, 2000.0), (2000.0, 1800.0)):
        changed = replace(
            lunmar,
            legs=(
                replace(
                    reversal, inbound_altitude=Altitude(kind=AltitudeKind.AT_OR_ABOVE, altitude_ft=inbound_ft)
                ),
                replace(course, altitude=Altitude(kind=AltitudeKind.AT_OR_ABOVE, altitude_ft=course_ft)),
                final,
            ),
        )
        assert planned(changed).stage("course_1").target_ft == 2000.0


def test_the_arrival_is_to_the_hold_or_else_to_the_first_fix(skarrow, procedure):
    held, direct = planned(skarrow).stage("arrival"), planned(procedure("teskel-vortac-06")).stage("arrival")

    assert (held.title, held.event, held.target_ft) == ("Arrival to TARNO", "hold TARNO", 4000.0)
    assert held.event_figures == Figures(radial_deg=345.0, dme_nm=17.0)
    assert (direct.title, direct.event) == ("Arrival to KORVA", "initial approach fix KORVA")
    assert held.timeline is None
    # 210 kt indicated at 4,000 ft are 222.8 true (density ratio 0.8881).
    assert held.tas_kt == pytest.approx(210.0 / 0.8881**0.5, abs=0.5)
    overhead = planned(procedure("lunmar-vor-dme-10")).stage("arrival")
    assert overhead.event_figures == Figures()


def test_the_first_call_of_the_first_leg_names_the_fix_only_where_no_hold_comes_before(skarrow, procedure):
    direct = planned(procedure("teskel-vortac-06"))

    assert direct.stage("course_0").cues[0].figures.event == "initial approach fix KORVA"
    assert planned(skarrow).stage("course_0").cues[0].figures.event == "hold fix TARNO"


def test_the_minimum_is_called_so_much_higher_as_the_pilot_asked(skarrow):
    for addon_ft in (0.0, 50.0, 80.0):
        plan = compile_plan(skarrow, Conditions(minimum_addon_ft=addon_ft))

        assert (plan.minimum_ft, plan.decision_ft) == (500.0, 500.0 + addon_ft)


def test_what_cannot_be_planned_names_the_procedure_once(skarrow):
    with pytest.raises(PlanError) as problem:
        planned(replace(skarrow, minima=()), Category.C)

    assert str(problem.value).startswith("ZZSK-TACAN-24 cannot be planned for today: ")
    assert not str(problem.value).endswith(".")
