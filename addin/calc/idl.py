"""The interface of the extension, one method a function: as text, or compiled by the development kit.

The office reads the text as it is: versions 7.4 and 25.2 do. The compiled form is for one that refuses it.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from weavefuncs.addin.calc.office import AddInError, find_development_kit
from weavefuncs.addin.calc.spelling import INTERFACE, INTERFACE_MODULE, REST, identifier

if TYPE_CHECKING:
    from collections.abc import Iterable

    from weavefuncs.registry import Function


def interface(functions: Iterable[Function]) -> str:
    """Write the interface: every argument takes anything, and so all can be left out."""
    methods = "".join(f"        {_method(function)}\n" for function in functions)
    return (
        f"module {INTERFACE_MODULE} {{\n"
        f"    interface {INTERFACE} : com::sun::star::uno::XInterface {{\n{methods}    }};\n"
        f"}};\n"
    )


def compile_interface(text: str) -> bytes:
    """Compile the interface.

    Raises
    ------
    AddInError
        When there is no development kit beside the office, or it refuses the interface.
    """
    office = find_development_kit()
    compiler, types = office / "sdk" / "bin" / "unoidl-write", office / "program" / "types.rdb"
    with tempfile.TemporaryDirectory() as folder:
        source, compiled = Path(folder) / "weave.idl", Path(folder) / "weave.rdb"
        source.write_text(text, encoding="utf-8")
        done = subprocess.run(
            [compiler, types, source, compiled], capture_output=True, text=True, check=False
        )
        if done.returncode:
            raise AddInError(
                f"the development kit of LibreOffice refused the interface: {done.stderr.strip()}"
            )
        return compiled.read_bytes()


def _method(function: Function) -> str:
    arguments = [f"[in] any {identifier(parameter.name)}" for parameter in function.parameters]
    if function.variadic:
        arguments.append(f"[in] sequence< any > {REST}")
    return f"sequence< sequence< any > > {identifier(function.name)}({', '.join(arguments)});"
