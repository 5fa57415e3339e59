"""What holds for every registered function."""

from __future__ import annotations

import ast
import doctest
import inspect
import math
import re
import typing
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import registry
from weavefuncs._docstring import SECTIONS
from weavefuncs._index import FUNCTIONS, SHEET_NAMES
from weavefuncs._parameters import plain_number
from weavefuncs.shared.sources import SOURCES

ROOT = Path(__file__).resolve().parents[1]

# A function wizard cuts longer texts.
WIZARD = 255

RESULT_KINDS = ("number", "whole", "text", "column of wholes", "row of wholes", "grid", "table")
NUMERIC_KINDS = ("number", "whole", "fraction", "yarn", "length unit", "mass unit", "sett unit")

# The catalogue as agreed: names, positional order, and the defaults that it fixes (... leaves one open).
# More arguments may follow, all of them optional.
CATALOGUE = {
    "yarn": """
        tex(yarn)
        count(yarn, system)
        plied(yarns, twist_take_up=0)
        yarn_length(mass, yarn, mass_unit="g", length_unit="m")
        yarn_mass(length, yarn, length_unit="m", mass_unit="g")
        yarn_diameters(yarn, constant=0.9, per="in")
        yarn_diameter(yarn, specific_volume=1.1)
        yarn_weight_class(wraps)
    """,
    "sett": """
        sett_from_wraps(wraps, weave, firmness=1)
        sett_from_diameters(yarn, weave, constant=0.9, firmness=1, per="in")
        sett_for_yarns(warp, weft, weave, constant=0.9, firmness=1, per="in")
        weft_faced_sett(warp, weft, constant=0.9, per="in")
        weft_faced_picks(weft, constant=0.9, per="in")
        sett_from_float(yarn, weave, constant=200, exponent="by weave", per="in")
        sett_for_new_yarn(sett, yarn, new_yarn)
        sett_for_new_weave(sett, weave, new_weave)
        twill_angle(sett, weft_sett, picks_moved=1, ends_moved=1)
        picks_for_angle(sett, angle, picks_moved=1, ends_moved=1)
        finished_sett(sett, shrinkage, draw_in=0)
        cover_factor(sett, yarn, per="in")
        cloth_cover(warp_cover, weft_cover, full=28)
    """,
    "reed": """
        sley_order(sett, dents)
        sleyed_sett(order, dents)
        dents_needed(ends, order)
        reed_width(ends, order, dents)
        best_reed(sett, reeds)
        reed_dents(number, system)
        peg_sett(pegs, threads_per_peg)
        heddles(threading)
        heddles_on_shaft(threading, shaft, ends)
    """,
    "warp": """
        crimp(yarn_length, cloth_length)
        take_up(yarn_length, cloth_length)
        crimp_from_take_up(take_up)
        take_up_from_crimp(crimp)
        contraction_estimate(weft_sett, weave, weft, constant=4, per="in")
        shrinkage(before, after)
        draw_in(reed_width, woven_width)
        length_to_weave(finished_length, shrinkage=0)
        width_in_reed(finished_width, shrinkage=0, draw_in=0)
        ends(width, sett, repeat=1, balance=0, extra=0, parity="any")
        picks_for(length, weft_sett, repeat=1, balance=0)
        warp_length(woven_length, pieces=1, between=0, take_up=0, waste=0)
        pieces_from_warp(warp_length, woven_length, between=0, take_up=0, waste=0)
        warp_yarn(ends, warp_length)
        weft_yarn(woven_length, weft_sett, width, take_up=0, tails=0)
        frame_warp_yarn(ends, frame_length, tie=0)
        frame_usable_length(frame_length, unweavable, take_up=0)
        bouts(ends, ends_per_bout)
        warp_turns(warp_length, turn_length)
        yarn_to_buy(expected, spread, risk=0.05)
        put_ups(needed, put_up)
        left_over(needed, put_up)
    """,
    "weave": """
        repeat_ends(weave)
        repeat_picks(weave)
        intersections(weave, system="weft")
        average_float(weave, system="weft")
        satin_moves(ends)
        lift(weave, end, pick, reversals="")
        pick_code(weave, ends, pick, reversals="")
        pick_text(weave, ends, pick, reversals="", from_side="left", floating_selvedge=False)
        drawdown(weave, ends, picks, reversals="")
        drawdown_from_draft(threading, tie_up, treadling, ends=0, picks=0)
        lift_plan(tie_up, treadling)
        longest_float(cloth, system="either", ends=0, picks=0, reversals="")
        float_length(threads, sett)
        float_span(threads, sett, shrinkage=0, draw_in=0)
        float_slack(threads, sett, shrinkage=0, draw_in=0, yarn_shrinkage=0)
        float_sag(span, slack)
        float_limit(use, per="in")
        floats_over(grid, limit, sett=..., weft_sett=...)
        uncaught_ends(cloth, ends=0, picks=0, reversals="")
        edge_check(weave, ends, picks, reversals="", first_side="left")
        longest_turn_float(weave, ends, picks, reversals)
        turn_rows(picks, reversals="")
        repeat_rows(weave, reversals="", weft_order="none")
        longest_edge_float(weave, ends, picks, reversals="", first_side="left", floating_selvedge=False)
        uncaught_turns(weave, ends, picks, reversals="", first_side="left", side="both")
        shafts_needed(grid)
        treadles_needed(grid)
        threading(grid)
        tie_up(grid)
        treadling(grid)
        colour_of(order, thread)
        colour_count(order, threads, colour)
        pick_colours(weave, ends, pick, reversals="", warp_order="none", weft_order="none")
        colour_key(warp_order, weft_order="none")
    """,
    "draft": """
        grid_as_weave(grid, first_end=1, ends=0, first_pick=1, picks=0)
        draft_as_weave(threading, tie_up, treadled, first_pick=1, picks=0)
        shaft_of(weave, end, numbering="as they appear")
        treadle_of(weave, pick, numbering="as they appear")
        tie_up_code(weave, shaft, numbering="as they appear")
        lift_code(weave, pick, numbering="as they appear")
        draft_name(order)
        tabby(threading)
        doubled_neighbours(weave, system="warp")
        untied_threads(weave)
    """,
    "chevron": """
        chevron_rows(rows_up, legs=2, symmetrical=False)
        chevron_rows_left(rows_woven, rows_up)
        chevron_position(row, rows_up)
        reversal_rows(rows_up, rows)
        chevron_fit(length, weft_sett, rows_up, symmetrical=True)
        chevron_rows_for(length, weft_sett, legs)
        chevron_height(rows_up, weft_sett)
        point_ends(ends_per_leg, points)
    """,
    "cloth": """
        cloth_mass(sett, warp, warp_crimp, weft_sett, weft, weft_crimp, per="cm", result="g/m2")
        crimp_height(spacing, crimp, coefficient=1.3333333333333333)
        cloth_thickness(warp_crimp_height, warp_diameter, weft_crimp_height=0, weft_diameter=0)
        weft_crimp(warp_crimp, warp_spacing, weft_spacing, warp_diameter, weft_diameter, coefficient=...)
        crimp_height_exact(spacing, crimp, warp_diameter, weft_diameter)
        weft_crimp_exact(warp_crimp, warp_spacing, weft_spacing, warp_diameter, weft_diameter)
        balanced_crimp(system, warp_spacing, weft_spacing, warp_diameter, weft_diameter)
        cloth_closeness(warp_spacing, weft_spacing, warp_diameter, weft_diameter)
        plain_cloth(sett, warp, weft_sett, weft, known="neither", crimp=0, specific_volume=1.1, per="in")
        jammed_spacing(warp_spacing, warp_diameter, weft_diameter)
        yarn_for_cloth_weight(yarn, old_weight, new_weight)
        sett_for_cloth_weight(sett, old_weight, new_weight)
        fibre_content(masses, fibres)
    """,
    "costing": """
        weaving_hours(picks, picks_per_minute, efficiency=1)
        hours_for(count, per_hour)
        cloth_per_hour(picks_per_minute, weft_sett, efficiency=1)
        batch_cost(setup, each, quantity)
        unit_cost(setup, each, quantity)
        break_even_quantity(setup, price, each)
        price_from_markup(cost, markup)
        price_from_margin(cost, margin)
        markup(price, cost)
        margin(price, cost)
        net_after_fees(price, rate, flat=0)
        price_for_net(net, rate, flat=0)
        kit_cost(amounts, prices, extras=0, winding_loss=0)
        kits_from_stock(stock, per_kit)
        limiting_yarn(stock, per_kit, names)
    """,
    "stash": """
        length_left(weighed, tare, yarn, mass_unit="g", length_unit="m")
        short_by(needed, have)
        covers(needed, have, spare=0)
        stash_value(length_left, put_up_length, put_up_price)
    """,
    "piece": """
        fit_piece(width, length, weave, dents, sett, weft_sett=0, reversals="")
        fit_code(width, length, weave, dents, sett, weft_sett=0, reversals="")
        stripe_ends(widths, colours, sett, ends=0, times=1, balanced=False, repeat=1, ends_a_dent=1)
        need_spread(first, second=0, third=0, fourth=0, fixed=0)
        yarn_at_least(expected, spread, risk=0.05)
    """,
    "records": """
        allowance(measured, confidence=0.9)
        spread(measured)
    """,
    "explain": """
        why(name, *arguments)
    """,
}

