"""Law 2: a core imports no Django, reads no clock, does no input or output."""

import ast

import pytest

from tests.laws.source import attributes, core_files, tree, where

BARRED_MODULES = {"django", "rest_framework", "celery", "requests", "socket", "subprocess", "os", "random", "time"}
BARRED_MODULES |= {"pathlib", "shutil", "tempfile", "threading", "asyncio"}
CLOCKS = {"now", "today", "utcnow", "localtime", "localdate", "read_text", "write_text", "read_bytes", "write_bytes"}


@pytest.mark.parametrize("path", core_files(), ids=lambda path: "/".join(path.parts[-3:]))
def test_a_core_is_pure(path) -> None:
    module = tree(path)
    assert [where(path, node) for node in ast.walk(module) if _imports_barred(node)] == []
    assert [where(path, node) for node in attributes(module) if node.attr in CLOCKS] == []
    opened = [n for n in ast.walk(module) if isinstance(n, ast.Call) and getattr(n.func, "id", "") in {"open", "print"}]
    assert [where(path, node) for node in opened] == []


def _imports_barred(node: ast.AST) -> bool:
    if isinstance(node, ast.Import):
        return any(alias.name.split(".")[0] in BARRED_MODULES for alias in node.names)
    return isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in BARRED_MODULES


def test_the_check_sees_a_clock_and_an_import(tmp_path) -> None:
    impure = tmp_path / "core.py"
    impure.write_text("from django.db import models\n", encoding="utf-8")
    with pytest.raises(AssertionError):
        test_a_core_is_pure(impure)
    impure.write_text("from datetime import date\nday = date.today()\n", encoding="utf-8")
    with pytest.raises(AssertionError):
        test_a_core_is_pure(impure)
