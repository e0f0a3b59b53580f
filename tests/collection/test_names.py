from __future__ import annotations

from shapes.collection.names import WORDS, names_for


def test_no_two_boards_share_a_name() -> None:
    digests = [f"{k * 7919 % 0xFFFFFF:06x}" for k in range(300)]
    names = names_for(digests, taken=["heron"])
    assert len(set(names)) == 300
    assert "heron" not in names
    assert set(names[:20]) <= set(WORDS)


def test_a_name_comes_from_its_recipe() -> None:
    assert names_for(["00abcd"]) == names_for(["00abcd"])
