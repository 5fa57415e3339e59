"""Sheet Plan: one piece in full, from its size to its hours."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks import plan_fit, plan_stripes
from weavefuncs.workbooks.book import Book
from weavefuncs.workbooks.lines import not_among
from weavefuncs.workbooks.plan_yarn import REST, write_yarn_table
from weavefuncs.workbooks.rows import MONEY_UNIT, Band, Given, Row, write_rows
from weavefuncs.workbooks.yarns import yarn_line

NAME = "Plan"
LAST = 12

SHAFT_LOOM, FRAME = "shaft loom", "pegged frame"

FRACTION_HELP = "A share: 10 % is 0.10. Blank: the value on Settings."


def _length(help_text: str, required: bool = False) -> Given:
    return Given("number", help_text, required=required, low=0)


def _own_or_setting(key: str, label: str, setting: str, note: str, only: str = "") -> Row:
    """A share that the piece may have of its own; otherwise Settings says it."""
    given = f"{key}Given"
    return Row(
        key,
        label,
        note=note,
        given=Given("fraction", FRACTION_HELP, low=0, high=0.9),
        formula=f"IF(ISBLANK({given}),IF(ISBLANK({setting}),NA(),{setting}),{given})",
        kind="fraction",
        only=only,
        checks=(
            f'IF(AND(Begun,ISBLANK({given}),ISBLANK({setting})),"{label} is blank here and on Settings","")',
        ),
    )


def _far_from_wanted(sett: str, applies: str, start: str) -> str:
    """Say so where the sett that can be had is more than a tenth off the one wanted."""
    return (
        f"IF(AND(Begun,{applies},ISNUMBER({sett}),ISNUMBER(SettWanted)),"
        f'IF(ABS({sett}/SettWanted-1)>0.1,"{start}"&ROUND({sett},1)&" ends per "&SmallUnit&", and "&'
        'ROUND(SettWanted,1)&" are wanted: sample before you trust it",""),"")'
    )


def _stray(key: str, label: str, share_of: str, only: str = "") -> Row:
    """How far an allowance is off from piece to piece."""
    return Row(
        key,
        label,
        note=f"standard deviation, a share {share_of}; all blank: the spread of yarn need on Settings",
        given=Given("fraction", "About two pieces in three stray by no more: 2 % is 0.02.", low=0, high=0.5),
        only=only,
    )


def _range(system: str) -> list[Row]:
    """Between what a piece takes at least and at most, but for the risk on Settings."""
    arguments = f"{system}YarnLength,{system}Spread,YarnRisk"
    return [
        Row(
            f"{system}Least",
            f"{system} yarn, at least",
            "=LongUnit",
            "no more pieces than the risk on Settings allows take less",
            formula=f"WEAVE.YARNATLEAST({arguments})",
            kind="one",
        ),
        Row(
            f"{system}Most",
            f"{system} yarn, at most",
            "=LongUnit",
            "have this much: no more pieces than the risk on Settings allows take more",
            formula=f"WEAVE.YARNTOBUY({arguments})",
            kind="one",
        ),
    ]


STRAYS = "StrayTakeUp,StraySlack,StrayShrink,StrayPicks"
STRAY_SHRINK = "N(StrayShrink)/(1-ShrinkLengthHere)"

PIECE: list[Row | Band] = [
    Band("The piece"),
    Row(
        "PieceName", "Name of the piece", given=Given("text", "What you call it. It heads the weaving order.")
    ),
    Row(
        "MadeOn",
        "Woven on",
        given=Given(
            "text",
            "A shaft loom has a reed. On a pegged frame the pegs or notches space the warp.",
            required=True,
            choices=(SHAFT_LOOM, FRAME),
        ),
    ),
    Row(
        "Pieces",
        "Pieces on this warp",
        note="blank: one",
        given=Given("whole", "How many equal pieces are woven one after the other.", low=1, high=1000),
        formula="IF(ISBLANK(PiecesGiven),1,PiecesGiven)",
        kind="whole",
    ),
    Row(
        "FinishedWidth",
        "Finished width",
        "=SmallUnit",
        "washed and pressed",
        _length("Width of the finished piece.", required=True),
    ),
    Row(
        "FinishedLength",
        "Finished length",
        "=SmallUnit",
        "washed and pressed, between the hems or fringes",
        _length("Length of the finished piece without hems and fringes.", required=True),
    ),
    Row(
        "Hem",
        "Hem at each end",
        "=SmallUnit",
        "cloth turned in, finished; blank: none",
        _length("Cloth turned in at each end."),
    ),
    Row(
        "Header",
        "Header at each end",
        "=SmallUnit",
        "waste picks woven and taken out again; blank: none",
        _length("Length woven before and after each piece to spread and hold the warp."),
    ),
    Row(
        "Fringe",
        "Fringe at each end",
        "=SmallUnit",
        "warp left unwoven; blank: none",
        _length("Unwoven warp at each end of each piece."),
        checks=(
            "IF(AND(Begun,NOT(OnFrame),N(Fringe)>0,ISNUMBER(Waste)),IF(2*Fringe>Waste,"
            '"The loom waste holds the outer fringes and is shorter than two of them: "&'
            '"raise the waste",""),"")',
        ),
    ),
    Row(
        "Sample",
        "Sample woven first",
        "=SmallUnit",
        "to wash and measure before the piece; blank: none",
        _length("Length of a sample on the same warp."),
        checks=(
            'IF(AND(Begun,ISBLANK(Sample)),"No sample is planned: sett and take-up stay estimates until '
            'one is woven and washed (type 0 if you have one)","")',
        ),
    ),
    Band("The weave"),
    Row(
        "WeaveText",
        "Weave",
        note="fractions are warp up over warp down; the list shows some, any of that form may be typed",
        given=Given(
            # Not as a text: a formula such as =DraftText would stay one.
            "general",
            "plain, 2/2 twill, 2/2 twill left, 2/2 herringbone 8, 5 satin 2, 2/2 basket … Type any weave of "
            "these forms, or =DraftText for the one drawn on Draft.",
            required=True,
            choices="WeaveList",
            free=True,
        ),
    ),
    Row(
        "RowsUp",
        "Rows before the twill turns",
        "rows",
        "for a chevron; blank: it never turns",
        Given("whole", "Rows woven one way before the direction changes: 9, say.", low=1, high=100000),
    ),
    Row(
        "RowsBack",
        "Rows back",
        "rows",
        "blank: as many, a chevron; another number makes an uneven zigzag that drifts",
        Given("whole", "Rows woven the other way. Blank: as many as before.", low=1, high=100000),
    ),
    Row(
        "Turns",
        "Rows each way",
        formula='IF(ISBLANK(RowsUp),"",RowsUp&","&IF(ISBLANK(RowsBack),RowsUp,RowsBack))',
        kind="text",
        note="as the functions read it; empty: it never turns",
    ),
    Row(
        "FinishOn",
        "Finish on",
        note="whole chevrons: the last row repeats the first, so both ends look alike",
        given=Given(
            "text",
            "Whole chevrons end the piece where the pattern closes. Any row ends it where the length is "
            "reached.",
            choices=("whole chevrons", "any row"),
        ),
        formula='IF(ISBLANK(FinishOnGiven),"whole chevrons",FinishOnGiven)',
        kind="text",
    ),
    Row(
        "ClothKind",
        "Cloth",
        note="weft-faced: the weft packs down and covers the warp",
        given=Given(
            "text",
            "Balanced: warp and weft show alike. Weft-faced: the weft covers the warp.",
            choices=("balanced", "weft-faced"),
        ),
        formula='IF(ISBLANK(ClothKindGiven),"balanced",ClothKindGiven)',
        kind="text",
    ),
    Row(
        "FirstSide",
        "First pick enters from the",
        note="decides at which edge the outermost end is caught; blank: left",
        given=Given("text", "The side from which the first pick enters.", choices=("left", "right")),
        formula='IF(ISBLANK(FirstSideGiven),"left",FirstSideGiven)',
        kind="text",
    ),
    Row(
        "Floating",
        "Floating selvedge",
        note="an end on no shaft at each edge, two ends more; blank: no",
        given=Given(
            "text",
            "An extra end at each edge that the weft goes over entering and under leaving.",
            choices=("yes", "no"),
        ),
        formula='IF(ISBLANK(FloatingGiven),"no",FloatingGiven)',
        kind="text",
    ),
    Band("Yarn and sett"),
    Row(
        "WarpYarnName",
        "Warp yarn",
        note="its name on Yarns",
        given=Given("text", "Choose a yarn that stands on Yarns.", required=True, choices="YarnNames"),
    ),
    Row(
        "WarpYarn",
        "Its count",
        formula=f"INDEX(YarnCounts,{yarn_line('WarpYarnName')})",
        kind="text",
        checks=(
            "IF(AND(Begun,NOT(ISBLANK(WarpYarnName)),ISERROR(WarpYarn)),"
            f'"The warp yarn "&{not_among("WarpYarnName", "on Yarns")},"")',
        ),
    ),
    Row(
        "WeftYarnName",
        "Weft yarn",
        note="its name on Yarns",
        given=Given("text", "Choose a yarn that stands on Yarns.", required=True, choices="YarnNames"),
    ),
    Row(
        "WeftYarn",
        "Its count",
        formula=f"INDEX(YarnCounts,{yarn_line('WeftYarnName')})",
        kind="text",
        checks=(
            "IF(AND(Begun,NOT(ISBLANK(WeftYarnName)),ISERROR(WeftYarn)),"
            f'"The weft yarn "&{not_among("WeftYarnName", "on Yarns")},"")',
        ),
    ),
    Row(
        "SettBalanced",
        "Sett by yarn and weave",
        '="ends per "&SmallUnit',
        "Ashenhurst's diameters, with the firmness on Settings: an estimate until a sample is washed",
        formula="WEAVE.SETTFROMDIAMETERS(WarpYarn,WeaveText,DiameterConstant,Firmness,SmallUnit)",
        kind="one",
    ),
    Row(
        "SettWeftFaced",
        "Sett for a weft-faced cloth",
        '="ends per "&SmallUnit',
        "far enough apart for the weft to pack between (common practice, no source)",
        formula="WEAVE.WEFTFACEDSETT(WarpYarn,WeftYarn,DiameterConstant,SmallUnit)",
        kind="one",
    ),
    Row(
        "SettWanted",
        "Sett wanted",
        '="ends per "&SmallUnit',
        "blank: the rule for this cloth, above",
        Given("number", "The sett you want, from a sample or from experience.", low=0.01, high=10000),
        formula='IF(ISBLANK(SettWantedGiven),IF(ClothKind="weft-faced",SettWeftFaced,SettBalanced),SettWantedGiven)',
        kind="one",
    ),
    Row(
        "Reed",
        "Reed",
        '="dents per "&SmallUnit',
        "the reed on the loom",
        Given(
            "number", "Dents in one unit of length of the reed you own.", required=True, low=0.1, high=1000
        ),
        checks=(
            'IF(AND(Begun,NOT(OnFrame),ISNUMBER(Reed)),IF(Reed>IF(SmallUnit="in",40,16),"a reed of "&Reed&'
            '" dents per "&SmallUnit&" is finer than any on Tables: one counted in 10 cm has a tenth of its '
            'number per cm, and a quarter per in",""),"")',
        ),
        only="loom",
    ),
    Row(
        "Sley",
        "Sley: threads in each dent",
        note="blank: the order that comes nearest to the sett wanted; read it 1-1-2: one, one, two, again",
        given=Given(
            "text", "Threads in each dent in turn, such as 2 or 1-1-2. The cell is text, so it stays one."
        ),
        formula="IF(ISBLANK(SleyGiven),WEAVE.SLEYORDER(SettWanted,Reed),SleyGiven)",
        kind="text",
        only="loom",
    ),
    Row(
        "SettInReed",
        "Sett in the reed",
        '="ends per "&SmallUnit',
        formula="WEAVE.SLEYEDSETT(Sley,Reed)",
        only="loom",
        kind="two",
        checks=(_far_from_wanted("SettInReed", "NOT(OnFrame)", "The reed and its sley give "),),
    ),
    Row(
        "Pegs",
        "Pegs or notches",
        '="pegs per "&SmallUnit',
        "along the frame's edge",
        Given(
            "number",
            "How many pegs or notches stand in one unit of length.",
            required=True,
            low=0.01,
            high=1000,
        ),
        only="frame",
    ),
    Row(
        "ThreadsPerPeg",
        "Ends round a peg",
        "ends",
        "blank: one",
        Given("whole", "How many warp ends each peg holds.", low=1, high=100),
        formula="IF(ISBLANK(ThreadsPerPegGiven),1,ThreadsPerPegGiven)",
        kind="whole",
        only="frame",
    ),
    Row(
        "SettOnFrame",
        "Sett on the frame",
        '="ends per "&SmallUnit',
        formula="WEAVE.PEGSETT(Pegs,ThreadsPerPeg)",
        only="frame",
        kind="two",
        checks=(_far_from_wanted("SettOnFrame", "OnFrame", "The pegs give "),),
    ),
    Row(
        "Sett",
        "Sett used",
        '="ends per "&SmallUnit',
        formula="IF(OnFrame,SettOnFrame,SettInReed)",
        kind="two",
    ),
    Row(
        "PicksWeftFaced",
        "Picks for a weft-faced cloth",
        '="picks per "&SmallUnit',
        "the weft packed down until it touches (common practice, no source)",
        formula="WEAVE.WEFTFACEDPICKS(WeftYarn,DiameterConstant,SmallUnit)",
        kind="one",
    ),
    Row(
        "WeftSett",
        "Picks",
        '="picks per "&SmallUnit',
        "counted with the tension off; blank: as many as ends in a balanced cloth, packed down in a "
        "weft-faced one",
        Given(
            "number",
            "Picks in one unit of length as you beat them, counted with the tension off.",
            low=0.01,
            high=10000,
        ),
        formula='IF(ISBLANK(WeftSettGiven),IF(ClothKind="weft-faced",PicksWeftFaced,Sett),WeftSettGiven)',
        kind="two",
    ),
    Band("Allowances for this piece", new_page=True),
    _own_or_setting("TakeUpHere", "Warp take-up", "WarpTakeUp", "blank: Settings"),
    _own_or_setting("SlackHere", "Weft slack", "WeftTakeUp", "beyond the width in the reed; blank: Settings"),
    _own_or_setting("DrawInHere", "Draw-in", "DrawIn", "blank: Settings"),
    _own_or_setting("ShrinkLengthHere", "Shrinkage in length", "ShrinkLength", "blank: Settings"),
    _own_or_setting("ShrinkWidthHere", "Shrinkage in width", "ShrinkWidth", "blank: Settings"),
    Row(
        "Waste",
        "Loom waste",
        "=SmallUnit",
        "once a warp; holds the outer fringes; blank: Settings",
        Given("number", "Warp that never becomes cloth. Blank: the value on Settings.", low=0),
        formula="IF(ISBLANK(WasteGiven),IF(ISBLANK(LoomWaste),NA(),LoomWaste),WasteGiven)",
        only="loom",
        checks=(
            "IF(AND(Begun,NOT(OnFrame),ISBLANK(WasteGiven),ISBLANK(LoomWaste)),"
            '"Loom waste is blank here and on Settings: measure it on your loom","")',
        ),
    ),
    Band("How far they stray from piece to piece"),
    _stray("StrayTakeUp", "Warp take-up strays by", "of the warp", "loom"),
    _stray("StraySlack", "Weft slack strays by", "of the weft"),
    _stray("StrayShrink", "Shrinkage in length strays by", "of the woven length"),
    _stray("StrayPicks", "Picks stray by", "of the picks in a unit of length"),
    Band("Width and ends"),
    Row(
        "WidthOnLoom",
        "Width on the loom",
        "=SmallUnit",
        "so that it finishes at the width wanted",
        formula="WEAVE.WIDTHINREED(FinishedWidth,ShrinkWidthHere,DrawInHere)",
        kind="two",
    ),
    Row(
        "RepeatEnds",
        "Ends in a repeat",
        "ends",
        "only whole repeats are planned; blank: any number of ends",
        Given("whole", "Ends of one pattern repeat that must not be cut.", low=1, high=100000),
        formula="IF(ISBLANK(RepeatEndsGiven),1,RepeatEndsGiven)",
        kind="whole",
    ),
    Row(
        "BalanceEnds",
        "Ends that balance the edges",
        "ends",
        "after the last repeat, so that both edges look alike; blank: none",
        Given("whole", "Ends added once after the whole repeats.", low=0, high=100000),
        formula="IF(ISBLANK(BalanceEndsGiven),0,BalanceEndsGiven)",
        kind="whole",
    ),
    Row(
        "Parity",
        "Number of ends",
        note="odd: both edges of a 2/2 twill look more alike, one of them caught (see Cloth)",
        given=Given(
            "text", "Whether the number of ends must be odd or even.", choices=("any", "odd", "even")
        ),
        formula='IF(ISBLANK(ParityGiven),"any",ParityGiven)',
        kind="text",
    ),
    Row(
        "Ends",
        "Ends in the cloth",
        "ends",
        "without floating selvedges",
        formula="WEAVE.ENDS(WidthOnLoom,Sett,RepeatEnds,BalanceEnds,0,Parity)",
        kind="whole",
    ),
    Row("EndsWound", "Ends to wind", "ends", formula='Ends+IF(Floating="yes",2,0)', kind="whole"),
    Row(
        "DentsUsed",
        "Dents used",
        "dents",
        "floating selvedges not counted",
        formula="WEAVE.DENTSNEEDED(Ends,Sley)",
        kind="whole",
        only="loom",
    ),
    Row(
        "WidthInReed",
        "Width in the reed",
        "=SmallUnit",
        "floating selvedges not counted",
        formula="WEAVE.REEDWIDTH(Ends,Sley,Reed)",
        kind="two",
        only="loom",
        checks=(
            # Floating selvedges hang in dents of their own. Just as wide as the loom is not wider.
            "IF(AND(Begun,NOT(OnFrame),ISNUMBER(WidthInReed),ISNUMBER(LoomWidth)),"
            'IF((DentsUsed+IF(Floating="yes",2,0))/Reed>LoomWidth,'
            '"The warp is wider in the reed than the loom weaves"'
            '&IF(Floating="yes",", floating selvedges with it",""),""),"")',
        ),
    ),
    Row(
        "PegsTaken", "Pegs used", "pegs", formula="ROUNDUP(Ends/ThreadsPerPeg,0)", kind="whole", only="frame"
    ),
    Row(
        "WarpWidth",
        "Width of the warp",
        "=SmallUnit",
        formula="IF(OnFrame,Ends/Sett,WidthInReed)",
        kind="two",
    ),
    Row(
        "WidthComesOut",
        "Finished width that comes out",
        "=SmallUnit",
        formula="WarpWidth*(1-DrawInHere)*(1-ShrinkWidthHere)",
        kind="two",
        note="whole ends rarely meet the width exactly",
    ),
    Band("Length and rows"),
    Row(
        "LengthToWeave",
        "Length to weave",
        "=SmallUnit",
        "of one piece, tension off, without hems",
        formula="WEAVE.LENGTHTOWEAVE(FinishedLength,ShrinkLengthHere)",
        kind="two",
    ),
    Row(
        "ChevronFit",
        "Legs that fit the length",
        formula='IF(OR(Turns="",NOT(ISBLANK(RowsBack))),"the rows do not turn evenly: no chevrons to count",'
        'WEAVE.CHEVRONFIT(LengthToWeave,WeftSett,RowsUp,TRUE)&" (lengths in "&'
        'IF(SmallUnit="in","inches)","centimetres)"))',
        kind="text",
        wrap=1,
    ),
    Row(
        "RowRepeat",
        "Rows that belong together",
        "rows",
        "a chevron up and down, when whole chevrons are wanted; else one",
        formula='IF(OR(Turns="",FinishOn="any row"),1,RowsUp+IF(ISBLANK(RowsBack),RowsUp,RowsBack))',
        kind="whole",
    ),
    Row(
        "RowsWoven",
        "Rows to weave in a piece",
        "rows",
        "the fewest that reach the length; a symmetrical chevron piece leaves out the last row",
        formula="WEAVE.PICKSFOR(LengthToWeave,WeftSett,RowRepeat,"
        "IF(OR(RowRepeat=1,NOT(ISBLANK(RowsBack))),0,RowRepeat-1))",
        kind="whole",
    ),
    Row(
        "LengthComesOut",
        "Finished length that comes out",
        "=SmallUnit",
        formula="RowsWoven/WeftSett*(1-ShrinkLengthHere)",
        kind="two",
        note="whole rows, and whole chevrons, rarely meet the length exactly",
    ),
    Row(
        "WovenLength",
        "Woven for a piece in all",
        "=SmallUnit",
        "with hems and headers",
        formula="RowsWoven/WeftSett+2*N(Hem)/(1-ShrinkLengthHere)+2*N(Header)",
        kind="two",
    ),
    Row(
        "PicksAll",
        "Picks to weave in all",
        "picks",
        "all pieces with hems and headers, and the sample",
        formula="Pieces*(RowsWoven+ROUND((WovenLength-RowsWoven/WeftSett)*WeftSett,0))+ROUND(N(Sample)*WeftSett,0)",
        kind="whole",
    ),
    Band("Warp", new_page=True),
    Row(
        "PiecesWarp",
        "Warp for the pieces",
        "=SmallUnit",
        "with take-up, fringes between and loom waste",
        formula="WEAVE.WARPLENGTH(WovenLength,Pieces,2*N(Fringe),TakeUpHere,Waste)",
        kind="one",
        only="loom",
    ),
    Row(
        "FrameLength",
        "Length of the frame",
        "=SmallUnit",
        "from peg to peg, one way",
        Given("number", "Distance between the two rows of pegs.", required=True, low=0.1),
        only="frame",
    ),
    Row(
        "Unweavable",
        "Cannot be woven",
        "=SmallUnit",
        "at both ends together, near the pegs",
        Given(
            "number", "Length at the two ends of the frame that the weft cannot reach.", required=True, low=0
        ),
        only="frame",
    ),
    Row(
        "Tie",
        "Ends tied on",
        "=SmallUnit",
        "yarn to tie the warp on and off, once; blank: none",
        Given("number", "Length used to tie the warp at its beginning and end.", low=0),
        only="frame",
    ),
    Row(
        "FrameUsable",
        "Cloth that the frame holds",
        "=SmallUnit",
        formula="WEAVE.FRAMEUSABLELENGTH(FrameLength,Unweavable,TakeUpHere)",
        only="frame",
        kind="one",
        checks=(
            "IF(AND(Begun,OnFrame,ISNUMBER(FrameUsable),ISNUMBER(ClothOnWarp)),IF(ClothOnWarp>FrameUsable,"
            '"The frame is short: it holds "&ROUND(FrameUsable,1)&" "&SmallUnit&" and the plan weaves "'
            '&ROUND(ClothOnWarp,1),""),"")',
        ),
    ),
    Row(
        "ClothOnWarp",
        "Cloth and fringes on one warp",
        "=SmallUnit",
        formula="Pieces*(WovenLength+2*N(Fringe))+N(Sample)",
        kind="one",
        only="frame",
        note="all pieces with their fringes, and the sample",
    ),
    Row(
        "WarpLength",
        "Length of the warp",
        "=SmallUnit",
        "with the sample",
        formula="IF(OnFrame,FrameLength,PiecesWarp+N(Sample)/(1-TakeUpHere))",
        kind="one",
    ),
    Row("WarpLong", "The same", "=LongUnit", formula="WarpLength/SmallPerLong", kind="two"),
    Row(
        "Bouts",
        "Bouts to wind",
        "bouts",
        formula="WEAVE.BOUTS(EndsWound,EndsABout)",
        kind="whole",
        only="loom",
    ),
    Row(
        "MillTurns",
        "Turns of the mill or board",
        "turns",
        "needs the length of a turn on Settings",
        formula='IF(ISBLANK(TurnLength),"",WEAVE.WARPTURNS(WarpLong,TurnLength))',
        kind="one",
        only="loom",
    ),
    Band("Yarn in all"),
    Row(
        "WarpOnFrame",
        "Warp yarn on the frame",
        "=SmallUnit",
        formula="WEAVE.FRAMEWARPYARN(EndsWound,FrameLength,N(Tie))",
        kind="one",
        only="frame",
    ),
    Row(
        "WarpOnLoom",
        "Warp yarn on the loom",
        "=SmallUnit",
        formula="WEAVE.WARPYARN(EndsWound,WarpLength)",
        kind="one",
        only="loom",
    ),
    Row(
        "WarpYarnLength",
        "Warp yarn",
        "=LongUnit",
        formula="IF(OnFrame,WarpOnFrame,WarpOnLoom)/SmallPerLong",
        kind="one",
    ),
    Row(
        "WarpSpread",
        "Spread of its need",
        note="of all that strays, loom waste left out; on a frame the warp is as long as the frame",
        formula=f"IF(COUNT({STRAYS})=0,YarnSpread,IF(OnFrame,0,WEAVE.NEEDSPREAD("
        f"N(StrayTakeUp)/(1-TakeUpHere),{STRAY_SHRINK},0,0,"
        "1-(Pieces*WovenLength+N(Sample))/(1-TakeUpHere)/WarpLength)))",
        kind="fraction",
    ),
    *_range("Warp"),
    Row(
        "WeftInAll",
        "Weft yarn",
        "=SmallUnit",
        # Each floating selvedge hangs a dent off, or on a frame as far as any end.
        formula="WEAVE.WEFTYARN(PicksAll/WeftSett,WeftSett,"
        "WarpWidth+(EndsWound-Ends)/IF(OnFrame,Sett,Reed),SlackHere)",
        kind="one",
        note="picks times the width on the loom out to the floating selvedges, with the slack laid in",
    ),
    Row("WeftYarnLength", "Weft yarn", "=LongUnit", formula="WeftInAll/SmallPerLong", kind="one"),
    Row(
        "WeftSpread",
        "Spread of its need",
        note="of all that strays, each independent of the others",
        formula=f"IF(COUNT({STRAYS})=0,YarnSpread,"
        f"WEAVE.NEEDSPREAD(N(StraySlack)/(1-SlackHere),{STRAY_SHRINK},N(StrayPicks)))",
        kind="fraction",
    ),
    *_range("Weft"),
    *plan_fit.ROWS,
]

# What stands below the table of yarns.
HOURS: list[Row | Band] = [
    *plan_stripes.ROWS,
    Band("Hours and cost"),
    Row("HoursWinding", "Winding the warp", "hours", formula="EndsWound/EndsWoundAnHour", kind="one"),
    Row(
        "HoursThreading",
        "Threading and sleying",
        "hours",
        formula="IF(OnFrame,0,EndsWound/EndsThreadedAnHour)",
        kind="one",
        note="none on a frame",
    ),
    Row("HoursWeaving", "Weaving", "hours", formula="PicksAll/PicksAMinute/60/Efficiency", kind="one"),
    Row("HoursFinishing", "Finishing", "hours", formula="Pieces*FinishingHours", kind="one"),
    Row(
        "HoursInAll",
        "In all",
        "hours",
        formula="HoursWinding+HoursThreading+HoursWeaving+HoursFinishing",
        kind="one",
    ),
    Row(
        "YarnCost",
        "Yarn",
        MONEY_UNIT,
        "what is needed at today's price of a put-up, part put-ups counted by length",
        formula="IF(SUM(PlanYarnThreads)=EndsWound+PicksAll,SUM(PlanYarnCosts),NA())",
        kind="money",
        checks=(
            "IF(AND(Begun,ISNUMBER(YarnCost)),IF(COUNT(PlanYarnCosts)<COUNT(PlanYarnLengths),"
            '"A yarn of this plan has no price or no put-up on Yarns: the cost leaves it out",""),"")',
        ),
    ),
    Row(
        "WorkCost",
        "Work and overhead",
        MONEY_UNIT,
        "hours times wage and overhead on Settings",
        formula="HoursInAll*(N(Wage)+N(Overhead))",
        kind="money",
        checks=('IF(AND(Begun,ISBLANK(Wage)),"No wage on Settings: the cost leaves your work out","")',),
    ),
    Row(
        "CostEach",
        "Cost of a piece",
        MONEY_UNIT,
        "arithmetic, not tax or legal advice: ask whoever is licensed to say where it matters",
        formula="(YarnCost+WorkCost)/Pieces",
        kind="money",
    ),
]


def write(book: Book, values: dict[str, Any]) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, [2, 30, 19, 19, 15, 12, 12, 11, 11, 11, 11, 11, 11], "#2F4B4F")
    sheet.title(
        NAME,
        "One piece, from its size to its cost. Fill in the cream cells from the top; what the planner works "
        "out stands beside them. Start lists what is missing or wrong.",
        LAST,
    )
    after = write_rows(sheet, 3, PIECE, values, LAST, begun="Begun")
    after = plan_fit.write_fit_table(sheet, after, LAST)
    sheet.new_page(after + 1)
    after = write_yarn_table(sheet, after + 1, values.get("colours", {}), LAST)
    after = write_rows(sheet, after + 1, HOURS, values, LAST, begun="Begun")
    sheet.page.freeze_panes(3, 2)
    sheet.printing(True, NAME, (after, LAST))
    # Beside the hidden columns. The longest part between two breaks just fits a page then.
    sheet.room_beside((after, REST), 2)
