"""Bodies that run out into a neck, or into a broad tongue round a hole.

The neck comes first and last: its lower side, then the body from the lower shoulder round to the upper
one, its upper side, and its end. The hand says how wide and long it is.
"""

from shapes.forms.form import Form, Part, arc, side

_LOW = side("neck low", 0, 1.0, "grip", 0.0)
_TOP = side("neck top", 0, 1.0, "grip", 0.0)
_END = arc("tip", 180, 1.0, "tip", 0.0)


def _on_neck(*body: Part) -> tuple[Part, ...]:
    return (_LOW, *body, _TOP, _END)


NECKED: dict[str, Form] = {
    "sweep": Form(
        "a straight back from the neck's end to the far end; one sweep opens into the body",
        _on_neck(
            arc("low shoulder", (-80, -66), (0.52, 0.72), "S", 0.12),
            arc("breast", 0, (0.30, 0.44), "S", against="low shoulder"),
            side("base", 0, 0.5, "B"),
            arc("far low", 90, (16, 26)),
            side("far end", (2, 5), 0.4, "W"),
            arc("far top", (85, 88), 1.0, "far low", 0.25, (1.0, 2.6, 3.4)),
            side("back", 0, 0.85, "B"),
        ),
        width=(0.64, 0.84), slim=(2.2, 3.0), tip="tip", seldom=True,
    ),
    "bottle": Form(
        "long easy shoulders alike on a long body; one corner of the far end rounder",
        _on_neck(
            arc("low shoulder", (-46, -40), (1.10, 1.40), "S", 0.12),
            arc("breast", (-7, -5), (1.00, 1.30), "S", against="low shoulder"),
            side("base", (12, 15), 0.3, "B"),
            arc("far low", (74, 80), (0.24, 0.32), "W"),
            side("far end", (14, 20), 0.3, "W"),
            arc("far top", (66, 74), (0.42, 0.54), "W"),
            side("top", (12, 15), 0.25, "B"),
            arc("brow", (36, 41), 1.0, "breast"),
            arc("top shoulder", (-7, -5), 1.0, "low shoulder", 0.12, against="brow"),
        ),
        width=(0.58, 0.74), slim=(2.4, 3.2), tip="tip", off=(0.0, 0.0),
    ),
    "round": Form(
        "a true round on a neck a little off its axis",
        _on_neck(
            arc("low shoulder", (-72, -60), (0.18, 0.28), "S", 0.12),
            arc("breast", (46, 56), 0.5, "W", 0.3),
            arc("low", (48, 54), (0.49, 0.52), "W", 0.6),
            arc("far", (48, 56), 0.5, "W", 0.6),
            arc("top", (48, 56), (0.48, 0.51), "W", 0.6),
            arc("brow", (48, 54), 0.5, "W", 0.6),
            arc("nape", (44, 54), 0.49, "W", 0.3),
            arc("top shoulder", (-66, -54), (0.32, 0.46), "S", 0.12),
        ),
        slim=(1.65, 1.95), tip="tip", off=(-0.08, 0.08), seldom=True,
    ),
    "tongue": Form(
        "a broad tongue whose end runs round its hole, on a full body; one shoulder a little wider",
        (
            side("low side", 0, (0.10, 0.13), "L", 0.3),
            arc("low shoulder", (-50, -44), (0.54, 0.64), "S", 0.12),
            arc("breast", (-9, -7), (0.66, 0.80), "S", 0.3, against="low shoulder"),
            side("base", (13, 17), 0.44, "L", 0.9),
            arc("far low", (65, 71), (0.30, 0.38), "W", 0.4),
            side("far end", (20, 30), 0.3, "W", 0.8),
            arc("far top", (62, 70), (0.34, 0.44), "W", 0.4),
            side("top", (13, 17), 0.34, "L", 0.9),
            arc("brow", (40, 46), (0.76, 0.92), "S", 0.3),
            arc("top shoulder", (-9, -7), (0.72, 0.84), "S", 0.12, against="brow"),
            side("top side", 0, (0.10, 0.13), "L", 0.3),
            arc("tip", 180, 1.0, "tip", 0.0),
        ),
        width=(0.8, 1.0), slim=(1.92, 2.5), tip="tip", off=(-0.06, -0.03),
    ),
    "bell": Form(
        "a broad tongue round its hole on a body that ends in one full round; one shoulder a little wider",
        (
            side("low side", 0, (0.10, 0.13), "L", 0.3),
            arc("low shoulder", (-47, -41), (0.66, 0.78), "S", 0.12),
            arc("breast", (-9, -7), (0.66, 0.80), "S", 0.3, against="low shoulder"),
            side("base", (13, 17), 0.32, "L", 0.9),
            arc("far low", (53, 58), (0.48, 0.53), "W", 0.3),
            arc("far end", (52, 58), (0.48, 0.54), "W", 0.3),
            arc("far top", (53, 58), (0.48, 0.53), "W", 0.3),
            side("top", (13, 17), 0.26, "L", 0.9),
            arc("brow", (37, 43), (0.76, 0.90), "S", 0.3),
            arc("top shoulder", (-9, -7), (0.74, 0.86), "S", 0.12, against="brow"),
            side("top side", 0, (0.10, 0.13), "L", 0.3),
            arc("tip", 180, 1.0, "tip", 0.0),
        ),
        width=(0.84, 1.0), slim=(1.95, 2.35), tip="tip", off=(-0.06, -0.03),
    ),
    "scoop": Form(
        "a level back from the neck's end into a full round; one long sweep opens into the body",
        (
            side("back", 5, 0.72, "L", 0.9),
            arc("far low", (54, 60), (0.42, 0.48), "W", 0.4),
            arc("far end", (54, 60), (0.48, 0.54), "W", 0.4),
            arc("far top", (56, 62), (0.44, 0.50), "W", 0.4),
            side("top", (9, 12), 0.11, "L", 0.9),
            arc("brow", (45.5, 49), (0.36, 0.44), "L", 0.3),
            arc("top shoulder", (-9, -7), (0.33, 0.39), "L", 0.12, against="brow"),
            side("top side", 0, (0.06, 0.085), "L", 0.3),
            arc("tip", 180, 1.0, "tip", 0.0),
        ),
        heading=(-2.5, -2.5), swings=0.02, length=(0.94, 1.0), width=(0.76, 1.0), slim=(2.05, 2.75), tip="tip", rests=True, free=True, natural=True,
    ),
    "ladle": Form(
        "a slim handle that flows into a full round body, its hole at the end",
        (
            side("low side", 0, (0.14, 0.17), "L", 0.3),
            arc("low shoulder", (-44, -39), (0.27, 0.32), "L", 0.12),
            arc("breast", (-9, -7), (0.26, 0.30), "L", 0.3, against="low shoulder"),
            side("base", (20, 25), 0.18, "L", 0.9),
            arc("far low", (49, 54), (0.47, 0.51), "W", 0.3),
            arc("far end", (50, 54), (0.50, 0.53), "W", 0.3),
            arc("far top", (49, 54), (0.47, 0.51), "W", 0.3),
            side("top", (20, 25), 0.16, "L", 0.9),
            arc("brow", (35, 38), (0.30, 0.35), "L", 0.3),
            arc("top shoulder", (-9, -7), (0.32, 0.38), "L", 0.12, against="brow"),
            side("top side", 0, (0.14, 0.17), "L", 0.3),
            arc("tip", 180, 1.0, "tip", 0.0),
        ),
        length=(0.94, 1.0), width=(0.80, 1.0), slim=(1.78, 2.3), tip="tip", off=(-0.045, -0.03), seldom=True,
    ),
    "lug": Form(
        "a squared body with a broad lug round its hole; one far corner rounder than the other",
        (
            side("low side", 0, (1.5, 2.0), "tip", 0.3),
            arc("low shoulder", (-70, -60), (0.34, 0.46), "S", 0.12),
            arc("breast", (-4, -3), (0.34, 0.46), "S", 0.3, against="low shoulder"),
            side("base", (6, 8), 0.5, "L", 0.9),
            arc("far low", (74, 80), (0.22, 0.28), "W", 0.4),
            side("far end", (14, 20), 0.35, "W", 0.8),
            arc("far top", (74, 80), (0.42, 0.50), "W", 0.3),
            side("top", (6, 8), 0.3, "L", 0.9),
            arc("brow", (58, 66), 1.0, "breast", 0.3),
            arc("top shoulder", (-4, -3), 1.0, "low shoulder", 0.12, against="brow"),
            side("top side", 0, 1.0, "low side", 0.3),
            arc("tip", 180, 1.0, "tip", 0.0),
        ),
        width=(0.84, 1.0), slim=(2.1, 2.5), tip="tip", off=(0.0, 0.0),
    ),
    "crook": Form(
        "a long neck bent from the body's axis, grown from one edge over one deep sweep",
        _on_neck(
            arc("low shoulder", (-72, -58), (0.62, 0.84), "S", 0.12),
            arc("breast", (48, 62), (0.85, 1.10), "S"),
            side("base", (6, 12), 0.14, "B"),
            arc("far low", (72, 84), (0.24, 0.40), "W"),
            side("far end", (10, 18), 0.35, "W"),
            arc("far top", (72, 84), (0.9, 1.6), "far low"),
            side("back", (10, 18), 0.8, "B"),
        ),
        heading=(8, 13), width=(0.72, 0.9), slim=(2.45, 2.95), ease=26, tip="tip", seldom=True,
    ),
    "paddle": Form(
        "a squared body on a neck; generous shoulders, one corner swept wide",
        _on_neck(
            arc("low shoulder", (-76, -64), (0.46, 0.60), "S", 0.12),
            arc("breast", 0, (0.26, 0.38), "S", against="low shoulder"),
            side("base", 0, 0.42, "B"),
            arc("far low", 90, (18, 26)),
            side("far end", (2, 4), 0.3, "W"),
            arc("far top", (86, 88), (3.0, 4.0), "far low"),
            side("top", 0, 0.3, "B"),
            arc("brow", (64, 76), (0.30, 0.42), "S"),
            arc("top shoulder", 0, (0.52, 0.68), "S", 0.12, against="brow"),
        ),
        width=(0.74, 0.96), slim=(1.75, 2.5), tip="tip", off=(-0.05, 0.05),
    ),
}  # fmt: skip