DECLARED = {
    name: function for module in registry.CORE_MODULES for name, function in registry.declared(module).items()
}


def catalogued() -> dict[str, tuple[str, ast.arguments]]:
    """Read the catalogue above: name to module and arguments."""
    found = {}
    for module, text in CATALOGUE.items():
        for line in text.split("\n"):
            if line.strip():
                (definition,) = ast.parse(f"def {line.strip()}: ...").body
                assert isinstance(definition, ast.FunctionDef)
                found[definition.name] = module, definition.args
    return found


every_function = pytest.mark.parametrize("function", DECLARED.values(), ids=DECLARED.keys())


# The catalogue


def test_the_functions_are_those_of_the_catalogue() -> None:
    assert {name: function.module for name, function in DECLARED.items()} == {
        name: module for name, (module, _) in catalogued().items()
    }


@pytest.mark.parametrize("name", catalogued())
def test_positional_order_and_defaults_are_those_of_the_catalogue(name: str) -> None:
    _, arguments = catalogued()[name]
    defaults = dict(zip([argument.arg for argument in arguments.args][::-1], arguments.defaults[::-1]))
    parameters = DECLARED[name].parameters
    assert [parameter.name for parameter in parameters][: len(arguments.args)] == [
        argument.arg for argument in arguments.args
    ]
    for parameter in parameters[: len(arguments.args)]:
        written = defaults.get(parameter.name)
        assert parameter.required == (written is None), parameter.name
        if written is not None and ast.literal_eval(written) is not ...:
            assert parameter.default == ast.literal_eval(written), parameter.name
    for parameter in parameters[len(arguments.args) :]:
        assert not parameter.required, parameter.name
    assert DECLARED[name].variadic == (arguments.vararg is not None)


