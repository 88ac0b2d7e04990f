"""How the web is asked: politely, again after a fault, through one host map; answers are kept, downloads resumed.

What is asked, and what the answers mean, is the business of the families of services.
"""

import hashlib
import json
import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from time import sleep, time
from typing import Any
from urllib.parse import urljoin, urlsplit

import requests
from requests.adapters import HTTPAdapter
from urllib3.util import Retry

from hushwalk import __version__
from hushwalk.errors import NothingThereError, OutputError, RefusedError, ServiceError
from hushwalk.gather.services import redirected

CONNECT_S, READ_S = 10.0, 180.0  # judgement: a service asked for two minutes of work answers within three
PATIENT_STATUS = (429, 500, 502, 503, 504)  # common practice: the server is busy or down, not the request wrong
MOST_REDIRECTS = 5  # judgement
BLOCK_BYTES = 256 * 1024  # judgement
SECONDS_PER_DAY = 86_400.0  # definition
SHOWN = 160  # judgement: signs of an answer that a message quotes
OK, PARTIAL, FORBIDDEN, NOT_FOUND, GONE, RANGE_DONE = 200, 206, 403, 404, 410, 416  # definition: RFC 9110
TOO_MANY = 429  # definition: RFC 6585
NOT_MODIFIED = 304  # definition: RFC 9110
MEGABYTE = 1e6  # definition
Question = tuple[str, str]
"""When, in UTC, and which address."""


def quoted(content: bytes | str) -> str:
    """Give the beginning of an answer on one line, as a message quotes it."""
    start = content[: 4 * SHOWN]
    words = start.decode("utf-8", "replace") if isinstance(start, bytes) else start
    return " ".join(words.split())[:SHOWN]


@dataclass(frozen=True)
class AskParams:
    """How services are asked.

    Parameters
    ----------
    contact : an address under which the person can be reached, sent along with every request; may be empty.
    offline : take kept answers only.
    tries : how often a request is sent at most.
    backoff_s : waits between tries: this, twice this, and so on [s]; what a server asks for is waited longer.
    busy_s : is waited at least where a server says that it was asked too often [s].
    """

    contact: str = ""
    offline: bool = False
    tries: int = 5
    backoff_s: float = 1.0
    busy_s: float = 30.0  # common practice: what the operators of the map database ask for

    @property
    def agent(self) -> str:
        """How the program names itself to services."""
        return f"hushwalk/{__version__}" + (f" ({self.contact})" if self.contact else " (+dawn walk planner)")


