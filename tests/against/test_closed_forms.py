"""Chains against closed forms (elliptic integrals and Gamma from scipy.special)."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest
from scipy.special import ellipe, gamma
from shapes_of_known_size import ellipse, polar

from shapes.geometry.curve import Array, polygon
from shapes.geometry.measures import length, section

KNOWN = tomllib.loads((Path(__file__).parents[1] / "authorities" / "closed_forms.toml").read_text())


def test_the_table_agrees_with_scipy() -> None:
    e, li, s, c = (KNOWN[k] for k in ("ellipse", "limacon", "superellipse", "cassini"))
    assert 4 * e["a"] * ellipe(1 - (e["b"] / e["a"]) ** 2) == pytest.approx(
        e["perimeter"], rel=1e-8
    )
    m = 4 * li["a"] * li["b"] / (li["a"] + li["b"]) ** 2
    assert 4 * (li["a"] + li["b"]) * ellipe(m) == pytest.approx(li["perimeter"], rel=1e-8)
    n = s["order"]
    area = 4 * s["a"] * s["b"] * gamma(1 + 1 / n) ** 2 / gamma(1 + 2 / n)
    assert area == pytest.approx(s["area"], rel=1e-8)
    assert 2 * c["k"] ** 2 * ellipe(c["c"] ** 4 / c["k"] ** 4) == pytest.approx(c["area"], rel=1e-8)


def test_an_ellipse() -> None:
    e = KNOWN["ellipse"]
    curve = ellipse(e["a"], e["b"], 3000)
    s = section([curve])
    assert s.area == pytest.approx(math.pi * e["a"] * e["b"], rel=1e-12)
    assert s.ixx == pytest.approx(math.pi / 4 * e["a"] * e["b"] ** 3, rel=1e-11)
    assert s.iyy == pytest.approx(math.pi / 4 * e["a"] ** 3 * e["b"], rel=1e-11)
    assert length(curve) == pytest.approx(4 * e["a"] * ellipe(1 - (e["b"] / e["a"]) ** 2), rel=1e-9)
    assert length(curve) == pytest.approx(e["perimeter"], rel=1e-8)


def test_a_limacon() -> None:
    li = KNOWN["limacon"]
    curve = polar(lambda t: li["b"] + li["a"] * np.cos(t), lambda t: -li["a"] * np.sin(t), 3000)
    s = section([curve])
    assert s.area == pytest.approx(math.pi * (li["b"] ** 2 + li["a"] ** 2 / 2), rel=1e-12)
    assert length(curve) == pytest.approx(li["perimeter"], rel=1e-8)


def test_a_superellipse() -> None:
    s = KNOWN["superellipse"]

    def place(t: Array) -> Array:
        c, v = np.cos(t), np.sin(t)
        e = 2 / s["order"]
        return np.stack(
            [s["a"] * np.sign(c) * np.abs(c) ** e, s["b"] * np.sign(v) * np.abs(v) ** e], axis=1
        )

    curve = polygon(place(np.arange(20_000) * 2 * np.pi / 20_000))
    assert section([curve]).area == pytest.approx(s["area"], rel=1e-6)
    assert length(curve) == pytest.approx(s["perimeter"], rel=1e-6)


def test_a_cassini_oval() -> None:
    c = KNOWN["cassini"]
    f, k = c["c"], c["k"]

    def radius(t: Array) -> Array:
        return np.asarray(
            np.sqrt(f * f * np.cos(2 * t) + np.sqrt(k**4 - (f * f * np.sin(2 * t)) ** 2))
        )

    def slope(t: Array) -> Array:
        h = 1e-6
        return (radius(t + h) - radius(t - h)) / (2 * h)

    curve = polar(radius, slope, 4000)
    assert section([curve]).area == pytest.approx(c["area"], rel=1e-8)
    assert length(curve) == pytest.approx(c["perimeter"], rel=1e-7)
