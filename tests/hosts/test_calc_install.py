"""``weavefuncs addin ... calc`` with the real office: what is in and out afterwards, and the exit status.

The command runs as an ordinary user in the office's own Python, from a copy of the modules, because the
Python of the tests may not be readable for that user.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

sys.path.insert(0, str(Path(__file__).parent))
from driven import Driven, python_with_uno
from office import Office

CHECKOUT = Path(__file__).resolve().parents[2]
# The full path keeps the helper from adding a private profile: this office has the user's own.
OFFICE_PROGRAM = shutil.which("soffice") or "LibreOffice is not installed"

NOT_IN, REFUSED = 1, 2


class User:
    """Someone with a home folder of their own, who types commands."""

    def __init__(self, office: Office) -> None:
        self.office = office
        library = office.folder / "library"
        no_caches = shutil.ignore_patterns("__pycache__")
        shutil.copytree(CHECKOUT / "weavefuncs", library / "weavefuncs", ignore=no_caches)
        for folder in ("addin", "shared"):
            shutil.copytree(CHECKOUT / folder, library / "weavefuncs" / folder, ignore=no_caches)
        self.metadata = library / "weavefuncs-0.dist-info" / "METADATA"
        self.metadata.parent.mkdir()
        office.environment["PYTHONPATH"] = str(library)
        self.python = python_with_uno()
        self.has_version("2.0.0")

    def has_version(self, version: str) -> None:
        self.metadata.write_text(f"Metadata-Version: 2.1\nName: weavefuncs\nVersion: {version}\n")

    def types(self, *words: str) -> tuple[int, str]:
        command = (self.python, "-m", "weavefuncs.addin.cli", "addin", *words)
        with self.office.start(*command) as process:
            said, _ = process.communicate(timeout=300)
        return process.returncode, said

    def calculates(self, formula: str) -> object:
        """What a cell shows in Calc with the user's own settings."""
        book = self.office.folder / "book.xlsx"
        with xlsxwriter.Workbook(book) as writer:
            writer.add_worksheet().write_formula("A1", formula, None, "")
        out = self.office.folder / "calculated"
        self.office.run(OFFICE_PROGRAM, "--headless", "--convert-to", "xlsx", "--outdir", out, book)
        return openpyxl.load_workbook(out / "book.xlsx", data_only=True).active["A1"].value

    def files(self) -> list[Path]:
        """Whatever of ours lies in the user's settings, by its name or by what is in it."""
        return [
            path
            for path in (self.office.folder / ".config").rglob("*")
            if "weav" in str(path.relative_to(self.office.folder)).lower()
            or (path.is_file() and b"weavefuncs" in path.read_bytes())
        ]


@pytest.fixture
def user() -> Iterator[User]:
    with Office() as office:
        yield User(office)


def test_in_twice_over_an_older_one_and_out_again(user):
    assert user.types("status", "calc") == (NOT_IN, "not installed\n")
    user.has_version("1.0.0")
    status, said = user.types("install", "calc")
    assert status == 0
    assert "installed: version 1.0.0 for this user\n" in said
    assert str(user.office.folder / ".config" / "libreoffice") in said
    assert "=WEAVE.ENDS(15,24)" in said

    user.has_version("2.0.0")
    status, said = user.types("status", "calc")
    assert status == 0
    assert "installed: version 1.0.0" in said
    assert "This is version 2.0.0" in said

    status, said = user.types("install", "calc")
    assert (status, said.splitlines()[0]) == (0, "installed: version 2.0.0 for this user, in place of 1.0.0")
    status, said = user.types("install", "calc")
    assert (status, said.splitlines()[0]) == (0, "installed: version 2.0.0 for this user, in place of 2.0.0")
    status, said = user.types("status", "calc")
    assert (status, said.splitlines()[0]) == (0, "installed: version 2.0.0 for this user")
    assert "This is version" not in said

    assert user.calculates("=WEAVE.ENDS(15,24)") == 360
    # By now Python has left its compiled modules there too.
    assert [path for path in user.files() if path.suffix == ".pyc"]
    assert user.types("remove", "calc") == (0, "removed: version 2.0.0 for this user\n")
    assert user.files() == []
    assert user.types("status", "calc") == (NOT_IN, "not installed\n")
    assert user.types("remove", "calc") == (0, "not installed: there is nothing to remove\n")


