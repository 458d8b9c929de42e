"""
Zero and "oh" kept apart in a recogniser's grammar: whoever has just said "zero" does not go on with "oh".

As one more pronunciation of "zero" the "oh" is what a drawn-out zero ends in: "one eight six zero" was heard
as 18600. Kept as a word of its own it may stand wherever a zero may, but not directly behind one that
was said in full; "oh oh seven" stays what it is.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator

ZERO, OH = "zero", "oh"

Arc = tuple[int, int, str]


def zeros_apart(arcs: Iterable[Arc]) -> Iterator[Arc]:
    """
    The arcs of a grammar (from, to, word) in which a zero may also be said "oh", but not behind a "zero".

    What may follow a zero in full is a state beside the one that follows an "oh"; such states have numbers
    above those that there were.
    """
    out: defaultdict[int, list[Arc]] = defaultdict(list)
    after_zero: set[int] = set()
    for arc in arcs:
        out[arc[0]].append(arc)
        if arc[2] == ZERO:
            after_zero.add(arc[1])
    # Only where another zero could follow at once do the two need to be told apart.
    split = sorted(state for state in after_zero if any(word == ZERO for _, _, word in out[state]))
    highest = max((max(arc[0], arc[1]) for each in out.values() for arc in each), default=0)
    beside = {state: highest + number for number, state in enumerate(split, start=1)}
    for start, leaving in out.items():
        for _, end, word in leaving:
            in_full = beside.get(end, end) if word == ZERO else end
            yield (start, in_full, word)
            if word == ZERO:
                yield (start, end, OH)
            if start in beside:
                yield (beside[start], in_full, word)
