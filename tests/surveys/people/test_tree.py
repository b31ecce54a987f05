"""The tree of hashes, against the test data of the reference implementation of RFC 6962."""

import pytest

from surveys.people.tree import leads_to, path_of, root_of

# Leaves and roots of the test suite of Certificate Transparency (merkle tree tests), from memory.
LEAVES = [
    bytes.fromhex(text)
    for text in (
        "",
        "00",
        "10",
        "2021",
        "3031",
        "40414243",
        "5051525354555657",
        "606162636465666768696a6b6c6d6e6f",
    )
]
ROOTS = {
    0: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    1: "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    2: "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    3: "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    4: "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    7: "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    8: "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
}


@pytest.mark.parametrize("size", ROOTS)
def test_root_is_that_of_the_reference(size: int) -> None:
    assert root_of(LEAVES[:size]).hex() == ROOTS[size]


@pytest.mark.parametrize("size", range(1, 9))
def test_path_leads_from_each_leaf_to_the_root_and_from_no_other(size: int) -> None:
    leaves = LEAVES[:size]
    root = root_of(leaves)

    for index, leaf in enumerate(leaves):
        path = path_of(index, leaves)
        assert leads_to(root, leaf, index, size, path)
        for other, another in enumerate(leaves):
            assert leads_to(root, another, other, size, path) is (other == index)
        assert not leads_to(root, leaf, index, size, [*path, root])
        assert not leads_to(root, leaf, index, size, path[1:]) or not path


def test_place_outside_the_tree_leads_nowhere() -> None:
    path = path_of(0, LEAVES)

    for index in (-1, 8):
        assert not leads_to(root_of(LEAVES), LEAVES[0], index, 8, path)
