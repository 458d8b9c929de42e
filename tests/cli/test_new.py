"""`leadradial new`: an interview in the chart's order that ends in a file that checks."""

import io
import re
from pathlib import Path
from typing import ClassVar

import pytest

from assistant.cli.asking import Asking
from assistant.cli.interview import Interview
from assistant.cli.new import write_new
from assistant.procedure.altitude_words import altitude_from_words
from assistant.procedure.load import load_procedure
from assistant.procedure.writing import plain_values, procedure_text

FOLDER = Path(__file__).parents[2] / "procedures"

# What a person would read off the chart of procedures/teskel-vortac-06.yaml, by the item's name; anything
# else is passed over with Enter. Several answers come one after the other.
CHART = {
    "ident": ["lower case", "ZZTK-NEW-06"],
    "title": ["Teskel VORTAC runway 06"],
    "edition": ["Edition 1"],
    "drawn_from": ["Invented"],
    "airport.ident": ["ZZTK"],
    "airport.name": ["Teskel"],
    "airport.elevation_ft": ["", "high", "540"],
    "airport.transition_altitude_ft": ["6000"],
    "navaid.ident": ["TKL"],
    "navaid.name": ["Teskel"],
    "navaid.kind": ["vor", "vortac"],
    "navaid.latitude_deg": ["-20"],
    "navaid.longitude_deg": ["85"],
    "navaid.elevation_ft": ["530"],
    "navaid.declination_deg": ["-15"],
    "navaid.frequency_mhz": ["115.3"],
    "runway.ident": ["06"],
    "runway.course_mag_deg": ["358 degrees", "058"],
    "runway.threshold_elevation_ft": ["512"],
    "runway.threshold_crossing_height_ft": ["50"],
    "runway.threshold_dme_nm": ["1.1"],
    "fixes[0].ident": ["MEDDO"],
    "fixes[0].dme_nm": ["13"],
    "fixes[0].radial_deg": ["238"],
    "fixes[0].roles": ["iaf, if"],
    "fixes[1].ident": ["PALIX"],
    "fixes[1].dme_nm": ["7.5"],
    "fixes[1].radial_deg": ["238"],
    "fixes[1].roles": ["final", "faf"],
    "legs[0].kind": ["straight", "course"],
    "legs[0].to_fix": ["PALIS", "PALIX"],
    "legs[0].from_fix": ["MEDDO"],
    "legs[0].course_mag_deg": ["058"],
    "legs[0].altitude": ["about right", "2500 QFE"],
    "legs[1].kind": ["final"],
    "legs[1].from_fix": ["PALIX"],
    "legs[1].course_mag_deg": ["058"],
    "legs[1].altitude": ["at 2100 QFE"],
    "legs[1].descent_angle_deg": ["3.02"],
    "legs[1].missed_approach_point.dme_nm": ["", "1.8"],
    "legs[1].heights[0].dme_nm": ["5"],
    "legs[1].heights[0].height_ft": ["1300"],
    "minima[0].category": ["C"],
    "minima[0].visibility_m": ["1600"],
    "minima[0].mdh_ft": ["330"],
    "missed_approach.text": ["Climb straight ahead, then direct MEDDO."],
    "missed_approach.legs[0].climb": ["3500"],
    "missed_approach.legs[0].to_fix": ["MEDDO"],
    "notes": ["Aerodrome by day only.", "Beware: sheep"],
}


class Pilot:
    """Answers from the chart, and remembers what was asked, answered and told."""

    def __init__(self) -> None:
        self.left = {name: list(answers) for name, answers in CHART.items()}
        self.asked: list[str] = []
        self.answers: list[str] = []
        self.told: list[str] = []

    def ask(self, question: str) -> str:
        name = question.partition(" (")[0].partition(":")[0].strip()
        answers = self.left.get(name, [])
        self.asked.append(name)
        self.answers.append(answers.pop(0) if answers else "")
        return self.answers[-1]


@pytest.fixture
def interviewed() -> tuple[Pilot, dict[str, object]]:
    pilot = Pilot()
    return pilot, Interview(Asking(pilot.ask, pilot.told.append)).procedure()


def test_what_was_answered_loads_as_a_sound_procedure(interviewed):
    pilot, values = interviewed

    procedure = load_procedure(procedure_text(values), "new.yaml")

    assert not any(pilot.left.values()), "an answer of the chart was never asked for"
    assert procedure.runway.ident == "06"
    assert procedure.final.altitude.height_ft == 2100
    assert procedure.final.missed_approach_point.dme_nm == 1.8
    assert procedure.notes == ("Aerodrome by day only.", "Beware: sheep")
    assert procedure.hold is None


