"""The whole error tree of hushwalk.

Only error classes live here; the words are written where the fault is found.

A message says what we got, what was expected and how to mend it, and names the file, layer, field or row.
"""


class HushwalkError(Exception):
    """Root of every error that a person can mend; the command line prints it and exits with 2."""

    exit_code = 2


class SettingsError(HushwalkError, ValueError):
    """The trip file says something that cannot be used."""


class InputError(HushwalkError, ValueError):
    """A layer, table or other input file cannot be used."""


class ElsewhereError(InputError):
    """A layer is sound but lies somewhere else; one that the trip can do without is then left out."""


class MissingFileError(HushwalkError, FileNotFoundError):
    """A file that was named is not there."""

    def __str__(self) -> str:
        """Give the words alone, without the errno form of the builtin parent."""
        return str(self.args[0]) if self.args else ""


class GridMismatchError(HushwalkError, ValueError):
    """Two layers lie on different grids."""


class PlaceError(HushwalkError, ValueError):
    """A place cannot be read, or lies outside the ground it must lie on."""


class SourceError(HushwalkError, KeyError):
    """A number cites a source that the sources files do not hold."""

    def __str__(self) -> str:
        """Give the words alone, without the quotes of the builtin parent."""
        return str(self.args[0]) if self.args else ""


class OutputError(HushwalkError, OSError):
    """A result cannot be written."""


class NoPlanError(HushwalkError, RuntimeError):
    """The inputs are right, but no walk fits the limits."""


class ServiceError(HushwalkError, ConnectionError):
    """A service on the web cannot be reached, refuses, or answers something else."""


class NothingThereError(ServiceError):
    """A service holds nothing of the ground that was asked for."""


class RefusedError(ServiceError):
    """A service refuses what was asked for."""


class WorkersLostError(HushwalkError, RuntimeError):
    """The processes or machines that work on wide ground are gone."""
