"""What browsers are sent is bundled, named by its content and compressed beforehand."""

import gzip
import shutil

import brotli
import pytest

from app.settings import outside_folder
from app.web import bundling


@pytest.fixture
def static(tmp_path):
    """A checkout's static folder as the install leaves it: htmx copied beside it, nothing bundled yet."""
    for name in (*bundling.COPIED, "live.js"):
        shutil.copy(outside_folder("static") / name, tmp_path / name)
    shutil.copytree(outside_folder("static") / "vendor", tmp_path / "vendor")
    return tmp_path


def test_the_script_is_htmx_and_our_own_client_in_one_file(static):
    names = bundling.build(static)
    script = (static / "built" / names["app.js"]).read_text()
    assert "htmx" in script and script.endswith((static / "live.js").read_text())


def test_both_compressed_forms_hold_the_same_bytes(static):
    for hashed in bundling.build(static).values():
        plain = (static / "built" / hashed).read_bytes()
        assert gzip.decompress((static / "built" / f"{hashed}.gz").read_bytes()) == plain
        assert brotli.decompress((static / "built" / f"{hashed}.br").read_bytes()) == plain


def test_a_changed_file_gets_a_new_name_and_the_old_one_goes(static):
    before = bundling.build(static)
    (static / "app.css").write_text("body { color: red }")
    after = bundling.build(static)
    assert before["app.css"] != after["app.css"] and before["app.js"] == after["app.js"]
    assert not (static / "built" / before["app.css"]).exists()
    assert not (static / "built" / f"{before['app.css']}.br").exists()


def test_building_twice_writes_nothing_the_second_time(static):
    bundling.build(static)
    times = {path: path.stat().st_mtime_ns for path in (static / "built").iterdir()}
    bundling.build(static)
    assert {path: path.stat().st_mtime_ns for path in (static / "built").iterdir()} == times


def test_a_copy_made_by_the_build_is_enough_without_the_carrier(static, monkeypatch):
    monkeypatch.setattr(bundling, "carrier_folder", lambda: None)
    assert "app.js" in bundling.build(static)
    assert "0BSD" in (static / "vendor" / "LICENCES.txt").read_text()


def test_without_copy_and_carrier_the_error_says_what_to_run(static, monkeypatch):
    shutil.rmtree(static / "vendor")
    monkeypatch.setattr(bundling, "carrier_folder", lambda: None)
    with pytest.raises(bundling.BundleError, match="pip install -e"):
        bundling.build(static)


def test_the_first_load_of_a_phone_is_small(static):
    names = bundling.build(static)
    sizes = {name: (static / "built" / f"{hashed}.br").stat().st_size for name, hashed in names.items()}
    assert sizes["app.js"] <= 40 * 1024
    assert sizes["app.js"] + sizes["app.css"] + sizes["icon.svg"] <= 50 * 1024
