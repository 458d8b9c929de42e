"""What keeps a pilot from being heard, in one plain sentence; the flight goes on in text."""


class HearingError(Exception):
    """A device, model, package or recording that cannot be used; the message says what to do."""
