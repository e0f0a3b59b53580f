"""Calm shapes: straight edges and one decided curve."""

from shapes.forms.form import Form, arc, side

CALM: dict[str, Form] = {
    "quarter": Form(
        "two straight sides and one large quarter; the hole in the square corner",
        (
            side("base", 0, 0.85),
            arc("far corner", (84, 94), (18, 28)),
            arc("far sweep", (36, 48), (0.6, 0.8), "W", 0.7),
            arc("top sweep", (46, 58), (1.0, 1.3), "W", 0.7),
            arc("top corner", (82, 90), (18, 28)),
            side("upright", 0, 0.6, "W"),
            arc("square corner", 90, 1.0, "tip", 0.0),
        ),
        slim=(1.12, 1.42), tip="square corner", bars=("base",),
    ),
    "half-moon": Form(
        "a straight edge and one full curve, its crown off the middle",
        (
            side("base", 0, 0.7),
            arc("far corner", (100, 110), (0.09, 0.15), "W"),
            arc("far sweep", (56, 70), (0.50, 0.64), "L", 0.9),
            arc("near sweep", (80, 94), (0.42, 0.50), "L", 0.9),
            arc("near corner", (98, 108), (0.09, 0.15), "W"),
        ),
        slim=(1.75, 2.15), bars=("base",),
    ),
    "turned": Form(
        "alike when turned half round: opposite corners swept, the others crisp",
        (
            side("base", (3, 6), 0.6),
            arc("far crisp", (85, 90), (20, 32)),
            side("far end", (4, 8), 0.36, "W"),
            arc("far sweep", (80, 86), (0.44, 0.60), "W", 0.2),
            side("top", (3, 6), 1.0, "base"),
            arc("near crisp", (85, 90), 1.0, "far crisp"),
            side("near end", (4, 8), 1.0, "far end"),
            arc("near sweep", (80, 86), 1.0, "far sweep", 0.2),
        ),
        heading=(-3, -2), slim=(1.35, 2.6), tip="far crisp", bars=("near end", "far end"), ends=("near end", "far end"), turned=True,
    ),
    "fan": Form(
        "a decided taper: the narrow end round its hole, the far end a shallow sweep",
        (
            side("low flank", (3, 7), 0.7),
            arc("low corner", (72, 80), (16, 26), taper=1.0),
            side("far sweep", (20, 34), 0.65, "W"),
            arc("top corner", (68, 78), (2.4, 3.4), "low corner", taper=1.0),
            side("top flank", (3, 7), 0.7),
            arc("tip", (166, 174), 1.0, "tip", 0.0, taper=-2.0),
        ),
        heading=(-18, -10), width=(0.84, 1.0), tip="tip", slim=(1.5, 2.4), level=("far sweep", "tip"),
    ),
    "belly": Form(
        "one straight side against one belly; upright ends",
        (
            side("base", 0, 0.8),
            arc("far corner", (86, 90), (18, 26)),
            side("far end", (2, 4), 0.5, "W", 0.8),
            arc("far shoulder", (66, 76), (0.18, 0.25), "W", 0.4),
            side("belly", (36, 52), 0.75),
            arc("near shoulder", (54, 64), (0.32, 0.46), "W", 0.4),
            side("near end", (2, 4), 0.5, "W", 0.8),
            arc("near corner", (86, 90), 1.0, "far corner"),
        ),
        slim=(1.5, 2.6), bars=("base",), ends=("near end", "far end"),
    ),
    "prow": Form(
        "a plank whose one long wave lifts into a prow",
        (
            side("base", 0, 0.66),
            arc("keel", (52, 62), (0.6, 0.8), "W", 0.5),
            arc("prow", (112, 124), (20, 28), "mm", 0.1),
            side("wave", (-22, -14), 0.45),
            side("crest", (16, 26), 0.4),
            arc("near top", (84, 96), (18, 26)),
            side("near end", (2, 6), 0.6, "W"),
            arc("near corner", 90, 1.0, "tip", 0.0),
        ),
        width=(0.86, 1.0), slim=(1.7, 2.3), ease=26, tip="near corner", hollows=("wave",),
    ),
    "pill": Form(
        "a long slim round: one true round end about its hole, the other softly squared",
        (
            side("base", (2, 5), 0.7),
            arc("far low", (82, 88), (0.20, 0.28), "W", 0.3),
            side("far end", (10, 18), 0.22, "W", 0.6),
            arc("far top", (76, 86), (0.36, 0.46), "W", 0.3),
            side("top", (8, 14), 0.6),
            arc("tip", (160, 172), (0.46, 0.49), "W", 0.05),
        ),
        heading=(-4, -2), width=(0.62, 0.8), slim=(2.5, 3.9), tip="tip", bars=("base",),
    ),
}  # fmt: skip