def test_the_index_names_every_function_and_its_module() -> None:
    assert {name: function.module for name, function in DECLARED.items()} == FUNCTIONS


def test_sheet_names_are_unique_short_and_of_letters_only() -> None:
    names = [function.sheet_name for function in DECLARED.values()]
    # Underscores vanish in a sheet name: two Python names must differ by more.
    assert len(set(names)) == len(names) == len(SHEET_NAMES)
    for name in names:
        assert re.fullmatch(r"WEAVE\.[A-Z]{2,24}", name)


# Declarations


@every_function
def test_all_sections_are_there_in_order_and_filled(function: registry.Function) -> None:
    sections = function.docstring.sections
    assert tuple(sections) == SECTIONS
    for name, lines in sections.items():
        assert any(line.strip() for line in lines), name


@every_function
def test_signature_and_docstring_agree(function: registry.Function) -> None:
    signature = inspect.signature(getattr(wf, function.name))
    entries = function.docstring.parameters
    assert [
        str(given).partition(":")[0].partition("=")[0].strip() for given in signature.parameters.values()
    ] == [entry.name for entry in entries]
    for entry in entries:
        if entry.name.startswith("*"):
            continue
        default = signature.parameters[entry.name].default
        assert (entry.default is None) == (default is inspect.Parameter.empty), entry.name
        if entry.default is not None:
            written = ast.literal_eval(entry.default)
            assert (written, type(written)) == (default, type(default)), entry.name


@every_function
def test_types_say_what_callers_give_and_not_what_the_body_receives(function: registry.Function) -> None:
    # A type checker reads them from the installed package: a yarn is given as a text, and a weave too.
    types = typing.get_type_hints(getattr(wf, function.name))
    result = types.pop("return")
    assert list(types) == [entry.name.lstrip("*") for entry in function.docstring.parameters]
    assert set(types.values()) == {registry.Value}
    if any(parameter.column for parameter in function.parameters):
        assert result is registry.Value


