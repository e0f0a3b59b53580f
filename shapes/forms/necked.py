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
            arc("low shoulder", (-80, -66), (0.80, 1.0), "S", 0.12),
            arc("breast", (66, 80), (0.40, 0.56), "S"),
            side("base", (1, 4), 0.36, "B"),
            arc("far low", (84, 90), (20, 44)),
            side("far end", (3, 10), 0.4, "W"),
            arc("far top", (82, 88), 1.0, "far low", 0.25, (1.0, 1.0, 2.2)),
            side("back", (1, 4), 0.85, "B"),
        ),
        width=(0.64, 0.84), slim=(2.2, 3.3), tip="tip",
    ),
    "bottle": Form(
        "wide easy shoulders, staggered, on a long body",
        _on_neck(
            arc("low shoulder", (-58, -46), (0.60, 0.80), "S", 0.12),
            arc("breast", (46, 58), (0.55, 0.78), "S"),
            side("base", (4, 11), 0.36, "B"),
            arc("far low", (68, 80), (0.24, 0.46), "W"),
            side("far end", (12, 24), 0.3, "W"),
            arc("far top", (68, 80), (0.8, 1.3), "far low"),
            side("top", (4, 11), 0.3, "B"),
            arc("brow", (40, 54), (0.70, 0.95), "S"),
            arc("top shoulder", (-52, -40), (0.75, 1.0), "S", 0.12),
        ),
        width=(0.74, 0.94), slim=(1.75, 2.6), tip="tip", off=(0.04, 0.11),
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
        slim=(1.5, 1.85), tip="tip", off=(0.05, 0.12),
    ),
    "tongue": Form(
        "a broad tongue whose end runs round its hole, on a full body",
        (
            side("low side", (0, 3), (12, 24), "mm", 0.3),
            arc("low shoulder", (-62, -50), (0.32, 0.44), "S", 0.12),
            arc("breast", (50, 62), (0.60, 0.85), "S", 0.3),
            side("base", (8, 18), 0.3, "L", 0.9),
            arc("far low", (60, 74), (0.28, 0.40), "W", 0.4),
            side("far end", (10, 26), 0.3, "W", 0.8),
            arc("far top", (60, 74), (0.8, 1.3), "far low", 0.4),
            side("top", (8, 18), 0.28, "L", 0.9),
            arc("brow", (48, 60), (0.75, 1.0), "S", 0.3),
            arc("top shoulder", (-57, -45), (0.45, 0.62), "S", 0.12),
            side("top side", (0, 3), (12, 24), "mm", 0.3),
            arc("tip", (172, 180), 1.0, "tip", 0.0),
        ),
        slim=(1.45, 2.2), tip="tip", off=(0.03, 0.10), broad=True,
    ),
    "crook": Form(
        "a long neck bent from the body's axis, grown from one edge over one deep sweep",
        _on_neck(
            arc("low shoulder", (-72, -58), (0.62, 0.84), "S", 0.12),
            arc("breast", (48, 62), (0.40, 0.60), "S"),
            side("base", (6, 12), 0.4, "B"),
            arc("far low", (72, 84), (0.24, 0.40), "W"),
            side("far end", (10, 18), 0.35, "W"),
            arc("far top", (72, 84), (0.9, 1.6), "far low"),
            side("back", (10, 18), 0.8, "B"),
        ),
        heading=(8, 13), width=(0.72, 0.9), slim=(2.5, 3.5), ease=26, tip="tip",
    ),
    "paddle": Form(
        "a squared body on a neck; generous shoulders, one corner swept wide",
        _on_neck(
            arc("low shoulder", (-71, -59), (0.46, 0.60), "S", 0.12),
            arc("breast", (59, 71), (0.26, 0.38), "S"),
            side("base", (2, 5), 0.42, "B"),
            arc("far low", (80, 88), (20, 28)),
            side("far end", (3, 8), 0.4, "W"),
            arc("far top", (76, 86), (2.4, 3.2), "far low"),
            side("top", (2, 6), 0.3, "B"),
            arc("brow", (54, 68), (0.34, 0.46), "S"),
            arc("top shoulder", (-65, -53), (0.58, 0.74), "S", 0.12),
        ),
        width=(0.8, 0.96), slim=(1.75, 2.5), tip="tip", off=(0.05, 0.12),
    ),
}  # fmt: skip
