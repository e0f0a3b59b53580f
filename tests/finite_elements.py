"""Strength by finite elements: a board as an orthotropic solid, held and laden as the check says.

Not part of the suite, which reads what this found (``authorities/finite_elements.toml``). By hand,
with scikit-fem, gmsh and pypardiso beside what the tests need: ``python tests/finite_elements.py``
makes that file anew and first compares strips and a cantilever with beam theory.

Quadratic tetrahedra, three layers through the thickness, 4 mm long near the hand. The load lies
evenly on the board; between two hands the food stands in the middle, as the check takes it to, on
a round of 120 mm: there it bends the board most. The hand presses on its patch so that force and moments balance, evenly but for
what turns the board: on a neck 100 mm long, on a bar as long as the fist. Stresses at the surface
are means over 3 mm, the sides of openings and of the board among them. Not in it: drops, knots,
repeated loads, rolling shear.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
import shapely.affinity
import shapely.geometry
import tomli_w

from shapes.checks import strength
from shapes.checks.subject import Limits, Subject
from shapes.geometry.curve import polygon
from shapes.geometry.outline import outline
from shapes.timber.strength import across_grain

FOUND = Path(__file__).parent / "authorities" / "finite_elements.toml"
WALNUT = Limits(thickness=20.0, density=616.0, round_over=0.0, bending=100.7, shear=9.4)
GRAINS = (0, 20, 45, 70, 90)  # degrees
FIST = 100.0  # mm
FOOD = 120.0  # mm across: what stands on a tray

# Ratios of black walnut, Wood Handbook tables 5-1 and 5-2, from memory. Flat-sawn: x along the
# grain L, y across it T, z through the thickness R. Stresses depend on the ratios alone.
EL = 11_600.0
ET, ER = 0.056 * EL, 0.106 * EL
GLT, GLR, GRT = 0.062 * EL, 0.085 * EL, 0.021 * EL
NU_LT, NU_LR, NU_RT = 0.632, 0.495, 0.718
FINE, COARSE, LAYERS = 4.0, 16.0, 3
MEAN = 3.0  # mm


def stiffness(grain: float) -> np.ndarray:
    """Stiffness (6, 6) for xx, yy, zz, yz, xz, xy (engineering
    shear), the grain turned by ``grain`` in the plane.
    """
    c = np.zeros((6, 6))
    c[:3, :3] = [
        [1 / EL, -NU_LT / EL, -NU_LR / EL],
        [-NU_LT / EL, 1 / ET, -NU_RT / ER],
        [-NU_LR / EL, -NU_RT / ER, 1 / ER],
    ]
    c[3, 3], c[4, 4], c[5, 5] = 1 / GRT, 1 / GLR, 1 / GLT
    m, n = math.cos(grain), math.sin(grain)
    # Strain in the grain's frame from strain in the board's.
    t = np.array(
        [
            [m * m, n * n, 0, 0, 0, m * n],
            [n * n, m * m, 0, 0, 0, -m * n],
            [0, 0, 1, 0, 0, 0],
            [0, 0, 0, m, -n, 0],
            [0, 0, 0, n, m, 0],
            [-2 * m * n, 2 * m * n, 0, 0, 0, m * m - n * n],
        ]
    )
    return t.T @ np.linalg.inv(c) @ t


def mesh_of(wood: shapely.Polygon, thick: float, near: shapely.Geometry) -> Any:
    """Mesh a flat board (its lower face at -thick/2): fine within 30 mm of ``near``."""
    import gmsh
    import skfem

    gmsh.initialize()
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.model.add("board")
        geo = gmsh.model.geo
        loops = []
        for ring in (wood.exterior, *wood.interiors):
            ring = ring.simplify(0.05).segmentize(COARSE)
            xy = np.asarray(ring.coords)[:-1]
            points = [geo.addPoint(x, y, -thick / 2, 3.0) for x, y in xy]
            lines = [
                geo.addLine(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)
            ]
            loops.append(geo.addCurveLoop(lines))
        face = geo.addPlaneSurface(loops)
        geo.extrude([(2, face)], 0, 0, thick, numElements=[LAYERS])
        geo.synchronize()
        size = gmsh.model.mesh

        def at(_d: int, _t: int, x: float, y: float, _z: float, _lc: float) -> float:
            far = max(near.distance(shapely.Point(x, y)) - 30.0, 0.0)
            return min(FINE + 0.25 * far, COARSE)

        size.setSizeCallback(at)
        gmsh.option.setNumber("Mesh.MeshSizeExtendFromBoundary", 0)
        gmsh.option.setNumber("Mesh.MeshSizeFromPoints", 0)
        size.generate(3)
        tags, xyz, _ = size.getNodes()
        order = {int(t): i for i, t in enumerate(tags)}
        _, _, nodes = size.getElements(3)
        cells = np.array([order[int(t)] for t in nodes[0]]).reshape(-1, 4).T
        return skfem.MeshTet(xyz.reshape(-1, 3).T, cells)
    finally:
        gmsh.finalize()


@dataclass(frozen=True)
class Solid:
    """A board that bears ``weight`` N evenly, held over patches (each: polygon); z is up."""

    wood: shapely.Polygon
    thick: float
    grain: float
    weight: float
    hands: tuple[shapely.Polygon, ...]
    shares: tuple[float, ...] = (1.0,)
    standing: float = 0.0  # N of the weight that stand in the middle of the wood, on FOOD
    hangs: bool = False  # from the one hand, in its plane; else it is held level


def solve(solid: Solid, near: shapely.Geometry) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return surface points (n, 3), normals (n, 3) and stresses (n, 3, 3), means over MEAN mm."""
    import pypardiso
    import skfem
    from skfem.helpers import ddot

    mesh = mesh_of(solid.wood, solid.thick, near)
    element = skfem.ElementVector(skfem.ElementTetP2())
    basis = skfem.Basis(mesh, element, intorder=2)
    c = stiffness(solid.grain)
    index = np.array([[0, 5, 4], [5, 1, 3], [4, 3, 2]])

    def stress(u: Any) -> Any:
        g = u.grad
        e = [g[0, 0], g[1, 1], g[2, 2], g[1, 2] + g[2, 1], g[0, 2] + g[2, 0], g[0, 1] + g[1, 0]]
        s = [sum(c[i, j] * e[j] for j in range(6)) for i in range(6)]
        return np.array([[s[index[i, j]] for j in range(3)] for i in range(3)])

    @skfem.BilinearForm
    def stiff(u: Any, v: Any, _w: Any) -> Any:
        return ddot(stress(u), v.grad)

    k = stiff.assemble(basis)
    x = basis.global_coordinates().value
    volume = basis.dx.sum()

    density = np.full(basis.dx.shape, (solid.weight - solid.standing) / volume)
    dx = basis.dx
    if solid.standing:
        under = shapely.Point(solid.wood.centroid).buffer(FOOD / 2)
        on = shapely.contains_xy(under, x[0].ravel(), x[1].ravel()).reshape(dx.shape)
        density = density + on * solid.standing / (on * dx).sum()
    middle = np.array([(x[i] * dx).sum() / volume for i in range(2)])
    way = np.array([0.0, 0.0, -1.0])
    if solid.hangs:
        hand = solid.hands[0].centroid
        way[:2] = middle - (hand.x, hand.y)
        way /= np.linalg.norm(way)
    for hand, share in zip(solid.hands, solid.shares, strict=True):
        inside = (
            shapely.contains_xy(hand, x[0].ravel(), x[1].ravel()).reshape(dx.shape).astype(float)
        )
        at = middle if len(solid.hands) == 1 else np.array([hand.centroid.x, hand.centroid.y])
        arms = [x[0] - at[0], x[1] - at[1]]
        if solid.hangs:  # what turns the board in its plane alone
            arms = [way[0] * arms[1] - way[1] * arms[0]]
        fields = [inside, *(inside * a for a in arms)]
        moments = np.array(
            [[(f * g * dx).sum() for g in (np.ones_like(dx), *arms)] for f in fields]
        )
        wanted = np.zeros(len(fields))
        wanted[0] = -solid.weight * share
        some = np.linalg.solve(moments.T, wanted)
        density = density + sum(s * f for s, f in zip(some, fields, strict=True))

    @skfem.LinearForm
    def down(v: Any, w: Any) -> Any:
        return w["p"] * (way[0] * v[0] + way[1] * v[1] + way[2] * v[2])

    load = down.assemble(basis, p=density)
    # Balanced: six freedoms of a body are held at three points that nothing presses on.
    dofs = basis.nodal_dofs
    p = mesh.p
    a = int(np.argmin(p[0] + p[1]))
    b = int(np.argmax(np.hypot(p[0] - p[0, a], p[1] - p[1, a])))
    line = p[:2, b] - p[:2, a]
    d = int(np.argmax(np.abs((p[0] - p[0, a]) * line[1] - (p[1] - p[1, a]) * line[0])))
    long = int(abs(line[1]) < abs(line[0]))  # the second in-plane freedom is held across the line
    held = np.array([*dofs[:, a], dofs[long, b], dofs[2, b], dofs[2, d]])
    free = np.setdiff1d(np.arange(basis.N), held)
    u = np.zeros(basis.N)
    u[free] = pypardiso.spsolve(k[free][:, free].tocsr(), load[free])
    facets = skfem.FacetBasis(mesh, element, intorder=1)
    value = stress(facets.interpolate(u)).mean(axis=-1)  # (3, 3, facets)
    where = facets.global_coordinates().value.mean(axis=-1).T
    normal = np.asarray(facets.normals).mean(axis=-1).T
    area = facets.dx.sum(axis=-1)
    return where, normal, _means(where, normal, area, value.transpose(2, 0, 1))


