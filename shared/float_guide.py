"""How long a float may be, by what the cloth is for. Common practice, no source: your own rule is better."""

# use: longest float in millimetres, why
FLOAT_GUIDE = {
    "baby": (3, "small fingers and toes catch in more; defer to the local safety rules"),
    "upholstery": (6, "rubbed and sat on"),
    "towel": (8, "washed often, hung on hooks"),
    "garment": (10, "buttons, rings and nails catch"),
    "wall piece": (25, "looked at, hardly touched"),
}
