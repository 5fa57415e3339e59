"""Standard yarn-weight names with the wraps per inch that each covers.

The names and ranges are those of a published standard of the yarn trade,
written down from memory ([MEMORY] in the bibliography) and not read again:
check them before relying on an edge. The ranges overlap, and between 4 and 5
wraps none applies.
"""

# name: fewest and most wraps per inch; the finest class has no upper edge in print.
YARN_WEIGHTS = {
    "lace": (30.0, float("inf")),
    "super fine": (14.0, 30.0),
    "fine": (12.0, 18.0),
    "light": (11.0, 15.0),
    "medium": (9.0, 12.0),
    "bulky": (6.0, 9.0),
    "super bulky": (5.0, 6.0),
    "jumbo": (1.0, 4.0),
}
