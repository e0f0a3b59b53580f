"""The usual cautions, in their place on the sheet.

Machine manuals, local rules and licensed practice come first.
"""

from __future__ import annotations

from collections.abc import Sequence

FIRST = (
    "These are the usual cautions. The manual of each machine, local rules and licensed practice"
    " come first."
)

CAUTIONS: dict[str, tuple[str, ...]] = {
    "router": (
        "No metal where the cutter goes: it breaks and flies.",
        "Fixings lie outside the path, screw heads sunk below the face.",
        (
            "Hands stay away until the cutter stands still; eye and ear protection; never above the"
            " rpm marked on the bit."
        ),
    ),
    "trimmer": (
        "The board lies on a fixed, non-slip rest; both hands on the trimmer; along the arrow.",
        "A small part is held in a frame, never by hand.",
    ),
    "laser": (
        "Bare wood only; extraction on; never unattended; an extinguisher at hand; the lid closed.",
    ),
    "printer": (
        "Ink that is not cured sensitises the skin: gloves, fresh air, the lamp's guard in place.",
        "Never print the eating face.",
    ),
    "dust": (
        (
            "Extraction on and a mask for every cut and all sanding: hardwood dust harms the nose"
            " and lungs. Limit 2 mg/m3 over 8 hours in the EU (Directive (EU) 2017/2398); elsewhere"
            " by local rules."
        ),
    ),
    "oil": (
        (
            "Oily rags heat themselves and burn: dry them flat outdoors, or keep them in water in a"
            " closed tin."
        ),
        "Only a finish stated fit for food contact, fully cured; no nut oils.",
    ),
    "handle": (
        (
            "A board can break: load-test each new handle over something soft before anyone carries"
            " glass on it."
        ),
    ),
}

CARE: Sequence[str] = (
    "For serving, not for chopping or carving.",
    "Wash by hand with a little soap, dry at once, let it stand on its edge.",
    "Never in a dishwasher, in standing water, on a stove or in an oven.",
    "When it looks dry, rub in a little food-safe oil without nuts and let it cure.",
    "Dropped, cracked or with a loose handle: do not carry anything on it.",
)

NOT_FOR_FOOD: Sequence[str] = (
    "NOT FOR FOOD: its timber is not known to be sound and untreated.",
    "For decoration alone. Nothing that is eaten lies on it.",
    "Dust it dry. Keep it from water and heat.",
)
