"""What browsers load and keep: compressed, and under addresses that change with the content."""

import re

import pytest

from melodex.web.static_files import static_folders, versioned

LOADED = re.compile(r'(?:src|href)="(/(?:static|music)/[^"]*)"')
WITH_SCRIPTS = ("/", "/songs/cinder-path", "/find")


@pytest.mark.parametrize("path", WITH_SCRIPTS)
def test_every_file_that_a_page_loads_is_kept_by_browsers_until_it_changes(visitor, path):
    loaded = LOADED.findall(visitor.get(path).text)
    assert len(loaded) > 2
    for address in loaded:
        answer = visitor.get(address)
        assert answer.status_code == 200
        assert "immutable" in answer.headers["cache-control"], address


@pytest.mark.parametrize("version", ["", "?v=", "?v=0123456789abcdef", "?w=1"])
def test_a_file_requested_under_another_hash_is_checked_again_each_time(visitor, version):
    answer = visitor.get(f"/static/site.css{version}")
    assert answer.headers["cache-control"] == "no-cache"
    again = visitor.get(
        f"/static/site.css{version}", headers={"If-None-Match": answer.headers["etag"]}
    )
    assert again.status_code == 304


def test_a_page_is_never_kept(visitor):
    assert visitor.get("/").headers["cache-control"] == "no-cache"


def test_a_file_that_does_not_exist_is_not_found(visitor):
    assert visitor.get("/static/none.css?v=1").status_code == 404


def test_the_address_of_a_file_changes_with_its_content(tmp_path, monkeypatch):
    monkeypatch.setattr("melodex.web.static_files.static_folders", lambda: {"/new": tmp_path})
    addresses: set[str] = set()
    for content in ("a {}", "b {}"):
        (tmp_path / "look.css").write_text(content, encoding="utf-8")
        versioned.cache_clear()
        addresses.add(versioned("/new/look.css"))
    assert len(addresses) == 2


def test_no_template_names_a_static_file_without_its_hash():
    templates = static_folders()["/static"].parent / "templates"
    for template in templates.glob("*.html"):
        assert not re.search(r'"/(?:static|music)/', template.read_text(encoding="utf-8")), template


@pytest.mark.parametrize("path", ["/", "/songs/cinder-path", "/static/site.css"])
def test_pages_and_files_are_compressed_for_browsers_that_can_read_it(visitor, path):
    packed = visitor.get(path, headers={"Accept-Encoding": "gzip"})
    plain = visitor.get(path, headers={"Accept-Encoding": "identity"})
    assert packed.headers["content-encoding"] == "gzip"
    assert packed.headers["vary"] == "Accept-Encoding"
    assert packed.content == plain.content
    assert packed.num_bytes_downloaded < plain.num_bytes_downloaded / 2
    assert "content-encoding" not in plain.headers
