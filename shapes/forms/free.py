"""Free shapes: one flowing line, one idea."""

from shapes.forms.form import Form, arc, both_halves, side

FREE: dict[str, Form] = {
    "comma": Form(
        "a full round that runs out into a bent tip with its hole",
        (
            side("back", (34, 48), 0.75),
            arc("heel", (84, 96), (0.46, 0.54), "W", 0.5),
            arc("crown", (84, 96), (0.38, 0.46), "W", 0.5),
            side("fall", (11, 16), 0.12, "L", 0.6),
            side("hollow", (-26, -17), 0.58),
            arc("tip", (132, 144), 1.0, "tip", 0.0),
        ),
        heading=(-30, -22), width=(0.72, 1.0), slim=(1.85, 2.1), ease=30, swings=0.2, tip="tip",
        hollows=("hollow",), free=True,
    ),
    "bean": Form(
        "one long hollow opposite one full curve, the ends unlike",
        (
            arc("belly", (48, 60), (0.48, 0.56), "L", 0.9),
            arc("belly's rise", (50, 62), (0.50, 0.62), "L", 0.9),
            arc("small end", (112, 124), (0.20, 0.24), "W", 0.3),
            side("hollow", (-26, -18), 0.6),
            arc("large end", (128, 140), (0.44, 0.54), "W", 0.3),
            side("foot", (11, 17), 0.1, "L", 0.6),
        ),
        heading=(-48, -40), width=(0.72, 1.0), slim=(1.8, 2.3), ease=34, swings=0.2, tip="small end",
        hollows=("hollow",), free=True, seldom=True,
    ),
    "shell": Form(
        "a long rounded triangle that closes round its hole",
        (
            side("base", (14, 22), 0.7),
            arc("near corner", (84, 98), (0.30, 0.42), "W"),
            side("far side", (24, 36), 0.4, "W"),
            arc("top corner", (56, 74), (0.44, 0.60), "W"),
            side("flank", (26, 36), 0.62),
            arc("tip", (118, 130), 1.0, "tip", 0.0),
        ),
        heading=(-16, -10), width=(0.72, 0.98), slim=(1.75, 2.1), swings=0.2, tip="tip", off=(-0.24, -0.12), free=True, seldom=True,
    ),
    "mussel": Form(
        "one level flank, one full; the small end runs round its hole",
        (
            side("level flank", 6, 0.62),
            arc("far end", (87, 93), (0.49, 0.56), "W", 0.5),
            arc("shoulder", (64, 73), (0.44, 0.52), "W", 0.6),
            side("crown", (12, 20), 0.14, "L", 0.9),
            side("full flank", (48, 60), 0.66, "L", 0.9),
            arc("tip", (120, 128), 1.0, "tip", 0.0),
        ),
        heading=(-3, -3), width=(0.86, 1.0), slim=(1.95, 2.28), swings=0.02, tip="tip", free=True, natural=True,
    ),
    "sway": Form(
        "two hollows that answer each other, one end twice as full as the other",
        (
            side("low lip", (16, 22), 0.26, "L", 0.8),
            side("low hollow", (-34, -25), 0.34),
            arc("far turn", (84, 96), (0.30, 0.36), "W", 0.4),
            side("far end", (12, 18), 0.18, "W", 0.5),
            arc("far top", (78, 90), (0.40, 0.50), "W", 0.4),
            side("top lip", (16, 24), 0.30, "L", 0.8),
            side("top hollow", (-30, -22), 0.32),
            arc("near turn", (82, 94), (0.24, 0.29), "W", 0.3),
            side("near end", (12, 18), 0.18, "W", 0.5),
            arc("near low", (76, 88), (0.32, 0.40), "W", 0.4),
        ),
        heading=(-8, -2), slim=(1.7, 2.6), ease=34, swings=0.2, tip="near turn",
        hollows=("low hollow", "top hollow"), free=True, seldom=True,
    ),
    "leaf": Form(
        "two tips, one crisp and one open round its hole; one side fuller",
        (
            side("low far", (30, 40), 0.46, "L", 0.9),
            side("low near", (50, 62), 0.52, "L", 0.9),
            arc("crisp tip", (100, 114), (0.18, 0.24), "W", 0.5),
            side("top far", (14, 22), 0.36, "L", 0.9),
            side("top near", (20, 28), 0.50, "L", 0.9),
            arc("tip", (108, 120), 1.0, "tip", 0.0),
        ),
        heading=(-38, -32), width=(0.72, 0.96), slim=(2.0, 2.35), tip="tip", level=("crisp tip", "tip"),
        swings=0.6, free=True, seldom=True,
    ),
    "drop": Form(
        "a drop: the tip runs round its hole, one flank full, one taut, the far end evenly round",
        (
            side("full flank", (35, 40), 0.75),
            arc("heel", (49.5, 51), (0.47, 0.50), "W", 0.2, taper=0.7),
            arc("end", (53.5, 55), (0.47, 0.51), "W", 0.2, taper=0.6),
            arc("crown", (49.5, 51), (0.44, 0.48), "W", 0.2, taper=0.7),
            side("taut flank", (17, 21), 0.70),
            arc("tip", (149, 151), 1.0, "tip", 0.0, taper=-2.0),
        ),
        heading=(-30, -24), width=(0.86, 1.0), slim=(1.95, 2.3), swings=0.6, tip="tip", free=True,
    ),
    "pebble": Form(
        "a large calm pebble that leans: opposite corners wide, the others close",
        both_halves(
            side("base", (12, 18), 0.5),
            arc("far close", (76, 86), 1.0, "tip", 0.1),
            side("far end", (8, 12), 0.38, "W", 0.8),
            arc("far wide", (68, 78), (0.56, 0.70), "W"),
        ),
        heading=(-9, -7), width=(0.74, 1.0), slim=(1.3, 1.85), tip="far close", free=True,
    ),
    "stone": Form(
        "a stone of three radii: wide, middling, close",
        (
            side("base", (12, 20), 0.5),
            arc("wide", (88, 104), (0.46, 0.54), "W", 0.5),
            side("rise", (16, 26), 0.18),
            arc("middling", (78, 92), (0.38, 0.48), "W", 0.4),
            side("top", (24, 36), 0.5),
            arc("close", (100, 114), 1.0, "tip", 0.0),
        ),
        heading=(-14, -8), width=(0.76, 1.0), slim=(1.25, 1.6), ease=30, swings=0.2, tip="close", free=True, seldom=True,
    ),
    "petal": Form(
        "a petal: one open round end, both sides swept to a leaning tip",
        (
            side("low sweep", (50, 62), 0.9),
            arc("round end", (90, 104), (0.32, 0.40), "W", 0.5),
            arc("brow", (48, 60), (0.48, 0.62), "W", 0.7),
            side("top sweep", (26, 34), 0.64),
            arc("tip", (116, 128), 1.0, "tip", 0.0),
        ),
        heading=(-28, -20), width=(0.72, 0.98), slim=(2.1, 2.45), ease=28, swings=0.2, tip="tip", free=True, seldom=True, rises=True,
    ),
    "ribbon": Form(
        "a long ribbon that bends once each way, alike when turned half round",
        both_halves(
            side("low bow", (26, 32), 0.42, "L", 0.9),
            side("low hollow", (-30, -23), 0.42, "L", 0.9),
            arc("far tip", (96, 106), 1.0, "tip", 0.0),
            arc("far end", (70, 82), (0.42, 0.54), "W", 0.5),
        ),
        heading=(-12, -8), width=(0.70, 0.95), slim=(2.5, 3.1), ease=34, tip="far tip", free=True,
    ),
    "willow": Form(
        "a leaf alike when turned half round: both sides swept, both tips crisp",
        both_halves(
            side("low", (11, 14), 0.60, "L"),
            arc("far tip", (98, 106), 1.0, "tip", 0.0),
            side("far end", (10, 15), 0.10, "L", 0.8),
            arc("far sweep", (51, 61), (0.66, 1.0), "W", 0.4),
        ),
        heading=(-6.5, -6), width=(0.72, 0.98), slim=(2.2, 2.55), ease=28, tip="far tip", free=True, rises=False,
    ),
}  # fmt: skip