def test_while_the_office_is_open_nothing_changes(user):
    assert user.types("install", "calc")[0] == 0
    user.office.profile = user.office.folder / ".config" / "libreoffice" / "4"
    lock = user.office.profile / ".lock"
    with Driven(user.office) as desk:
        # The first start after an installation starts anew, and holds no lock between: once it answers it
        # is there to stay.
        desk.answers()
        for action in ("install", "remove"):
            status, said = user.types(action, "calc")
            assert status == REFUSED
            assert "LibreOffice is open: close all its windows" in said
            assert str(lock) in said
    assert not lock.exists()
    assert user.types("status", "calc")[0] == 0
    assert user.types("remove", "calc")[0] == 0
    assert user.files() == []


def test_without_the_office_it_says_so(user):
    user.office.environment["PATH"] = str(user.office.folder)
    # The usual places are where the office of this machine is; a copy of the command looks elsewhere.
    module = user.office.folder / "library" / "weavefuncs" / "addin" / "calc" / "office.py"
    module.write_text(module.read_text().replace("/usr/lib", "/nowhere").replace("/opt/", "/nowhere/"))
    for action in ("install", "remove", "status"):
        status, said = user.types(action, "calc")
        assert status == REFUSED
        assert "LibreOffice was not found" in said


# Says that the functions are in, and keeps what it was started with.
STAND_IN = """\
#!/bin/sh
echo "$PATH|$VIRTUAL_ENV|$PYTHONPATH" >> "$HOME/started-with"
printf 'Identifier: weavefuncs.calc\\n  Version: 2.0.0\\n  URL: x\\n  is registered: yes\\n'
"""

NO_PYTHON = "LibreOffice lacks its part for Python"


class StandIn:
    """An office of which only the tool for extensions is there, and names of other files."""

    def __init__(self, user: User) -> None:
        self.folder = user.office.folder
        self.program = self.folder / "opt" / "program"
        self.program.mkdir(parents=True)
        self.tool = self.script(self.program / "unopkg")
        self.bin = self.folder / "bin"
        self.bin.mkdir()
        user.office.environment["PATH"] = str(self.bin)

    def script(self, path: Path) -> Path:
        path.write_text(STAND_IN)
        path.chmod(0o755)
        return path

    def holds(self, *names: str) -> None:
        for name in names:
            (self.program / name).write_text("")

    def started_with(self) -> set[str]:
        return set((self.folder / "started-with").read_text().splitlines())


@pytest.fixture
def stand_in(user) -> StandIn:
    return StandIn(user)


def test_where_the_office_lacks_python_it_says_what_to_do(user, stand_in):
    """As Debian lays it out: the tool is a script in /usr/bin, and the office beside it is a link."""
    stand_in.holds("soffice.bin", "soffice")
    stand_in.script(stand_in.bin / "unopkg")
    (stand_in.bin / "soffice").symlink_to("../opt/program/soffice")
    for action in ("install", "status"):
        status, said = user.types(action, "calc")
        assert status == 0
        assert NO_PYTHON in said
        assert "apt install python3-uno" in said
    stand_in.holds("pythonloader.py")
    for action in ("install", "status"):
        status, said = user.types(action, "calc")
        assert (status, NO_PYTHON in said) == (0, False)


def test_where_the_tool_itself_is_a_link_it_is_followed(user, stand_in):
    """As others lay it out; the builds that LibreOffice publishes have its Python beside it as well."""
    (stand_in.bin / "unopkg").symlink_to(stand_in.tool)
    stand_in.holds("soffice.bin")
    assert NO_PYTHON in user.types("status", "calc")[1]
    (stand_in.program / "python-core-3.10.16").mkdir()
    stand_in.holds("pythonloader.py")
    assert NO_PYTHON not in user.types("status", "calc")[1]