@every_function
def test_first_line_and_arguments_fit_a_function_wizard(function: registry.Function) -> None:
    docstring = function.docstring
    for text in (docstring.summary, *(entry.description for entry in docstring.parameters)):
        assert 0 < len(text) < WIZARD
        assert text.endswith(".")
    assert len(docstring.returns) == 1
    assert docstring.returns[0].description.endswith(".")


@every_function
def test_references_are_keys_of_the_bibliography(function: registry.Function) -> None:
    keys = re.findall(r"\[([^\]]*)\]", " ".join(function.docstring.sections["References"]))
    assert keys
    assert set(keys) <= set(SOURCES)


def test_every_source_is_cited() -> None:
    cited = [" ".join(function.docstring.sections["References"]) for function in DECLARED.values()]
    for folder in (ROOT / "shared", ROOT / "tests" / "evidence"):
        cited += [path.read_text("utf-8") for path in folder.glob("*.py") if path.name != "sources.py"]
    assert set(SOURCES) <= set(re.findall(r"\w+", " ".join(cited)))


@every_function
def test_notes_state_the_valid_range(function: registry.Function) -> None:
    assert "Valid range:" in " ".join(function.docstring.sections["Notes"])


@every_function
def test_examples_run_and_call_the_function(function: registry.Function) -> None:
    module = __import__(f"weavefuncs.{function.module}", fromlist=["__name__"])
    test = doctest.DocTestParser().get_doctest(
        function.body.__doc__ or "", vars(module), function.name, None, None
    )
    assert any(re.search(rf"\b{function.name}\(", example.source) for example in test.examples)
    problems: list[str] = []
    doctest.DocTestRunner(optionflags=doctest.FAIL_FAST).run(test, out=problems.append)
    assert not problems, "".join(problems)


@every_function
def test_zero_is_the_default_or_refused_for_every_optional_number(function: registry.Function) -> None:
    # One host hands a blank cell on as 0, whatever the type of the argument.
    for parameter in function.parameters:
        if parameter.required:
            continue
        if parameter.kind == "logical":
            zero_is_blank = parameter.default is False
        elif parameter.bounds is not None:
            zero_is_blank = parameter.converted_default == 0 or not parameter.bounds.holds(0)
        else:
            zero_is_blank = parameter.kind != "grid" and not parameter.is_list
        if parameter.name == "symmetrical" and parameter.default is True:
            continue  # the catalogue fixes this default: see the test below
        assert zero_is_blank, parameter.name


def test_the_one_default_of_true_is_known() -> None:
    true = [
        (name, parameter.name)
        for name, function in DECLARED.items()
        for parameter in function.parameters
        if parameter.default is True
    ]
    assert true == [("chevron_fit", "symmetrical")]


@every_function
def test_kinds_of_results_and_columns(function: registry.Function) -> None:
    assert function.result_kind in RESULT_KINDS
    several = function.result_kind not in ("number", "whole", "text")
    for parameter in function.parameters:
        assert not (several and parameter.column), parameter.name
        assert not (parameter.column and (parameter.is_list or parameter.kind == "grid")), parameter.name
        if function.style == "formula" and parameter.column:
            # Columns of texts to choose from are taken row by row.
            assert parameter.kind in (*NUMERIC_KINDS, "choice"), parameter.name
        if parameter.bounds is not None:
            assert parameter.bounds.low < parameter.bounds.high
    if function.style == "formula":
        assert function.result_kind in ("number", "whole")


# Any function with any arguments: a result of its kind, or a WeaveError


class Unprintable:
    """An object that cannot be written out."""

    def __repr__(self) -> str:
        raise RuntimeError("no")


class Odd:
    """An object that pretends to be a number and an array, and is neither."""

    ndim = "two"
    dtype = 7

    def __float__(self) -> float:
        raise ArithmeticError("no")


JUNK = [
    None, True, False, 0, -1, 0.5, 1e-320, 1e308, -1e308, 2**53 + 1, 10**400, math.nan, math.inf,
    -math.inf, 1j, b"12",
    "", " ", "x", "0", "-", "/", "1/0", "9,9,", "(" * 40, "9" * 400, "１２", "\ud800", "nan", "a\nb",
    [], (), [[]], [None], [math.nan], [True], [[0]], [[1, 0], [1]], [["1", 2]], {}, {1: 2}, set(),
    range(3), object(),
    Unprintable(), Odd(), len, np.float64(2), np.int8(3), np.bool_(True), np.array(2.5), np.array("x"),
    np.array([1.0, np.nan]), np.array([True]), np.array([], dtype=float), np.array([[1, 0], [0, 1]]),
    np.array([2, 3]),
    np.array(["plain", "8/2 Ne"]), np.array([None, 1], dtype=object), np.array([1 + 1j]), np.array([b"a"]),
    np.array(["2020-01-01"], dtype="datetime64[ns]"), np.ma.array([1.0, 2.0], mask=[False, True]),
    pd.Series([1, 2]), pd.Series([1.5, 2.5], index=[5, 6]), pd.Series(["plain", None]), pd.NA, pd.NaT,
    pd.DataFrame({"a": [1, 0]}), pd.Index([1, 2]), pd.array([1, None], dtype="Int64"), pd.Timestamp(0),
]  # fmt: skip

