"""What Calc's component keeps of earlier calls; the office's own modules are stood in for."""

from __future__ import annotations

import importlib.util
import sys
from types import ModuleType

import pytest

from weavefuncs import addin
from weavefuncs.addin.cells import sheet_names


@pytest.fixture
def component(monkeypatch):
    """The component as a module of its own, and an object of it."""
    uno, helper, star = ModuleType("uno"), ModuleType("unohelper"), ModuleType("com.sun.star.uno")
    uno.getClass = lambda _name: type("Interface", (), {})
    helper.Base = type("Base", (), {})
    helper.ImplementationHelper = type(
        "ImplementationHelper", (), {"addImplementation": lambda *_arguments: None}
    )
    star.RuntimeException = type("RuntimeException", (Exception,), {})
    for name, module in {
        "uno": uno, "unohelper": helper, "com": ModuleType("com"), "com.sun": ModuleType("com.sun"),
        "com.sun.star": ModuleType("com.sun.star"), "com.sun.star.uno": star,
    }.items():  # fmt: skip
        monkeypatch.setitem(sys.modules, name, module)
    place = next(iter(addin.__path__)) + "/calc/component.py"
    spec = importlib.util.spec_from_file_location("weave_component", place)
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setattr(sys, "path", [*sys.path])
    spec.loader.exec_module(module)
    return module


def test_what_was_told_before_is_told_again(component):
    weave = component.Weave(None)
    for _ in range(5):
        assert weave.ends(15.0, 24.0) == ((360.0,),)
        assert weave.why("ENDS", (15.0, 24.0)) == (("",),)
    for name in ("ENDS", "WHY"):
        assert component.method(f"WEAVE.{name}").cache_info().misses == 1


def test_whole_columns_are_not_kept_without_end(component):
    """Each change of a cell hands on all of its range anew."""
    weave = component.Weave(None)
    rows = 5_000
    for changed in range(200):
        column = tuple((float(10 + changed + row),) for row in range(rows))
        assert weave.ends(column, 10.0)[0][0] == 10 * (10 + changed)
    kept = component.method("WEAVE.ENDS").cache_info().currsize
    assert kept * 2 * rows <= component.MOST_CELLS_KEPT


def test_a_name_that_is_no_function_is_none(component):
    weave = component.Weave(None)
    assert all(hasattr(weave, name.partition(".")[2].lower()) for name in sheet_names())
    with pytest.raises(AttributeError):
        weave.tea_break(1.0)
