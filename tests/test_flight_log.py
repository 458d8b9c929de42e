"""Every record survives being written and read; a log that was cut off loses no more than its last one."""

import io
import json
from dataclasses import MISSING, fields, is_dataclass
from enum import Enum
from types import NoneType, UnionType
from typing import Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.engine.events import (
    Callout,
    CalloutKind,
    CueDropped,
    EngineInput,
    EngineOutput,
    Figures,
    NotUnderstood,
    Priority,
    Tick,
    Turn,
)
from assistant.flight_log import (
    VERSION,
    Header,
    Heard,
    LogError,
    NotSpoken,
    Record,
    Resumed,
    Spoken,
    Writer,
    header_line,
    read_log,
    record_from_line,
    record_line,
)
from assistant.language.transcript import Transcript

CALLOUT = Callout(
    t_s=12.25,
    expires_t_s=20.0,
    kind=CalloutKind.TURN,
    priority=Priority.ACTION,
    cue="lead radial",
    figures=Figures(event="lead radial", turn=Turn.LEFT, heading_mag_deg=215.0),
)
HEADER = Header(
    leadradial="0.1.0",
    started_utc="2026-01-02T03:04:05.678+00:00",
    procedure_name="procedures/zzzz.yaml",
    procedure_text="ident: ZZZZ\ntitle: 'Ends in ° and a tab\t'\n",
    conditions=Conditions(wind=(WindAtLevel(wind_from_mag_deg=250.0, wind_kt=15.0),), qnh_hpa=996.0),
    prompting="normal",
)
RECORDS: tuple[Record, ...] = (
    Heard(t_s=12.0, transcript=Transcript(text="16.4 4800", started_t_s=11.0, ended_t_s=12.0)),
    NotUnderstood(t_s=12.0, text='gl\u00fcck "auf"\x00\u2028', reason="no phrase found"),
    Tick(t_s=12.25),
    CALLOUT,
    CueDropped(t_s=12.25, cue="check range", reason="overtaken"),
    Spoken(t_s=12.25, text="Lead radial. Turn left heading two one five.", callout=CALLOUT),
    NotSpoken(t_s=13.0, callout=CALLOUT, reason="expired"),
    Resumed(t_s=20.0),
)


class DiskFile(io.BytesIO):
    """A file in memory that, like a real one, has a descriptor to be synced."""

    def fileno(self):
        return 99


@pytest.fixture
def synced(monkeypatch):
    """The sizes at which a log was brought to the disk."""
    sizes = []
    file = DiskFile()
    monkeypatch.setattr("os.fsync", lambda descriptor: sizes.append((descriptor, len(file.getvalue()))))
    return file, sizes


def written_log(file):
    writer = Writer(file)
    writer.begin(HEADER)
    writer.write(RECORDS)
    return file.getvalue()


def test_a_log_reads_back_as_what_was_written(synced):
    record = read_log(written_log(synced[0]), "flight.jsonl")

    assert record.header == HEADER
    assert record.records == RECORDS
    assert record.notice is None


def test_every_line_is_on_the_disk_before_the_next_is_begun(synced):
    file, sizes = synced
    data = written_log(file)

    ends = [position + 1 for position, byte in enumerate(data) if byte == ord("\n")]
    assert sizes == [(99, end) for end in ends]


def test_a_log_cut_anywhere_loses_at_most_the_record_it_was_cut_in(synced):
    data = written_log(synced[0])
    header_end = data.index(b"\n") + 1

    for cut in range(header_end, len(data)):
        record = read_log(data[:cut], "flight.jsonl")
        whole_lines = data[:cut].count(b"\n") - 1
        assert record.records == RECORDS[:whole_lines]
        assert data[: record.whole_bytes].endswith(b"\n")
        assert data[: record.whole_bytes].count(b"\n") == whole_lines + 1
        assert (record.notice is None) == data[:cut].endswith(b"\n")


