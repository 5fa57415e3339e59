"""The registry: a function is declared once, where it is written.

``formula`` and ``row`` are the two decorators. Both read the arguments from
the docstring, convert and check what was given, and let columns through:

- ``formula``: the body uses operators only, so one body serves a float, a
  numpy array and a pandas Series; only a column of texts to choose from is
  taken row by row;
- ``row``: the body may branch and use texts; a column is taken row by row.

Hosts, reference pages and the workbook ask :func:`names` and :func:`get`.
"""

from __future__ import annotations

import sys

from weavefuncs._columns import Column, like, same_rows
from weavefuncs._docstring import Docstring
from weavefuncs._index import FUNCTIONS, SHEET_NAMES
from weavefuncs._parameters import INFINITY, Parameter
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from typing import Any, TypeVar

    F = TypeVar("F", bound=Callable[..., Any])

    Value = Any
else:
    # Signatures are read at run time too, and typing takes longer to import than most functions to run.
    Value = object

CORE_MODULES = (
    "yarn",
    "sett",
    "reed",
    "warp",
    "weave",
    "draft",
    "chevron",
    "cloth",
    "costing",
    "stash",
    "piece",
    "records",
    "explain",
)

# The types of nearly every single value: what has them needs no closer look.
ONE_VALUE = frozenset((float, int, str))

# How the spreadsheet programs spell the part before a name.
SPELLED_BEFORE = ("_XLDUDF_", "WEAVE.", "WEAVE_")

# Beyond this a float no longer tells neighbouring whole numbers apart.
LARGEST_WHOLE = 2**53

# The flag that CPython sets on a function with ``*arguments``.
CO_VARARGS = 0x04


