"""
Unpacks an archive that came from elsewhere, whole or not at all.

A zip can name files outside its folder, links to them, and a few kilobytes can unpack to gigabytes; and a
program killed half-way leaves half a folder. So each name is looked at, bytes are counted as they are
written, and the folder gets its name only when all of it is there.
"""

import shutil
import stat
import tempfile
import zipfile
import zlib
from pathlib import Path, PurePosixPath

from assistant.adapters.speech_in.errors import HearingError

_BLOCK = 1 << 20
_MOST_FILES = 10_000


def unpack(archive: Path, into: Path, *, most_bytes: int) -> Path:
    """
    Unpack a zip of one folder, and return that folder, which is new in `into`.

    HearingError where the archive is damaged, holds anything but one folder's plain files, or unpacks to
    more than `most_bytes`; OSError where the disk does not take it. Nothing is left of it then.
    """
    with tempfile.TemporaryDirectory(prefix=".unpacking-", dir=into) as folder:
        try:
            with zipfile.ZipFile(archive) as opened:
                name = _only_folder(archive, opened.infolist())
                _write(archive, opened, Path(folder), most_bytes)
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError):
            raise HearingError(f"{archive.name}: a damaged archive; fetch it again.") from None
        unpacked = into / name
        (Path(folder) / name).rename(unpacked)
    return unpacked


def _only_folder(archive: Path, entries: list[zipfile.ZipInfo]) -> str:
    """The one folder in which all entries are; HearingError where any is elsewhere, or is no plain file."""
    if len(entries) > _MOST_FILES:
        raise HearingError(f"{archive.name}: holds {len(entries)} files, too many for a model.")
    tops = set()
    for entry in entries:
        path = PurePosixPath(entry.filename)
        # Windows takes a backslash for a separator and a colon for a drive, whatever the zip meant.
        strange = path.is_absolute() or ".." in path.parts or any(mark in entry.filename for mark in "\\:\0")
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if strange or not path.parts or kind not in (0, stat.S_IFREG, stat.S_IFDIR):
            raise HearingError(f"{archive.name}: {entry.filename!r} in it would lie outside; not unpacked.")
        tops.add((path.parts[0], len(path.parts) > 1 or entry.is_dir()))
    if len(tops) != 1 or not all(is_folder for _, is_folder in tops):
        raise HearingError(f"{archive.name}: holds more than one folder, or none; not a model.")
    return next(iter(tops))[0]


def _write(archive: Path, opened: zipfile.ZipFile, folder: Path, most_bytes: int) -> None:
    # What the archive says of sizes is not believed: what comes out is counted.
    left = most_bytes
    for entry in opened.infolist():
        path = folder / entry.filename
        if entry.is_dir():
            path.mkdir(parents=True, exist_ok=True)
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        with opened.open(entry) as packed, path.open("xb") as written:
            while block := packed.read(_BLOCK):
                left -= len(block)
                if left < 0:
                    raise HearingError(
                        f"{archive.name}: unpacks to more than {_mb(most_bytes)}; not unpacked."
                    )
                written.write(block)


def _mb(size_bytes: int) -> str:
    return f"{size_bytes / 1e6:.0f} MB"


def room_for(folder: Path, needed_bytes: int) -> None:
    """HearingError where the disk that holds a folder has less room than that."""
    free_bytes = shutil.disk_usage(folder).free
    if free_bytes < needed_bytes:
        raise HearingError(f"{folder}: {_mb(needed_bytes)} are needed and {_mb(free_bytes)} free.")