NUMBERS = [
    0,
    1,
    2,
    3,
    4,
    5,
    8,
    9,
    12,
    20,
    24.5,
    0.1,
    0.25,
    0.999999,
    100,
    1000,
    1e6,
    1e7,
    1e9,
    -3,
    [2, 4],
    [1, 8, 30],
    np.array([4.0, 9.0]),
]
TEXTS = {
    "yarn": ["8/2 Ne", "3360 yd/lb", "400 m/100 g", "74 tex", "2 Ne x 3", "16/2 Nm", ["8/2 Ne", "20 tex"]],
    "yarn text": ["8/2 Ne", "74 tex", "120 denier"],
    "yarn system": ["Ne", "tex", "yd/lb", "m/100 g"],
    "weave": ["plain", "2/2 herringbone 8", "5 satin", [[1, 0], [0, 1]], ["plain", "3/1 twill"]],
    "grid": [[[1, 0], [0, 1]], [[1, 1, 0], [0, 1, 1]], [[1]], [[0, 0], [0, 0]]],
    "reversals": ["9,9", "9", "9,5", "3, 3, 3"],
    "sley order": ["1-1-2", "2", "0-1", 2],
    "colour order": ["8 white, 4 blue", "(2 red, 2 grey) x 6", "red"],
    "length unit": ["m", "yd", "inches"],
    "mass unit": ["g", "oz"],
    "sett unit": ["in", "cm"],
    "text": ["white", "Scotch", "left"],
}  # fmt: skip


def sensible(parameter: registry.Parameter) -> list[object]:
    """Values that the argument may well take."""
    if parameter.choices:
        return list(parameter.choices)
    if parameter.is_list:
        inner = parameter.kind.removeprefix("list of ").removesuffix("s")
        return [[value, value] for value in TEXTS.get(inner, NUMBERS)] + [TEXTS.get(inner, NUMBERS)[:4]]
    return [True, False] if parameter.kind == "logical" else TEXTS.get(parameter.kind, NUMBERS)


def arguments_of(function: registry.Function) -> st.SearchStrategy[list[object]]:
    """Mostly sensible arguments, some of them junk, the last ones left out."""
    one = [
        st.one_of(*[st.sampled_from(sensible(parameter))] * 3, st.sampled_from(JUNK))
        for parameter in function.parameters
    ]
    junk = st.lists(st.sampled_from(JUNK), max_size=len(one) + 1)
    sensible_only = st.tuples(*[st.sampled_from(sensible(parameter)) for parameter in function.parameters])
    return st.one_of(st.tuples(*one), sensible_only, junk).map(list)


def is_of_kind(kind: str, value: object) -> bool:
    if kind in ("number", "whole", "text"):
        if isinstance(value, (list, np.ndarray, pd.Series)):
            return all(
                is_of_kind(kind, item) for item in (value if isinstance(value, list) else value.tolist())
            )
        if kind == "text":
            return isinstance(value, str)
        return plain_number(value) is not None and (kind == "number" or isinstance(value, int))
    return isinstance(value, (list, tuple))


@every_function
@settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=list(HealthCheck),
)
@given(data=st.data())
def test_junk_gives_a_result_of_its_kind_or_a_plain_refusal(
    function: registry.Function, data: st.DataObject
) -> None:
    arguments = data.draw(arguments_of(function))
    refused: wf.WeaveError | None = None
    try:
        result = getattr(wf, function.name)(*arguments)
    except wf.WeaveError as error:
        refused = error
    if refused is None:
        assert is_of_kind(function.result_kind, result)
        return
    text = str(refused)
    assert text.startswith(f"{function.name}: ")
    assert " must be " in text
    assert "\n" not in text
    assert len(text) < 1500