def _means(at: np.ndarray, normal: np.ndarray, area: np.ndarray, value: np.ndarray) -> np.ndarray:
    from scipy.spatial import cKDTree

    places = np.concatenate([at, 20 * normal], axis=1)  # of one side alone
    found = np.empty_like(value)
    for i, near in enumerate(cKDTree(places).query_ball_point(places, MEAN)):
        w = area[near]
        found[i] = (value[near] * w[:, None, None]).sum(axis=0) / w.sum()
    return found


def factor(
    normal: np.ndarray, stress: np.ndarray, grain: float, bending: float, shear: float
) -> np.ndarray:
    """Strength over stress of each surface point, from the check's own strengths.

    In a face each principal stress is held against the bending strength that is left at its angle
    to the grain, at a side the stress along it; shear in planes along the grain against the shear
    strength.
    """
    m, n = math.cos(grain), math.sin(grain)
    turn = np.array([[m, n, 0], [-n, m, 0], [0, 0, 1]])
    s = turn @ stress @ turn.T
    normal = normal @ turn.T
    flat = np.abs(normal[:, 2]) > 0.7
    middle, half, t = (s[:, 0, 0] + s[:, 1, 1]) / 2, (s[:, 0, 0] - s[:, 1, 1]) / 2, s[:, 0, 1]
    angle, size = np.arctan2(t, half) / 2, np.hypot(half, t)
    faces = [
        across_grain(_acute(a)) / np.maximum(np.abs(p), 1e-9)
        for p, a in ((middle + size, angle), (middle - size, angle + math.pi / 2))
    ]
    way = np.stack([-normal[:, 1], normal[:, 0], np.zeros(len(normal))], axis=1)
    way /= np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None]
    along = np.einsum("ni,nij,nj->n", way, s, way)
    sides = across_grain(_acute(np.arctan2(way[:, 1], way[:, 0]))) / np.maximum(np.abs(along), 1e-9)
    slide = np.where(flat, np.abs(t), np.abs(s[:, 0, 2]))
    return np.minimum(
        bending * np.where(flat, np.minimum(*faces), sides), shear / np.maximum(slide, 1e-9)
    )


