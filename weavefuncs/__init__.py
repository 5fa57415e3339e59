"""Loom and yarn arithmetic for handweavers.

Every function of the catalogue is an attribute of this package; its module is
loaded when the function is first asked for.
"""

from weavefuncs._index import FUNCTIONS

__all__ = ["WeaveError", *FUNCTIONS]  # noqa: PLE0604 - the names are texts of a generated table


def __getattr__(name: str) -> object:
    module = "errors" if name == "WeaveError" else FUNCTIONS.get(name)
    if module is None:
        raise AttributeError(f"module 'weavefuncs' has no attribute {name!r}")
    value = getattr(__import__(f"weavefuncs.{module}", fromlist=[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
