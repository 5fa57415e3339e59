"""Serve the folder of files to this computer, and to no other."""

from __future__ import annotations

from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import ssl

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
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    # The name of the folder says the version, but while a page is worked on a version changes.
    "Cache-Control": "no-cache",
}

# What Excel in a browser, at an address of Microsoft's, asks for itself: open to every page, there is nothing
# of the user in it. Source: "Manually create JSON metadata for custom functions".
OPEN = {"Access-Control-Allow-Origin": "*", "Cross-Origin-Resource-Policy": "cross-origin"}
CLOSED = {"Cross-Origin-Resource-Policy": "same-origin"}

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
    """Hand out the files of one folder, under its own name."""

    extensions_map = TYPES
    protocol_version = "HTTP/1.1"
    server_version = "weavefuncs"
    sys_version = ""
    timeout = SECONDS_TO_ASK

    def __init__(self, *args: Any, site: Path, **kwargs: Any) -> None:
        self.place = f"/{site.name}/"
        super().__init__(*args, directory=str(site.parent), **kwargs)

    def send_head(self) -> Any:
        """Refuse a foreign name and what lies outside the folder; else open the file."""
        hosts = self.headers.get_all("Host", [])
        if len(hosts) != 1 or hosts[0].partition(":")[0].lower() not in OWN_NAMES:
            self.send_error(HTTPStatus.MISDIRECTED_REQUEST, "This server is for this computer alone")
            return None
        if not self._inside():
            self.send_error(HTTPStatus.NOT_FOUND, "Not found")
            return None
        return super().send_head()

    def list_directory(self, _path: Any) -> None:
        """Tell nothing of what a folder holds."""
        self.send_error(HTTPStatus.NOT_FOUND, "Not found")

    def end_headers(self) -> None:
        asked = getattr(self, "path", "").partition("?")[0].removeprefix(self.place)
        is_open = asked == "metadata.json" or asked.startswith("icons/")
        for name, value in {**HEADERS, **(OPEN if is_open else CLOSED)}.items():
            self.send_header(name, value)
        super().end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        """Keep no record of what is asked."""

    def _inside(self) -> bool:
        file = Path(self.translate_path(self.path))
        return file.is_relative_to(Path(self.directory) / self.place.strip("/"))


class Server(ThreadingHTTPServer):
    """The server, on this computer's own address.

    Parameters
    ----------
    site : Path
        The folder that is handed out.
    port : int
        Port to listen at; 0 for any that is free.
    context : ssl.SSLContext, optional
        The certificate; without one it speaks plainly.
    """

    daemon_threads = True

    def __init__(self, site: Path, port: int, context: ssl.SSLContext | None = None) -> None:
        super().__init__((ADDRESS, port), partial(Handler, site=site))
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
