"""LibreOffice for tests: run as an ordinary user, with a profile and a folder of its own.

Not a test and no fixtures. ``with Office() as office:`` gives a folder that the
ordinary user may write, and

- ``office.speak("de-DE")`` sets a country whose numbers have a comma, say;
- ``office.install(oxt)`` installs an extension into the private profile;
- ``office.convert(file, "xlsx")`` opens, recalculates and saves, and gives the new file;
- ``office.run("soffice", ...)`` or ``office.start(...)`` for all else: with that profile, as that user.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from pathlib import Path

from weavefuncs.addin.calc.office import environment

# Debian's and most others' user without rights; made where it is lacking.
USER = "nobody"
OFFICE_PROGRAMS = ("soffice", "unopkg")
LONGEST = 300

SETTINGS = """\
<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
  <item oor:path="/org.openoffice.Setup/L10N">
    <prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>{}</value></prop>
  </item>
</oor:items>
"""


def ordinary_user() -> pwd.struct_passwd | None:
    """The user that the office runs as; None where the tests run as an ordinary user already."""
    if os.geteuid():
        return None
    try:
        return pwd.getpwnam(USER)
    except KeyError:
        subprocess.run(["useradd", "--system", "--user-group", USER], check=True)
        return pwd.getpwnam(USER)


class Office:
    """A private profile of the installed office, in a folder that goes away in the end."""

    def __init__(self) -> None:
        self.user = ordinary_user()
        self.folder = Path(tempfile.mkdtemp(prefix="office-"))
        self.profile = self.folder / "profile"
        self._own(self.folder)
        self.environment = {
            # As a user has it: settings for the Python of the tests must not reach that of the office.
            **{
                name: value
                for name, value in environment().items()
                if not name.startswith(("XDG_", "PYTHON"))
            },
            "HOME": str(self.folder),
            "TMPDIR": str(self.folder),
            "LC_ALL": "C.UTF-8",
        }

    def __enter__(self) -> Office:
        return self

    def __exit__(self, *_: object) -> None:
        shutil.rmtree(self.folder)

    def _own(self, path: Path) -> None:
        if self.user:
            os.chown(path, self.user.pw_uid, self.user.pw_gid)

    def adopt(self, file: Path) -> Path:
        """Copy a file into the folder, owned by the ordinary user, unless it lies there already."""
        inside = self.folder / file.name
        if file != inside:
            shutil.copyfile(file, inside)
        self._own(inside)
        return inside

    def command(self, *words: str | Path) -> list[str]:
        """The command, with the private profile where it is one of the office."""
        program, *rest = map(str, words)
        if program in OFFICE_PROGRAMS:
            rest.append(f"-env:UserInstallation={self.profile.as_uri()}")
        return [program, *rest]

    def start(self, *words: str | Path, stdin: int = subprocess.DEVNULL) -> subprocess.Popen[str]:
        """Start a command as the ordinary user and leave it running."""
        return subprocess.Popen(
            self.command(*words),
            stdin=stdin,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            cwd=self.folder,
            env=self.environment,
            **self._identity(),
        )

    def run(self, *words: str | Path) -> str:
        """Run a command as the ordinary user to its end and return what it printed."""
        done = subprocess.run(
            self.command(*words),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            cwd=self.folder,
            env=self.environment,
            timeout=LONGEST,
            check=False,
            **self._identity(),
        )
        assert done.returncode == 0, f"{words}: {done.stdout}"
        return done.stdout

    def _identity(self) -> dict[str, object]:
        if self.user is None:
            return {}
        return {"user": self.user.pw_uid, "group": self.user.pw_gid, "extra_groups": []}

    def speak(self, locale: str) -> None:
        """Take the numbers and the dates of another country: to be said before the office starts first."""
        user = self.profile / "user"
        settings = user / "registrymodifications.xcu"
        user.mkdir(parents=True)
        settings.write_text(SETTINGS.format(locale), "utf-8")
        for path in (self.profile, user, settings):
            self._own(path)

    def install(self, extension: Path) -> None:
        """Install an extension into the private profile."""
        self.run("unopkg", "add", "--force", self.adopt(extension))

    def convert(self, file: Path, to: str, folder: str = "converted") -> Path:
        """Open, recalculate and save: ``to`` is an extension, perhaps with a filter, as soffice takes it."""
        out = self.folder / folder
        out.mkdir(exist_ok=True)
        self._own(out)
        self.run("soffice", "--headless", "--convert-to", to, "--outdir", out, self.adopt(file))
        return out / f"{file.stem}.{to.partition(':')[0]}"
