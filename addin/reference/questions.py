"""Which function answers which question at the loom, in the order in which a piece comes about."""

from __future__ import annotations

# Under a heading: a question, and the functions that answer it.
QUESTIONS: dict[str, tuple[tuple[str, str], ...]] = {
    "Yarn in hand": (
        ("How heavy is this yarn, in tex or in another system?", "tex count"),
        ("What are two yarns together, twisted or held together?", "plied"),
        ("How far does this cone go? What do so many metres weigh?", "yarn_length yarn_mass"),
        ("How thick is it, and how many lie side by side in an inch?", "yarn_diameter yarn_diameters"),
        ("Which yarn weight on a label is that?", "yarn_weight_class"),
        ("How much is left on the cone, what is it worth?", "length_left stash_value"),
        ("Does the stash cover the piece, and if not, what is missing?", "covers short_by"),
    ),
    "How close": (
        (
            "What sett, from wraps, from the count, or from the float?",
            "sett_from_wraps sett_from_diameters sett_from_float",
        ),
        ("What sett where warp and weft are unlike?", "sett_for_yarns"),
        (
            "What sett so that the weft covers the warp, and how many picks?",
            "weft_faced_sett weft_faced_picks",
        ),
        ("It worked in another yarn or another weave: what now?", "sett_for_new_yarn sett_for_new_weave"),
        (
            "At what angle will the twill run? Which weft sett gives the angle I want?",
            "twill_angle picks_for_angle",
        ),
        (
            "How close is the cloth: open, firm, near jammed?",
            "cover_factor cloth_cover cloth_closeness jammed_spacing",
        ),
    ),
    "Reed or pegs": (
        ("How do I sley this sett in my reed? What sett does a sley give?", "sley_order sleyed_sett"),
        ("Which of my reeds comes nearest?", "best_reed"),
        ("How many dents, how wide in the reed?", "dents_needed reed_width width_in_reed"),
        ("What is an old reed number in dents per inch?", "reed_dents"),
        ("What sett do the pegs of my frame give?", "peg_sett"),
    ),
    "How many, how long, how much": (
        ("How many ends, with whole repeats, odd or even?", "ends"),
        (
            "How many picks? How long must I weave, so that it has its length when washed?",
            "picks_for length_to_weave",
        ),
        ("How long a warp? How many pieces does a warp give?", "warp_length pieces_from_warp"),
        (
            "How long is what a frame gives, and what does its warp take?",
            "frame_usable_length frame_warp_yarn",
        ),
        ("How much yarn for warp and weft?", "warp_yarn weft_yarn"),
        ("How much more to have, so that it does not run out?", "yarn_to_buy yarn_at_least need_spread"),
        ("How many skeins or cones, and what is left over?", "put_ups left_over"),
        ("How many bouts, how many turns of the mill?", "bouts warp_turns"),
        (
            "Take-up, crimp, shrinkage, draw-in: what did I measure, and what may I expect?",
            "take_up crimp take_up_from_crimp crimp_from_take_up contraction_estimate shrinkage draw_in",
        ),
        ("Which whole plan comes nearest to what I want?", "fit_piece fit_code"),
    ),
    "Weave and floats": (
        (
            "How large is the repeat, how often does it interlace, how far does it float?",
            "repeat_ends repeat_picks intersections average_float",
        ),
        ("Which moves make a satin?", "satin_moves"),
        ("What does the cloth look like?", "drawdown lift pick_code"),
        (
            "How long is the longest float, and where are those that are too long?",
            "longest_float floats_over float_length",
        ),
        (
            "Is that too long for what it is for, and what becomes of it when washed?",
            "float_limit float_span float_slack float_sag",
        ),
        (
            "Does every end hold, and do the edges?",
            "uncaught_ends untied_threads edge_check uncaught_turns longest_edge_float",
        ),
    ),
    "Turning the twill": (
        (
            "After how many rows do I turn, so that the last leg closes?",
            "chevron_rows_for chevron_fit chevron_rows_left",
        ),
        ("How many rows make so many legs, and how high is a leg?", "chevron_rows chevron_height"),
        (
            "On which rows do I turn, and where does the twill stand on this one?",
            "reversal_rows turn_rows chevron_position",
        ),
        ("How long do floats get where it turns?", "longest_turn_float"),
        ("How many ends does a point need?", "point_ends"),
    ),
    "Row by row": (
        ("What does the weft do on this row?", "pick_text"),
        ("After how many rows does it all begin again?", "repeat_rows"),
    ),
    "Shafts and treadles": (
        ("How many shafts and treadles does it take at least?", "shafts_needed treadles_needed"),
        ("How do I thread, tie up and treadle it?", "threading tie_up treadling lift_plan"),
        ("What cloth does a draft give?", "drawdown_from_draft"),
        ("How many heddles on each shaft?", "heddles heddles_on_shaft"),
        (
            "What is this threading called? Can I weave tabby on it? Are neighbours alike?",
            "draft_name tabby doubled_neighbours",
        ),
        (
            "How does a draft drawn in cells go into other functions?",
            "grid_as_weave draft_as_weave shaft_of treadle_of tie_up_code lift_code",
        ),
    ),
    "Colour": (
        ("Which colour is this end, and how many ends of each?", "colour_of colour_count colour_key"),
        ("What colours show on a row?", "pick_colours"),
        ("How many ends for stripes of these widths?", "stripe_ends"),
    ),
    "Off the loom": (
        ("What is the sett when finished?", "finished_sett"),
        ("What will it weigh, and how thick will it be?", "cloth_mass cloth_thickness plain_cloth"),
        (
            "How do warp and weft share the crimp?",
            "weft_crimp weft_crimp_exact balanced_crimp crimp_height crimp_height_exact",
        ),
        (
            "Which yarn and sett make the same cloth lighter or heavier?",
            "yarn_for_cloth_weight sett_for_cloth_weight",
        ),
        ("What goes on the label as fibre content?", "fibre_content"),
    ),
    "What it costs": (
        ("How many hours?", "weaving_hours hours_for cloth_per_hour"),
        ("What does a batch cost, and one of it?", "batch_cost unit_cost"),
        ("What must it sell for, after fees?", "price_from_margin price_from_markup price_for_net"),
        ("What stays of a price, as margin or as markup?", "net_after_fees margin markup"),
        ("How many must sell before it pays?", "break_even_quantity"),
        (
            "What does a kit cost, how many does the stock make, which yarn runs out first?",
            "kit_cost kits_from_stock limiting_yarn",
        ),
    ),
    "Afterwards": (("What shall I allow next time?", "allowance spread"),),
    "When a cell shows an error": (("Why?", "why"),),
}


def questions() -> str:
    """Return the section of the reference."""
    lines = ["## Which function answers which question at the loom\n"]
    for heading, rows in QUESTIONS.items():
        lines += [f"**{heading}**\n", "| question | functions |", "|---|---|"]
        for question, names in rows:
            links = ", ".join(f"[{name}](#{name})" for name in names.split())
            lines.append(f"| {question} | {links} |")
        lines.append("")
    return "\n".join(lines)
