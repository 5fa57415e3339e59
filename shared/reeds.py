"""Reed counts and reeds in common use.

``REED_SYSTEMS`` gives for each system how many dents one of its number stands
for, over how many inches, in words, and the key of the source.
"""

REED_SYSTEMS = {
    "Stockport": (1.0, 2.0, "dents in 2 inches", "TAYLOR"),
    "Bolton": (20.0, 24.25, "beers of 20 dents in 24 1/4 inches", "TAYLOR"),
    "Bradford": (20.0, 36.0, "beers of 20 dents in 36 inches", "TAYLOR"),
    "Scotch": (1.0, 37.0, "dents in 37 inches", "TAYLOR"),
    "Irish": (100.0, 40.0, "hundreds of dents in 40 inches", "TRAINING"),
    "Huddersfield": (1.0, 1.0, "dents in 1 inch", "MEMORY"),
    "Radcliffe": (1.0, 1.0, "dents in 1 inch", "MEMORY"),
    "metric": (1.0, 10 / 2.54, "dents in 10 centimetres", "TRAINING"),
}

# Reeds that handweavers commonly have (PRACTICE).
COMMON_REEDS_PER_INCH = (5, 6, 8, 10, 12, 15, 16, 18, 20, 24)
COMMON_REEDS_PER_10_CM = (20, 25, 30, 40, 50, 60, 70, 80, 90, 100)