def _acute(angle: np.ndarray) -> np.ndarray:
    off = np.mod(angle, math.pi)
    return np.minimum(off, math.pi - off)


def verify() -> None:
    """Compare a strip over a support, along and across the
    grain, and a cantilever with beam theory.
    """
    t, b = 20.0, 40.0
    strip, hand = shapely.box(-200, -b / 2, 200, b / 2), shapely.box(-20, -b / 2, 20, b / 2)
    for grain in (0.0, math.pi / 2):
        at, n, s = solve(Solid(strip, t, grain, 100.0, (hand,)), hand)
        top = (n[:, 2] > 0.9) & (np.abs(at[:, 0]) < 4) & (np.abs(at[:, 1]) < 12)
        moment = 100 / 400 * 200**2 / 2 - 100 / 40 * 20**2 / 2
        print(
            f"strip, {math.degrees(grain):.0f} degrees:"
            f" {s[top, 0, 0].mean() / (moment * 6 / (b * t * t)):.3f} of beam theory"
        )
    bar = shapely.box(-100, -15, 100, 15)
    wood = shapely.union_all(
        [bar, shapely.box(-200, -60, -100, 60), shapely.box(100, -60, 200, 60)]
    )
    at, n, s = solve(Solid(wood, t, 0.0, 100.0, (shapely.box(-190, -50, -110, 50),)), bar)
    top = (n[:, 2] > 0.9) & (np.abs(at[:, 0]) < 3) & (np.abs(at[:, 1]) < 10)
    moment = 100 / wood.area * (100 * 30 * 50 + 100 * 120 * 150)
    print(
        f"bar between two heads: {s[top, 0, 0].mean() / (moment * 6 / (30 * t * t)):.3f} of beam"
        " theory"
    )


