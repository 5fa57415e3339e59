"""Sheet Kits: what is in a kit, how many the stock makes, what one costs and must be sold for."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks.book import Book, Check
from weavefuncs.workbooks.lines import (
    BELOW_ZERO,
    IS_BLANK,
    IS_NO_NUMBER,
    NO_NUMBER,
    UNTIDY,
    Column,
    Lines,
    equal_to,
    first_that_holds,
    input_names,
    line_of,
    not_among,
    stands_twice,
    untidy,
    which,
    with_units,
)
from weavefuncs.workbooks.rows import Given, why
from weavefuncs.workbooks.yarns import yarn_line

NAME = "Kits"
FIRST_KIT = 5
KITS = 12
FIRST_RECIPE = FIRST_KIT + KITS + 4
RECIPES = 60

# As many lines of yarns as fit a page below the kits are printed.
PRINTED = 25

# More kits than any stock makes: the fewest is found as the most that are missing to it.
MANY = 1_000_000_000

THIS_KIT = equal_to("{name}")


def _of_a_kit(formula: str) -> str:
    return f'IF(ISBLANK({{name}}),"",{formula})'


def _of_a_line(formula: str) -> str:
    """Leave a line empty that is not begun; an error in its need goes through the line."""
    return f'IF({{need}}="","",{formula})'


KIT_COLUMNS = [
    Column("name", "Kit", 24, Given("text", "A name of your own for this kit."), name="KitNames"),
    Column(
        "extras",
        "Extras a kit",
        20,
        Given("money", "Money a kit: needle, printed pattern, box, label. Blank: none.", low=0),
        name="KitExtras",
    ),
    Column(
        "hours",
        "Work a kit",
        12,
        Given("number", "Hours of winding off and packing for one kit. Blank: none.", low=0, high=1000),
        name="KitHours",
        unit='"hours"',
    ),
    Column(
        "setup",
        "Set-up, once",
        12,
        Given("money", "Money spent once: writing and testing the pattern, photographs. Blank: none.", low=0),
        name="KitSetups",
    ),
    Column(
        "quantity",
        "Kits planned",
        12,
        Given("whole", "How many kits you mean to pack and sell.", low=1, high=1000000),
        name="KitQuantities",
    ),
    Column(
        "price",
        "Price asked",
        12,
        Given("money", "What the buyer pays for one kit, without tax. Blank: not decided yet.", low=0),
        name="KitPrices",
    ),
    Column(
        "makes",
        "Kits from stock",
        12,
        formula=_of_a_kit(
            f"IF(COUNTIFS(RecipeKits,{THIS_KIT},RecipeMakes,-1)+(COUNTIF(RecipeKits,{THIS_KIT})=0)>0,NA(),"
            f"{MANY}-SUMPRODUCT(MAX((RecipeKits={{name}})*({MANY}-RecipeMakes))))"
        ),
        kind="whole",
        name="KitMakes",
    ),
    Column(
        "limiting",
        "Yarn that runs out first",
        20,
        formula=_of_a_kit(f"INDEX(RecipeYarns,{line_of('{name}', 'RecipeLimits')})"),
        kind="text",
        name="KitLimits",
    ),
    Column(
        "materials",
        "Materials a kit",
        12,
        formula=_of_a_kit(
            f"IF(ISERROR({{makes}}),NA(),SUMIF(RecipeKits,{THIS_KIT},RecipeCosts)+N({{extras}}))"
        ),
        kind="money",
    ),
    Column(
        "each",
        "With work",
        12,
        formula=_of_a_kit("{materials}+N({hours})*(N(Wage)+N(Overhead))"),
        kind="money",
    ),
    Column(
        "cost",
        "With its part of the set-up",
        12,
        formula=_of_a_kit('IF(ISBLANK({quantity}),"",WEAVE.UNITCOST(N({setup}),{each},{quantity}))'),
        kind="money",
    ),
    Column(
        "price_wanted",
        "Price for the margin",
        12,
        formula=_of_a_kit(
            'IF({cost}="","",ROUNDUP(ROUND(WEAVE.PRICEFORNET({cost}/(1-N(Margin)),N(FeeRate),N(FeeFlat))'
            "/PriceStep,6),0)*PriceStep)"
        ),
        kind="money",
    ),
    Column(
        "net",
        "Left of the price after fees",
        12,
        formula=_of_a_kit('IF(ISBLANK({price}),"",WEAVE.NETAFTERFEES({price},N(FeeRate),N(FeeFlat)))'),
        kind="money",
    ),
    Column(
        "margin",
        "Margin at the price asked",
        12,
        # A price that fees eat up has no margin; what is lost by it stands beside.
        formula=_of_a_kit('IF(OR({net}="",{cost}=""),"",IF({net}<=0,"",WEAVE.MARGIN({net},{cost})))'),
        kind="fraction",
    ),
    Column(
        "break_even",
        "Kits to sell to break even",
        12,
        formula=_of_a_kit(
            'IF({net}="","",IF({net}<={each},"never",WEAVE.BREAKEVENQUANTITY(N({setup}),{net},{each})))'
        ),
        kind="whole",
    ),
    Column(
        "left",
        "Left over, or lost",
        12,
        formula=_of_a_kit('IF(OR({net}="",{cost}=""),"",{quantity}*({net}-{each})-N({setup}))'),
        kind="money",
    ),
]

RECIPE_COLUMNS = [
    Column(
        "kit",
        "Kit",
        24,
        Given("text", "The kit that this yarn is part of, named as above.", choices="KitNames"),
        name="RecipeKits",
    ),
    Column(
        "yarn",
        "Yarn",
        20,
        Given("text", "Choose a yarn that stands on Yarns.", choices="YarnNames"),
        name="RecipeYarns",
    ),
    Column(
        "length",
        "The piece takes",
        12,
        Given("number", "What one piece takes of this yarn, as planned or measured.", low=0.001),
        name="RecipeLengths",
        unit="LongUnit",
    ),
    # A kit runs short when any of its yarns does: each yarn gets its part of the risk.
    Column(
        "need",
        "In a kit, with allowance",
        12,
        formula=(
            'IF(ISBLANK({kit}),"",IF(OR(COUNT({length})=0,{length}<=0,KitSettings<3),NA(),'
            f"WEAVE.YARNTOBUY({{length}},YarnSpread,YarnRisk/COUNTIF(RecipeKits,{equal_to('{kit}')}))))"
        ),
        kind="one",
        unit="LongUnit",
    ),
    Column(
        "taken",
        "Taken from the cone",
        12,
        formula=_of_a_line("{need}/(1-WindingLoss)"),
        kind="one",
        name="RecipeTaken",
        unit="LongUnit",
    ),
    Column(
        "free",
        "Free",
        12,
        formula=_of_a_line(f"INDEX(YarnFree,{yarn_line('{yarn}')})"),
        kind="one",
        unit="LongUnit",
    ),
    Column(
        "kits",
        "Kits from it",
        12,
        # A yarn that stands twice in a kit is taken twice from the same stock.
        formula=_of_a_line(
            f"WEAVE.KITSFROMSTOCK(MAX(0,{{free}}),SUMIFS(RecipeTaken,RecipeKits,{equal_to('{kit}')},"
            f"RecipeYarns,{equal_to('{yarn}')}))"
        ),
        kind="whole",
    ),
    Column(
        "limits",
        "Runs out first in",
        20,
        formula=_of_a_line(f'IF({{kits}}=INDEX(KitMakes,{line_of("{kit}", "KitNames")}),{{kit}}&"","")'),
        kind="text",
        name="RecipeLimits",
    ),
    Column(
        "cost",
        "Costs in a kit",
        12,
        formula=_of_a_line(
            f"WEAVE.KITCOST({{need}},INDEX(YarnUnitPrices,{yarn_line('{yarn}')}),0,WindingLoss)"
        ),
        kind="money",
        name="RecipeCosts",
    ),
    Column(
        "in_all",
        "For all kits",
        12,
        formula=_of_a_line(f"{{taken}}*N(INDEX(KitQuantities,{line_of('{kit}', 'KitNames')}))"),
        kind="one",
        name="RecipeInAll",
        unit="LongUnit",
    ),
    # Not shown: the kits from it as a number in every line, -1 where that is an error.
    Column("number", "", 12, formula="IF(ISNUMBER({kits}),{kits},-1)", name="RecipeMakes"),
]

INPUT_NAMES = {"kits": input_names(KIT_COLUMNS), "recipes": input_names(RECIPE_COLUMNS)}

KIT_TABLE = Lines(NAME, FIRST_KIT, KITS, KIT_COLUMNS)
RECIPE_TABLE = Lines(NAME, FIRST_RECIPE, RECIPES, RECIPE_COLUMNS)

CAUTION = (
    "Prices are arithmetic, not tax or legal advice. What a kit must say of its fibres, and what makes it "
    "safe, above all for children, follows the rules where you sell: ask whoever is licensed to say."
)


def write(book: Book, values: dict[str, list[dict[str, Any]]]) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, [2, *(column.width for column in KIT_COLUMNS)], "#8A5A7C")
    last_column = KIT_TABLE.right_shown
    sheet.title(
        NAME,
        "What a kit holds, how many the stock makes by length, ends of put-ups joined, and what one must "
        "sell for. Each kit stands here as if it had the stock to itself; Shopping adds up what all of them "
        f"take. The first {PRINTED} lines of yarns are printed: clear the print area to print all. "
        + CAUTION,
        KIT_TABLE.place("limiting"),
        lines=3,
    )
    sheet.band(FIRST_KIT - 2, "Kits", last_column)
    KIT_TABLE.write(sheet, values.get("kits", []))
    sheet.band(FIRST_RECIPE - 2, "What is in them", last_column)
    RECIPE_TABLE.write(sheet, values.get("recipes", []))
    # Not shown: how many of the settings that the lines need are there.
    sheet.write(2, 1, "=COUNT(YarnSpread,YarnRisk,WindingLoss)", book.look.out_of_sight())
    sheet.name_cell("KitSettings", 2, 1)
    book.checks.append(
        Check(
            NAME,
            '=IF(AND(SUM(KitHours)>0,ISBLANK(Wage)),"No wage on Settings: the costs leave your work out","")',
        )
    )
    for row in KIT_TABLE.rows:
        book.checks.append(Check(f"{NAME}, row {row + 1}", f"={_check_kit(row)}"))
    for row in RECIPE_TABLE.rows:
        book.checks.append(Check(f"{NAME}, row {row + 1}", f"={_check_recipe(row)}"))
    sheet.page.freeze_panes(3, 2)
    footer = f"{NAME}: arithmetic, not tax or legal advice"
    sheet.printing(True, footer, (FIRST_RECIPE + PRINTED - 1, last_column), first_row=FIRST_KIT - 2)
    # Beside the kit its yarn, in the lower table.
    sheet.pages_wide(70, [KIT_TABLE.place("materials")], (1, RECIPE_TABLE.place("yarn")))


def _check_kit(row: int) -> str:
    at = KIT_TABLE.cells(row, from_elsewhere=True)
    name = at["name"]
    keys = ("extras", "hours", "setup", "quantity", "price")
    numbers, headed = ",".join(at[key] for key in keys), KIT_TABLE.headed(row, keys)
    return first_that_holds(
        [
            KIT_TABLE.moved(row),
            (f"ISBLANK({name})", f'IF(COUNTA({numbers})>0,"a kit without a name is not counted","")'),
            (untidy(name), f"{name}&{UNTIDY}"),
            stands_twice(name, "KitNames", "kit"),
            (
                f"COUNT({numbers})<COUNTA({numbers})",
                f'{name}&": "&{which(IS_NO_NUMBER, headed)}&{NO_NUMBER}',
            ),
            (f"MIN({numbers})<0", f'{name}&": "&{which(BELOW_ZERO, headed)}&" is below 0"'),
            (f"COUNTIF(RecipeKits,{equal_to(name)})=0", f'{name}&" has no yarn in the list below"'),
            # The lines of its yarns say why.
            (f"ISERROR({at['each']})", '""'),
            (f"ISBLANK({at['quantity']})", f'{name}&": Kits planned is blank"'),
            (f"ISERROR({at['cost']})", why("UNITCOST", f"N({at['setup']}),{at['each']},{at['quantity']}")),
            (f"ISBLANK({at['price']})", '""'),
            (
                f"ISERROR({at['net']})",
                f'{name}&IF({at["price"]}=0,": the price asked must be above 0",'
                f'": the fees on Settings cannot be used")',
            ),
            (f"ISERROR({at['margin']})", f'{name}&": what a kit costs must be above 0"'),
            (f'{at["break_even"]}="never"', f'{name}&" costs more than the price leaves: none breaks even"'),
            (
                f"{at['left']}<0",
                f'{name}&" loses money: "&{at["break_even"]}&" must be sold, and "&{at["quantity"]}'
                '&" are planned"',
            ),
        ]
    )


def _check_recipe(row: int) -> str:
    at = RECIPE_TABLE.cells(row, from_elsewhere=True)
    kit, yarn = at["kit"], at["yarn"]
    length = RECIPE_TABLE.headed(row, ["length"])[0][1]
    reason = why("YARNTOBUY", f"{at['length']},YarnSpread,YarnRisk")
    return first_that_holds(
        [
            RECIPE_TABLE.moved(row),
            (
                f"ISBLANK({kit})",
                f'IF(COUNTA({yarn},{at["length"]})>0,"a line without a kit is not counted","")',
            ),
            (f"ISERROR({line_of(kit, 'KitNames')})", not_among(kit, "among the kits above")),
            (
                f"OR(ISBLANK({yarn}),ISBLANK({at['length']}))",
                f'{kit}&": "&{which(IS_BLANK, RECIPE_TABLE.headed(row, ("yarn", "length")))}&" is blank"',
            ),
            (f"COUNT({at['length']})=0", f'{kit}&", "&{yarn}&": "&{length}&{NO_NUMBER}'),
            (f"{at['length']}<=0", f'{kit}&", "&{yarn}&": "&{length}&" must be above 0"'),
            ("KitSettings<3", '"spread, risk or winding loss on Settings is blank or cannot be used"'),
            (f"ISERROR({at['need']})", reason),
            (f"ISERROR({yarn_line(yarn)})", f'{kit}&": "&{not_among(yarn, "on Yarns")}'),
            (f"ISERROR({at['free']})", with_units(f'{kit}&": "&{yarn}&" is in error on Yarns"')),
            (f"ISERROR({at['cost']})", f'{kit}&", "&{yarn}&" has no price or no put-up on Yarns"'),
            # Names that only count as one are told where they stand.
            (
                f"IF(COUNTIFS(RecipeKits,{equal_to(kit)},RecipeYarns,{equal_to(yarn)})<2,FALSE,"
                f"SUMPRODUCT((RecipeKits={kit})*(RecipeYarns={yarn}))>1)",
                f'{kit}&" lists "&{yarn}&" twice: add the two up"',
            ),
            (
                f"{at['in_all']}>MAX(0,{at['free']})",
                f'{kit}&": the stock is short by "&ROUNDUP(ROUND({at["in_all"]}-MAX(0,{at["free"]}),6),0)'
                f'&" "&LongUnit&" of "&{yarn}',
            ),
        ]
    )
