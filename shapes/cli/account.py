"""How the account of off-cuts is told at the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from shapes.timber.species import Species


def tell(made: dict[str, Any], *, tally: bool = False, unit: str | None = None) -> None:
    """Print the account of every off-cut in a placement, sizes
    and masses in a unit or the placement's own.
    """
    for i, blank in enumerate(made["off_cuts"]):
        if i:
            print()
        _one(blank["account"], tally, unit or blank.get("unit"))


def _one(a: dict[str, Any], tally: bool, unit: str | None) -> None:
    """Print the account of one off-cut: its volumes, its boards' movement, its price, cautions."""
    from shapes.timber.species import find_species
    from shapes.units import at_most

    _volumes(a, tally, unit)
    lines = a["lines"]
    if lines:
        _movements(a, unit)
    if a["price"] is not None:
        shared = sum(n["cost"] or 0 for n in lines)
        print(
            f"price {a['price']:.2f}: {shared:.2f} shared by the boards' areas,"
            f" {a['price_left']:.2f} stays with the rectangle worth keeping"
            + ("" if lines else f", {a['price'] - a['price_left']:.2f} on no board")
        )
    for n in lines[:1]:
        for way in n["ways"]:
            print(_way(way, unit))
    found = a["thickness_mm"][0]
    for n in lines:
        limit = n["thickness_for_limit_mm"]
        if limit is not None and limit < found:  # beyond the piece's thickness it limits nothing
            print(f"board {n['number']} meets its weight limit up to {at_most(limit)} mm thick")
    _cautions(find_species(a["species"]))


def _mm(value: float, unit: str | None) -> str:
    from shapes.units import with_own

    return with_own((value,), "in" if unit == "in" else None, f"{value:g} mm")


def _volumes(a: dict[str, Any], tally: bool, unit: str | None) -> None:
    """Print what the piece is, where its volume goes, and the rectangle that is left."""
    from shapes.cli.common import table
    from shapes.units import MM3_PER_BOARD_FOOT, mass_said, sizes

    inches = unit == "in"
    found, wanted = a["thickness_mm"]

    def volume(m3: float) -> str:
        return f"{m3 * 1e9 / MM3_PER_BOARD_FOOT:.3f}" if inches else f"{m3 * 1000:.3f}"

    sawn = a.get("sawn_from_mm")
    how = "as found" if sawn is None else f"when sawn from {_mm(sawn, unit)}"
    rounded = f"; {a['board_feet_tally']:.2f} by the trade's rounding" if tally else ""
    print(
        f"{a['off_cut']}: {a['species']}, {_mm(found, unit)} thick {how}, boards"
        f" {_mm(wanted, unit)}, {mass_said(a['mass_found_kg'], unit)}"
        f" at {a['density_kg_m3']:.0f} kg/m3"
    )
    parts = [
        ("boards", "boards_m3"),
        ("skimmed off", "skimmed_m3"),
        ("kerf", "kerf_m3"),
        ("openings", "openings_m3"),
        ("edges rounded", "rounded_m3"),
        ("left", "left_m3"),
    ]
    rows = [[name, volume(a[key]), f"{a[key] / a['gross_m3'] * 100:.1f}"] for name, key in parts]
    rows.append(["in all", volume(a["gross_m3"]), "100.0"])
    print(table(["timber", "board feet" if inches else "litres", "%"], rows))
    print(f"in all {a['gross_m3']:.5f} m3, {a['board_feet']:.2f} board feet{rounded}")
    if a["left_mm"]:
        long, wide = a["left_mm"]
        shown = sizes((long, wide), "in" if inches else None)
        print(
            f"largest rectangle left along the grain: {shown},"
            f" {'worth keeping' if a['left_kept'] else 'too small to keep'}"
        )


def _movements(a: dict[str, Any], unit: str | None) -> None:
    """Print mass, cost and movement of each board."""
    from shapes.cli.common import table
    from shapes.placing.account import KILN_DRY, RINGS
    from shapes.units import figure, fine, mass_said

    inches = unit == "in"
    before, after = a["moisture"]
    mass = "lb" if inches else "kg"
    head = [
        "no",
        "board",
        mass,
        f"{mass} at {KILN_DRY:g} %",
        "cost",
        "width",
        "moves, flat-sawn",
        "quarter-sawn",
        "opening",
        "cups up to",
    ]
    rows = [
        [
            str(n["number"]),
            n["name"],
            mass_said(n["mass_kg"], unit).split()[0],
            mass_said(n["kiln_dry_kg"], unit).split()[0],
            "" if n["cost"] is None else f"{n['cost']:.2f}",
            figure(n["width_mm"], "in" if inches else None),
            fine(n["moves_flat_mm"], unit),
            fine(n["moves_quarter_mm"], unit),
            "" if n["opening_moves_mm"] is None else fine(n["opening_moves_mm"], unit, 2),
            fine(n["cup_mm"], unit),
        ]
        for n in a["lines"]
    ]
    print(table(head, rows))
    print(
        f"movement across the grain in {'inches' if inches else 'mm'} from {before:g} to"
        f" {after:g} % moisture; cup with rings {_mm(RINGS, unit)} from the heart, were it free"
    )


def _cautions(timber: Species) -> None:
    """Note where a timber's movement comes from, and what its dust and pores ask for."""
    from shapes.cli.common import note

    note(f"{timber.name}: movement: {timber.movement_source}")
    if timber.caution:
        note(
            f"{timber.name}: {timber.caution}; this is about dust and the maker: extract, wear a"
            " mask"
        )
    if timber.open_pores:
        note(
            f"{timber.name}: open pores are harder to wipe clean (common practice); food businesses"
            " follow their own code"
        )


def _way(way: dict[str, Any], unit: str | None) -> str:
    from shapes.timber.thickness import Way
    from shapes.units import fine, mass_said

    told = Way(**{**way, "faces": tuple(way["faces"])})
    return (
        f"{told.name}: {told.pieces} from this thickness, {fine(told.chips, unit)}"
        f" {'in' if unit == 'in' else 'mm'} of it to chips; under board 1:"
        f" {mass_said(told.mass_before, unit)} before, {mass_said(told.mass_after, unit)} after;"
        f" {told.advice}"
    )
