"""Why a sum was refused: the question lies outside the range in which the formula is true."""


class OutsideValidity(ValueError):  # noqa: N818 - a plain word says what happened
    """An input outside the range of a formula; the message is one sentence naming the input and the range."""


class NoSolution(ValueError):  # noqa: N818 - a plain word says what happened
    """
    A well-formed question without an answer.

    Such as a track that the wind does not let the aircraft fly.
    """
