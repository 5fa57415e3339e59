"""The module of VBA in an interpreter of VBA: that of LibreOffice, which is not Excel's.

It has no conditional compilation, so the branch for Excel is taken out by hand. There is no Excel that called
and no xlwings to call, which is what a broken set-up looks like: every wrapper must come to its error value.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from xml.sax.saxutils import escape

sys.path.insert(0, str(Path(__file__).parent))
from office import Office
from windows_stand_ins import windows

from weavefuncs import registry
from weavefuncs.addin.excel import spelling, vba

SECONDS = "60"

MODULE = """\
<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script"
  script:name="Module1" script:language="StarBasic">{text}</script:module>
"""

LIBRARY = """\
<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard"
  library:readonly="false" library:passwordprotected="false"><library:element library:name="Module1"/>
</library:library>
"""

MAIN = """\
Option VBASupport 1
Sub Main
    Dim file
    file = FreeFile
    Open "{out}" For Output As file
{lines}    Close file
End Sub
"""


def branch_for_excel(text: str) -> str:
    text = re.sub(r"^(Attribute|#Const) .*\n", "", text, flags=re.MULTILINE)
    text = re.sub(r"^ *#If .*\n((?:.*\n)*?) *#Else\n(?:.*\n)*? *#End If\n", r"\1", text, flags=re.MULTILINE)
    # Without a sheet there is no caller to ask.
    return text.replace("If TypeOf Application.Caller Is Range Then ", "")


def test_it_compiles_and_every_wrapper_comes_to_an_error_value() -> None:
    with windows():
        text = branch_for_excel(vba.module_text().replace("\r\n", "\n"))
    functions = [registry.get(name) for name in registry.names()]
    lines = ""
    for function in functions:
        name = spelling.function_name(function)
        given = ", ".join(["1"] * sum(parameter.required for parameter in function.parameters))
        lines += f"    result = {name}({given})\n"
        lines += f'    Print #file, "{name} " & TypeName(result) & " " & CStr(result)\n'
    with Office() as office:
        office.run("soffice", "--headless", "--terminate_after_init")
        out = office.folder / "out.txt"
        basic = office.profile / "user" / "basic" / "Standard"
        source = MAIN.format(out=out, lines=lines) + text
        (basic / "Module1.xba").write_text(MODULE.format(text=escape(source)), encoding="utf-8")
        (basic / "script.xlb").write_text(LIBRARY, encoding="utf-8")
        # What does not compile asks the user what now, and would wait for an answer.
        profile = f"-env:UserInstallation={office.profile.as_uri()}"
        call = "macro:///Standard.Module1.Main"
        office.run("timeout", "-k", "5", SECONDS, "soffice", "--headless", "--norestore", profile, call)
        found = out.read_text(encoding="utf-8").splitlines()
    assert found == [f"{spelling.function_name(function)} Error Error 2015" for function in functions]
