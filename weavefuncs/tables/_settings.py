"""Settings: what stays the same over a whole table, checked by the functions that will use it."""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan
from typing import TYPE_CHECKING, Any, NamedTuple

from weavefuncs._parameters import UNIT_KINDS
from weavefuncs.errors import MissingError, WeaveError
from weavefuncs.registry import get

if TYPE_CHECKING:
    from weavefuncs._parameters import Parameter


class Setting(NamedTuple):
    """One setting: the function and argument whose bounds it keeps, its default, and what it means."""

    function: str
    argument: str
    default: object
    meaning: str

    @property
    def parameter(self) -> Parameter:
        """The argument of the function that the setting goes to."""
        return argument(self.function, self.argument)


# None: has no default, and is missed where it is needed.
SETTINGS = {
    "per": Setting("weft_faced_sett", "per", "in", "unit of widths and lengths, and of setts: in or cm"),
    "length_unit": Setting("yarn_mass", "length_unit", "m", "unit of lengths of yarn"),
    "mass_unit": Setting("yarn_mass", "mass_unit", "g", "unit of weights of yarn"),
    "wage": Setting("unit_cost", "each", None, "money an hour"),
    "overhead": Setting("unit_cost", "each", None, "money an hour: rent, tools, power"),
    "take_up": Setting("warp_length", "take_up", None, "warp take-up, a share of the warp"),
    "weft_slack": Setting(
        "weft_yarn", "take_up", None, "slack of a pick beyond the width in the reed, a share"
    ),
    "draw_in": Setting("width_in_reed", "draw_in", None, "a share of the width in the reed"),
    "shrinkage": Setting("length_to_weave", "shrinkage", None, "in length, a share of the woven length"),
    "shrinkage_width": Setting("width_in_reed", "shrinkage", None, "in width, a share of the woven width"),
    "waste": Setting("warp_length", "waste", None, "loom waste once a warp, in the unit of the lengths"),
    "between": Setting("warp_length", "between", 0, "left unwoven between two pieces, in the same unit"),
    "ends_wound_an_hour": Setting("hours_for", "per_hour", None, "ends wound in an hour"),
    "ends_threaded_an_hour": Setting("hours_for", "per_hour", None, "ends threaded and sleyed in an hour"),
    "picks_a_minute": Setting("weaving_hours", "picks_per_minute", None, "without a stop"),
    "efficiency": Setting("weaving_hours", "efficiency", None, "share of the time really weaving"),
    "finishing_hours": Setting("hours_for", "count", None, "hours of finishing for one piece"),
    "spread": Setting("yarn_to_buy", "spread", None, "of yarn need: standard deviation over mean"),
    "risk": Setting("yarn_to_buy", "risk", 0.05, "share of pieces or kits that may run short"),
    "margin": Setting(
        "price_from_margin", "margin", None, "profit as a share of what fees leave of the price"
    ),
    "markup": Setting(
        "price_from_markup", "markup", None, "instead of a margin: profit as a share of the cost"
    ),
    "fee_rate": Setting("net_after_fees", "rate", 0, "fees as a share of the price"),
    "fee_flat": Setting("net_after_fees", "flat", 0, "fee for each piece sold"),
    "winding_loss": Setting("kit_cost", "winding_loss", 0, "share of the yarn taken that winding loses"),
}


def argument(function: str, name: str) -> Parameter:
    """Return the argument of a registered function."""
    return next(parameter for parameter in get(function).parameters if parameter.name == name)


def is_blank(value: object) -> bool:
    """Tell whether a cell or a setting holds nothing."""
    if value is None or (isinstance(value, str) and not value.strip()):
        return True
    # By their names: settings are read without pandas.
    return type(value).__name__ in ("NAType", "NaTType") or (isinstance(value, float) and isnan(value))


def need_mapping(name: str, given: object) -> None:
    """Refuse what has no names and values."""
    if not isinstance(given, Mapping):
        raise WeaveError(name, "a mapping such as a dict", given)


def read_settings(given: Mapping[str, Any], wanted: tuple[str, ...]) -> dict[str, Any]:
    """Check the settings and return those wanted, None where one is not given and has no default.

    Numbers of any type become those of Python; units stay texts.

    Raises
    ------
    WeaveError
        When they are no mapping, or a setting is unknown or lies outside its range.
    """
    need_mapping("settings", given)
    for name in given:
        if name not in SETTINGS:
            raise WeaveError("settings", "named among " + ", ".join(SETTINGS), name)
    read = {}
    for name in wanted:
        setting = SETTINGS[name]
        value = given.get(name)
        if is_blank(value):
            read[name] = setting.default
        else:
            parameter = setting.parameter
            converted = checked(name, parameter, value)
            # A unit is handed on to functions, which take it as it is written.
            read[name] = value if parameter.kind in UNIT_KINDS else converted
    return read


def checked(name: str, parameter: Parameter, value: Any) -> Any:
    """Convert a value as the function's argument would, and name the setting or column where it refuses."""
    try:
        return parameter.convert(value)
    except WeaveError as error:
        raise WeaveError(name, error.requirement, value) from None


def needed(settings: Mapping[str, Any], *names: str) -> None:
    """Refuse settings in which one of the names is missing."""
    for name in names:
        if settings[name] is None:
            raise MissingError(name, f"in the settings: {SETTINGS[name].meaning}")


def one_way_to_price(settings: Mapping[str, Any]) -> None:
    """Refuse settings that give no margin and no markup, or both."""
    if settings["margin"] is None and settings["markup"] is None:
        raise MissingError("margin", f"or markup in the settings: {SETTINGS['margin'].meaning}")
    if settings["margin"] is not None and settings["markup"] is not None:
        raise WeaveError("markup", "left out where a margin is given", settings["markup"])
