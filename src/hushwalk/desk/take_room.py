"""Take it along: sheet, GPX, KML and page of the plan that stands, written as the command line writes them.

The plan itself is morning_room.py's.
"""

from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Route

from hushwalk.desk.answering import answering
from hushwalk.desk.desk_state import Desk
from hushwalk.errors import SettingsError
from hushwalk.notes.saved_plans import PLANS
from hushwalk.wording.desk_words import PHONE_WARNING
from hushwalk.wording.formats import sentence

KINDS = {
    ".html": "text/html",
    ".pdf": "application/pdf",
    ".gpx": "application/gpx+xml",
    ".kml": "application/vnd.google-earth.kml+xml",
    ".geojson": "application/geo+json",
    ".gpkg": "application/geopackage+sqlite3",
    ".json": "application/json",
    ".csv": "text/csv",
}
"""Definition: media types of what is written, as registered with IANA; no other file is given."""
SHOWN = (".html", ".pdf")
PAGE_POLICY = (
    "sandbox allow-scripts allow-modals allow-downloads allow-popups; default-src 'none'; script-src 'unsafe-inline'; "
    "style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""A page opens cut off from the desk: what runs in it cannot ask the desk anything; its own policy holds besides."""
FILE_POLICY = "frame-ancestors 'none'"


async def _take(desk: Desk, _: dict[str, Any]) -> dict[str, Any]:
    """Write the plan that stands."""
    version = desk.version
    if version is None:
        raise SettingsError("there is no trip here yet; choose the country first")

    def news(kind: str, what: Any) -> None:  # noqa: ANN401 - as the work says it
        desk.work = what if kind == "step" else desk.work
        desk.announce()

    try:
        taken: dict[str, Any] = await desk.planning.ask("take", version.trip, str(desk.path), news=news)
    finally:
        desk.work = None
        desk.announce()
    return taken


async def _files(desk: Desk, _: dict[str, Any]) -> dict[str, Any]:
    """All that was written so far, the newest folder first, and where a phone may open it."""
    phone = {"address": desk.phone, "words": sentence(PHONE_WARNING)} if desk.phone else None
    return {"folders": written_folders(desk.folder), "phone": phone}


def written_folders(folder: Path) -> list[dict[str, Any]]:
    """Give the folders of results in the folder of a trip, each with the names of its files; the newest first."""
    root = folder / PLANS
    found = [one for one in (root.iterdir() if root.is_dir() else ()) if one.is_dir() and not one.is_symlink()]
    found.sort(key=lambda one: one.stat().st_mtime_ns, reverse=True)
    rows = [
        {"name": one.name, "files": sorted(f"{PLANS}/{one.name}/{file.name}" for file in one.iterdir() if given(file))}
        for one in found
        if not one.name.startswith(".")
    ]
    return [row for row in rows if row["files"]]


def given(file: Path) -> bool:
    """Whether a file is one that is given out: a result, and no link to somewhere else."""
    return file.suffix in KINDS and file.is_file() and not file.is_symlink()


def result_file(folder: Path, name: str) -> Path | None:
    """Find a result by its name below the folder of a trip; None where it is none, or lies elsewhere."""
    root = (folder / PLANS).resolve()
    try:
        path = (folder / name).resolve()
        inside = path.is_relative_to(root) and given(folder / name)
    except (OSError, ValueError):
        return None
    return path if inside else None


async def _file(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    path = result_file(desk.folder, request.path_params["name"])
    if path is None:
        return PlainTextResponse("hushwalk: there is no such result\n", status_code=404)
    return file_answer(path, PAGE_POLICY if path.suffix == ".html" else FILE_POLICY)


def file_answer(path: Path, policy: str) -> Response:
    """Answer with a file: pages and sheets are shown, all others saved."""
    how = "inline" if path.suffix in SHOWN else "attachment"
    return FileResponse(
        path,
        media_type=KINDS[path.suffix],
        filename=path.name,
        content_disposition_type=how,
        headers={"content-security-policy": policy},
    )


ROUTES = [
    Route("/api/take", answering(_take), methods=["POST"]),
    Route("/api/files", answering(_files), methods=["POST"]),
    Route("/files/{name:path}", _file),
]
