"""Free shapes: one flowing line, one idea."""

from shapes.forms.form import Form, arc, side

FREE: dict[str, Form] = {
    "comma": Form(
        "a full round that runs out into a bent tip with its hole",
        (
            side("back", (34, 50), 0.75),
            arc("heel", (86, 98), (0.42, 0.50), "W", 0.5),
            arc("crown", (86, 98), (0.36, 0.44), "W", 0.5),
            side("fall", (11, 16), 0.1, "L", 0.6),
            side("hollow", (-30, -20), 0.58),
            arc("tip", (136, 148), 1.0, "tip", 0.0),
        ),
        heading=(-30, -20), width=(0.66, 1.0), slim=(1.3, 2.05), ease=30, tip="tip", hollows=("hollow",), free=True,
    ),
    "bean": Form(
        "one long hollow opposite one full curve, the ends unlike",
        (
            arc("belly", (52, 66), (0.44, 0.52), "L", 0.9),
            arc("belly's rise", (52, 66), (0.46, 0.58), "L", 0.9),
            arc("small end", (112, 124), (0.21, 0.25), "W", 0.3),
            side("hollow", (-28, -19), 0.6),
            arc("large end", (126, 138), (0.40, 0.48), "W", 0.3),
            side("foot", (11, 17), 0.1, "L", 0.6),
        ),
        heading=(-60, -50), width=(0.66, 1.0), slim=(1.4, 1.88), ease=34, tip="small end", hollows=("hollow",), free=True,
    ),
    "shell": Form(
        "a rounded triangle that closes round its hole",
        (
            side("base", (6, 14), 0.7),
            arc("near corner", (88, 104), (0.24, 0.38), "W"),
            side("far side", (24, 40), 0.5, "W"),
            arc("top corner", (58, 80), (0.34, 0.50), "W"),
            side("flank", (12, 24), 0.62),
            arc("tip", (128, 138), 1.0, "tip", 0.0),
        ),
        heading=(-10, -4), slim=(1.3, 2.05), tip="tip", free=True,
    ),
    "mussel": Form(
        "one flank taut, one full; the small end runs round its hole",
        (
            side("taut flank", (2, 7), 0.78),
            arc("far end", (82, 94), (0.30, 0.38), "W", 0.5),
            arc("shoulder", (62, 76), (0.28, 0.36), "W", 0.6),
            side("full flank", (48, 66), 0.92, "L", 0.9),
            arc("tip", (136, 146), 1.0, "tip", 0.0),
        ),
        heading=(-5, -1), width=(0.66, 1.0), slim=(1.5, 2.5), tip="tip", free=True,
    ),
    "sway": Form(
        "two hollows that answer each other, one end clearly larger",
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
        heading=(-8, -2), slim=(1.7, 2.6), ease=34, tip="near turn", hollows=("low hollow", "top hollow"), free=True,
    ),
    "leaf": Form(
        "two tips, one crisp and one open round its hole; one side fuller",
        (
            side("low far", (24, 34), 0.42, "L", 0.9),
            side("low near", (44, 58), 0.48, "L", 0.9),
            arc("crisp tip", (110, 124), (0.10, 0.17), "W", 0.5),
            side("top far", (16, 26), 0.5, "L", 0.9),
            side("top near", (16, 26), 0.4, "L", 0.9),
            arc("tip", (112, 124), 1.0, "tip", 0.0),
        ),
        heading=(-34, -28), width=(0.76, 0.96), slim=(2.15, 2.8), tip="tip", level=("crisp tip", "tip"), free=True, broad=True,
    ),
    "drop": Form(
        "a drop: the tip runs round its hole, one flank full, one taut",
        (
            side("full flank", (28, 42), 0.75),
            arc("heel", (44, 54), (0.46, 0.56), "W", 0.7, taper=0.7),
            arc("end", (52, 60), (0.42, 0.54), "W", 0.7, taper=0.6),
            arc("crown", (54, 64), (0.30, 0.38), "W", 0.7, taper=0.7),
            side("taut flank", (1, 5), 0.66),
            arc("tip", (156, 170), 1.0, "tip", 0.0, taper=-2.0),
        ),
        heading=(-34, -24), width=(0.66, 1.0), slim=(1.5, 2.3), tip="tip", level=("end", "tip"), free=True,
    ),
    "pebble": Form(
        "a large calm pebble that leans: full corners, no two opposite alike",
        (
            side("base", (12, 22), 0.55),
            arc("far low", (64, 84), (0.24, 0.32), "W"),
            side("far end", (14, 22), 0.40, "W", 0.8),
            arc("far top", (62, 78), (0.40, 0.52), "W"),
            side("top", (16, 28), 0.55),
            arc("near top", (64, 84), (0.28, 0.36), "W"),
            side("near end", (14, 22), 0.38, "W", 0.8),
            arc("near low", (62, 76), (0.42, 0.54), "W"),
        ),
        heading=(-14, -7), slim=(1.25, 1.95), tip="far low", bars=("base",), ends=("near end", "far end"), free=True,
    ),
    "stone": Form(
        "a stone of three radii: wide, middling, close",
        (
            side("base", (8, 16), 0.4),
            arc("wide", (92, 110), (0.50, 0.58), "W", 0.5),
            side("rise", (12, 22), 0.34),
            arc("middling", (84, 100), (0.28, 0.36), "W", 0.4),
            side("top", (18, 28), 0.52),
            arc("close", (108, 124), 1.0, "tip", 0.0),
        ),
        heading=(-18, -8), width=(0.66, 1.0), slim=(1.15, 1.55), ease=30, tip="close", free=True,
    ),
    "petal": Form(
        "a petal: one open round end, both sides swept to a leaning tip",
        (
            side("low sweep", (48, 62), 0.9),
            arc("round end", (100, 116), (0.26, 0.34), "W", 0.5),
            arc("brow", (48, 60), (0.44, 0.58), "W", 0.7),
            side("top sweep", (2, 12), 0.66),
            arc("tip", (132, 146), 1.0, "tip", 0.0),
        ),
        heading=(-26, -16), width=(0.80, 0.96), slim=(1.6, 2.5), ease=28, tip="tip", free=True,
    ),
    "wing": Form(
        "a taut back, a deep belly and a lifted tip over one hollow",
        (
            side("belly", (40, 54), 0.36, "L", 0.9),
            arc("far end", (98, 112), (0.22, 0.28), "W", 0.4),
            side("back", (18, 30), 0.48),
            side("nape", (-28, -18), 0.38),
            arc("tip", (150, 166), 1.0, "tip", 0.0),
            side("throat", (36, 52), 0.62, "L", 0.7),
        ),
        heading=(-12, -4), width=(0.66, 1.0), slim=(1.7, 2.6), ease=30, tip="tip", hollows=("nape",), free=True,
    ),
}  # fmt: skip
