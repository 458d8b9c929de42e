"""Settings from flags and files: what each form means, what lies over what, what is refused with a remedy."""

import contextlib
import shlex

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.dialogue import Prompting
from assistant.engine.conditions import CATEGORY_SPEEDS, Conditions, WindAtLevel
from assistant.preferences.files import PreferencesError, settings_from_yaml, yaml_from_settings
from assistant.preferences.settings import Settings, settings_from_flags
from assistant.preferences.values import READERS, SettingError, setting_hpa, wind_at_level
from assistant.procedure.model import Category, Datum


class Field:
    """As much of a procedure as conditions need: the elevation that QFE is measured from."""

    qfe_elevation_ft = 1000.0


@pytest.mark.parametrize(
    ("text", "wind"),
    [
        ("250/15", WindAtLevel(wind_from_mag_deg=250.0, wind_kt=15.0)),
        ("250/15kt", WindAtLevel(wind_from_mag_deg=250.0, wind_kt=15.0)),
        ("5000:260/25", WindAtLevel(wind_from_mag_deg=260.0, wind_kt=25.0, altitude_ft=5000.0)),
        ("000/10", WindAtLevel(wind_from_mag_deg=360.0, wind_kt=10.0)),
        ("calm", WindAtLevel(wind_from_mag_deg=360.0, wind_kt=0.0)),
    ],
)
def test_a_wind_is_direction_and_knots_at_a_level(text, wind):
    assert wind_at_level(text) == wind


@pytest.mark.parametrize(
    "text", ["250", "250/", "/15", "361/15", "250/999", "250/-5", "west/15", "", "250/15/3"]
)
def test_what_is_no_wind_is_refused_with_the_form_of_one(text):
    with pytest.raises(SettingError, match="250/15"):
        wind_at_level(text)


@pytest.mark.parametrize(
    ("text", "hpa"),
    [
        ("996", 996.0),
        ("1013.25", 1013.25),
        # 1 inHg = 33.8639 hPa (ICAO Annex 5): 29.42 x 33.8639 = 996.28; 29.92 is the standard 1013.2.
        ("29.42", 996.28),
        ("2992", 1013.21),
    ],
)
def test_an_altimeter_setting_is_hectopascals_or_inches_by_its_size(text, hpa):
    assert setting_hpa(text) == pytest.approx(hpa, abs=0.01)


@pytest.mark.parametrize("text", ["99", "10000", "nine", "", "0x3e4", "inf", "nan", "1e3"])
def test_a_setting_that_no_altimeter_has_is_refused(text):
    with pytest.raises(SettingError):
        setting_hpa(text)


def test_flags_become_conditions():
    settings = settings_from_flags(
        shlex.split("""
            --wind 5000:260/25 --wind=250/15 --qnh 996 --temperature -5 --category d --speed final=150
            --bank 20 --lights-out --cold --minimum-addon 0 --prompting silent
        """)
    )
    conditions = settings.conditions(Field())

    assert conditions.wind == (
        WindAtLevel(wind_from_mag_deg=250.0, wind_kt=15.0),
        WindAtLevel(wind_from_mag_deg=260.0, wind_kt=25.0, altitude_ft=5000.0),
    )
    assert (conditions.qnh_hpa, conditions.temperature_c, conditions.datum) == (996.0, -5.0, Datum.QNH)
    assert conditions.category is Category.D
    assert conditions.speeds.final_kt == 150.0
    assert conditions.speeds.hold_kt == CATEGORY_SPEEDS[Category.D].hold_kt
    assert (conditions.bank_deg, conditions.minimum_addon_ft) == (20.0, 0.0)
    assert conditions.lights_out
    assert conditions.cold_corrections
    assert settings.prompting is Prompting.SILENT


def test_nothing_given_is_the_standard_day():
    assert Settings().conditions(Field()) == Conditions()


