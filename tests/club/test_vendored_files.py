import hashlib
import json
from pathlib import Path

import pytest

VENDOR = Path(__file__).parents[2] / "club" / "static" / "club" / "vendor"
PACKAGES = json.loads((VENDOR / "vendor.json").read_text())["packages"]
LICENCE_WORDS = {"0BSD": "Zero-Clause BSD", "OFL-1.1": "SIL Open Font License, Version 1.1"}


@pytest.mark.parametrize("package", PACKAGES, ids=lambda package: package["name"])
def test_each_vendored_file_is_the_published_one(package):
    for name, checksum in package["files"].items():
        assert hashlib.sha256((VENDOR / package["folder"] / name).read_bytes()).hexdigest() == checksum


@pytest.mark.parametrize("package", PACKAGES, ids=lambda package: package["name"])
def test_each_vendored_package_carries_its_licence_and_version(package):
    folder = VENDOR / package["folder"]
    assert LICENCE_WORDS[package["licence"]] in (folder / "LICENCE").read_text()
    assert (folder / "VERSION").read_text().strip() == package["version"]


def test_nothing_lies_in_the_vendor_folder_that_the_manifest_does_not_name():
    named = {f"{p['folder']}/{name}" for p in PACKAGES for name in (*p["files"], "LICENCE", "VERSION")}
    found = {str(path.relative_to(VENDOR)) for path in VENDOR.rglob("*") if path.is_file()}
    assert found == named | {"vendor.json"}


def test_the_vendored_htmx_says_the_version_the_manifest_says():
    package = next(p for p in PACKAGES if p["name"] == "htmx")
    assert f'version:"{package["version"]}"' in (VENDOR / "htmx" / "htmx.min.js").read_text()
