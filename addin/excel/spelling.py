"""How the functions and their arguments are spelled in VBA."""

from __future__ import annotations

from typing import TYPE_CHECKING

from weavefuncs.addin.reference import words

if TYPE_CHECKING:
    from weavefuncs.registry import Function

# Words that VBA keeps for itself: "VBA Language Specification", reserved identifiers; from memory.
RESERVED = frozenset(
    [
        "abs", "addressof", "and", "any", "array", "as", "attribute", "boolean", "byref", "byte", "byval",
        "call", "case", "cbool", "cbyte", "ccur", "cdate", "cdbl", "cdec", "cdecl", "cint", "circle",
        "clng", "clnglng", "clngptr", "close", "const", "csng", "cstr", "currency", "cvar", "cverr", "date",
        "debug", "decimal", "declare", "defbool", "defbyte", "defcur", "defdate", "defdbl", "defdec",
        "defint", "deflng", "deflnglng", "deflngptr", "defobj", "defsng", "defstr", "defvar", "dim", "do",
        "doevents", "double", "each", "else", "elseif", "empty", "end", "endif", "enum", "eqv", "erase",
        "event", "exit", "false", "fix", "for", "friend", "function", "get", "global", "gosub", "goto",
        "if", "imp", "implements", "in", "input", "inputb", "int", "integer", "is", "lbound", "len", "lenb",
        "let", "like", "lineinput", "lock", "long", "longlong", "longptr", "loop", "lset", "me", "mod",
        "new", "next", "not", "nothing", "null", "on", "open", "option", "optional", "or", "paramarray",
        "preserve", "print", "private", "pset", "public", "put", "raiseevent", "redim", "rem", "resume",
        "return", "rset", "scale", "seek", "select", "set", "sgn", "shared", "single", "spc", "static",
        "step", "stop", "string", "sub", "tab", "then", "to", "true", "type", "typeof", "ubound", "unlock",
        "until", "variant", "wend", "while", "with", "withevents", "write", "xor",
    ]
)  # fmt: skip

# Names that xlwings' wrappers use themselves; an argument of that name would hide them.
TAKEN = frozenset(
    [
        "activeworkbook", "app", "application", "argsarray", "caller", "err", "failed", "k", "range",
        "thisworkbook", "workbook", "xlpy",
    ]
)  # fmt: skip


def function_name(function: Function) -> str:
    """Spell the name of a function: VBA takes no dot."""
    return function.sheet_name.replace(".", "_")


def argument_name(name: str) -> str:
    """Spell the name of an argument: a word that VBA keeps for itself gets an underscore."""
    return f"{name}_" if name in RESERVED or name in TAKEN else name


def category(function: Function) -> str:
    """Name the category of a function in the function wizard."""
    return f"Weaving: {words.MODULES[function.module]}"
