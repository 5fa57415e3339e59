"""The interface of the extension, as text: one method a function."""

from __future__ import annotations

from typing import TYPE_CHECKING

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


def _method(function: Function) -> str:
    arguments = [f"[in] any {identifier(parameter.name)}" for parameter in function.parameters]
    if function.variadic:
        arguments.append(f"[in] sequence<any> {REST}")
    return f"sequence< sequence<any> > {identifier(function.name)}({', '.join(arguments)});"
