"""The certificate by which this computer knows itself again: self-made, for localhost, and private.

Excel opens pages by https only. The certificate signs nothing but its own name,
so who trusts it trusts no other site by it.
"""

from __future__ import annotations

import os
import shutil
import ssl
import sys
from datetime import datetime, timedelta, timezone
from ipaddress import ip_address
from pathlib import Path
from typing import NamedTuple

from weavefuncs.addin.web.toolchain import WebError

# Browsers refuse certificates of servers that hold much longer than a year.
DAYS = 397
DAYS_LEFT_TO_RENEW = 14

KEY_FILE, CERTIFICATE_FILE = "localhost.key", "localhost.crt"

# Only the user reads and writes.
PRIVATE_FOLDER, PRIVATE_FILE = 0o700, 0o600

MISSING = (
    "the certificate is made with the package cryptography, which is not installed: "
    "pip install cryptography, or weavefuncs with its extra web"
)


class Certificate(NamedTuple):
    """A certificate that is there."""

    path: Path
    key: Path
    until: datetime
    fingerprint: str

    def context(self) -> ssl.SSLContext:
        """Return what a server speaks https with."""
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.minimum_version = ssl.TLSVersion.TLSv1_2
        context.load_cert_chain(self.path, self.key)
        return context


def data_folder() -> Path:
    """Return the folder of this user where the certificate is kept."""
    home = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", home / "AppData" / "Local")) / "weavefuncs"
    if sys.platform == "darwin":
        return home / "Library" / "Application Support" / "weavefuncs"
    return Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share") / "weavefuncs"


def certificate() -> tuple[Certificate, bool]:
    """Return the certificate, made where there is none or it ends soon, and whether it was made now.

    Raises
    ------
    WebError
        When the package that makes certificates is missing.
    """
    found = existing()
    if found is not None and found.until > datetime.now(timezone.utc) + timedelta(days=DAYS_LEFT_TO_RENEW):
        return found, False
    _make(data_folder())
    made = existing()
    if made is None:
        raise WebError(f"the certificate just made in {data_folder()} cannot be read")
    return made, True


def existing() -> Certificate | None:
    """Return the certificate that is there, if any.

    Raises
    ------
    WebError
        When the package that reads certificates is missing.
    """
    path, key = data_folder() / CERTIFICATE_FILE, data_folder() / KEY_FILE
    if not (path.is_file() and key.is_file()):
        return None
    try:
        from cryptography import x509
        from cryptography.hazmat.primitives import hashes
    except ImportError as problem:
        raise WebError(MISSING) from problem
    try:
        read = x509.load_pem_x509_certificate(path.read_bytes())
    except ValueError:
        return None
    fingerprint = read.fingerprint(hashes.SHA256()).hex(":").upper()
    return Certificate(path, key, read.not_valid_after_utc, fingerprint)


def remove() -> bool:
    """Delete certificate and key, and tell whether there were any."""
    folder = data_folder()
    there = [folder / name for name in (KEY_FILE, CERTIFICATE_FILE) if (folder / name).exists()]
    for path in there:
        path.unlink()
    if folder.is_dir() and not any(folder.iterdir()):
        shutil.rmtree(folder)
    return bool(there)


def _make(folder: Path) -> None:
    try:
        from cryptography import x509
        from cryptography.hazmat.primitives import hashes, serialization
        from cryptography.hazmat.primitives.asymmetric import ec
        from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
    except ImportError as problem:
        raise WebError(MISSING) from problem
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "weavefuncs on this computer")])
    names = [x509.DNSName("localhost"), x509.IPAddress(ip_address("127.0.0.1"))]
    now = datetime.now(timezone.utc)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        # A clock may have been wrong a moment ago.
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now + timedelta(days=DAYS))
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(PRIVATE_FOLDER)
    plain_key = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    _write_private(folder / KEY_FILE, plain_key)
    _write_private(folder / CERTIFICATE_FILE, made.public_bytes(serialization.Encoding.PEM))


def _write_private(path: Path, content: bytes) -> None:
    """Write a file that was never readable to others."""
    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, PRIVATE_FILE)
    with os.fdopen(handle, "wb") as stream:
        stream.write(content)
