"""
A typed or recognised line, cut into tokens: words, numerals and separators.

Numerals stay whole ("16.4", "4800"): the spaces between typed numbers are known, those between spoken digits
are not. A single typed digit becomes its word, since recognisers and hurried typists write "1 6 decimal 4".
What is not of our alphabet becomes an unknown token, never a guess: "16²" must not turn into 162.
"""

import re

SEPARATOR = ","
DASH = "-"
"""A hyphen alone parts phrases as a stop does, but no word from its number: "temp - 5" may be minus five."""
UNKNOWN = "\N{REPLACEMENT CHARACTER}"
HESITATIONS = frozenset({"er", "err", "erm", "uh", "um", "ah", "hmm", "mm"})
DIGIT_WORDS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")

_MINUS = {"\N{MINUS SIGN}": "-", "\N{EN DASH}": "-", "\N{EM DASH}": "-", "\N{NON-BREAKING HYPHEN}": "-"}
_PLAIN = str.maketrans(
    {
        **_MINUS,
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{NO-BREAK SPACE}": " ",
        "\N{DEGREE SIGN}": " ",
        "\N{LEFT DOUBLE QUOTATION MARK}": " ",
        "\N{RIGHT DOUBLE QUOTATION MARK}": " ",
    }
)
_PIECE = re.compile(
    r"(?P<number>[0-9][0-9.,]*)|(?P<word>[a-z]+(?:'[a-z]+)*)"
    # A hyphen: none in "R-042" and "go-around", a stop in "16.4-4800", else a sign before a digit.
    r"|(?P<hyphen>(?:(?<=\b[rd])|(?<=\bfl))-(?=[0-9])|(?<=[a-z0-9])-(?=[a-z]))"
    r"|(?P<stop>[,;:/.?!|]+|(?<=[0-9])-(?=[0-9]))"
    r"|(?P<minus>(?<!-)-(?=[0-9]))|(?P<plus>\+(?=[0-9]))|(?P<dash>-)"
    r"|(?P<drop>[\s\"'()])|(?P<unknown>.)",
    re.DOTALL,
)
_NUMERAL = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+")


def is_numeral(token: str) -> bool:
    """Whether a token is a number written in digits."""
    return token[0].isdigit()


def tokens_of(text: str) -> tuple[str, ...]:
    """
    The tokens of a line, lower case, hesitations ("er") left out; time and size linear in its length.

    A point, comma, slash, colon or question mark becomes `SEPARATOR`: two numbers never join across one.
    """
    tokens: list[str] = []
    for piece in _PIECE.finditer(text.translate(_PLAIN).lower()):
        said = piece.group()
        match piece.lastgroup:
            case "number":
                tokens.extend(_numerals(said))
            case "word":
                word = said.replace("'", "")
                if word not in HESITATIONS:
                    tokens.append(word)
            case "minus":
                tokens.append("minus")
            case "plus":
                tokens.append("plus")
            case "stop":
                tokens.append(SEPARATOR)
            case "dash":
                tokens.append(DASH)
            case "unknown":
                tokens.append(UNKNOWN)
    return _with_scale_words(tokens)


def _numerals(blob: str) -> list[str]:
    """Two numbers in "16.4,4800", one in "4,800", one and a stop in "4800.", nothing known in "1.2.3"."""
    bare = blob.rstrip(".,")
    parts = [bare.replace(",", "")] if _THOUSANDS.fullmatch(bare) else bare.split(",")
    tokens: list[str] = []
    for part in parts:
        if tokens:
            tokens.append(SEPARATOR)
        if not _NUMERAL.fullmatch(part):
            tokens.append(UNKNOWN)
        else:
            tokens.append(DIGIT_WORDS[int(part)] if len(part) == 1 else part)
    if bare != blob:
        tokens.append(SEPARATOR)
    return tokens


def _with_scale_words(tokens: list[str]) -> tuple[str, ...]:
    """Digits mixed with words ("48 hundred", "4 thousand 800") become words, so that one grammar serves."""
    words: list[str] = []
    for index, token in enumerate(tokens):
        following = tokens[index + 1] if index + 1 < len(tokens) else ""
        if len(token) == 2 and token.isdigit() and following in ("thousand", "hundred"):
            words.extend(DIGIT_WORDS[int(digit)] for digit in token)
        elif words and words[-1] == "thousand" and re.fullmatch("[1-9]00", token):
            words.extend((DIGIT_WORDS[int(token[0])], "hundred"))
        else:
            words.append(token)
    return tuple(words)
