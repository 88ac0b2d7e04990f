"""The trip file of a folder with all its versions: kept durably first, then written, so that a kill loses nothing.

What is planned of it is desk_state.py's business.
"""

from dataclasses import dataclass, field
from pathlib import Path

from hushwalk.desk.history import History, Version
from hushwalk.desk.trip_document import TRIP_FILE, sweep_aside, trip_text, write_trip_text
from hushwalk.errors import SettingsError
from hushwalk.site.settings import TripSettings
from hushwalk.site.trip_file import trip_of_text
from hushwalk.wording.desk_words import CHANGED_OUTSIDE, FOUND

NO_TRIP = "there is no trip here yet; choose the country first"


@dataclass
class KeptTrip:
    """The trip file and its versions, held by one desk at a time.

    Parameters
    ----------
    folder : that the trip file stands in.

    Raises
    ------
    OutputError
        If another desk holds the folder.
    """

    folder: Path
    path: Path = field(init=False)
    history: History = field(init=False)

    def __post_init__(self) -> None:
        self.folder = self.folder.resolve()
        self.path = self.folder / TRIP_FILE
        self.history = History(self.folder)
        sweep_aside(self.folder)

    @property
    def now(self) -> Version | None:
        """The version that stands; None in a folder without a trip file."""
        return self.history.now

    def stands(self) -> Version:
        """Give the version that stands.

        Raises
        ------
        SettingsError
            If there is none.
        """
        version = self.now
        if version is None:
            raise SettingsError(NO_TRIP)
        return version

    def settings(self) -> TripSettings:
        """Give what the version that stands says.

        Raises
        ------
        SettingsError
            If there is none, or it has a fault.
        """
        return trip_of_text(self.stands().trip, self.path)

    def take_up(self) -> str:
        """Bring the history and the trip file together: what was changed outside is a version of its own.

        Returns
        -------
        str
            What happened, in words; nothing where both said the same.

        Raises
        ------
        SettingsError
            If the file is no text.
        """
        text, now, written = trip_text(self.path), self.now, self.history.written
        if text is None or (now is not None and text == now.trip):
            return ""
        if now is not None and written is not None and written.number != now.number and text == written.trip:
            self._write(now)  # the desk was killed between keeping the version and writing the file
            return ""
        said = CHANGED_OUTSIDE if now else FOUND
        self.history.add(text, said, written=True)
        return said

    def put(self, text: str, change: str) -> Version:
        """Let a text be the trip file, as a new version.

        Raises
        ------
        SettingsError
            If the text is no trip file; everything is as it was.
        """
        trip_of_text(text, self.path)
        version = self.history.add(text, change)
        self._write(version)
        return version

    def go(self, number: int) -> Version | None:
        """Let an earlier or later version stand; None where there is none of that number."""
        version = self.history.go(number)
        if version is not None:
            self._write(version)
        return version

    def _write(self, version: Version) -> None:
        write_trip_text(self.path, version.trip)
        self.history.note_written(version.number)
