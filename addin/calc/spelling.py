"""How the functions and their arguments are spelled for the office."""

from __future__ import annotations

# The office calls a function by the name of the component and the name of the method, one dot between.
# With a component name that has a dot of its own, a formula in an .xlsx is not found.
COMPONENT = "WEAVE"

INTERFACE_MODULE, INTERFACE = "weaving", "XWeave"

# Argument that takes all arguments from the last named one on.
REST = "arguments"

# Words of the interface language that are written like a method or an argument.
# fmt: off
KEYWORDS = frozenset((
    "any", "attribute", "boolean", "bound", "byte", "char", "const", "constants", "constrained", "double",
    "enum", "exception", "float", "get", "hyper", "in", "inout", "interface", "long", "maybeambiguous",
    "maybedefault", "maybevoid", "module", "optional", "out", "property", "published", "raises", "readonly",
    "removable", "sequence", "service", "set", "short", "singleton", "string", "struct", "transient", "type",
    "typedef", "unsigned", "void",
))
# fmt: on


def identifier(name: str) -> str:
    """Spell a Python name for the interface language, which has no underscores: ``settFromWraps``.

    Raises
    ------
    ValueError
        When the name is a word of that language.
    """
    first, *others = name.split("_")
    spelled = first + "".join(map(str.capitalize, others))
    if spelled in KEYWORDS:
        raise ValueError(f"{name} is a word of the interface language of the office: choose another name")
    return spelled