def rounded(shape: shapely.Geometry, radius: float) -> shapely.Polygon:
    """Round every corner, in and out."""
    made = shape.buffer(-radius, quad_segs=16).buffer(2 * radius, quad_segs=16)
    return made.buffer(-radius, quad_segs=16)


def _neck(
    low: float, high: float, long: float, radius: float
) -> Callable[[], tuple[shapely.Polygon, Grips]]:
    def made() -> tuple[shapely.Polygon, Grips]:
        parts = [shapely.box(0, -90, 260, 90), shapely.box(-long, low, 10, high)]
        return rounded(shapely.union_all(parts), radius), ((-long + 50, (low + high) / 2, 0.0),)

    return made


def _open(
    x: float, y: float, *, upright: bool = False, size: tuple[float, float] = (340, 200)
) -> Callable[[], tuple[shapely.Polygon, Grips]]:
    """Rectangle with a round-ended opening, 119 by 36 mm, about (x, y).

    The grip lies on the nearer bar.
    """

    def made() -> tuple[shapely.Polygon, Grips]:
        body = rounded(shapely.box(-size[0] / 2, -size[1] / 2, size[0] / 2, size[1] / 2), 25)
        half = np.array([0.0, 41.5]) if upright else np.array([41.5, 0.0])
        at = np.array([x, y])
        hole = shapely.LineString([at - half, at + half]).buffer(18.0, quad_segs=24)
        edge = shapely.shortest_line(hole, body.exterior)
        gx, gy = shapely.get_coordinates(edge).mean(axis=0)
        grip = (float(gx), y, math.pi / 2) if upright else (x, float(gy), 0.0)
        return shapely.difference(body, hole), (grip,)

    return made


def _crank() -> tuple[shapely.Polygon, Grips]:
    parts = [(0, -90, 260, 90), (-60, -17, 10, 17), (-94, -17, -60, 60), (-200, 26, -60, 60)]
    return rounded(shapely.union_all([shapely.box(*p) for p in parts]), 10), ((-150.0, 43.0, 0.0),)