def test_bad_answers_are_told_why_and_asked_again(interviewed):
    pilot, _ = interviewed

    told = "\n".join(pilot.told)
    assert pilot.asked.count("airport.elevation_ft") == 3
    assert "This one is wanted." in told
    assert "'high' cannot be taken" in told
    assert "PALIS is not among the fixes: MEDDO, PALIX" in told
    assert "'about right' is no altitude" in told
    assert "'straight' is not one of course, dme_arc, reversal, final" in told


def test_items_come_in_the_order_in_which_charts_print_them(interviewed):
    pilot, _ = interviewed

    first = {name: pilot.asked.index(name) for name in pilot.asked}
    order = ["title", "airport.ident", "navaid.ident", "runway.ident", "fixes[0].ident", "legs[0].kind"]
    assert [first[name] for name in order] == sorted(first[name] for name in order)
    assert first["legs[1].kind"] < first["minima[0].category"] < first["missed_approach.text"]


def test_piped_answers_write_a_checked_file(interviewed, monkeypatch, tmp_path, capsys):
    pilot, _ = interviewed
    path = tmp_path / "new.yaml"
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(pilot.answers) + "\n"))

    assert write_new(path) == 0
    assert "hangs together" in capsys.readouterr().out
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# yaml-language-server: $schema=procedure.schema.json\n")
    assert "# radials are magnetic and FROM the station" in text


def test_answers_that_end_too_soon_write_nothing(monkeypatch, tmp_path, capsys):
    path = tmp_path / "new.yaml"
    monkeypatch.setattr("sys.stdin", io.StringIO("ZZTK-NEW-06\nTitle\n"))

    assert write_new(path) == 2
    assert "nothing was written" in capsys.readouterr().err
    assert not path.exists()


def test_a_file_that_is_there_is_not_written_over_unless_told(interviewed, monkeypatch, tmp_path, capsys):
    pilot, _ = interviewed
    path = tmp_path / "there.yaml"
    path.write_text("mine", encoding="utf-8")

    assert write_new(path) == 2
    assert path.read_text(encoding="utf-8") == "mine"
    assert "--force to write over it" in capsys.readouterr().err

    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(pilot.answers) + "\n"))
    assert write_new(path, force=True) == 0
    assert load_procedure(path.read_text(encoding="utf-8"), "there").ident == "ZZTK-NEW-06"


def test_what_was_there_stays_where_the_answers_end_too_soon(monkeypatch, tmp_path):
    path = tmp_path / "there.yaml"
    path.write_text("mine", encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("ZZTK-NEW-06\n"))

    assert write_new(path, force=True) == 2
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(("name", "phrase"), [("", "is a folder"), ("none/new.yaml", "no such folder")])
def test_what_cannot_be_written_is_said_before_anything_is_asked(tmp_path, capsys, name, phrase):
    assert write_new(tmp_path / name) == 2

    told = capsys.readouterr()
    assert phrase in told.err
    assert told.out == ""


def test_an_interrupt_leaves_nothing_behind(monkeypatch, tmp_path):
    def interrupted(_: str) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr("builtins.input", interrupted)

    with pytest.raises(KeyboardInterrupt):
        write_new(tmp_path / "new.yaml")
    assert list(tmp_path.iterdir()) == []


def test_a_whole_chart_piped_in_becomes_a_file_that_checks(interviewed, command, tmp_path):
    pilot, _ = interviewed
    path = tmp_path / "new.yaml"

    outcome = command.pipe("\n".join(pilot.answers) + "\n", "new", path)

    assert outcome.status == 0
    assert "hangs together" in outcome.out
    assert [item.name for item in tmp_path.glob("*.yaml")] == ["new.yaml"]
    assert command.run("check", path).status == 0


class Regretful(Pilot):
    """Answers some items wrongly, sees it at the question after, and goes back once."""

    REGRETS: ClassVar = {
        "runway.threshold_elevation_ft": ("runway.course_mag_deg", "100"),
        # Another kind of leg asks other questions: those must not outlive it.
        "legs[0].from_fix": ("legs[0].kind", "dme_arc"),
    }

    def __init__(self) -> None:
        super().__init__()
        self.regrets = dict(self.REGRETS)
        self.right = {item: self.left[item][-1] for item, _ in self.regrets.values()}
        self.left |= {item: [wrong] for item, wrong in self.regrets.values()}

    def ask(self, question: str) -> str:
        item, _ = self.regrets.pop(question.partition(" (")[0], ("", ""))
        if item:
            self.left[item] = [self.right[item]]
            return "back"
        return super().ask(question)


