"""Calm shapes: straight edges and one decided curve."""

from shapes.forms.form import Form, arc, both_halves, side

CALM: dict[str, Form] = {
    "quarter": Form(
        "two nearly straight sides and one large quarter; the hole in the square corner",
        (
            side("base", (5, 8), 0.8),
            arc("far corner", (76, 84), (0.12, 0.18), "W"),
            arc("far sweep", (36, 46), (0.55, 0.75), "W", 0.7),
            arc("top sweep", (46, 56), (0.9, 1.2), "W", 0.7),
            arc("top corner", (74, 82), (0.10, 0.15), "W"),
            side("upright", (5, 8), 0.6, "W"),
            arc("square corner", (84, 86), 1.0, "tip", 0.0),
        ),
        heading=(-3.5, -2.5), slim=(1.2, 1.5), tip="square corner", bars=("upright",), seldom=True,
    ),
    "half-moon": Form(
        "a straight edge and one full curve, its crown off the middle",
        (
            side("base", 0, 0.7),
            arc("far corner", (84, 94), (0.10, 0.15), "W"),
            arc("far sweep", (96, 106), (0.40, 0.46), "L", 0.9),
            arc("near sweep", (48, 58), (0.62, 0.76), "L", 0.9),
            arc("near corner", (112, 122), (0.10, 0.15), "W"),
        ),
        slim=(1.58, 2.2), bars=("base",), seldom=True,
    ),
    "turned": Form(
        "alike when turned half round: opposite corners swept wide, the others crisp",
        both_halves(
            side("base", 9, 0.55),
            arc("far crisp", (84, 88), (0.13, 0.17), "W"),
            side("far end", 7, (0.18, 0.28), "W"),
            arc("far sweep", (76, 80), (0.66, 0.84), "W", 0.2),
        ),
        heading=(-4.5, -4.5), slim=(2.0, 2.6), tip="far crisp", natural=True,
    ),
    "tray": Form(
        "leaf-cornered and alike when turned half round, with straight upright ends",
        both_halves(
            side("base", 4, 0.5),
            arc("far close", 87, (0.10, 0.13), "W"),
            side("far end", 2, 0.50, "W"),
            arc("far bend", (49, 53), (0.20, 0.25), "W", 0.2),
            arc("far sweep", (34, 38), (0.5, 0.85), "W", 0.2),
        ),
        heading=(-2, -2), length=(0.95, 1.0), width=(0.80, 1.0), slim=(1.98, 2.5), tip="far close", bars=("near end", "far end"), ends=("near end", "far end"), balanced=True,
    ),
    "satchel": Form(
        "leaf-cornered, alike when turned half round; the opening in the middle of a long side",
        both_halves(
            side("base", 4, 0.6),
            arc("far close", 87, (0.10, 0.13), "W"),
            side("far end", 2, 0.40, "W"),
            arc("far wide", 87, (0.33, 0.42), "W", 0.2),
        ),
        heading=(-2, -2), length=(0.94, 1.0), width=(0.80, 1.0), slim=(1.84, 2.28), bars=("top",), balanced=True, seldom=True,
    ),
    "plank": Form(
        "long and slim, alike when turned half round: level sides, opposite corners swept, the others crisp",
        both_halves(
            side("base", 5, 0.7),
            arc("far crisp", (84, 88), (0.17, 0.22), "W"),
            side("far end", 6, (0.2, 0.3), "W"),
            arc("far sweep", (81, 85), (0.62, 0.80), "W", 0.2),
        ),
        heading=(-2.5, -2.5), width=(0.5, 1.0), slim=(2.65, 3.4), tip="far crisp",
    ),
    "slab": Form(
        "one long calm or natural side, crisp at its ends; above it one corner swept wide, one round its hole",
        (
            side("base", 4, 0.8),
            arc("far crisp", (82, 88), (0.11, 0.15), "W"),
            side("far end", (5, 9), 0.28, "W"),
            arc("far sweep", (74, 82), (0.58, 0.76), "W", 0.3),
            side("top", (5, 8), 0.5),
            arc("near top", (82, 88), 1.0, "tip", 0.1),
            side("near end", (4, 7), 0.3, "W"),
            arc("near crisp", (82, 88), (0.11, 0.15), "W"),
        ),
        heading=(-2, -2), slim=(2.0, 2.6), tip="near top", bars=("top",), seldom=True, natural=True,
    ),
    "fan": Form(
        "a decided taper: the narrow end round its hole, the far end a shallow sweep",
        (
            side("low flank", (8, 13), 0.84),
            arc("low corner", (68, 76), (16, 24), taper=1.0),
            side("far sweep", (24, 36), 0.62, "W"),
            arc("top corner", (62, 72), (4.0, 5.5), "low corner", taper=1.0),
            side("top flank", (8, 13), 0.56),
            arc("tip", (158, 166), 1.0, "tip", 0.0, taper=-2.0),
        ),
        heading=(-18, -10), width=(0.84, 1.0), tip="tip", slim=(1.5, 2.4), level=("far sweep", "tip"), swings=0.6, seldom=True,
    ),
    "pill": Form(
        "a level base, a long bowed slope to a round end about its hole; the other end softly squared",
        (
            side("base", 4, 0.7),
            arc("far low", (80, 86), (0.24, 0.32), "W", 0.3),
            side("far end", (14, 22), 0.3, "W", 0.6),
            arc("far top", (84, 94), (0.36, 0.46), "W", 0.3),
            side("top", (6, 10), 0.3),
            side("slope", (10, 16), 0.36),
            arc("tip", (140, 154), 1.1, "tip", 0.0),
        ),
        heading=(-2, -2), width=(0.74, 1.0), slim=(2.05, 2.45), swings=0.02, tip="tip", seldom=True, natural=True,
    ),
}  # fmt: skip
