"""The command ``addin`` for the page and for Excel on every system: what it prints, and its exit status."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from weavefuncs.addin.web import certificate
from weavefuncs.addin.web.build import HERE, PORT, build, is_site, site_name
from weavefuncs.addin.web.serve import Server
from weavefuncs.addin.web.toolchain import WebError

if TYPE_CHECKING:
    import argparse

NOT_IN, REFUSED = 1, 2

BUILT_FOR_HERE = """\
wrote {site}
To have it on this computer alone: weavefuncs addin serve web{out}
  which also says how Excel takes it.
To have it on the net: build it again with --origin and the address where it will be found."""

BUILT_FOR_THE_NET = """\
wrote {site}
Put this folder, as it is, on the static host, to be found at
  {origin}/{name}/
  and let that host send  Access-Control-Allow-Origin: *  with metadata.json.
Then give Excel the file {name}/manifest.xml."""

# How the certificate is trusted, by the name of the system.
TRUST = {
    "win32": 'certutil -user -addstore Root "{path}"',
    "darwin": 'security add-trusted-cert -r trustRoot -p ssl "{path}"',
}
# certutil is Debian's package libnss3-tools.
TRUST_ELSEWHERE = 'certutil -d sql:"$HOME/.pki/nssdb" -A -t P,, -n weavefuncs -i "{path}"'

UNTRUST = {
    "win32": 'certutil -user -delstore Root "weavefuncs on this computer"',
    "darwin": 'security delete-certificate -c "weavefuncs on this computer"',
}
UNTRUST_ELSEWHERE = 'certutil -d sql:"$HOME/.pki/nssdb" -D -n weavefuncs'

SIDELOAD = """\
To have the functions in Excel, give it {manifest}
  in the browser: Home, Add-ins, More Add-ins, Upload My Add-in
  on a Mac: copy it into  ~/Library/Containers/com.microsoft.Excel/Data/Documents/wef  (make that folder),
    start Excel again; Home, Add-ins
  on Windows: put it into a shared folder that is a trusted catalogue;
    Home, Add-ins, More Add-ins, Shared Folder
This could not be tried in Excel. To check: =WEAVE.ENDS(15,24) shows 360."""


def run(given: argparse.Namespace) -> int:
    """Do it and tell what came of it."""
    folder = Path(given.out or ".")
    try:
        if given.action == "build":
            return _build(folder, given.out, given.origin or HERE)
        if given.action == "serve":
            return _serve(folder)
        return {"install": _install, "remove": _remove, "status": _status}[given.action]()
    except WebError as problem:
        print(f"weavefuncs addin: {problem}", file=sys.stderr)
        return REFUSED


def _build(folder: Path, out: str | None, origin: str) -> int:
    site, plain = build(folder, origin), origin.rstrip("/")
    told = BUILT_FOR_HERE if plain == HERE.rstrip("/") else BUILT_FOR_THE_NET
    print(told.format(site=site, out=f" --out {out}" if out else "", origin=plain, name=site_name()))
    return 0


def _serve(folder: Path) -> int:
    site = folder.resolve() / site_name()
    if not is_site(site):
        raise WebError(f"{site} is not there: weavefuncs addin build web makes it, with the same --out")
    proof, new = certificate.certificate()
    try:
        server = Server(site, PORT, proof.context())
    except OSError as problem:
        raise WebError(f"port {PORT} of this computer cannot be had ({problem.strerror})") from problem
    if new:
        print(f"made a certificate for this computer alone: {proof.path}")
        print(f"Its fingerprint (SHA-256): {proof.fingerprint}")
        print("Trust it once, by this line in a shell; weavefuncs addin remove web takes it back:")
        print("  " + TRUST.get(sys.platform, TRUST_ELSEWHERE).format(path=proof.path))
        print("  (Firefox: open the page, and agree to the exception.)")
    print(f"The page: {HERE}/{site.name}/")
    manifest = site / "manifest.xml"
    if f'"{HERE}/' in manifest.read_text(encoding="utf-8"):
        print(SIDELOAD.format(manifest=manifest))
    else:
        print("For Excel build it again without --origin: its manifest names another address.")
    print("Only this computer is answered. Ctrl+C ends it.", flush=True)
    with server:
        server.serve_forever()
    return 0


def _install() -> int:
    raise WebError(
        "there is nothing to install here: weavefuncs addin build web writes the files, "
        "weavefuncs addin serve web serves them and says how Excel takes them"
    )


def _remove() -> int:
    if not certificate.remove():
        print("no certificate is there: there is nothing to remove")
        return 0
    print("removed: the certificate and its key. What trusts it still, forgets it by")
    print("  " + UNTRUST.get(sys.platform, UNTRUST_ELSEWHERE))
    print("Folders that were built stay: delete them as you like.")
    return 0


def _status() -> int:
    found = certificate.existing()
    if found is None:
        print("no certificate: weavefuncs addin serve web makes one")
        return NOT_IN
    print(f"certificate: {found.path}, until {found.until:%Y-%m-%d}")
    print(f"Its fingerprint (SHA-256): {found.fingerprint}")
    return 0
