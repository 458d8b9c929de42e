"""No name that a file or a sentence brings leads out of the folder meant for it."""

from datetime import UTC, datetime

import pytest
from driver import ROOT

from assistant.adapters.speech_out.cache import SoundCache
from assistant.cli import live_flight

CHART = (ROOT / "procedures" / "skarrow-tacan-24.yaml").read_text(encoding="utf-8")


def test_a_procedure_named_with_a_slash_is_logged_in_the_folder_of_flights(command, tmp_path):
    # An ident may have a slash, as in VOR/DME; a file's name may not.
    procedure = tmp_path / "slash.yaml"
    procedure.write_text(CHART.replace("ident: ZZSK-TACAN-24", "ident: VOR/DME-24"), encoding="utf-8")

    made = command.pipe("", "fly", procedure, "--text")

    assert made.status == 0
    (log,) = (tmp_path / "data" / "leadradial" / "flights").iterdir()
    assert log.name.endswith("-VOR-DME-24.jsonl")


@pytest.mark.usefixtures("command")
@pytest.mark.parametrize("ident", ["A/B", "A//B", "A/-/B"])
def test_a_log_is_named_in_its_folder_whatever_the_procedure_is_called(tmp_path, ident):
    path = live_flight.new_log_path(datetime(2026, 1, 2, tzinfo=UTC), ident)

    assert path.parent == tmp_path / "data" / "leadradial" / "flights"


@pytest.mark.parametrize("sentence", ["../../outside", "/etc/outside", "a/b", "\x00", "x" * 5000])
def test_a_sound_is_sought_in_its_folder_whatever_the_sentence(tmp_path, sentence):
    cache = SoundCache(tmp_path / "sounds", "../voice")

    assert cache.sound(sentence) is None
    assert not cache.has(sentence)


def test_a_flights_name_is_no_sql(command):
    made = command.run("progress", "--delete", "x' OR '1'='1")

    assert made.status == 2
    assert "no flight of that name is kept" in made.err
