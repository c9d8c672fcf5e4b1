"""Law 5: doors hold no row access and no writes of their own."""

import pytest

from tests.laws.source import attributes, doors, tree, where

BARRED = {"objects", "_default_manager", "save", "create", "delete", "bulk_create", "get_or_create", "update_or_create"}


@pytest.mark.parametrize("path", doors(), ids=lambda path: "/".join(path.parts[-3:]))
def test_a_door_holds_no_row_access(path) -> None:
    assert [f"{where(path, node)} .{node.attr}" for node in attributes(tree(path)) if node.attr in BARRED] == []
