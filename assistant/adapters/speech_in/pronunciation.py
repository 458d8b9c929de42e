"""
How words are pronounced, in the sounds of the CMU dictionary: the trade's own, and a guess for names.

The recogniser's dictionary has American pronunciations of ordinary words. Here is what it lacks or says
otherwise: Annex 10's TREE, FIFE, FOW-er, NIN-er; letters said one by one; British forms of numbers; and
names of fixes, which are invented five-letter words that no dictionary has.
"""

import re
from collections.abc import Mapping

TRADE: Mapping[str, tuple[str, ...]] = {
    # Annex 10 Volume II, 5.2.1.4.3.1, beside the everyday forms, and what British speakers make of them.
    "zero": ("Z IY R OW", "Z IH R OW", "N AO T"),
    "one": ("W AH N", "W AA N"),
    "three": ("TH R IY", "T R IY"),
    "four": ("F AO R", "F OW ER", "F AO"),
    "five": ("F AY V", "F AY F"),
    "nine": ("N AY N", "N AY N ER", "N AY N AH"),
    "thousand": ("TH AW Z AH N D", "T AW Z AH N D", "TH AW Z AH N"),
    "hundred": ("HH AH N D R AH D", "HH AH N D R IH D", "HH AH N D ER D"),
    "forty": ("F AO R T IY", "F AO T IY"),
    "fourteen": ("F AO R T IY N", "F AO T IY N"),
    "decimal": ("D EH S AH M AH L", "D EH S IH M AH L", "D EY S IY M AH L"),
    # As they are said where unstressed vowels are not all alike, and T before U is CH or TY.
    "altitude": ("AE L T AH T UW D", "AE L T IH T Y UW D", "AE L T IH CH UW D"),
    "altimeter": ("AE L T IH M AH T ER", "AE L T IH M IY T ER", "AE L T IH M IY T AH"),
    "temperature": ("T EH M P R AH CH ER", "T EH M P R IH CH AH"),
    "minimum": ("M IH N AH M AH M", "M IH N IH M AH M"),
    "visual": ("V IH ZH AH W AH L", "V IH ZH UW AH L"),
    "abeam": ("AH B IY M",),
    "affirm": ("AH F ER M", "AE F ER M"),
    "centering": ("S EH N T ER IH NG", "S EH N T R IH NG"),
    "groundspeed": ("G R AW N D S P IY D",),
    "hectopascals": ("HH EH K T OW P AE S K AH L Z", "HH EH K T OW P AH S K AE L Z"),
    "localizer": ("L OW K AH L AY Z ER",),
    "millibars": ("M IH L IH B AA R Z", "M IH L IH B AA Z"),
    "minima": ("M IH N IH M AH",),
    "minimums": ("M IH N AH M AH M Z",),
    "roger": ("R AA JH ER", "R AO JH ER"),
    "wilco": ("W IH L K OW",),
    "papi": ("P AE P IY", "P AA P IY"),
    "im": ("AY M",),
    "thats": ("DH AE T S",),
    "whats": ("W AH T S", "HH W AH T S"),
}

SPELLED = frozenset(("dme", "qnh", "qfe", "qdr", "mda", "mdh", "msa", "cdi"))
"""Said letter by letter."""