def test_of_an_office_laid_out_in_another_way_nothing_is_said(user, stand_in):
    stand_in.script(stand_in.bin / "unopkg")
    assert NO_PYTHON not in user.types("status", "calc")[1]
    # As on macOS, where the office has another name and Python lies in another folder.
    stand_in.holds("soffice")
    (stand_in.bin / "soffice").symlink_to(stand_in.program / "soffice")
    status, said = user.types("status", "calc")
    assert status == 0
    assert said.startswith("installed: version 2.0.0 for this user\n")
    assert NO_PYTHON not in said


def test_in_a_virtual_environment_the_office_is_started_outside_of_it(user, stand_in):
    """Made by the system's Python and activated, and a path of modules with it: the office gets neither."""
    (stand_in.bin / "unopkg").symlink_to(stand_in.tool)
    virtual = stand_in.folder / "virtual"
    user.office.run("/usr/bin/python3", "-m", "venv", "--without-pip", virtual)
    user.python = str(virtual / "bin" / "python3")
    user.office.environment |= {"PATH": f"{virtual}/bin:{stand_in.bin}", "VIRTUAL_ENV": str(virtual)}
    assert user.types("install", "calc")[0] == 0
    assert stand_in.started_with() == {f"{stand_in.bin}||"}
    del user.office.environment["VIRTUAL_ENV"]
    assert user.types("status", "calc")[0] == 0
    assert stand_in.started_with() == {f"{stand_in.bin}||"}


def test_build_writes_the_file_and_says_what_to_do_with_it(user):
    out = user.office.folder / "functions.oxt"
    status, said = user.types("build", "calc", "--out", str(out))
    assert status == 0
    assert said.startswith(f"wrote {out}\n")
    assert out.stat().st_size > 10_000
    assert user.types("build", "calc", "--out", str(out / "nowhere.oxt"))[0] == REFUSED
    assert user.types("install", "calc", "--out", str(out))[0] == REFUSED
    assert user.types("remove", "calc", "--compiled")[0] == REFUSED


@pytest.fixture
def administrator(user) -> User:
    """The same as the administrator, who installs for all: here with the folder for all in the test's own."""
    if user.office.user is None:
        pytest.fail("run the tests as root: the command installs for all users only then")
    user.office.user = None
    for_all = (user.office.folder / "for-all").as_uri()
    user.office.environment["UNO_SHARED_PACKAGES"] = for_all
    user.office.environment["UNO_SHARED_PACKAGES_CACHE"] = f"{for_all}/cache"
    return user


def test_the_administrator_installs_for_all_users(administrator):
    status, said = administrator.types("install", "calc")
    assert (status, said.splitlines()[0]) == (0, "installed: version 2.0.0 for all users")
    assert "where Calc is open, start it again" in said
    for_all = administrator.office.folder / "for-all"
    assert list(for_all.rglob("weavefuncs.oxt"))

    status, said = administrator.types("install", "calc")
    assert (status, said.splitlines()[0]) == (0, "installed: version 2.0.0 for all users, in place of 2.0.0")
    assert administrator.types("status", "calc")[0] == 0

    assert administrator.types("remove", "calc") == (0, "removed: version 2.0.0 for all users\n")
    assert list(for_all.rglob("weav*")) == []
    assert administrator.files() == []
    assert administrator.types("status", "calc") == (NOT_IN, "not installed\n")


def test_what_is_in_for_all_is_the_administrators_to_take_out(administrator):
    from office import ordinary_user

    assert administrator.types("install", "calc")[0] == 0
    office = administrator.office
    subprocess.run(["chown", "-R", "--reference", office.folder, office.folder / ".config"], check=True)
    subprocess.run(["chmod", "-R", "go+rX", office.folder / "for-all"], check=True)
    office.user = ordinary_user()
    assert "installed: version 2.0.0 for all users" in administrator.types("status", "calc")[1]
    status, said = administrator.types("remove", "calc")
    assert status == REFUSED
    assert "only the administrator can take them out" in said