def test_a_log_cut_within_its_header_is_refused_in_one_line(synced):
    data = written_log(synced[0])

    for cut in range(data.index(b"\n") + 1):
        with pytest.raises(LogError) as refused:
            read_log(data[:cut], "flight.jsonl")
        assert "flight.jsonl" in str(refused.value)
        assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    "damage",
    [
        b"\x00" * 40 + b"\n",
        b"\xff\xfe\n",
        b"[]\n",
        b'{"record": "Tick"}\n',
        b'{"record": "Flight", "t_s": 1}\n',
        b"[" * 5000,
        b'{"record": "Tick", "t_s": NaN}\n',
        b'{"record": "Tick", "t_s": Infinity}\n',
        b'{"record": "Tick", "t_s": 1e308}\n',
        b'{"record": "Tick", "t_s": 1e999}\n',
        b'{"record": "Tick", "t_s": %s}\n' % (b"9" * 40),
    ],
)
def test_a_damaged_line_ends_the_reading_with_a_notice_and_no_exception(synced, damage):
    data = written_log(synced[0])

    record = read_log(data + damage + data.split(b"\n")[1] + b"\n", "flight.jsonl")

    assert record.records == RECORDS
    assert record.whole_bytes == len(data)
    assert record.notice is not None
    assert "read as far as line 9" in record.notice


def test_a_log_of_a_newer_version_is_refused_by_its_number(synced):
    data = written_log(synced[0]).replace(b'"version": %d' % VERSION, b'"version": %d' % (VERSION + 1), 1)

    with pytest.raises(LogError, match=f"version {VERSION + 1} .* up to version {VERSION}"):
        read_log(data, "flight.jsonl")


@pytest.mark.parametrize(
    "text", ["ident: ZZZZ\n", "{}\n", '{"format": "another"}\n', '{"record": "Tick", "t_s": 1}\n']
)
def test_another_kind_of_file_is_no_flight_log(text):
    with pytest.raises(LogError, match="no flight log"):
        read_log(text.encode(), "notes.txt")


def test_a_header_that_was_altered_is_refused_with_the_field():
    line = header_line(HEADER).replace('"qnh_hpa": 996.0', '"qnh_hpa": "low"')

    with pytest.raises(LogError, match=r"flight\.jsonl:1: conditions\.qnh_hpa"):
        read_log(line.encode() + b"\n", "flight.jsonl")


def sample(hint, depth=0):
    """Some value of a type, none of it the default, found by looking at the type alone."""
    origin = get_origin(hint)
    if origin in (Union, UnionType):
        return sample(next(choice for choice in get_args(hint) if choice is not NoneType), depth)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return list(hint)[-1]
    if is_dataclass(hint):
        return sample_of(hint, depth + 1)
    return {str: 'wörds "quoted"', float: 0.1 + 0.2, int: 7, bool: True}[hint]


def sample_of(kind, depth=0):
    hints = get_type_hints(kind)
    return kind(**{field.name: sample(hints[field.name], depth) for field in fields(kind)})


@pytest.mark.parametrize("kind", get_args(EngineInput | EngineOutput), ids=lambda kind: kind.__name__)
def test_every_event_of_the_engine_round_trips_with_every_field_filled(kind):
    event = sample_of(kind)

    assert record_from_line(record_line(event)) == event


@pytest.mark.parametrize("kind", get_args(EngineInput | EngineOutput), ids=lambda kind: kind.__name__)
def test_every_event_of_the_engine_round_trips_with_optional_fields_left_out(kind):
    hints = get_type_hints(kind)
    needed = [
        field.name for field in fields(kind) if field.default is MISSING and field.default_factory is MISSING
    ]
    event = kind(**{name: sample(hints[name]) for name in needed})

    assert record_from_line(record_line(event)) == event


@given(st.text(max_size=200), st.floats(-1e9, 1e9))
def test_any_text_and_any_time_survive_on_one_line(text, t_s):
    record = NotUnderstood(t_s=t_s, text=text, reason="")

    line = record_line(record)

    assert "\n" not in line
    assert record_from_line(line) == record


def test_a_lone_surrogate_is_replaced_and_harms_no_other_record(synced):
    file, _ = synced
    writer = Writer(file)
    writer.begin(HEADER)
    writer.write((NotUnderstood(t_s=1.0, text="a\ud800b", reason=""), Tick(t_s=2.0)))

    assert read_log(file.getvalue(), "flight.jsonl").records == (
        NotUnderstood(t_s=1.0, text="a?b", reason=""),
        Tick(t_s=2.0),
    )


def test_a_line_is_plain_json_that_names_its_record_first():
    assert json.loads(record_line(Tick(t_s=1.5))) == {"record": "Tick", "t_s": 1.5}
    assert record_line(Tick(t_s=1.5)).startswith('{"record"')
