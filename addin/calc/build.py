"""Write the extension for LibreOffice Calc.

``build(path)`` needs no office, no compiler and no network, and gives the same
bytes each time. To try it in a profile of its own::

    unopkg add -env:UserInstallation=file:///tmp/profile weavefuncs.oxt
    soffice -env:UserInstallation=file:///tmp/profile

In tests use ``tests/hosts/office.py``, which does that as an ordinary user.
"""

from __future__ import annotations

import zipfile
from importlib.metadata import version
from pathlib import Path

from weavefuncs.addin.calc.idl import compile_interface, interface
from weavefuncs.addin.calc.spelling import COMPONENT
from weavefuncs.addin.calc.xcu import descriptions
from weavefuncs.addin.travels import travelling
from weavefuncs.registry import get, names

IDENTIFIER = "weavefuncs.calc"
FILE_NAME = "weavefuncs.oxt"
OLDEST_OFFICE = "7.4"

COMPONENT_FILE = "weave_component.py"
TYPES_FILE, COMPILED_TYPES_FILE = "weave.idl", "weave.rdb"

# A zip file cannot say "no date"; this is the first that it can say.
NO_DATE = (1980, 1, 1, 0, 0, 0)
READABLE_FILE = 0o100644 << 16

DESCRIPTION = """\
<?xml version="1.0" encoding="UTF-8"?>
<description xmlns="http://openoffice.org/extensions/description/2006"
  xmlns:d="http://openoffice.org/extensions/description/2006"
  xmlns:lo="http://libreoffice.org/extensions/description/2011">
  <identifier value="{identifier}"/>
  <version value="{version}"/>
  <display-name><name lang="en">weavefuncs: functions for weaving</name></display-name>
  <dependencies>
    <lo:LibreOffice-minimal-version value="{office}" d:name="LibreOffice {office}"/>
  </dependencies>
</description>
"""

COMPONENTS = """\
<?xml version="1.0" encoding="UTF-8"?>
<components xmlns="http://openoffice.org/2010/uno-components">
  <component loader="com.sun.star.loader.Python" uri="{file}">
    <implementation name="{name}"><service name="{name}"/></implementation>
  </component>
</components>
"""

MANIFEST = """\
<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">
{entries}</manifest:manifest>
"""

KINDS = {
    ".idl": "application/vnd.sun.star.uno-typelibrary;type=RDB",
    ".rdb": "application/vnd.sun.star.uno-typelibrary;type=RDB",
    ".components": "application/vnd.sun.star.uno-components",
    ".xcu": "application/vnd.sun.star.configuration-data",
}


def build(path: str | Path, compiled: bool = False) -> Path:
    """Write the extension.

    Parameters
    ----------
    path : str or Path
        File to write, or a folder that shall hold ``weavefuncs.oxt``.
    compiled : bool
        Whether the interface goes in compiled, for an office that refuses it as text. It takes the
        development kit of LibreOffice.

    Returns
    -------
    Path
        The file written.
    """
    path = Path(path)
    if path.is_dir():
        path /= FILE_NAME
    members = extension_files(compiled)
    with zipfile.ZipFile(path, "w") as archive:
        for name in sorted(members):
            member = zipfile.ZipInfo(name, NO_DATE)
            member.external_attr = READABLE_FILE
            member.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(member, members[name])
    return path


def extension_files(compiled: bool = False) -> dict[str, bytes]:
    """Return what the extension holds: name to content."""
    functions = [get(name) for name in names()]
    description = DESCRIPTION.format(
        identifier=IDENTIFIER, version=version("weavefuncs"), office=OLDEST_OFFICE
    )
    types = interface(functions)
    files = {
        "CalcAddIns.xcu": descriptions(functions).encode(),
        "weave.components": COMPONENTS.format(file=COMPONENT_FILE, name=COMPONENT).encode(),
        **({COMPILED_TYPES_FILE: compile_interface(types)} if compiled else {TYPES_FILE: types.encode()}),
    }
    entries = "".join(
        f'  <manifest:file-entry manifest:full-path="{name}" '
        f'manifest:media-type="{KINDS[Path(name).suffix]}"/>\n'
        for name in files
    )
    files["META-INF/manifest.xml"] = MANIFEST.format(entries=entries).encode()
    files["description.xml"] = description.encode()
    files[COMPONENT_FILE] = Path(__file__).with_name("component.py").read_bytes()
    for name, source in travelling().items():
        files[f"pythonpath/weavefuncs/{name}"] = source.read_bytes()
    return files