class Function:
    """A registered function: what it takes, what it gives, and how to call it.

    Attributes
    ----------
    name : str
        The Python name.
    style : str
        ``formula`` or ``row``.
    body : callable
        The undecorated function.
    like : Function or None
        The function that declares the arguments, where the body takes those of another one by name in one
        mapping.
    """

    __slots__ = (
        "_arity",
        "_compiled",
        "_docstring",
        "_positions",
        "_result_kind",
        "_run",
        "_variadic",
        "body",
        "like",
        "name",
        "style",
    )

    def __init__(self, body: Callable[..., Any], style: str, like: Function | None = None) -> None:
        self.body = self._run = body
        self.like = like
        self.style = style
        self.name = body.__name__
        self._compiled: tuple[Parameter, ...] | None = None
        self._docstring: Docstring | None = None
        self._variadic = bool(body.__code__.co_flags & CO_VARARGS)

    @property
    def sheet_name(self) -> str:
        """The name in a spreadsheet."""
        return "WEAVE." + self.name.upper().replace("_", "")

    @property
    def module(self) -> str:
        """The module that declares it, which is also its heading."""
        return self.body.__module__.rpartition(".")[2]

    @property
    def docstring(self) -> Docstring:
        """The docstring, read on first use."""
        if self._docstring is None:
            if not self.body.__doc__:
                raise RuntimeError(
                    "weavefuncs reads its arguments from docstrings: run Python without the option -OO"
                )
            shared = self.like.docstring.parameters if self.like else None
            self._docstring = Docstring(self.body.__doc__, shared)
        return self._docstring

    @property
    def parameters(self) -> tuple[Parameter, ...]:
        """The arguments in order, compiled on first use."""
        if self._compiled is None:
            self._compile()
        return self._compiled  # type: ignore[return-value]

    @property
    def variadic(self) -> bool:
        """Whether the last argument stands for any number of them."""
        return self._variadic

    @property
    def result_kind(self) -> str:
        """Kind of the result, such as ``number``, ``text``, ``grid``."""
        return self.docstring.returns[0].kind

    def _compile(self) -> None:
        body = self.like.body if self.like else self.body
        code = body.__code__
        names = code.co_varnames[: code.co_argcount]
        defaults = body.__defaults__ or ()
        required = len(names) - len(defaults)
        entries = [entry for entry in self.docstring.parameters if not entry.name.startswith("*")]
        if tuple(entry.name for entry in entries) != names:
            raise SyntaxError(f"{self.name}: the docstring's arguments differ from the signature's")
        if self.like:
            self._run = lambda *values: self.body(dict(zip(names, values)))
        self._arity = len(names)
        self._result_kind = self.result_kind
        self._positions = {name: position for position, name in enumerate(names)}
        self._compiled = tuple(
            Parameter(
                entry, position < required, None if position < required else defaults[position - required]
            )
            for position, entry in enumerate(entries)
        )

    def call(self, args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        """Call with positional and named arguments."""
        parameters = self._compiled or self.parameters
        rest: tuple[Any, ...] = ()
        if self.variadic:
            args, rest = args[: self._arity], args[self._arity :]
        if kwargs or len(args) > self._arity:
            args = self._bound(args, kwargs)
        converted: list[Any] = []
        columns: list[Column] | None = None
        left_out = len(parameters) - len(args)
        try:
            for parameter, value in zip(parameters, (*args, *(None,) * left_out) if left_out else args):
                if value is None:
                    if parameter.required:
                        raise parameter.missing()
                    converted.append(parameter.converted_default)
                elif type(value) in ONE_VALUE or not parameter.takes_rows(value):
                    converted.append(parameter.convert(value))
                else:
                    column = Column(parameter, value)
                    columns = [column] if columns is None else [*columns, column]
                    converted.append(column)
            if columns is None:
                return self.finished((*converted, *rest))
            return self._call_columns(converted, columns)
        except WeaveError as error:
            error.function = error.function or self.name
            raise

    def _bound(self, args: tuple[Any, ...], kwargs: dict[str, Any]) -> tuple[Any, ...]:
        if len(args) > self._arity:
            error = WeaveError("the number of arguments", f"at most {self._arity}", len(args))
            error.function = self.name
            raise error
        values = list(args) + [None] * (self._arity - len(args))
        for name, value in kwargs.items():
            position = self._positions.get(name, -1)
            if position < len(args):
                known = "" if position < 0 else ", given once"
                error = WeaveError("a named argument", "one of " + ", ".join(self._positions) + known, name)
                error.function = self.name
                raise error
            values[position] = value
        return tuple(values)

    def finished(self, values: Sequence[Any]) -> Any:
        """Call the body with converted arguments, and refuse a result that is no ordinary number."""
        try:
            value = self._run(*values)
        except (OverflowError, ZeroDivisionError):
            raise WeaveError(
                "the result", "within the range of ordinary numbers", "arguments too far apart"
            ) from None
        kind = self._result_kind
        if kind in ("number", "whole"):
            if value - value != 0 or isinstance(value, complex):
                raise WeaveError("the result", "within the range of ordinary numbers", value)
            if kind == "whole":
                if abs(value) > LARGEST_WHOLE:
                    raise WeaveError("the result", "within the range of whole numbers", value)
                return int(value)
        elif kind == "table":
            for cells in value:
                for cell in cells:
                    if type(cell) is float and cell - cell != 0:
                        raise WeaveError("the result", "within the range of ordinary numbers", cell)
        return value

    def _call_columns(self, converted: list[Any], columns: list[Column]) -> Any:
        rows = same_rows(columns)
        arrays = any(column.array is not None for column in columns)
        texts = any(column.parameter.choices for column in columns)
        if self.style == "formula" and arrays and not texts:
            values = [
                value.vector(sys.modules) if isinstance(value, Column) else value for value in converted
            ]
            # What overflows or has no result is refused below: numpy need not warn of it as well.
            with sys.modules["numpy"].errstate(all="ignore"):
                result = self.body(*values)
            low, high = (result.min(), result.max()) if rows else (0, 0)
            if not (low > -INFINITY and high < INFINITY):
                # What is no number is not below infinity either.
                raise _out_of_range(result, ~(abs(result) < INFINITY), "ordinary numbers")
            if self._result_kind == "whole":
                if low < -LARGEST_WHOLE or high > LARGEST_WHOLE:
                    raise _out_of_range(result, abs(result) > LARGEST_WHOLE, "whole numbers")
                result = result.astype("int64")
            return like(columns, result, self._result_kind, sys.modules)
        by_row = [value.converted() if isinstance(value, Column) else [value] * rows for value in converted]
        results = []
        for number, row_values in enumerate(zip(*by_row), start=1):
            try:
                results.append(self.finished(row_values))
            except WeaveError as error:
                error.row = number
                raise
        return like(columns, results, self._result_kind, sys.modules)


def _out_of_range(result: Any, refused: Any, numbers: str) -> WeaveError:
    """Return the refusal of the first row of a result that is to be refused."""
    at = int(refused.argmax())
    return WeaveError("the result", f"within the range of {numbers}", result[at].item(), row=at + 1)


def formula(body: F) -> F:
    """Register a function whose body uses operators only."""
    return _registered(body, "formula")


def row(body: F) -> F:
    """Register a function whose body may branch and is called row by row."""
    return _registered(body, "row")


def row_like(other: F) -> Callable[[Callable[[dict[str, Any]], Any]], F]:
    """Register a function with the arguments of another one; its body gets them by name in one mapping."""
    like: Function = other.__weave__  # type: ignore[attr-defined]

    def registered(body: Callable[[dict[str, Any]], Any]) -> F:
        return _registered(body, "row", like)  # type: ignore[return-value]

    return registered


def _registered(body: F, style: str, like: Function | None = None) -> F:
    function = Function(body, style, like)

    def call(*args: Any, **kwargs: Any) -> Any:
        return function.call(args, kwargs)

    declaring = like.body if like else body
    for attribute in ("__name__", "__qualname__", "__module__", "__doc__"):
        setattr(call, attribute, getattr(body, attribute))
    call.__annotations__ = declaring.__annotations__
    # ``inspect.signature`` and ``help`` follow __wrapped__; the registry is found through __weave__.
    call.__wrapped__ = declaring  # type: ignore[attr-defined]
    call.__weave__ = function  # type: ignore[attr-defined]
    return call  # type: ignore[return-value]


def names() -> tuple[str, ...]:
    """Return the Python names of all registered functions, module by module."""
    return tuple(FUNCTIONS)


def get(name: str) -> Function:
    """Return a registered function by its Python or sheet name, in any spelling of a spreadsheet.

    Raises
    ------
    WeaveError
        When no function has that name.
    """
    wanted = name.strip().upper()
    for prefix in SPELLED_BEFORE:
        wanted = wanted.removeprefix(prefix)
    plain = SHEET_NAMES.get(wanted.replace("_", ""), "")
    module = FUNCTIONS.get(plain)
    if module is None:
        raise WeaveError("name", "the name of a function, such as SETTFROMWRAPS", name)
    function = getattr(__import__(f"weavefuncs.{module}", fromlist=[plain]), plain)
    return function.__weave__  # type: ignore[no-any-return]


def declared(module: str) -> dict[str, Function]:
    """Return the functions that a module declares, in the order they stand in it."""
    loaded = __import__(f"weavefuncs.{module}", fromlist=["__name__"])
    return {
        name: value.__weave__
        for name, value in vars(loaded).items()
        if hasattr(value, "__weave__") and value.__module__ == loaded.__name__
    }
