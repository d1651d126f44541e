"""A server for one mission's pages, on the loopback address only, for requests that name it as their host."""

from __future__ import annotations

import html
import json
import mimetypes
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path, PurePosixPath
from urllib.parse import unquote, urlsplit

from briefgen.document import require_conservation
from briefgen.document.site import site_files
from briefgen.errors import BriefgenError
from briefgen.planning.journey import plan_sectors
from briefgen.spec import files_of_mission, read_sectors

HOST = "127.0.0.1"
MOST_FILES = 500
LOOK_S = 0.25  # how often the files are looked at
STATE = "/.preview/state"
SCRIPT = "/.preview/follow.js"
FOLLOW = b"""(function () {
  var seen = Number(document.currentScript.dataset.number);
  setInterval(function () {
    fetch("/.preview/state").then(function (answer) { return answer.json(); }).then(function (state) {
      if (seen !== state.number) { location.reload(); }
    }).catch(function () {});
  }, 400);
})();
"""
POLICY = "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self'; img-src data:; base-uri 'none'; form-action 'none'"


@dataclass
class Shown:
    """What is served: the last briefing that could be built, and what is wrong with the files as they stand now."""

    files: dict[str, bytes] = field(default_factory=dict)
    fault: str = ""
    number: int = 0  # goes up whenever something else is to be seen
    lock: threading.Lock = field(default_factory=threading.Lock)

    def build(self, spec: Path) -> str:
        """Build the briefing; on a fault keep the last good one and return the fault."""
        try:
            plan = plan_sectors(read_sectors(spec))
            require_conservation(plan)
            files, fault = site_files([plan], pdf=False, built_at=None), ""
        except BriefgenError as error:
            files, fault = None, error.text()
        with self.lock:
            self.files = files if files is not None else self.files
            self.fault, self.number = fault, self.number + 1
        return fault

    def page(self, path: str) -> bytes | None:
        """Return what stands at a path, pages with the fault on top and what follows the saves; None where nothing does."""
        with self.lock:
            files, fault, number = self.files, self.fault, self.number
        name = str(PurePosixPath(unquote(path).lstrip("/") or "index.html"))
        if not files and name.endswith(".html"):
            return _followed(
                b"<!doctype html><html lang=en><head><title>Preview</title></head><body></body></html>", fault, number
            )
        found = files.get(name)
        return _followed(found, fault, number) if found is not None and name.endswith(".html") else found


def _followed(page: bytes, fault: str, number: int) -> bytes:
    """Return a page that reloads itself after a save, with the fault of the files on top of it."""
    script = f'<script src="{SCRIPT}" data-number="{number}"></script>'.encode()
    told = f'<pre role="alert" id="preview-fault">{html.escape(fault)}</pre>'.encode() if fault else b""
    head, _, rest = page.partition(b"<body")
    tag, _, body = rest.partition(b">")
    return head + b"<body" + tag + b">" + told + body.replace(b"</body>", script + b"</body>")


def _without_policy(page: bytes) -> bytes:
    """Return a page without the policy it carries for itself: the header says a stricter one that lets it ask for the state."""
    begin = page.find(b'<meta http-equiv="Content-Security-Policy"')
    return page if begin < 0 else page[:begin] + page[page.index(b">", begin) + 1 :]


class _Handler(BaseHTTPRequestHandler):
    server: _Server

    def do_GET(self) -> None:
        """Answer one request, if it names this server as its host."""
        if self.headers.get("Host", "") not in self.server.hosts:
            self._answer(403, "text/plain", b"this server answers its own machine, by its own name")
            return
        path = urlsplit(self.path).path
        if path == STATE:
            self._answer(200, "application/json", json.dumps({"number": self.server.shown.number}).encode())
        elif path == SCRIPT:
            self._answer(200, "text/javascript", FOLLOW)
        elif (content := self.server.shown.page(path)) is not None:
            self._answer(200, mimetypes.guess_type(path)[0] or "text/html", _without_policy(content))
        else:
            self._answer(404, "text/plain", b"there is no such page")

    def _answer(self, status: int, kind: str, content: bytes) -> None:
        self.send_response(status)
        self.send_header(
            "Content-Type", f"{kind}; charset=utf-8" if kind.startswith(("text/", "application/json")) else kind
        )
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Content-Security-Policy", POLICY)
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.end_headers()
        with suppress(BrokenPipeError, ConnectionResetError):
            self.wfile.write(content)

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing: every look for a newer page would be a line."""


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self, port: int, shown: Shown) -> None:
        super().__init__((HOST, port), _Handler)
        self.shown = shown
        self.hosts = {f"{name}:{self.server_port}" for name in (HOST, "localhost")}


@dataclass
class Served:
    """A running preview."""

    spec: Path
    shown: Shown
    address: str = ""
    names: list[str] = field(default_factory=list)  # of the files looked at
    seen: dict[str, tuple[int, int]] = field(default_factory=dict)

    def build(self) -> str:
        """Build the briefing of the files as they are; what is saved from now on is seen by the next look."""
        self.names = self._names()
        self.seen = self._stamps(self.names)
        return self.shown.build(self.spec)

    def follow(self, told: Callable[[str], None], stop: threading.Event | None = None) -> None:
        """Build again whenever a file of the mission is saved, until interrupted or stopped."""
        stop = stop or threading.Event()
        with suppress(KeyboardInterrupt):
            while not stop.is_set():
                if self._stamps(self.names) != self.seen:
                    begun = time.monotonic()
                    fault = self.build()
                    told(fault or f"built again in {time.monotonic() - begun:.1f} s")
                stop.wait(LOOK_S)

    def _names(self) -> list[str]:
        """Return the files to look at: those the mission is read from; while it has a fault, all that it might be."""
        with suppress(BriefgenError):
            return sorted(files_of_mission(self.spec))
        folder = self.spec.parent
        return sorted(
            path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.suffix in (".yaml", ".csv")
        )[:MOST_FILES]

    def _stamps(self, names: list[str]) -> dict[str, tuple[int, int]]:
        """Return when the files of the mission were last saved, and how large they are."""
        found = {}
        for path in (self.spec, *(self.spec.parent / name for name in names)):
            with suppress(OSError):
                state = path.stat()
                found[str(path)] = (state.st_mtime_ns, state.st_size)
        return found


@contextmanager
def serve(spec: Path, port: int = 0) -> Iterator[Served]:
    """Build a briefing and serve it on the loopback address, at a port that is free or the one asked for.

    Raises:
        OSError: The port is taken.
    """
    shown = Shown()
    server = _Server(port, shown)
    served = Served(spec, shown, f"http://{HOST}:{server.server_port}/")
    served.build()
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": LOOK_S}, daemon=True)
    thread.start()
    try:
        yield served
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
