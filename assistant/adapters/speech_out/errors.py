"""What keeps the assistant from being heard, in one plain sentence; the flight goes on in text."""

INSTALL = 'python -m pip install "leadradial[voice]"'


class VoiceUnavailable(Exception):  # noqa: N818  # named for what it is: the flight goes on without
    """A package, library, voice or device that cannot be used; the message says what to do."""
