"""``weavefuncs addin serve web``: who is answered and how, and the certificate by which it is known."""

from __future__ import annotations

import contextlib
import http.client
import socket
import ssl
import stat
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from cryptography import x509

from weavefuncs.addin.cli import addin_web, main
from weavefuncs.addin.web import certificate
from weavefuncs.addin.web.build import HERE, site_name
from weavefuncs.addin.web.manifest import manifest
from weavefuncs.addin.web.serve import POLICY, Server

# A folder as the build writes it, as far as a server sees it.
FILES = {
    "index.html": b"<!doctype html>",
    "functions.json": b"[]",
    "metadata.json": b"{}",
    "manifest.xml": manifest(HERE, site_name(), "1.0", "assets/page.js").encode(),
    "assets/page.js": b"export {};",
    "icons/icon-16.png": b"PNG",
    "pyodide/pyodide.mjs": b"export {};",
    "pyodide/pyodide.asm.wasm": b"\0asm",
    "weavefuncs-1.0-py3-none-any.whl": b"PK",
}


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("served") / site_name()
    for name, content in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    (folder.parent / "diary.txt").write_text("warp 12")
    (folder.parent / f"{folder.name}-old").mkdir()
    (folder.parent / f"{folder.name}-old" / "diary.txt").write_text("warp 13")
    return folder


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Give a folder of a user of its own, as a fresh computer has it."""
    with pytest.MonkeyPatch.context() as patch:
        folder = tmp_path_factory.mktemp("home")
        patch.setenv("XDG_DATA_HOME", str(folder / "data"))
        yield folder


@pytest.fixture(scope="module")
def proof(home: Path) -> certificate.Certificate:
    made, new = certificate.certificate()
    assert new
    return made


@pytest.fixture(scope="module")
def port(site: Path, proof: certificate.Certificate) -> Iterator[int]:
    with Server(site, 0, proof.context()) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield server.server_port
        server.shutdown()
        thread.join()


@contextlib.contextmanager
def connected(port: int, proof: certificate.Certificate) -> Iterator[http.client.HTTPSConnection]:
    """Connect as a browser does that trusts this certificate and no other."""
    context = ssl.create_default_context(cafile=str(proof.path))
    connection = http.client.HTTPSConnection("localhost", port, context=context)
    with contextlib.closing(connection):
        yield connection


def ask(
    port: int, proof: certificate.Certificate, path: str, *hosts: str, method: str = "GET"
) -> tuple[int, http.client.HTTPMessage, bytes]:
    with connected(port, proof) as connection:
        connection.putrequest(method, path, skip_host=True)
        for host in hosts or (f"localhost:{port}",):
            connection.putheader("Host", host)
        connection.endheaders()
        answer = connection.getresponse()
        return answer.status, answer.headers, answer.read()


# Who is answered


def test_it_listens_to_this_computer_alone(site: Path) -> None:
    with Server(site, 0) as server:
        assert server.server_address[0] == "127.0.0.1"
        others = {place[4][0] for place in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
        for other in others - {"127.0.0.1"}:
            with socket.socket() as line, pytest.raises(OSError, match="refused"):
                line.connect((other, server.server_port))


@pytest.mark.parametrize(
    "hosts",
    [
        ("looms.example",),
        ("looms.example:{port}",),
        ("localhost.looms.example:{port}",),
        ("127.0.0.1.looms.example",),
        ("localhost@looms.example",),
        ("",),
        ("localhost:{port}", "looms.example"),
    ],
)
def test_a_foreign_name_is_refused(
    port: int, proof: certificate.Certificate, site: Path, hosts: tuple[str, ...]
) -> None:
    """A page from elsewhere could make its own name mean this computer, and read what it is answered."""
    given = [host.format(port=port) for host in hosts]
    status, _, content = ask(port, proof, f"/{site.name}/index.html", *given)
    assert status == 421
    assert FILES["index.html"] not in content


@pytest.mark.parametrize("host", ["localhost:{port}", "127.0.0.1:{port}", "LOCALHOST"])
def test_its_own_names_are_answered(port: int, proof: certificate.Certificate, site: Path, host: str) -> None:
    status, _, content = ask(port, proof, f"/{site.name}/", host.format(port=port))
    assert (status, content) == (200, FILES["index.html"])


def test_a_request_without_a_name_is_refused(port: int, proof: certificate.Certificate, site: Path) -> None:
    with connected(port, proof) as connection:
        connection.putrequest("GET", f"/{site.name}/index.html", skip_host=True)
        connection.endheaders()
        assert connection.getresponse().status == 421


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/diary.txt",
        "/{site}/../diary.txt",
        "/{site}/%2e%2e/diary.txt",
        "/{site}/..%2fdiary.txt",
        "/{site}-old/diary.txt",
        "/{site}/icons/",
        "/{site}/icons",
        "/{site}/none.html",
        "//{site}/../diary.txt",
    ],
)
def test_what_lies_outside_or_is_no_file_is_not_there(
    port: int, proof: certificate.Certificate, site: Path, path: str
) -> None:
    status, headers, content = ask(port, proof, path.format(site=site.name))
    # The name of a folder without its stroke is answered with the name that has one.
    assert status == 404 or (status, headers["Location"]) == (301, f"/{site.name}/icons/")
    assert b"warp" not in content
    assert b"icon-16" not in content


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS"])
def test_nothing_but_reading_is_answered(
    port: int, proof: certificate.Certificate, site: Path, method: str
) -> None:
    assert ask(port, proof, f"/{site.name}/index.html", method=method)[0] == 501


# How it is answered


@pytest.mark.parametrize(
    ("file", "kind"),
    [
        ("index.html", "text/html; charset=utf-8"),
        ("functions.json", "application/json"),
        ("assets/page.js", "text/javascript; charset=utf-8"),
        ("pyodide/pyodide.mjs", "text/javascript; charset=utf-8"),
        ("pyodide/pyodide.asm.wasm", "application/wasm"),
        ("weavefuncs-1.0-py3-none-any.whl", "application/zip"),
        ("icons/icon-16.png", "image/png"),
        ("manifest.xml", "application/xml"),
    ],
)
def test_each_file_has_its_type_and_the_headers_of_caution(
    port: int, proof: certificate.Certificate, site: Path, file: str, kind: str
) -> None:
    status, headers, content = ask(port, proof, f"/{site.name}/{file}?in=excel")
    assert (status, content) == (200, FILES[file])
    assert headers["Content-Type"] == kind
    assert headers["Content-Security-Policy"] == POLICY
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"


def test_only_what_excel_in_a_browser_asks_for_itself_is_open_to_other_pages(
    port: int, proof: certificate.Certificate, site: Path
) -> None:
    opened = {
        file
        for file in FILES
        if ask(port, proof, f"/{site.name}/{file}")[1]["Access-Control-Allow-Origin"] is not None
    }
    assert opened == {"metadata.json", "icons/icon-16.png"}
    refused = ask(port, proof, f"/{site.name}/none.json")[1]
    assert refused["Access-Control-Allow-Origin"] is None
    assert refused["Content-Security-Policy"] == POLICY


def test_a_silent_caller_keeps_nobody_waiting(port: int, proof: certificate.Certificate, site: Path) -> None:
    with socket.create_connection(("127.0.0.1", port)):
        assert ask(port, proof, f"/{site.name}/index.html")[0] == 200


# The certificate


def test_the_key_is_the_users_alone(proof: certificate.Certificate) -> None:
    assert stat.S_IMODE(proof.key.stat().st_mode) == 0o600
    assert stat.S_IMODE(proof.key.parent.stat().st_mode) == 0o700


def test_it_vouches_for_this_computer_and_for_nothing_else(proof: certificate.Certificate) -> None:
    read = x509.load_pem_x509_certificate(proof.path.read_bytes())
    names = read.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.DNSName) == ["localhost"]
    assert list(map(str, names.get_values_for_type(x509.IPAddress))) == ["127.0.0.1"]
    assert not read.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    # What browsers take: 398 days at most, CA/Browser Forum, Baseline Requirements, 6.3.2.
    assert (read.not_valid_after_utc - read.not_valid_before_utc).days <= 398


def test_openssl_agrees_that_it_holds_for_localhost(proof: certificate.Certificate) -> None:
    command = ["openssl", "verify", "-verify_hostname", "localhost", "-purpose", "sslserver", "-CAfile"]
    subprocess.run([*command, proof.path, proof.path], check=True, capture_output=True)


def test_one_that_is_there_is_kept(proof: certificate.Certificate) -> None:
    again, new = certificate.certificate()
    assert not new
    assert again == proof


def test_a_caller_that_does_not_trust_it_is_not_answered(port: int, proof: certificate.Certificate) -> None:
    connection = http.client.HTTPSConnection("localhost", port, context=ssl.create_default_context())
    with contextlib.closing(connection), pytest.raises(ssl.SSLCertVerificationError):
        connection.request("GET", "/")


# The command


class Brief(Server):
    """The server, at any free port, stopped as soon as it begins."""

    def __init__(self, site: Path, port: int, context: ssl.SSLContext) -> None:
        super().__init__(site, 0, context)

    def serve_forever(self, poll_interval: float = 0.5) -> None:
        """Return, as it does when it is stopped."""


def test_it_says_how_to_trust_and_to_sideload_then_forgets(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))

    monkeypatch.setattr(addin_web, "Server", Brief)
    assert main(["addin", "status", "web"]) == 1
    assert "no certificate" in capsys.readouterr().out
    assert main(["addin", "serve", "web", "--out", str(site.parent)]) == 0
    told = capsys.readouterr().out
    assert f"https://localhost:8443/{site.name}/\n" in told
    assert str(site / "manifest.xml") in told
    assert str(tmp_path / "data" / "weavefuncs" / "localhost.crt") in told
    assert main(["addin", "serve", "web", "--out", str(site.parent)]) == 0
    assert "made a certificate" not in capsys.readouterr().out
    assert main(["addin", "status", "web"]) == 0
    assert "fingerprint" in capsys.readouterr().out
    assert main(["addin", "remove", "web"]) == 0
    assert not (tmp_path / "data" / "weavefuncs").exists()
    assert main(["addin", "remove", "web"]) == 0
    assert "nothing to remove" in capsys.readouterr().out


def test_a_manifest_for_another_address_is_not_recommended(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr(addin_web, "Server", Brief)
    folder = tmp_path / site_name()
    folder.mkdir()
    (folder / "functions.json").write_text("[]")
    (folder / "manifest.xml").write_text(manifest("https://looms.example", folder.name, "1.0", "page.js"))
    assert main(["addin", "serve", "web", "--out", str(tmp_path)]) == 0
    told = capsys.readouterr().out
    assert "without --origin" in told
    assert "give it" not in told


def test_without_the_files_it_says_what_makes_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["addin", "serve", "web", "--out", str(tmp_path)]) == 2
    assert "weavefuncs addin build web makes it" in capsys.readouterr().err


def test_a_port_in_use_is_named(
    site: Path, home: Path, port: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(addin_web, "PORT", port)
    assert main(["addin", "serve", "web", "--out", str(site.parent)]) == 2
    assert f"port {port} of this computer cannot be had" in capsys.readouterr().err


def test_without_the_package_for_certificates_it_says_what_to_install(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setitem(sys.modules, "cryptography", None)
    assert main(["addin", "serve", "web", "--out", str(site.parent)]) == 2
    assert "pip install cryptography" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("system", "place"),
    [
        ("linux", ".local/share/weavefuncs"),
        ("darwin", "Library/Application Support/weavefuncs"),
        ("win32", "AppData/Local/weavefuncs"),
    ],
)
def test_the_folder_is_where_each_system_keeps_such_things(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, system: str, place: str
) -> None:
    monkeypatch.setattr(sys, "platform", system)
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    assert certificate.data_folder() == tmp_path / place
