"""The reason behind an error, in plain words."""

from __future__ import annotations

from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, get, row


@row
def why(name: Value, *arguments: Value) -> str:
    """Why a function refuses its arguments, in plain words; an empty text when it accepts them.

    Parameters
    ----------
    name : text
        Name of the function, such as ENDS or WEAVE.ENDS.
    *arguments : any
        The arguments as they would be given to that function.

    Returns
    -------
    text
        The reason, or an empty text.

    Raises
    ------
    WeaveError
        When no function has that name.

    Notes
    -----
    Valid range: any function but this one, with any arguments.

    Examples
    --------
    >>> why("twill_angle", 0, 12)
    'twill_angle: sett must be a number above 0 and at most 10000; got 0'
    >>> why("TWILLANGLE", 12, 12)
    ''

    References
    ----------
    [EXACT]
    """
    function = get(name)
    if function.variadic:
        raise WeaveError("name", "the name of a function other than WHY itself", name)
    try:
        function.call(arguments, {})
    except WeaveError as error:
        return str(error)
    return ""
