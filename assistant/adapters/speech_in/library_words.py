"""
How words are pronounced by the dictionary that pocketsphinx brings: looked up in its file.

A decoder that loads all its 134 000 words takes 23 MB and 0.06 s more than one that has only those that a
grammar needs, and there are several decoders.
"""

from pathlib import Path

_FILE = "en-us/cmudict-en-us.dict"

_found: dict[str, tuple[str, ...]] = {}
"""What was looked up before, in this process."""


def library_pronunciations(words: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """Each word's pronunciations as rows of speech sounds, the usual first; none for a word it lacks."""
    wanted = words - _found.keys()
    if wanted:
        found: dict[str, list[str]] = {word: [] for word in wanted}
        with _path().open(encoding="utf-8") as file:
            for line in file:
                entry, _, sounds = line.partition(" ")
                # "zero(2)" is another pronunciation of "zero".
                word = entry.partition("(")[0]
                if word in wanted:
                    found[word].append(sounds.strip())
        _found.update((word, tuple(rows)) for word, rows in found.items())
    return {word: _found[word] for word in words}


def _path() -> Path:
    import pocketsphinx  # noqa: PLC0415  # an extra, loaded when it is wanted

    return Path(pocketsphinx.get_model_path(_FILE))
