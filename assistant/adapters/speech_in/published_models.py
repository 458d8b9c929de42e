"""
Models for vosk as their makers publish them: the list, and fetching one of it.

Only ever on the pilot's own word. The list says how many bytes an archive has and its MD5, which shows a
damaged file; against a forged one stands the encrypted connection to the makers' own server, so an archive is
taken from the server of the list and no other.
"""

import hashlib
import http.client
import json
import re
import tempfile
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.unpacking import room_for, unpack
from assistant.adapters.speech_in.vosk_folders import holds_model

LIST_URL = "https://alphacephei.com/vosk/models/model-list.json"
"""The makers' list: name, lang, type, size (bytes), md5, url and obsolete of every model."""

# A grammar can be given to these only; in the others the words are fixed when they are made.
_WITH_GRAMMAR = ("small", "big-lgraph")
_NAME = re.compile(r"vosk-model-[A-Za-z0-9._-]+")
_LONGEST_LIST = 4_000_000
_TIMEOUT_S = 20.0
_BLOCK = 1 << 16
# An unpacked model is about 1.7 times its archive (40 MB to 68 MB for the small one).
# For a while both lie there.
_AT_MOST_GROWS = 6
_ROOM = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedModel:
    """An English model that takes a grammar, as the list describes it."""

    name: str
    language: str
    size_bytes: int
    md5: str
    url: str
    is_small: bool


def published_models(list_url: str = LIST_URL) -> tuple[PublishedModel, ...]:
    """The models that are worth fetching, small ones first; HearingError where the list cannot be had."""
    with _opened(list_url) as answer:
        text = answer.read(_LONGEST_LIST)
    try:
        models = [_model(entry, list_url) for entry in json.loads(text) if _is_for_us(entry)]
    except (ValueError, TypeError, KeyError, AttributeError):
        raise HearingError(f"{list_url}: not the list of models that was expected there.") from None
    return tuple(sorted(models, key=lambda model: (not model.is_small, model.language != "en-us")))


def fetch(model: PublishedModel, into: Path, on_bytes: Callable[[int], None]) -> Path:
    """
    Fetch a model and unpack it into a folder; returns its own folder there.

    `on_bytes` is called with the number of bytes of each piece. HearingError, and nothing left behind, where
    it does not arrive whole; OSError where the disk does not take it.
    """
    into.mkdir(parents=True, exist_ok=True)
    if (into / model.name).exists():
        raise HearingError(f"{into / model.name}: is there already; remove it to fetch it again.")
    room_for(into, _ROOM * model.size_bytes)
    with tempfile.TemporaryDirectory(prefix=".fetching-", dir=into) as folder:
        archive = Path(folder) / f"{model.name}.zip"
        _download(model, archive, on_bytes)
        unpacked = unpack(archive, Path(folder), most_bytes=_AT_MOST_GROWS * model.size_bytes)
        if not holds_model(unpacked):
            raise HearingError(f"{model.url}: holds no vosk model.")
        return unpacked.rename(into / model.name)


def _download(model: PublishedModel, archive: Path, on_bytes: Callable[[int], None]) -> None:
    digest = hashlib.md5(usedforsecurity=False)
    arrived = 0
    with _opened(model.url) as answer, archive.open("wb") as file:
        while block := answer.read(_BLOCK):
            arrived += len(block)
            if arrived > model.size_bytes:
                break
            digest.update(block)
            file.write(block)
            on_bytes(len(block))
    if arrived != model.size_bytes:
        raise HearingError(f"{model.url}: did not arrive whole; try again.")
    if digest.hexdigest() != model.md5:
        raise HearingError(f"{model.url}: damaged on the way (its MD5 is not the list's); try again.")


def _is_for_us(entry: dict[str, Any]) -> bool:
    return (
        entry["lang"].startswith("en")
        and entry["type"] in _WITH_GRAMMAR
        and str(entry["obsolete"]).lower() != "true"
    )


def _model(entry: dict[str, Any], list_url: str) -> PublishedModel:
    if not _NAME.fullmatch(entry["name"]):
        raise ValueError(entry["name"])
    home, there = urllib.parse.urlsplit(list_url), urllib.parse.urlsplit(entry["url"])
    if (home.scheme, home.netloc) != (there.scheme, there.netloc):
        raise ValueError(entry["url"])
    return PublishedModel(
        name=entry["name"],
        language=entry["lang"],
        size_bytes=int(entry["size"]),
        md5=entry["md5"].lower(),
        url=entry["url"],
        is_small=entry["type"] == "small",
    )


@contextmanager
def _opened(url: str) -> Iterator[http.client.HTTPResponse]:
    """An answer to read from; whatever goes wrong with it, in one sentence."""
    if urllib.parse.urlsplit(url).scheme not in ("http", "https"):
        raise HearingError(f"{url}: give an address that begins with https://.")
    try:
        with urllib.request.urlopen(url, timeout=_TIMEOUT_S) as answer:  # noqa: S310  # http(s), as checked above
            yield answer
    except urllib.error.HTTPError as error:
        raise HearingError(f"{url}: the server answers {error.code}, {error.reason}.") from None
    except (urllib.error.URLError, TimeoutError, ConnectionError, http.client.HTTPException) as error:
        reason = getattr(error, "reason", error)
        raise HearingError(f"{url}: no connection ({reason}); nothing was fetched.") from None
