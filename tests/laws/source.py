"""The project's own source as text and trees, for laws that are about the code itself."""

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
APPS = ("club", "drills", "athletes", "sessions")


def python_files(*names: str) -> list[Path]:
    """Our modules; only those whose file is named so, if names are given. Migrations are generated."""
    found = [path for app in APPS for path in sorted((ROOT / app).rglob("*.py")) if "migrations" not in path.parts]
    return [path for path in found if not names or path.name in names]


def templates() -> list[Path]:
    return [path for app in APPS for path in sorted((ROOT / app).rglob("templates/**/*.html"))]


def scripts() -> list[Path]:
    found = [path for app in APPS for path in sorted((ROOT / app).rglob("static/**/*.js"))]
    return [path for path in found if "vendor" not in path.parts]


def core_files() -> list[Path]:
    return [path for path in python_files() if path.name == "core.py" or "core" in path.parts]


def doors() -> list[Path]:
    """Files that parse and render: views, forms, API views, serializers, and modules of views."""
    names = {"views.py", "forms.py", "api.py", "serializers.py", "health.py", "schema.py"}
    return [path for path in python_files() if path.name in names or path.parent.name == "views"]


def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def attributes(module: ast.Module) -> Iterator[ast.Attribute]:
    return (node for node in ast.walk(module) if isinstance(node, ast.Attribute))


def where(path: Path, node: ast.AST) -> str:
    shown = path.relative_to(ROOT) if path.is_relative_to(ROOT) else path
    return f"{shown}:{getattr(node, 'lineno', 0)}"
