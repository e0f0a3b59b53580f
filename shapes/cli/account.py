"""How the account of off-cuts is told at the terminal."""

from __future__ import annotations

from typing import Any


def tell(made: dict[str, Any], *, tally: bool = False) -> None:
    """Print the account of every off-cut in a placement."""
    for i, blank in enumerate(made["off_cuts"]):
        if i:
            print()
        _one(blank["account"], tally=tally)


def _one(a: dict[str, Any], *, tally: bool) -> None:
    from shapes.cli.common import note, table
    from shapes.collection.account import KILN_DRY, RINGS
    from shapes.timber.species import find_species
    from shapes.units import at_most

    found, wanted = a["thickness_mm"]
    sawn = "" if a.get("sawn_from_mm") is None else f" when sawn from {a['sawn_from_mm']:g} mm"
    rounded = f"; {a['board_feet_tally']:.2f} by the trade's rounding" if tally else ""
    print(
        f"{a['off_cut']}: {a['species']}, {found:g} mm thick {sawn.strip() or 'as found'}, boards {wanted:g} mm,"
        f" {a['mass_found_kg']:.2f} kg at {a['density_kg_m3']:.0f} kg/m3"
    )
    parts = [("boards", "boards_m3"), ("skimmed off", "skimmed_m3"), ("kerf", "kerf_m3"),
             ("openings", "openings_m3"), ("edges rounded", "rounded_m3"), ("left", "left_m3")]  # fmt: skip
    rows = [
        [name, f"{a[key] * 1000:.3f}", f"{a[key] / a['gross_m3'] * 100:.1f}"] for name, key in parts
    ]
    rows.append(["in all", f"{a['gross_m3'] * 1000:.3f}", "100.0"])
    print(table(["timber", "litres", "%"], rows))
    print(f"in all {a['gross_m3']:.5f} m3, {a['board_feet']:.2f} board feet{rounded}")
    if a["left_mm"]:
        long, wide = a["left_mm"]
        print(
            f"largest rectangle left along the grain: {long:.0f} x {wide:.0f} mm,"
            f" {'worth keeping' if a['left_kept'] else 'too small to keep'}"
        )
    before, after = a["moisture"]
    lines = a["lines"]
    if lines:
        head = ["no", "board", "kg", f"kg at {KILN_DRY:g} %", "cost", "width", "moves, flat-sawn",
                "quarter-sawn", "opening", "cups up to"]  # fmt: skip
        print(
            table(
                head,
                [
                    [
                        str(n["number"]),
                        n["name"],
                        f"{n['mass_kg']:.2f}",
                        f"{n['kiln_dry_kg']:.2f}",
                        "" if n["cost"] is None else f"{n['cost']:.2f}",
                        f"{n['width_mm']:.0f}",
                        f"{n['moves_flat_mm']:.1f}",
                        f"{n['moves_quarter_mm']:.1f}",
                        "" if n["opening_moves_mm"] is None else f"{n['opening_moves_mm']:.2f}",
                        f"{n['cup_mm']:.1f}",
                    ]
                    for n in lines
                ],
            )
        )
        print(
            f"movement across the grain in mm from {before:g} to {after:g} % moisture;"
            f" cup with rings {RINGS:g} mm from the heart, were it free"
        )
    if a["price"] is not None:
        shared = sum(n["cost"] or 0 for n in lines)
        print(
            f"price {a['price']:.2f}: {shared:.2f} shared by the boards' areas,"
            f" {a['price_left']:.2f} stays with the rectangle worth keeping"
            + ("" if lines else f", {a['price'] - a['price_left']:.2f} on no board")
        )
    for n in lines[:1]:
        for way in n["ways"]:
            print(_way(way))
    for n in lines:
        limit = n["thickness_for_limit_mm"]
        if limit is not None and limit < found:  # beyond the piece's thickness it limits nothing
            print(f"board {n['number']} meets its weight limit up to {at_most(limit)} mm thick")  # fmt: skip
    timber = find_species(a["species"])
    note(f"{timber.name}: movement: {timber.movement_source}")
    if timber.caution:
        note(f"{timber.name}: {timber.caution}; this is about dust and the maker: extract, wear a mask")  # fmt: skip
    if timber.open_pores:
        note(f"{timber.name}: open pores are harder to wipe clean (common practice); food businesses follow their own code")  # fmt: skip


def _way(way: dict[str, Any]) -> str:
    from shapes.timber.thickness import Way

    told = Way(**{**way, "faces": tuple(way["faces"])})
    return (
        f"{told.name}: {told.pieces} from this thickness, {told.chips:.1f} mm of it to chips;"
        f" under board 1: {told.mass_before:.2f} kg before, {told.mass_after:.2f} kg after; {told.advice}"
    )