_LETTERS = {
    "a": "EY",
    "c": "S IY",
    "d": "D IY",
    "e": "IY",
    "f": "EH F",
    "h": "EY CH",
    "i": "AY",
    "m": "EH M",
    "n": "EH N",
    "o": "OW",
    "q": "K Y UW",
    "r": "AA R",
    "s": "EH S",
    "t": "T IY",
}
_VOWELS = ("A", "E", "I", "O", "U")
# Letters to sounds for invented names, longest first; enough for words that are made to be said.
_SOUNDS = (
    ("sch", "SH"), ("tch", "CH"), ("igh", "AY"), ("ch", "CH"), ("sh", "SH"), ("th", "TH"), ("ph", "F"),
    ("ck", "K"), ("ng", "NG"), ("qu", "K W"), ("wh", "W"), ("gh", "G"), ("kn", "N"),
    ("ee", "IY"), ("ea", "IY"), ("oo", "UW"), ("ou", "AW"), ("ow", "OW"), ("oa", "OW"), ("ai", "EY"),
    ("ay", "EY"), ("oi", "OY"), ("oy", "OY"), ("au", "AO"), ("aw", "AO"), ("ie", "IY"), ("ei", "EY"),
    ("ar", "AA R"), ("er", "ER"), ("ir", "ER"), ("or", "AO R"), ("ur", "ER"),
    ("a", "AE"), ("b", "B"), ("c", "K"), ("d", "D"), ("e", "EH"), ("f", "F"), ("g", "G"), ("h", "HH"),
    ("i", "IH"), ("j", "JH"), ("k", "K"), ("l", "L"), ("m", "M"), ("n", "N"), ("o", "AA"), ("p", "P"),
    ("q", "K"), ("r", "R"), ("s", "S"), ("t", "T"), ("u", "AH"), ("v", "V"), ("w", "W"), ("x", "K S"),
    ("y", "IY"), ("z", "Z"),
)  # fmt: skip
_AT_THE_END = {"a": "AH", "o": "OW", "i": "IY", "u": "UW", "y": "IY"}
_VOWEL_SOUNDS = frozenset(
    ("AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW")
)
_WITHOUT_R = {"ER": "AH"}
_LONG = {"a": "EY", "e": "IY", "i": "AY", "o": "OW", "u": "UW"}


def pronunciations(word: str) -> tuple[str, ...]:
    """What the dictionary lacks of a word; empty where the trade says it as everyone does."""
    if word in SPELLED:
        names = [_LETTERS[letter] for letter in word]
        # Spelled with care, a letter that begins with a vowel begins with a stop of the voice, and T is the
        # nearest sound that the dictionary has for that.
        apart = [names[0], *(f"T {name}" if name.startswith(_VOWELS) else name for name in names[1:])]
        return (" ".join(names), " ".join(apart))
    return TRADE.get(word, ())


def british(sounds: str) -> tuple[str, ...]:
    """
    How an American pronunciation sounds in Britain, where that differs: no R but before a vowel, "not"
    rounded; and with the R, which Scots keep, rounded only.
    """
    phones = sounds.split()
    rounded = [
        "AO" if phone == "AA" and after != "R" else phone
        for phone, after in zip(phones, [*phones[1:], ""], strict=True)
    ]
    without = [
        _WITHOUT_R.get(phone, phone)
        for phone, after in zip(rounded, [*rounded[1:], ""], strict=True)
        if phone != "R" or after in _VOWEL_SOUNDS
    ]
    found = (" ".join(without), " ".join(rounded))
    return tuple(each for each in dict.fromkeys(found) if each != sounds)


def guessed(name: str) -> tuple[str, ...]:
    """How a name that no dictionary has may be said, with short vowels and with the first one long."""
    letters = re.sub(r"(.)\1", r"\1", re.sub("[^a-z]", "", name.lower()))
    short = _sounded(letters)
    first = re.match("[^aeiou]*[aeiou](?=[bdfgklmnprstvz][aeiouy])", letters)
    if first is None:
        return (short,)
    at = first.end() - 1
    long = " ".join(filter(None, (_sounded(letters[:at]), _LONG[letters[at]], _sounded(letters[at + 1 :]))))
    return (short, long)


def _sounded(letters: str) -> str:
    sounds = []
    at = 0
    while at < len(letters):
        if at == len(letters) - 1 and at > 0 and letters[at] in _AT_THE_END:
            sounds.append(_AT_THE_END[letters[at]])
            break
        piece, sound = next((entry for entry in _SOUNDS if letters.startswith(entry[0], at)), ("?", ""))
        sounds.append(sound)
        at += len(piece)
    return " ".join(sounds)
