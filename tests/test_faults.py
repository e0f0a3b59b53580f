"""The list of breaks holds: each names words that stand in the code once it is read, and changes them."""

from __future__ import annotations

import pytest
from faults import FAULTS, ROOT, Fault


@pytest.mark.parametrize("fault", FAULTS, ids=lambda f: f"{f.file}: {f.right[:30]}")
def test_a_break_is_one_of_the_code_as_it_stands(fault: Fault) -> None:
    text = (ROOT / "shapes" / fault.file).read_text(encoding="utf-8")
    assert fault.right in text
    assert fault.wrong != fault.right
    for name in fault.tests.split():
        assert name.startswith(("-", "shapes/")) or (ROOT / name).exists()
