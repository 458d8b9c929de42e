"""
Every error that a user can bring about from the command line, brought about and read.

Each is what it must be: one line on standard error, nothing on standard output, exit status 2, no traceback;
it names what was given (the file, and in it the line and the field) and how to put it right. What the table
claims of each sentence is written by hand beside it.
"""

import json
import wave

import pytest
from driver import ROOT

CHART = ROOT / "procedures" / "skarrow-tacan-24.yaml"
LOG = ROOT / "tests" / "debrief" / "logs" / "version-1.jsonl"


def _header(**changed):
    """The first line of a log with some of its fields changed."""
    fields = json.loads(LOG.read_text().splitlines()[0])
    return json.dumps(fields | changed) + "\n"


def _chart(old, new):
    text = CHART.read_text()
    assert old in text
    return text.replace(old, new)


def _line_of(text, words):
    return next(number for number, line in enumerate(text.splitlines(), start=1) if words in line)


def _recording(**changed):
    """A line of a list of recordings with some of its fields changed."""
    texts = dict.fromkeys(("file", "words", "kind", "voice", "set", "made", "licence"), "x")
    return json.dumps(texts | {"meaning": []} | changed) + "\n"


FILES = {
    "chart.yaml": CHART.read_text(),
    "empty.yaml": "",
    "not.yaml": "ident: [ZZSK\n",
    "alias.yaml": "ident: &a ZZSK\ntitle: *a\n",
    "tagged.yaml": "ident: !!python/object/apply:os.system ['true']\n",
    "control.yaml": "ident: ZZSK\ntitle: a\x01b\n",
    "twice.yaml": "ident: ZZSK\nident: ZZSL\n",
    "unknown.yaml": _chart("ident: ZZSK-TACAN-24", "ident: ZZSK-TACAN-24\ncolour: blue"),
    "lead.yaml": _chart("lead_radial_deg: 053", "lead_radial_deg: 065"),
    "channel.yaml": _chart("channel: 57X", "channel: 570X"),
    "long.yaml": "#" * 300_000,
    "list.yaml": "- 1\n",
    "day.yaml": "qnh: 996\ncolour: blue\n",
    "bad-day.yaml": "qnh: 996\ntemperature: hot\n",
    "list-day.yaml": "- qnh\n",
    "flight.txt": "00:02 PILOT next\nhello\n",
    "flown.txt": "00:02 PILOT next\n00:09 END\n",
    "setup.txt": "setup: --qnh 12\n00:02 PILOT next\n00:09 END\n",
    "empty.jsonl": "",
    "torn.jsonl": _header()[:40],
    "no-log.jsonl": "once upon a time\n",
    "words.jsonl": "once upon a time",
    "other.jsonl": '{"a": 1}\n',
    "no-version.jsonl": _header(version=None),
    "newer.jsonl": _header(version=999),
    "zero.jsonl": _header(version=0),
    "altered.jsonl": _header(conditions=7),
    "gale.jsonl": _header(
        conditions={"wind": [{"wind_from_mag_deg": 250.0, "wind_kt": 250.0, "altitude_ft": 0.0}]}
    ),
    "altered-chart.jsonl": _header(procedure_text="ident: ZZSK\n"),
    "no-time.jsonl": _header(started_utc="yesterday"),
    "there.csv": "kept\n",
    "noise.wav": "no sound\n",
    "odd-list/manifest.jsonl": '{"file": 7}\n',
    "kinds-list/manifest.jsonl": _recording() + _recording(file=7),
    "events-list/manifest.jsonl": _recording(meaning=["turn"]),
    "outside-list/manifest.jsonl": _recording(file="../noise.wav"),
    "deep-list/manifest.jsonl": "[" * 100_000,
    "empty-model/readme": "",
    "odd-model/config.json": "{",
    "odd-model/model.bin": "",
    "odd-model/tokenizer.json": "",
    "list.json": "{}",
}