def _two() -> tuple[shapely.Polygon, Grips]:
    (left, one), (right, two) = (_open(x, 0, upright=True, size=(520, 300))() for x in (-215, 215))
    return shapely.intersection(left, right), (*one, *two)


def _ring(
    x: float, y: float, radius: float = 31.0, rim: float = 25.0, body: float = 110.0
) -> Callable[[], tuple[shapely.Polygon, Grips]]:
    """A drop whose tip, about (x, y), closes round a hole, 62 mm across with a rim of 25.

    The grip lies on the rim, on the side away from the body.
    """

    def made() -> tuple[shapely.Polygon, Grips]:
        discs = [
            shapely.Point(at).buffer(r, quad_segs=64)
            for at, r in (((x, y), radius + rim), ((70, 0), body))
        ]
        hole = shapely.Point(x, y).buffer(radius, quad_segs=64)
        wood = shapely.difference(shapely.union_all(discs).convex_hull, hole)
        return wood, ((x - radius - rim / 2, y, math.pi / 2),)

    return made


def _crescent() -> tuple[shapely.Polygon, Grips]:
    a = np.linspace(-math.pi / 2, math.pi / 2, 60)
    outer = np.stack([150 * np.cos(a), 150 * np.sin(a)], axis=1)
    inner = np.stack([30 + 70 * np.cos(a[::-1]), 115 * np.sin(a[::-1])], axis=1)
    return shapely.Polygon(np.concatenate([outer, inner])), ((20.0, 132.0, 0.0),)


Grips = tuple[tuple[float, float, float], ...]
SHAPES: dict[str, tuple[str, Callable[[], tuple[shapely.Polygon, Grips]]]] = {
    "neck, close root": ("neck", _neck(-17, 17, 150, 8)),
    "neck, wide root": ("neck", _neck(-17, 17, 150, 16)),
    "broad neck": ("neck", _neck(-25, 25, 140, 14)),
    "neck at one edge": ("neck", _neck(-88, -56, 150, 14)),
    "cranked neck": ("neck", _crank),
    "opening along a side": ("opening", _open(0, 60)),
    "opening at an end": ("opening", _open(-130, 0, upright=True)),
    "opening off the middle": ("opening", _open(-70, 62)),
    "opening, slim bar": ("opening", _open(0, 68)),
    "opening of a long board": ("opening", _open(-225, 0, upright=True, size=(520, 200))),
    "two openings": ("two-openings", _two),
    # Drawn and solved after the check was fitted on those above, to see whether it holds of others.
    "neck, middling": ("neck", _neck(-20, 20, 130, 12)),
    "neck a little off": ("neck", _neck(-30, 10, 160, 12)),
    "neck by the upper edge": ("neck", _neck(40, 78, 150, 10)),
    "crescent": ("neck", _crescent),
    "opening near a corner": ("opening", _open(-82, 62)),
    "opening a little off": ("opening", _open(-45, 60)),
    "opening at an end, off": ("opening", _open(-130, 15, upright=True)),
    "opening of a long side": ("opening", _open(-150, 63, size=(480, 200))),
    # Solved after twist at an angle, bending beside a bar's middle and what a root gathers at an
    # angle were fitted on those above.
    "neck, easy root": ("neck", _neck(-18, 26, 170, 20)),
    "neck low on the end": ("neck", _neck(-70, -34, 140, 9)),
    "opening beside a corner": ("opening", _open(-100, 66, size=(420, 220))),
    "opening far out, a little off": ("opening", _open(-205, 25, upright=True, size=(500, 240))),
    "opening of a small board": ("opening", _open(-40, 40, size=(280, 150))),
    "opening far out, off": ("opening", _open(-195, -30, upright=True, size=(460, 220))),
    # Holes that fingers go through, solved once the check took their rims for bars.
    "ring of a drop": ("ring", _ring(-150, 0)),
    "ring of a long drop": ("ring", _ring(-240, 0)),
    "ring at one edge": ("ring", _ring(-160, -50)),
    # Solved after AROUND was fitted on those above.
    "ring, stout rim": ("ring", _ring(-200, 20, 30.5, 29.0, 125.0)),
    "ring, slim rim": ("ring", _ring(-180, -35, 33.5, 22.5, 95.0)),
}


