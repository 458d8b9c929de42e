"""Sounds outlive the program, belong to one voice, and never fill the disk."""

import errno
import os
from pathlib import Path

import pytest
from tone_voice import tone

from assistant.adapters.speech_out.cache import SoundCache, prune, size


def test_a_kept_sentence_is_found_again_by_another_run(tmp_path):
    SoundCache(tmp_path, "eva").keep("Lead radial.", tone())

    assert SoundCache(tmp_path, "eva").has("Lead radial.")
    assert SoundCache(tmp_path, "eva").sound("Lead radial.").duration_s == pytest.approx(0.5)


def test_another_voice_has_sounds_of_its_own(tmp_path):
    SoundCache(tmp_path, "eva").keep("Lead radial.", tone())

    assert not SoundCache(tmp_path, "otto").has("Lead radial.")
    assert SoundCache(tmp_path, "otto").sound("Lead radial.") is None


def test_a_damaged_file_counts_as_not_kept_and_is_removed(tmp_path):
    cache = SoundCache(tmp_path, "eva")
    cache.keep("Lead radial.", tone())
    [path] = tmp_path.iterdir()
    path.write_bytes(path.read_bytes()[:50])

    assert cache.sound("Lead radial.") is None
    assert not cache.has("Lead radial.")


def test_the_longest_unused_go_first(tmp_path):
    cache = SoundCache(tmp_path, "eva")
    for used_s, sentence in ((3_000, "newest"), (2_000, "older"), (1_000, "oldest")):
        before = set(tmp_path.iterdir())
        cache.keep(sentence, tone())
        [path] = set(tmp_path.iterdir()) - before
        os.utime(path, (used_s, used_s))
    each = size(tmp_path).size_bytes // 3

    gone = prune(tmp_path, 2 * each + 10)

    assert gone == 1
    assert cache.sound("oldest") is None
    assert cache.sound("newest") is not None


def test_being_used_makes_a_sound_young(tmp_path):
    cache = SoundCache(tmp_path, "eva", largest_bytes=1)
    cache.keep("Lead radial.", tone())
    [path] = tmp_path.iterdir()
    os.utime(path, (1, 1))

    assert cache.has("Lead radial.")
    assert path.stat().st_mtime > 1
    assert cache.prune() == 1


def test_a_folder_that_cannot_be_written_only_means_rendering_again(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("no folder", encoding="utf-8")

    cache = SoundCache(blocked, "eva")
    cache.keep("Lead radial.", tone())

    assert cache.sound("Lead radial.") is None
    assert blocked.read_text(encoding="utf-8") == "no folder"


def test_a_full_disk_only_means_rendering_again_and_leaves_no_half_file(tmp_path, monkeypatch):
    def half(path, data):
        with path.open("wb") as file:
            file.write(data[: len(data) // 2])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", half)
    cache = SoundCache(tmp_path, "voice")

    cache.keep("Turn.", tone(440.0))

    assert cache.sound("Turn.") is None
    assert not list(tmp_path.iterdir())


def test_what_was_begun_and_never_finished_counts_and_goes_too(tmp_path):
    """A program that is ended while it writes leaves half a file that nobody will look for."""
    (tmp_path / "0123.77.new").write_bytes(b"half a sound" * 100)

    assert prune(tmp_path, 1200) == 0
    assert prune(tmp_path, 1199) == 1
    assert list(tmp_path.iterdir()) == []
