"""Logs last: an older version's are read, and what was cut or spoilt is read as far as it is whole."""

import json
from itertools import pairwise
from pathlib import Path

import pytest

from assistant.engine.events import StageEntered
from assistant.flight_log import (
    VERSION,
    Heard,
    LogError,
    Origin,
    TruePlace,
    header_line,
    read_log,
    record_line,
)

LOGS = Path(__file__).parent / "logs"
OLD = (LOGS / "version-1.jsonl").read_bytes()


def test_a_log_of_version_1_is_read_whole_and_its_origin_is_unknown():
    # Written by the program of 25 November 2026, before the header said how a flight came about.
    record = read_log(OLD, "version-1.jsonl")

    assert record.notice is None
    assert record.header.origin is Origin.UNKNOWN
    assert record.header.procedure_name == "procedures/teskel-vortac-06.yaml"
    assert record.header.conditions.qnh_hpa == 1002.0
    assert len(record.records) == OLD.count(b"\n") - 1
    assert [entry.stage for entry in record.records if isinstance(entry, StageEntered)][-1] == "landing"
    assert sum(isinstance(entry, Heard) for entry in record.records) == 24  # PILOT lines flown


def test_a_log_of_version_2_is_read_whole_and_knows_no_true_places():
    # Version 2 said how a flight came about; its records were those of version 1.
    data = OLD.replace(b'"version": 1', b'"version": 2, "origin": "live"', 1)
    record = read_log(data, "version-2.jsonl")

    assert record.notice is None
    assert record.header.origin is Origin.LIVE
    assert record.records == read_log(OLD, "version-1.jsonl").records
    assert not [entry for entry in record.records if isinstance(entry, TruePlace)]


def test_a_migrated_log_written_again_is_of_the_present_version():
    record = read_log(OLD, "version-1.jsonl")
    lines = [header_line(record.header), *map(record_line, record.records)]

    again = read_log("".join(f"{line}\n" for line in lines).encode(), "again.jsonl")

    assert json.loads(lines[0])["version"] == VERSION
    assert again.header == record.header
    assert again.records == record.records


@pytest.mark.parametrize("version", [0, -3])
def test_a_version_that_never_was_is_refused(version):
    with pytest.raises(LogError, match=f"never was a version {version}"):
        read_log(OLD.replace(b'"version": 1', b'"version": %d' % version, 1), "altered.jsonl")


def test_a_flight_killed_at_any_byte_loses_at_most_the_last_record():
    whole = read_log(OLD, "version-1.jsonl").records
    begins = OLD.index(b"\n") + 1
    # Reading the whole file at each of its bytes would read the same lines thousands of times over: the
    # header with the last three lines before the cut shows the same.
    ends = [position + 1 for position, byte in enumerate(OLD) if byte == ord("\n")]
    for line, (start, end) in enumerate(pairwise(ends)):
        for cut in range(start, end):
            kept = ends[max(line - 2, 0)]
            read = read_log(OLD[:begins] + OLD[kept:cut], "cut.jsonl")

            assert read.records == whole[max(line - 2, 0) : line]
            assert (read.notice is None) == (cut == start)


def test_a_line_spoilt_anywhere_is_either_refused_or_changes_that_record_alone():
    record = read_log(OLD, "version-1.jsonl")
    begins = OLD.index(b"\n") + 1
    for position in range(begins, len(OLD), 97):
        spoilt = bytearray(OLD)
        spoilt[position] ^= 0x14
        read = read_log(bytes(spoilt), "spoilt.jsonl")
        line = OLD[begins:position].count(b"\n")

        assert read.records[:line] == record.records[:line]
        assert read.notice is not None or len(read.records) == len(record.records)


def test_the_notice_says_how_far_the_log_was_read():
    cut = read_log(OLD[:-5], "flight.jsonl")
    lines = OLD.count(b"\n")

    assert cut.notice == f"flight.jsonl: the last line is incomplete; read as far as line {lines - 1}."