def subject(name: str, grain: float) -> tuple[Subject, shapely.Polygon]:
    """Return a shape under check, its grain turned by so many degrees, and its polygon."""
    handle, make = SHAPES[name]
    wood, grips = make()
    rings = [np.asarray(shapely.geometry.polygon.orient(wood).exterior.coords)[:-1]]
    rings += [np.asarray(r.coords)[:-1] for r in shapely.geometry.polygon.orient(wood).interiors]
    curves = [polygon([tuple(p) for p in ring]) for ring in rings]
    board = outline(curves[0], curves[1:])
    return Subject(board, WALNUT, handle=handle, grips=grips, grain=math.radians(grain)), wood


def _hands(s: Subject, wood: shapely.Polygon) -> list[shapely.Polygon]:
    """The patches of wood that hands press on."""
    hands = []
    for x, y, angle in s.grips:
        wide = (
            110.0
            if s.handle == "neck"
            else 2.2 * shapely.distance(wood.exterior, shapely.Point(x, y)) + 8
        )
        box = shapely.box(-FIST / 2, -wide / 2, FIST / 2, wide / 2)
        box = shapely.affinity.translate(
            shapely.affinity.rotate(box, angle, (0, 0), use_radians=True), x, y
        )
        parts = shapely.get_parts(shapely.intersection(wood, box))
        hands.append(min(parts, key=lambda p: p.distance(shapely.Point(x, y))))
    return hands


def truth(name: str, grain: float) -> float:
    """Least factor anywhere on the surface of a shape that is held level.

    With an opening at each end also where it hangs from one of them.
    """
    s, wood = subject(name, grain)
    hands = _hands(s, wood)
    shares = (1.0,) if len(hands) == 1 else (0.5, 0.5)
    weight = strength.load(s)
    food = weight * WALNUT.load / (s.mass + WALNUT.load) if len(hands) > 1 else 0.0
    solid = Solid(wood, WALNUT.thickness, s.grain, weight, tuple(hands), shares, food)
    least = _least(solid)
    return min(least, hung(name, grain)) if len(hands) > 1 else least


def hung(name: str, grain: float) -> float:
    """Least factor of a shape that hangs from its first bar, in its plane."""
    s, wood = subject(name, grain)
    hand = _hands(s, wood)[0]
    weight = strength.load(s)
    return _least(Solid(wood, WALNUT.thickness, s.grain, weight, (hand,), hangs=True))


def _least(solid: Solid) -> float:
    _, normal, stress = solve(solid, shapely.union_all(solid.hands))
    return float(factor(normal, stress, solid.grain, 100.7, 9.4).min())


HUNG = (
    "two openings",
    "opening of a long board",
    "opening along a side",
    "opening, slim bar",
    "opening at an end",
    "opening at an end, off",
)


def main() -> None:
    """Verify, then find and write every row."""
    verify()
    rows = []
    for name in SHAPES:
        for grain in GRAINS:
            found = round(truth(name, grain), 3)
            said = strength.check(subject(name, grain)[0])[0].measured
            rows.append({"shape": name, "grain": grain, "factor": found})
            print(
                f"{name}, grain {grain}: {found:.2f}, check over it {(said or 0) / found:.2f}",
                flush=True,
            )
    hanging = []
    for name in HUNG:
        for grain in GRAINS:
            hanging.append({"shape": name, "grain": grain, "factor": round(hung(name, grain), 2)})
            print(f"{name}, hanging, grain {grain}: {hanging[-1]['factor']}", flush=True)
    FOUND.write_text(
        "# Least strength over stress, by tests/finite_elements.py\n\n"
        + tomli_w.dumps({"row": rows, "hanging": hanging})
    )


if __name__ == "__main__":
    main()
