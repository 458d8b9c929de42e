"""`leadradial voice-model`, by a server on this machine: what arrives whole is used, all else refused."""

import hashlib
import http.server
import io
import json
import os
import stat
import threading
import zipfile
from contextlib import contextmanager

import pytest

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.unpacking import room_for, unpack

NAME = "vosk-model-small-en-us-0.99"


def archive(files, links=()):
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in files.items():
            packed.writestr(name, data)
        for name, target in links:
            entry = zipfile.ZipInfo(name)
            entry.external_attr = (stat.S_IFLNK | 0o777) << 16
            packed.writestr(entry, target)
    return made.getvalue()


GOOD = archive({f"{NAME}/am/final.mdl": os.urandom(5000), f"{NAME}/conf/model.conf": b"--x"})


@contextmanager
def server(data, *, sent=None, url=None, md5=None, answer=200, **entry):
    """A list of one model and its archive; `sent`: what really arrives of it."""
    sent = data if sent is None else sent

    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            if self.path == "/list":
                self.reply(200, json.dumps(models).encode())
            else:
                self.reply(answer, sent)

        def reply(self, status, body):
            self.send_response(status)
            self.send_header("Content-Length", str(max(len(body), len(data)) if body is sent else len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_):
            pass

    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler) as serving:
        home = f"http://127.0.0.1:{serving.server_port}"
        model = {
            "name": NAME,
            "lang": "en-us",
            "type": "small",
            "obsolete": "false",
            "size": len(data),
            "md5": md5 or hashlib.md5(data, usedforsecurity=False).hexdigest(),
            "url": url or f"{home}/{NAME}.zip",
        }
        others = [
            model | {"name": "vosk-model-ru-1", "lang": "ru"},
            model | {"name": "vosk-model-en-us-fixed", "type": "big"},
            model | {"name": "vosk-model-small-en-us-0.1", "obsolete": "true"},
            model | {"name": "vosk-model-en-us-graph", "type": "big-lgraph", "size": 123_000_000},
        ]
        models = [*others, model | entry]
        threading.Thread(target=serving.serve_forever, args=(0.01,), daemon=True).start()
        yield f"{home}/list"
        serving.shutdown()


def fetched(command, source, *arguments):
    return command.run("voice-model", *arguments, "--source", source)


def left_behind(command):
    return [path for path in (command.home / "data").rglob("*") if path.is_file()]


def test_the_list_has_the_english_models_that_take_a_grammar_and_are_not_out_of_date(command):
    with server(GOOD) as source:
        outcome = fetched(command, source, "--list")

    assert outcome.out.splitlines() == [
        f"  {NAME}  (en-us, 0 MB)",
        "  vosk-model-en-us-graph  (en-us, 123 MB)",
    ]


def test_a_model_is_fetched_once_and_is_then_the_one_that_vosk_uses(command, monkeypatch):
    monkeypatch.delenv("VOSK_MODEL_PATH", raising=False)
    with server(GOOD) as source:
        outcome = fetched(command, source)
        again = fetched(command, source, NAME)
        path = command.run("voice-model", "--path")

    folder = command.home / "data" / "leadradial" / "models" / NAME
    assert outcome.status == 0, outcome.err
    assert (folder / "conf" / "model.conf").read_bytes() == b"--x"
    assert sorted(each.name for each in folder.parent.iterdir()) == [NAME]
    assert again.out == f"{folder} is there already.\n"
    assert path.out == f"{folder}\n"


@pytest.mark.parametrize(
    ("what", "says"),
    [
        ({"data": GOOD, "sent": GOOD[:-100]}, "did not arrive whole"),
        ({"data": GOOD[:-100], "sent": GOOD}, "did not arrive whole"),
        ({"data": GOOD, "sent": GOOD[:-1] + b"x"}, "damaged on the way"),
        ({"data": GOOD[:500]}, "a damaged archive"),
        ({"data": b"no archive at all"}, "a damaged archive"),
        ({"data": archive({f"{NAME}/readme": b""})}, "holds no vosk model"),
        ({"data": GOOD, "answer": 404}, "the server answers 404"),
        ({"data": GOOD, "name": "../../escaped"}, "not the list of models"),
        ({"data": GOOD, "url": "http://elsewhere.invalid/model.zip"}, "not the list of models"),
        ({"data": GOOD, "size": "many"}, "not the list of models"),
    ],
)
def test_what_does_not_arrive_whole_and_from_the_lists_own_server_is_one_sentence_and_leaves_nothing(
    command, what, says
):
    with server(**what) as source:
        outcome = fetched(command, source)

    assert outcome.status == 2
    assert says in outcome.err
    assert outcome.err.count("\n") == 1
    assert left_behind(command) == []


@pytest.mark.parametrize("source", ["http://127.0.0.1:9/list", "file:///etc/passwd"])
def test_offline_is_one_sentence(command, source):
    outcome = fetched(command, source)

    assert outcome.status == 2
    assert outcome.err.startswith(source)
    assert outcome.err.count("\n") == 1


def test_a_name_that_is_not_in_the_list_is_one_sentence_with_those_that_are(command):
    with server(GOOD) as source:
        outcome = fetched(command, source, "vosk-model-none")

    assert outcome.status == 2
    assert NAME in outcome.err


def test_a_folder_that_cannot_be_written_is_one_sentence(command):
    """A file in the folder's place: a test that runs as root cannot be refused by permissions."""
    (command.home / "data").mkdir(parents=True)
    (command.home / "data" / "leadradial").write_bytes(b"")
    with server(GOOD) as source:
        outcome = fetched(command, source)

    assert outcome.status == 2
    assert outcome.err.count("\n") == 1


@pytest.mark.parametrize(
    ("files", "links"),
    [
        ({f"{NAME}/../../out": b"x"}, ()),
        ({"../out": b"x"}, ()),
        ({"/etc/out": b"x"}, ()),
        ({f"{NAME}\\..\\..\\out": b"x"}, ()),
        ({f"{NAME}/C:/out": b"x"}, ()),
        ({f"{NAME}/a": b"x"}, [(f"{NAME}/link", "/etc/passwd")]),
        ({f"{NAME}/a": b"x", "another/b": b"x"}, ()),
        ({"a_file": b"x"}, ()),
        ({}, ()),
    ],
)
def test_an_archive_that_would_write_outside_one_folder_is_not_unpacked(tmp_path, files, links):
    path = tmp_path / "model.zip"
    path.write_bytes(archive(files, links))
    into = tmp_path / "deep" / "inside"
    into.mkdir(parents=True)

    with pytest.raises(HearingError, match=r"would lie outside|more than one folder"):
        unpack(path, into, most_bytes=1000)

    assert sorted(each.name for each in tmp_path.rglob("*")) == ["deep", "inside", "model.zip"]


def test_a_few_kilobytes_that_unpack_to_more_than_a_model_has_are_stopped_as_they_grow(tmp_path):
    path = tmp_path / "model.zip"
    path.write_bytes(archive({f"{NAME}/zeros": bytes(20_000_000)}))
    assert path.stat().st_size < 50_000

    with pytest.raises(HearingError, match="more than 1 MB"):
        unpack(path, tmp_path, most_bytes=1_000_000)

    assert [each.name for each in tmp_path.iterdir()] == ["model.zip"]


def test_too_little_room_is_one_sentence(tmp_path):
    with pytest.raises(HearingError, match="are needed"):
        room_for(tmp_path, 1 << 60)