def test_a_qfe_is_flown_on_qfe_and_gives_the_qnh_of_the_field():
    # Standard atmosphere: 1000 ft is 977.17 hPa (ICAO Doc 7488 table), so that QFE there means QNH 1013.25.
    conditions = settings_from_flags(["--qfe", "977.17"]).conditions(Field())

    assert conditions.datum is Datum.QFE
    assert conditions.qnh_hpa == pytest.approx(1013.25, abs=0.05)


def test_a_qfe_with_datum_qnh_is_flown_on_qnh():
    assert settings_from_flags(["--qfe", "977", "--datum", "qnh"]).conditions(Field()).datum is Datum.QNH


def test_qnh_and_qfe_together_are_refused():
    with pytest.raises(SettingError, match="both"):
        settings_from_flags(["--qfe", "977", "--qnh", "996"]).conditions(Field())


@pytest.mark.parametrize(
    ("flags", "phrase"),
    [
        (["--wind", "250"], "--wind: '250' is no wind"),
        (["--speed", "cruise=200"], "--speed: 'cruise=200' names no phase"),
        (["--speed", "final"], "--speed: 'final' names no phase"),
        (["--category", "F"], "--category: 'F' is no approach category; write A, B, C, D or E"),
        (["--datum", "standard"], "--datum: 'standard' is no datum; write qnh or qfe"),
        (["--bank", "90"], "--bank: 90 is not between"),
        (["--qnh"], "--qnh: '' is no number"),
        (["--squawk", "7000"], "'--squawk' is no condition of the day"),
        (["250/15"], "'250/15' is no condition of the day"),
    ],
)
def test_a_bad_flag_is_told_in_one_sentence_with_its_name(flags, phrase):
    with pytest.raises(SettingError) as refused:
        settings_from_flags(flags)

    assert str(refused.value).startswith(phrase)
    assert "\n" not in str(refused.value)


def test_upper_settings_count_and_lower_ones_fill_the_gaps():
    upper = Settings(bank=20.0, wind=(WindAtLevel(wind_from_mag_deg=250.0, wind_kt=15.0),), cold=False)
    lower = Settings(bank=30.0, category=Category.D, cold=True)

    merged = upper.over(lower)

    assert (merged.bank, merged.category, merged.cold) == (20.0, Category.D, False)
    assert merged.wind == upper.wind


def test_one_speed_over_others_leaves_the_others():
    merged = Settings(speed=(("final", 150.0),)).over(Settings(speed=(("hold", 200.0), ("final", 130.0))))

    speeds = merged.conditions(Field()).speeds
    assert (speeds.final_kt, speeds.hold_kt) == (150.0, 200.0)


def test_speeds_remembered_for_one_category_are_not_flown_in_another():
    """A pilot who remembers category C speeds and today flies a D must get D's."""
    merged = Settings(category=Category.D).over(Settings(category=Category.C, speed=(("final", 120.0),)))

    assert merged.conditions(Field()).speeds == CATEGORY_SPEEDS[Category.D]


def test_todays_qfe_replaces_a_qnh_below_it():
    merged = Settings(qfe=980.0).over(Settings(qnh=996.0))

    assert (merged.qnh, merged.qfe) == (None, 980.0)


def test_a_file_has_the_same_settings_as_the_flags():
    text = """
wind: [250/15, 5000:260/25]
qnh: 29.42
temperature: -5
datum: qfe
category: D
speed: {final: 150, hold: 210}
bank: 20
minimum_addon: 0
lights_out: true
cold: false
prompting: actions
"""
    flags = settings_from_flags(
        shlex.split("""
            --wind 250/15 --wind 5000:260/25 --qnh 29.42 --temperature -5 --datum qfe --category D
            --speed final=150 --speed hold=210 --bank 20 --minimum-addon 0 --lights-out --cold=false
            --prompting actions
        """)
    )

    assert settings_from_yaml(text, "day.yaml") == flags


def test_a_wind_at_one_level_needs_no_list():
    assert settings_from_yaml("wind: 250/15", "day.yaml").wind == (
        WindAtLevel(wind_from_mag_deg=250.0, wind_kt=15.0),
    )


@pytest.mark.parametrize("text", ["", "\n\n"])
def test_an_empty_file_sets_nothing(text):
    assert settings_from_yaml(text, "day.yaml") == Settings()


