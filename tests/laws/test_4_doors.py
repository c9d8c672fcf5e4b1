"""Law 4: one door to pages. Every URL declares its permission and the kind of object each argument names."""

import ast
import re

import pytest

from club.roles import GRANTS, Permission, Role
from tests.laws.addresses import Address, addresses
from tests.laws.source import doors, python_files, templates, tree, where


@pytest.mark.parametrize("address", addresses(), ids=lambda address: address.name)
def test_every_url_has_a_door(address: Address) -> None:
    assert address.door is not None, f"{address.pattern} has no door"
    named = set(address.arguments) - {"club", address.door.secret}
    assert named == set(address.door.kinds), "each id of the address names a kind of object"
    assert ("club" in address.arguments) == (address.door.permission is not None)


def test_every_permission_is_granted_to_somebody_and_asked_for_somewhere() -> None:
    assert set(GRANTS) == set(Permission)
    text = "".join(path.read_text(encoding="utf-8") for path in python_files() if path.name != "roles.py")
    assert [permission.name for permission in Permission if f"Permission.{permission.name}" not in text] == []


def test_no_door_or_template_compares_role_names() -> None:
    words = {role.value for role in Role if role is not Role.ATHLETE}
    found = []
    for path in doors():
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Compare):
                parts = [node.left, *node.comparators]
                said = {part.value for part in parts if isinstance(part, ast.Constant)}
                named = {part.attr for part in parts if isinstance(part, ast.Attribute)}
                if said & words or named & {role.name for role in Role}:
                    found.append(where(path, node))
    pattern = re.compile("|".join(rf"[=!]=\s*[\"']{word}[\"']" for word in words))
    found += [str(path) for path in templates() if pattern.search(path.read_text(encoding="utf-8"))]
    assert found == []
