"""A plain name for each board, so that it can be spoken of; the maker may change it."""

from __future__ import annotations

from collections.abc import Sequence

# No trees: a board is of its own timber, whatever it is called.
WORDS = (
    "heron",
    "tide",
    "ember",
    "fern",
    "gravel",
    "moss",
    "otter",
    "linnet",
    "reed",
    "sparrow",
    "thistle",
    "cobble",
    "bramble",
    "cinder",
    "dune",
    "eddy",
    "finch",
    "gale",
    "harbour",
    "islet",
    "jackdaw",
    "kestrel",
    "lagoon",
    "marsh",
    "nettle",
    "orchard",
    "plover",
    "quarry",
    "ripple",
    "sedge",
    "tern",
    "umber",
    "vale",
    "wren",
    "yarrow",
    "acorn",
    "bracken",
    "clover",
    "delta",
    "estuary",
    "furrow",
    "grove",
    "heath",
    "inlet",
    "jetty",
    "knoll",
    "lichen",
    "meadow",
    "notch",
    "osprey",
    "petrel",
    "quill",
    "rookery",
    "shoal",
    "teasel",
    "upland",
    "vetch",
    "weir",
    "yonder",
    "anchor",
)


def names_for(digests: Sequence[str], taken: Sequence[str] = ()) -> list[str]:
    """Return a name for each recipe, from its hash, no two alike."""
    used, result = set(taken), []
    for digest in digests:
        start = int(digest, 16)
        turn = (WORDS[(start + k) % len(WORDS)] for k in range(len(WORDS)))
        second = WORDS[(start // len(WORDS)) % len(WORDS)]
        name = next((w for w in turn if w not in used), f"{WORDS[start % len(WORDS)]} {second}")
        if name in used:
            name = f"{name} {digest}"
        used.add(name)
        result.append(name)
    return result