class Transport:
    """Asks the web, one request at a time, and keeps the answers in a folder.

    Parameters
    ----------
    folder : where answers are kept.
    params : how services are asked.
    """

    def __init__(self, folder: Path, params: AskParams) -> None:
        self.folder = folder
        self.params = params
        self.n_bytes = 0
        self.questions: list[Question] = []
        self.refresh = False
        self.session = requests.Session()
        self.session.headers["User-Agent"] = params.agent
        # one connection a host: nothing is asked side by side
        adapter = HTTPAdapter(pool_maxsize=1, max_retries=self._retry())
        self.session.mount("http://", adapter)
        self.session.mount("https://", adapter)

    def _retry(self) -> Retry:
        busy_s = self.params.busy_s

        class Patient(Retry):
            """Waits longer after "too many requests"."""

            def get_backoff_time(self) -> float:
                often = bool(self.history) and self.history[-1].status == TOO_MANY
                return max(super().get_backoff_time(), busy_s if often else 0.0)

        return Patient(
            total=self.params.tries - 1,
            backoff_factor=self.params.backoff_s,
            status_forcelist=PATIENT_STATUS,
            allowed_methods=("GET", "HEAD", "POST"),
            respect_retry_after_header=True,
            raise_on_status=False,
        )

    def kept(self, name: str, ask: Callable[[], bytes], keep_days: float | None = None) -> bytes:
        """Give a kept answer, or ask and keep it.

        Parameters
        ----------
        name : says all that the answer rests on: service, edition, ground.
        ask : asks the web.
        keep_days : for how long a kept answer holds; for ever if not given.

        Returns
        -------
        bytes

        Raises
        ------
        ServiceError
            If it is not kept and the network must not be used.
        OutputError
            If it cannot be kept.
        """
        path = self.path_of(name)
        if not self.refresh or self.params.offline:
            try:
                fresh = keep_days is None or time() - path.stat().st_mtime < keep_days * SECONDS_PER_DAY
                if fresh or self.params.offline:
                    self.questions += [tuple(row) for row in json.loads(_notes_of(path).read_text(encoding="utf-8"))]
                    return path.read_bytes()
            except (FileNotFoundError, ValueError):
                pass
        self._refuse_offline()
        n_before = len(self.questions)
        content = ask()
        _write_whole(_notes_of(path), json.dumps(self.questions[n_before:]).encode())
        _write_whole(path, content)
        return content

    def note(self, full: str) -> None:
        """Note that an address is asked."""
        self.questions.append((datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"), full))

    def path_of(self, name: str) -> Path:
        """Give where an answer is kept."""
        head = re.sub(r"[^a-z0-9_]", "", name.partition(" ")[0].lower())
        return self.folder / f"{head}-{hashlib.sha256(name.encode()).hexdigest()[:24]}"

    def get(self, full: str, headers: Mapping[str, str] | None = None) -> requests.Response:
        """Get an answer; redirects pass through the host map too.

        Parameters
        ----------
        full : of :func:`hushwalk.gather.services.address`.
        headers : sent along.

        Returns
        -------
        requests.Response
            With status 200 or 304.

        Raises
        ------
        NothingThereError
            If the server has no such thing.
        ServiceError
            If it cannot be reached or refuses.
        """
        return self._send("GET", full, headers=headers)

    def post(self, full: str, form: Mapping[str, str]) -> requests.Response:
        """Post a form; as :meth:`get`."""
        return self._send("POST", full, data=form)

    def download(self, full: str, path: Path, report: Callable[[float, float], None]) -> Path:
        """Download a file, from where an earlier download broke off.

        Parameters
        ----------
        full : its address.
        path : where it goes; ``.part`` is added while it is not whole.
        report : is called with the megabytes that are there and that are to come.

        Returns
        -------
        Path

        Raises
        ------
        NothingThereError, ServiceError
            As :meth:`get`; also if the connection breaks off again and again.
        OutputError
            If it cannot be written.
        """
        part = path.with_name(f"{path.name}.part")
        for attempt in range(self.params.tries):
            there = part.stat().st_size if part.exists() else 0
            answer = self._send("GET", full, headers={"Range": f"bytes={there}-"} if there else None, stream=True)
            if answer.status_code == RANGE_DONE:
                break
            try:
                if self._received(answer, part, there if answer.status_code == PARTIAL else 0, report):
                    break
            except (requests.RequestException, OSError) as fault:
                if isinstance(fault, OSError) and not isinstance(fault, requests.RequestException):
                    raise OutputError(f"{part} cannot be written: {fault.strerror}") from None
            sleep(self.params.backoff_s * attempt)
        else:
            raise ServiceError(f"{_host(full)} broke off {self.params.tries} times; the next run goes on from there")
        os.replace(part, path)  # noqa: PTH105 - over a file that is there, on every system
        return path

    def _received(
        self, answer: requests.Response, part: Path, there: int, report: Callable[[float, float], None]
    ) -> bool:
        part.parent.mkdir(parents=True, exist_ok=True)
        whole = there + int(answer.headers.get("Content-Length", 0))
        with part.open("ab" if there else "wb") as file:
            for block in answer.iter_content(BLOCK_BYTES):
                file.write(block)
                there += len(block)
                self.n_bytes += len(block)
                report(there / MEGABYTE, max(whole - there, 0) / MEGABYTE)
        return there >= whole

    def _send(self, method: str, full: str, **rest: Any) -> requests.Response:  # noqa: ANN401 - as requests takes it
        self._refuse_offline()
        self.note(full)
        for _ in range(MOST_REDIRECTS):
            try:
                answer = self.session.request(method, full, timeout=(CONNECT_S, READ_S), allow_redirects=False, **rest)
            except requests.RequestException as fault:
                raise ServiceError(f"{_host(full)} cannot be reached ({_cause(fault)})") from None
            if not answer.is_redirect:
                break
            full = redirected(urljoin(full, answer.headers["Location"]))
        self.n_bytes += 0 if rest.get("stream") else len(answer.content)
        return _accepted(answer, full)

    def _refuse_offline(self) -> None:
        if self.params.offline:
            raise ServiceError("it is not among the kept answers, and --offline forbids to ask for it")


def _accepted(answer: requests.Response, full: str) -> requests.Response:
    status = answer.status_code
    if status in {OK, PARTIAL, NOT_MODIFIED, RANGE_DONE}:
        return answer
    if status in {NOT_FOUND, GONE}:
        raise NothingThereError(f"{_host(full)} has nothing of that name ({status})")
    said = quoted(re.sub(r"<[^>]*>", " ", answer.text))
    fault = RefusedError if status == FORBIDDEN else ServiceError
    raise fault(f"{_host(full)} answers {status} {answer.reason}: {said}")


def _cause(fault: BaseException) -> str:
    said = str(getattr(fault.args[0], "reason", fault) if fault.args else fault)
    return said.rpartition(": ")[2][:SHOWN]


def _host(full: str) -> str:
    parts = urlsplit(full)
    return parts.netloc + "/".join(parts.path.split("/")[:2])


def _notes_of(path: Path) -> Path:
    return path.with_name(f"{path.name}.json")


def _write_whole(path: Path, content: bytes) -> None:
    """Write a file so that it is there whole or not at all."""
    part = path.with_name(f"{path.name}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(content)
        os.replace(part, path)  # noqa: PTH105 - over a file that is there, on every system
    except OSError as fault:
        part.unlink(missing_ok=True)
        raise OutputError(f"{path} cannot be written: {fault.strerror}; free some space and run it again") from None


def kept_folder() -> Path:
    """Give where answers of services are kept: in the user's cache, safe to delete."""
    home = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or "~/.cache"
    return Path(os.environ.get("HUSHWALK_ANSWERS") or Path(home).expanduser() / "hushwalk" / "answers")