@pytest.mark.parametrize(
    ("line", "begins", "remedy"),
    [
        ("qhn: 996", "day.yaml:2: qhn: no such setting", "write qnh"),
        ("lights-out: true", "day.yaml:2: lights-out: no such setting", "write lights_out"),
        ("wind: [250/15, west]", "day.yaml:2: wind[1]: 'west' is no wind", "250/15"),
        ("speed: {final: fast}", "day.yaml:2: speed.final: 'fast' is no number", "digits"),
        ("speed: {cruise: 200}", "day.yaml:2: speed.cruise: 'cruise=200' names no phase", "final=140"),
        ("category: F", "day.yaml:2: category: 'F' is no approach category", "A, B, C, D or E"),
        ("lights_out: yes", "day.yaml:2: lights_out: 'yes' is no switch", "true or false"),
        ("temperature: [1, 2]", "day.yaml:2: temperature: '[1, 2]' is no number", "digits"),
        ("qnh:", "day.yaml:2: qnh: '' is no number", "digits"),
        ("bank: 20\nbank: 25", "day.yaml:3: bank: the key 'bank' is given twice", "keep one"),
        ("wind: [250/15", "day.yaml:", "brackets"),
        ("- 250/15", "day.yaml:", "colons"),
    ],
)
def test_a_bad_file_is_told_with_line_field_and_remedy(line, begins, remedy):
    with pytest.raises(PreferencesError) as refused:
        settings_from_yaml(f"prompting: full\n{line}\n", "day.yaml")

    assert str(refused.value).startswith(begins)
    assert remedy in str(refused.value).partition("Remedy:")[2]


def test_all_findings_of_a_file_come_at_once():
    with pytest.raises(PreferencesError) as refused:
        settings_from_yaml("qhn: 996\nbank: 90\nwind: [a, b]\n", "day.yaml")

    assert [finding.line for finding in refused.value.findings] == [1, 2, 3, 3]


def test_a_file_of_something_else_is_refused():
    with pytest.raises(PreferencesError, match=r"day\.yaml:1: no settings in it"):
        settings_from_yaml("just words\n", "day.yaml")


WINDS = st.builds(
    WindAtLevel,
    wind_from_mag_deg=st.integers(1, 360).map(float),
    wind_kt=st.integers(0, 150).map(float),
    altitude_ft=st.integers(0, 40_000).map(float),
)
SETTINGS = st.builds(
    Settings,
    wind=st.lists(WINDS, max_size=3).map(tuple),
    qnh=st.none() | st.integers(900, 1050).map(float),
    temperature=st.none() | st.integers(-40, 40).map(float),
    datum=st.none() | st.sampled_from([Datum.QNH, Datum.QFE]),
    category=st.none() | st.sampled_from(list(Category)),
    speed=st.dictionaries(st.sampled_from(["hold", "final"]), st.integers(80, 250).map(float)).map(
        lambda d: tuple(d.items())
    ),
    bank=st.none() | st.integers(10, 30).map(float),
    lights_out=st.none() | st.booleans(),
    prompting=st.none() | st.sampled_from(list(Prompting)),
)


@given(SETTINGS)
def test_settings_survive_being_written_and_read(settings):
    assert settings_from_yaml(yaml_from_settings(settings), "pilot.yaml") == settings


@given(st.sampled_from(sorted(READERS)), st.text(max_size=20))
def test_no_text_makes_a_setting_raise_anything_but_its_refusal(name, text):
    with contextlib.suppress(SettingError):
        READERS[name](text)


def test_what_is_the_days_is_not_remembered_as_the_pilots():
    settings = Settings(
        wind=(WindAtLevel(wind_from_mag_deg=250.0, wind_kt=15.0),),
        qnh=996.0,
        temperature=-5.0,
        lights_out=True,
        cold=True,
    )

    assert settings.pilots_own() == Settings()
    assert Settings(bank=20.0, category=Category.D).pilots_own() == Settings(bank=20.0, category=Category.D)
