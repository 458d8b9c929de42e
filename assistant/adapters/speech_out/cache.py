"""
Sounds kept on disk: one FLAC file a sentence, named by what it says and who says it.

The folder is bounded: what was not used for longest goes first. Any file may be deleted at any time.
"""

import contextlib
import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

from assistant.adapters.speech_out.sound import Sound, as_flac, from_file

LARGEST_BYTES = 200 * 1024 * 1024
"""About six thousand sentences: a dozen procedures in two or three voices."""

_SUFFIX = ".flac"
_BEGUN = ".new"
"""Of a file being written; one that stays so is from a program that was ended meanwhile."""

_FORM = "5"
"""Part of every name; changed when what is done to a sound before it is kept changes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CacheSize:
    """How much a cache holds."""

    sounds: int
    size_bytes: int


class SoundCache:
    """Sounds of one renderer (`key`) in a folder that renderers share."""

    def __init__(self, folder: Path, key: str, *, largest_bytes: int = LARGEST_BYTES) -> None:
        self._folder = folder
        self._key = key
        self._largest_bytes = largest_bytes

    def has(self, sentence: str) -> bool:
        """Whether the sentence is kept; marks it as used."""
        try:
            os.utime(self._path(sentence))
        except OSError:
            return False
        return True

    def sound(self, sentence: str) -> Sound | None:
        """The sound of a sentence, None where it is not kept or its file is damaged."""
        path = self._path(sentence)
        try:
            data = path.read_bytes()
        except OSError:
            return None
        try:
            return from_file(data)
        except OSError:  # half a file, from a machine that lost power: rendered again
            _delete(path)
            return None

    def keep(self, sentence: str, sound: Sound) -> None:
        """Keep a sound, whole or not at all; a full disk only means that it is rendered again."""
        path = self._path(sentence)
        written = path.with_suffix(f".{os.getpid()}{_BEGUN}")
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            written.write_bytes(as_flac(sound))
            written.replace(path)
        except OSError:
            _delete(written)

    def prune(self) -> int:
        """Delete what was not used for longest until the bound holds; how many files went."""
        return prune(self._folder, self._largest_bytes)

    def _path(self, sentence: str) -> Path:
        name = hashlib.sha256(f"{_FORM}\n{self._key}\n{sentence}".encode()).hexdigest()[:40]
        return self._folder / f"{name}{_SUFFIX}"


def size(folder: Path) -> CacheSize:
    """How much is kept in a folder."""
    sizes = [path.stat().st_size for path in folder.glob(f"*{_SUFFIX}")]
    return CacheSize(sounds=len(sizes), size_bytes=sum(sizes))


def prune(folder: Path, largest_bytes: int) -> int:
    """Delete the files of a cache, the longest unused first, until it is no larger; how many went."""
    paths = (*folder.glob(f"*{_SUFFIX}"), *folder.glob(f"*{_BEGUN}"))
    kept = []
    for path in paths:
        with contextlib.suppress(OSError):  # another flight was quicker
            kept.append((path.stat(), path))
    total = sum(stat.st_size for stat, _ in kept)
    gone = 0
    for stat, path in sorted(kept, key=lambda entry: entry[0].st_mtime):
        if total <= largest_bytes:
            break
        _delete(path)
        total -= stat.st_size
        gone += 1
    return gone


def _delete(path: Path) -> None:
    with contextlib.suppress(OSError):  # gone already, or not ours to delete: the cache works all the same
        path.unlink()
