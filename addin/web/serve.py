"""Serve the folder of files to this computer, and to no other."""

from __future__ import annotations

import ssl
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

ADDRESS = "127.0.0.1"

# By these names a browser on this computer asks. A foreign name that was made to point here is refused:
# it would let a page from elsewhere read what is served.
OWN_NAMES = frozenset(("localhost", "127.0.0.1"))

POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; connect-src 'self'; "
    "style-src 'self'; img-src 'self' data: blob:; manifest-src 'self'; base-uri 'none'; form-action 'none'"
)

HEADERS = {
    "Content-Security-Policy": POLICY,
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    # The name of the folder says the version, but while a page is worked on a version changes.
    "Cache-Control": "no-cache",
}

# Named here, for what a computer knows of file names differs. A browser compiles .wasm as it arrives, and
# runs a module, only by these types.
TYPES = {
    "": "application/octet-stream",
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".mjs": "text/javascript; charset=utf-8",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".whl": "application/zip",
    ".xml": "application/xml",
    ".zip": "application/zip",
}

# Half a minute for a request that was begun.
SECONDS_TO_ASK = 30


class Handler(SimpleHTTPRequestHandler):
    """Hand out files of the folder."""

    extensions_map = TYPES
    protocol_version = "HTTP/1.1"
    server_version = "weavefuncs"
    sys_version = ""
    timeout = SECONDS_TO_ASK

    def send_head(self) -> Any:
        """Refuse a foreign name and the list of a folder; else open the file."""
        host = self.headers.get("Host", "").rpartition(":")[0] or self.headers.get("Host", "")
        if len(self.headers.get_all("Host", [])) != 1 or host.lower() not in OWN_NAMES:
            self.send_error(HTTPStatus.MISDIRECTED_REQUEST, "This server is for this computer alone")
            return None
        return super().send_head()

    def list_directory(self, _path: Any) -> None:
        """Tell nothing of what a folder holds."""
        self.send_error(HTTPStatus.NOT_FOUND, "Not found")

    def end_headers(self) -> None:
        for name, value in HEADERS.items():
            self.send_header(name, value)
        super().end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        """Keep no record of what is asked."""


class Server(ThreadingHTTPServer):
    """The server, on this computer's own address.

    Parameters
    ----------
    folder : Path
        What is handed out.
    port : int
        Port to listen at; 0 for any that is free.
    context : ssl.SSLContext, optional
        The certificate; without one it speaks plainly.
    """

    daemon_threads = True

    def __init__(self, folder: Path, port: int, context: ssl.SSLContext | None = None) -> None:
        super().__init__((ADDRESS, port), partial(Handler, directory=str(folder)))
        self._context = context

    def finish_request(self, request: Any, client_address: Any) -> None:
        """Agree on the encryption in the thread of the request, so that none waits for another."""
        if self._context is None:
            super().finish_request(request, client_address)
            return
        request.settimeout(SECONDS_TO_ASK)
        with self._context.wrap_socket(request, server_side=True) as secured:
            super().finish_request(secured, client_address)

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Pass over a browser that hangs up, or does not trust the certificate."""