CASES = [
    # command line; what the sentence must say, in this order
    # -- what is no file, or no text
    ("check missing.yaml", "missing.yaml:1: cannot be read (No such file", "check the name"),
    ("brief missing.yaml", "missing.yaml: No such file or directory"),
    ("fly missing.yaml --text", "missing.yaml: No such file or directory"),
    ("simulate missing.yaml", "missing.yaml: No such file or directory"),
    ("rehearse missing.yaml --text", "missing.yaml: No such file or directory"),
    ("replay missing.txt", "missing.txt: No such file or directory"),
    ("debrief missing.jsonl", "missing.jsonl: No such file or directory"),
    ("say --plan missing.yaml", "missing.yaml: No such file or directory"),
    ("brief .", ".: not a file", "Give the path of a file"),
    ("debrief .", ".: not a file", "Give the path of a file"),
    ("brief bytes.yaml", "bytes.yaml: not text", "byte 7", "UTF-8"),
    ("debrief huge.jsonl", "huge.jsonl: too large", "another file"),
    # -- procedure files: file, line, field, remedy
    ("brief empty.yaml", "empty.yaml:1:", "empty", "begin with ident, title and edition"),
    ("brief not.yaml", "not.yaml:2:", "not YAML", "Remedy"),
    ("brief alias.yaml", "alias.yaml:", "alias", "write the values out"),
    ("brief tagged.yaml", "tagged.yaml:1: a tag (!) is not read here", "write the values out"),
    ("brief control.yaml", "control.yaml:2:", "may not hold", "plain UTF-8"),
    ("brief twice.yaml", "twice.yaml:2:", "ident", "Remedy"),
    ("brief long.yaml", "long.yaml:1:", "256 KiB", "one procedure"),
    ("brief unknown.yaml", f"unknown.yaml:{_line_of(FILES['unknown.yaml'], 'colour')}: colour", "Remedy"),
    (
        "brief channel.yaml",
        f"channel.yaml:{_line_of(FILES['channel.yaml'], '570X')}: navaid.channel",
        "is no channel",
        "Remedy",
        "Remedy",
    ),
    (
        "brief lead.yaml",
        f"lead.yaml:{_line_of(FILES['lead.yaml'], 'lead_radial_deg: 065')}: legs[1].lead_radial_deg",
        "Remedy",
    ),
    ("fly lead.yaml --text", "lead.yaml:", "legs[1].lead_radial_deg", "Remedy"),
    ("simulate lead.yaml", "lead.yaml:", "legs[1].lead_radial_deg", "Remedy"),
    ("say --plan lead.yaml", "lead.yaml:", "legs[1].lead_radial_deg", "Remedy"),
    # -- the day's conditions
    ("brief chart.yaml --wind strong", "--wind: 'strong' is no wind", "250/15"),
    ("brief chart.yaml --wind 400/15", "--wind: '400/15'", "360 degrees", "250/15"),
    ("brief chart.yaml --wind 250/300", "--wind: '250/300'", "300 kt is more wind than there is", "250/15"),
    ("brief chart.yaml --qnh 12", "--qnh: 12 is no altimeter setting", "996", "29.42"),
    ("brief chart.yaml --qnh high", "--qnh: 'high' is no number", "write digits"),
    ("brief chart.yaml --qnh 996 --qfe 987", "qnh and qfe are both given", "give the one"),
    ("brief chart.yaml --temperature 99", "--temperature: 99 is not between", "write for example"),
    ("brief chart.yaml --datum std", "--datum: 'std' is no", "qnh or qfe"),
    ("brief chart.yaml --category F", "--category: 'F' is no", "A, B, C, D or E"),
    ("brief chart.yaml --speed taxi=20", "--speed: 'taxi=20' names no phase", "final=140"),
    ("brief chart.yaml --speed final=900", "--speed: 900 is not between 40 and 400 knots", "140"),
    ("brief chart.yaml --bank 80", "--bank: 80 is not between", "write for example"),
    ("brief chart.yaml --minimum-addon -5", "--minimum-addon: -5 is not between", "write for example"),
    ("fly chart.yaml --text --prompting loud", "--prompting: 'loud' is no", "full, normal, actions"),
    ("brief chart.yaml --conditions missing.yaml", "missing.yaml: No such file or directory"),
    ("brief chart.yaml --conditions day.yaml", "day.yaml:2: colour", "Remedy"),
    ("brief chart.yaml --conditions bad-day.yaml", "bad-day.yaml:2: temperature", "hot", "Remedy"),
    ("brief chart.yaml --conditions list-day.yaml", "list-day.yaml:1", "no settings in it", "qnh: 996"),
    # -- a gale that nothing of 210 kt gets through
    ("brief chart.yaml --wind 250/250", "ZZSK-TACAN-24 cannot be planned for today", "crosswind"),
    ("fly chart.yaml --text --wind 250/250", "ZZSK-TACAN-24 cannot be planned for today", "crosswind"),
    ("simulate chart.yaml --wind 250/250", "ZZSK-TACAN-24 cannot be planned for today", "crosswind"),
    ("debrief gale.jsonl", "gale.jsonl: cannot be reckoned again", "cannot be planned for today", "wind"),
    # -- arguments that do not go together
    ("check chart.yaml --qnh 996", "The day's conditions need --plan"),
    ("replay chart.yaml flown.txt flown.txt", "Give a procedure and a transcript"),
    ("say", "Nothing to say", "give some words"),
    # -- pages
    ("brief chart.yaml --page plan.doc", "plan.doc: cannot write a page with '.doc'", ".html, .pdf or .png"),
    ("brief chart.yaml --page no/plan.pdf", "no/plan.pdf: cannot be written", "choose another place"),
    ("debrief flown.jsonl --page out.doc", "out.doc: cannot write a page with '.doc'", ".pdf or .png"),
    ("debrief flown.jsonl --page no/out.pdf", "no/out.pdf: cannot be written", "choose another place"),
    ("simulate chart.yaml --flights 1 --cores 1 --page out.doc", "out.doc: give a name that ends in .p"),
    ("simulate chart.yaml --flights 1 --cores 1 --page no/out.png", "no/out.png: ", "Choose another path"),
    (
        "simulate chart.yaml --flights 1 --cores 1 --log there.csv",
        "there.csv: exists already",
        "Choose another",
    ),
    ("simulate chart.yaml --model glider", "--model: 'glider' is none; choose point or jsbsim"),
    # -- flights and their logs
    ("fly", "No procedure given", "name its file", "--resume"),
    ("fly chart.yaml --text --log there.csv", "there.csv: exists already", "Choose another path"),
    ("fly --text --resume flown.jsonl --qnh 996", "--resume goes on with the log's own", "leave out"),
    ("fly unknown.yaml --text --resume flown.jsonl", "unknown.yaml: not as it was", "Leave the file out"),
    ("fly --text --resume no-time.jsonl", "no-time.jsonl:1: started_utc: 'yesterday' is no time", "altered"),
    ("replay flight.txt", "flight.txt:2: ", "Remedy"),
    ("replay flown.txt", "flown.txt: names no procedure", "Give its file before the transcript"),
    ("replay chart.yaml setup.txt", "setup.txt: setup: --qnh: 12 is no altimeter setting", "996"),
    ("replay flown.jsonl --qnh 996", "flown.jsonl: a flight log holds its own conditions", "leave the flags"),
    ("replay chart.yaml flown.txt --log there.csv", "there.csv: exists already", "Choose another path"),
    ("debrief empty.jsonl", "empty.jsonl: the flight log is empty"),
    ("debrief torn.jsonl", "torn.jsonl: not even the first line"),
    ("debrief no-log.jsonl", "no-log.jsonl: this is no flight log", "leadradial fly"),
    ("debrief words.jsonl", "words.jsonl: this is no flight log", "leadradial fly"),
    ("debrief other.jsonl", "other.jsonl: this is no flight log", "leadradial fly"),
    ("debrief no-version.jsonl", "no-version.jsonl:1: the flight log names no version"),
    ("debrief newer.jsonl", "newer.jsonl: written in version 999", "update leadradial"),
    ("debrief zero.jsonl", "zero.jsonl:1: there never was a version 0", "altered"),
    ("debrief altered.jsonl", "altered.jsonl:1: conditions", "altered"),
    ("debrief altered-chart.jsonl", "altered-chart.jsonl: the procedure in the log is not usable", "altered"),
    ("debrief flown.jsonl flown.jsonl --page a.pdf", "A page is of one flight", "--page with one log"),
    ("debrief flown.jsonl --standard mine", "--standard 'mine' is not known", "acs or part-fcl"),
    # -- progress
    ("progress --export out.xls", "out.xls: cannot write flights with '.xls'", ".json or .csv"),
    ("progress --export there.csv", "there.csv: exists already", "Choose another path"),
    ("progress --delete 3f2a", "3f2a: no flight of that name", "lists the names"),
    # -- sums
    ("sums wind --tas 150 --wind 250/15", "--track is missing", "for example --track"),
    ("sums wind --tas 150 --wind 250/15 --track north", "track: 'north' is no number", "write for example"),
    ("sums wind --tas 150 --wind 250/15 --track 400", "track: 400 is not between 0 and 360", "for example"),
    ("sums wind --tas 150 --track 90 --wind 2000:250/15", "'2000:250/15' is for one level", "for example"),
    # -- hearing
    ("hear", "Name a recording", "--manifest"),
    ("hear noise.wav --recogniser parrot", "'parrot' is no recogniser", "pocketsphinx and vosk"),
    ("hear noise.wav --expect height=3", "--expect 'height=3'", "dme_nm, altitude_ft or radial_deg"),
    ("hear noise.wav --expect dme_nm=far", "--expect 'dme_nm=far'", "=NUMBER"),
    ("hear --manifest empty-model", "empty-model: no ", "leadradial record makes one"),
    ("hear --manifest bytes-list", "bytes-list/manifest.jsonl: not text", "plain UTF-8"),
    ("hear --manifest odd-list", "manifest.jsonl:1: not a recording", "it wants"),
    ("hear --manifest kinds-list", "manifest.jsonl:2: not a recording", "it wants"),
    ("hear --manifest events-list", "manifest.jsonl:1: not a recording", "it wants"),
    ("hear --manifest outside-list", "manifest.jsonl:1: not a recording", "it wants"),
    ("hear --manifest deep-list", "manifest.jsonl:1: not a recording", "it wants"),
    ("hear noise.wav --recogniser vosk --model nowhere", "nowhere: no such folder", "unpacked folder"),
    ("hear noise.wav --recogniser vosk --model empty-model", "empty-model: holds no vosk model", "unpack it"),
    ("hear noise.wav --second-opinion nowhere", "nowhere: no such folder", "Whisper"),
    ("hear noise.wav --second-opinion empty-model", "empty-model: holds no Whisper model", "is missing"),
    ("hear noise.wav --second-opinion odd-model", "odd-model: its config.json cannot", "unpack the model"),
    ("hear noise.wav --recogniser vosk --second-opinion nowhere --model empty-model", "empty-model: holds"),
    ("hear noise.wav --pilot nobody", "No voice of nobody is kept", "leadradial enrol nobody learns it"),
    ("hear noise.wav --pilot ../up", "'../up'", "letters, digits"),
    ("hear noise.wav --recogniser vosk --pilot nobody", "own voice goes with pocketsphinx only", "vosk"),
    ("enrol ../up", "'../up'", "letters, digits"),
    ("record out --voice ../up --microphone file:tone.wav", "--voice '../up'", "letters, digits"),
    ("fly chart.yaml --text --microphone file:noise.wav", "noise.wav: no recording", "WAV, FLAC or Ogg"),
    ("fly chart.yaml --text --microphone file:no.wav", "no.wav: no such file", "check the name"),
    ("voice-model --list --source list.json", "list.json: give an address", "https://"),
]


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A working folder that holds every file of the table."""
    here = tmp_path / "work"
    here.mkdir()
    for name, text in FILES.items():
        (here / name).parent.mkdir(exist_ok=True)
        (here / name).write_text(text)
    (here / "flown.jsonl").write_bytes(LOG.read_bytes())
    with wave.open(str(here / "tone.wav"), "wb") as sound:
        sound.setparams((1, 2, 16000, 0, "NONE", ""))
        sound.writeframes(bytes(32000))
    (here / "bytes-list").mkdir()
    (here / "bytes-list" / "manifest.jsonl").write_bytes(b"\xff\n")
    (here / "bytes.yaml").write_bytes(b"title: \xff\n")
    with (here / "huge.jsonl").open("wb") as file:
        file.truncate(65 * 1024 * 1024)
    monkeypatch.chdir(here)
    return here


@pytest.mark.parametrize("case", CASES, ids=lambda case: case[0])
@pytest.mark.usefixtures("folder")
def test_one_line_says_what_is_wrong_and_what_to_do(command, case):
    words, *claims = case

    made = command.run(*words.split())

    told = (made.err or made.out).splitlines() if words.startswith("check") else made.err.splitlines()
    assert made.status == 2
    assert len(told) == 1, told
    at = 0
    for claim in claims:
        assert claim in told[0][at:], (claim, told[0])
        at = told[0].index(claim, at)