def test_going_back_leaves_no_trace(interviewed):
    _, values = interviewed
    pilot = Regretful()

    assert Interview(Asking(pilot.ask, pilot.told.append)).procedure() == values
    assert pilot.regrets == {}
    assert pilot.asked.count("title") == 1, "what was answered before is not asked again"
    assert pilot.told.count("airport: The aerodrome.") == 1, "nor told again"


def test_there_is_no_way_back_from_the_first_question():
    told: list[str] = []
    answers = iter(["back", "ONE"])

    assert Asking(lambda _: next(answers), told.append).answer("?", str, must=True) == "ONE"
    assert told == ["  This is the first question."]


def test_a_chart_that_does_not_hang_together_is_written_and_told(interviewed, monkeypatch, tmp_path, capsys):
    """A course of 178 does not lead from MEDDO to PALIX: the author's to correct in the file."""
    pilot, _ = interviewed
    path: Path = tmp_path / "new.yaml"
    answers = [answer if answer != "058" else "178" for answer in pilot.answers]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(answers) + "\n"))

    assert write_new(path) == 2
    assert "MEDDO to PALIX is 058.0" in capsys.readouterr().out
    assert path.exists()


class Reader:
    """Answers every question from a procedure's plain values, as someone would who has its chart."""

    KINDS: ClassVar = {"at": "at ", "at_or_above": "", "at_or_below": "max ", "recommended": "about "}

    def __init__(self, values: dict[str, object]) -> None:
        self.values = values
        self.lines: dict[str, int] = {}

    def ask(self, question: str) -> str:
        name = question.partition(" (")[0].partition(":")[0]
        held: object = self.values
        for step in re.findall(r"[a-z_]+|\d+", name):
            if isinstance(held, dict):
                held = held.get(step)
            elif isinstance(held, list):
                held = held[int(step)] if int(step) < len(held) else None
        if name == "notes":
            # One a line, under one name.
            self.lines[name] = self.lines.get(name, -1) + 1
            held = (held or [])[self.lines[name] :][:1]
        return self.words(held)

    def words(self, held: object) -> str:
        if isinstance(held, dict):
            if "flight_level" in held:
                return f"{self.KINDS[held['kind']]}FL{held['flight_level']:g}"
            if "height_ft" in held:
                return f"{self.KINDS[held['kind']]}{held['height_ft']:g} QFE"
            return f"{self.KINDS[held['kind']]}{held['altitude_ft']:g}" if "altitude_ft" in held else "yes"
        if isinstance(held, list):
            return ", ".join(str(item) for item in held)
        if isinstance(held, bool):
            return "yes" if held else "no"
        return "" if held is None else str(held)


@pytest.mark.parametrize("file", sorted(FOLDER.glob("*.yaml")), ids=lambda file: file.stem)
def test_any_demonstration_chart_can_be_answered_into_the_same_procedure(file):
    """Between them they hold every leg kind, both datums, flight levels, restricted holds, areas."""
    procedure = load_procedure(file.read_text(encoding="utf-8"), file.name)
    reader = Reader(plain_values(procedure))

    def tell(line: str) -> None:
        assert not line.startswith("  "), f"an answer was refused: {line}"

    values = Interview(Asking(reader.ask, tell)).procedure()

    assert load_procedure(procedure_text(values), "answered") == procedure


@pytest.mark.parametrize(
    ("words", "keys"),
    [
        ("3000", {"kind": "at_or_above", "altitude_ft": 3000}),
        ("at 2100 QFE", {"kind": "at", "height_ft": 2100}),
        ("FL80", {"kind": "at_or_above", "flight_level": 80}),
        ("max fl 240", {"kind": "at_or_below", "flight_level": 240}),
        ("about 2500 ft QNH", {"kind": "recommended", "altitude_ft": 2500}),
    ],
)
def test_an_altitude_is_typed_as_people_write_it(words, keys):
    assert altitude_from_words(words) == keys


@pytest.mark.parametrize("words", ["", "high", "FL8", "3000 4000", "over 3000", "3000 metres", "-300"])
def test_what_is_no_altitude_is_refused(words):
    with pytest.raises(ValueError, match="is no altitude"):
        altitude_from_words(words)
