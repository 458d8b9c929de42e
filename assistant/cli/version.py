"""The version of this program."""

import importlib.metadata


def installed_version() -> str:
    """The version that is installed, or a plain word for a source tree that is not."""
    try:
        return importlib.metadata.version("leadradial")
    except importlib.metadata.PackageNotFoundError:
        return "uninstalled"
