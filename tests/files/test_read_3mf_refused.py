"""3MF packages that break the rules, or ask for more than fits: one sentence each."""

import io
import stat
import time
import zipfile
from pathlib import Path

import pytest

from files.packages_3mf import CORE, mesh_xml, model, packed, refusal, volume_of
from holdwright.errors import InputError
from holdwright.files import package
from holdwright.files.package import Package
from holdwright.files.read_3mf import read_3mf
from holdwright.files.read_error import Unreadable
from holdwright.files.reading import read_sculpt


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        (model(build='<item objectid="2"/>'), "build object 2"),
        (model(build=""), "places no triangles"),
        (
            model().replace("<build>", "").replace("</build>", "").replace('<item objectid="1"/>', ""),
            "no build",
        ),
        (model(attributes='unit="parsec"'), "parsec"),
        (model(attributes='xmlns:q="urn:q" requiredextensions="q"'), "urn:q"),
        (model(f'<object id="1" type="pig">{mesh_xml()}</object>'), "pig"),
        (model(f'<object id="1" type="other">{mesh_xml()}</object>'), "may not be built"),
        (model(f'<object id="1">{mesh_xml()}</object>' * 2), "two objects"),
        (model(f'<object id="0">{mesh_xml()}</object>'), "the id"),
        (
            model(f'<object id="1">{mesh_xml(triangle="<triangle v1=^0^ v2=^1^ v3=^8^/>")}</object>'),
            "8 vertices",
        ),
        (model(f'<object id="1">{mesh_xml(triangle="<triangle v1=^0^ v2=^1^ v3=^-1^/>")}</object>'), "-1"),
        (model(f'<object id="1">{mesh_xml(triangle="<triangle v1=^0^ v2=^1^/>")}</object>'), "no v3"),
        (model(f'<object id="1">{mesh_xml(vertex="<vertex x=^0,5^ y=^1^ z=^1^/>")}</object>'), "0,5"),
        (model(f'<object id="1">{mesh_xml(vertex="<vertex x=^nan^ y=^1^ z=^1^/>")}</object>'), "nan"),
        (model(f'<object id="1">{mesh_xml()}{mesh_xml()}</object>'), "twice"),
        (model('<object id="1"><components><component objectid="1"/></components></object>'), "stand before"),
        (model(build='<item objectid="1" transform="1 0 0 0 1 0 0 0 0 0 0 0"/>'), "flattens"),
        (model(build='<item objectid="1" transform="1 0 0 0 1 0 0 0 inf 0 0 0"/>'), "finite"),
        (model(build='<item objectid="1" transform="1 0 0"/>'), "3 numbers"),
        (model(head='<!DOCTYPE m [<!ENTITY a "aaaa">]>'), "document type"),
        (model(head='<?xml version="1.0" encoding="ISO-8859-1"?>'), "ISO-8859-1"),
        (model().replace(CORE, "urn:other"), "urn:other"),
        (model().replace("<resources>", "<resources>" + "<a xmlns='urn:a'>" * 5000), "deep"),
        (model().replace("<resources>", "<metadata>x</metadata><resources>"), "without a name"),
        (model()[:-20], "XML"),
        ("", "XML"),
    ],
)
def test_models_that_break_the_rules(text, reason):
    assert reason in refusal(packed(text.replace("^", '"')))


@pytest.mark.parametrize(
    "target",
    [
        "/../etc/passwd",
        "/3D/%2e%2e/x.model",
        "file:///etc/passwd",
        "//host/x.model",
        "/3D\\x.model",
        "/3D/%2fx",
        "/a?b",
        "",
    ],
)
def test_targets_outside_the_package(target):
    assert "not a part of a package" in refusal(packed(target=target))


def test_packages_that_are_none():
    assert "outside the package" in refusal(packed(more=' TargetMode="External"'))
    assert "is not in the package" in refusal(packed(target="/3D/no.model"))
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("jug.obj", "v 0 0 0")
    assert "no 3MF package" in refusal(stream.getvalue())
    assert "damaged" in refusal(packed()[:-30])
    assert "damaged" in refusal(b"PK\x03\x04" + bytes(100))
    assert "method 14" in refusal(packed(method=zipfile.ZIP_LZMA))
    link = zipfile.ZipInfo("3D/link")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    assert volume_of(read_3mf(packed(extra=((link, b"/etc/passwd"),)))) == volume_of(read_3mf(packed()))
    link.filename = link.orig_filename = "3D/elsewhere.model"
    aside = packed(target="/3D/elsewhere.model", extra=((link, b"3dmodel.model"),))
    assert "is not in the package" in refusal(aside)
    assert "twice" in refusal(packed(extra=(("3d/3DMODEL.model", b""),)))


def test_what_inflates_without_end(monkeypatch):
    started = time.process_time()
    bomb = packed(model(head=" " * 200_000_000))
    started = time.process_time()
    assert "no mesh does" in refusal(bomb)
    assert time.process_time() - started < 1.0
    monkeypatch.setattr(package, "PLAIN_BYTES", 1000)
    assert "no mesh does" in refusal(packed(model(head=" " * 100_000)))
    monkeypatch.setattr(package, "MOST_DIRECTORY_BYTES", 100)
    with pytest.raises(Unreadable, match="directory"):
        Package(packed())


def test_a_part_longer_than_it_says():
    content = bytearray(packed(method=zipfile.ZIP_STORED))
    place = content.rindex(b"PK\x01\x02")
    size = int.from_bytes(content[place + 24 : place + 28], "little")
    content[place + 24 : place + 28] = (size - 100).to_bytes(4, "little")
    assert "damaged" in refusal(bytes(content))


def test_parts_placed_over_and_over():
    """Each level doubles: 2^40 boxes would be asked for by a few kilobytes."""
    two = '<components><component objectid="{0}"/><component objectid="{0}"/></components>'
    levels = "".join(f'<object id="{level}">{two.format(level - 1)}</object>' for level in range(2, 42))
    text = model(f'<object id="1">{mesh_xml()}</object>{levels}', '<item objectid="41"/>')
    assert "places more than" in refusal(packed(text))


def test_a_refusal_names_the_file(tmp_path):
    path = Path(tmp_path / "wrong.3mf")
    path.write_bytes(packed("<model/>"))
    with pytest.raises(InputError, match=r"^Cannot read wrong\.3mf: [^\n]+; [^\n]+\.$"):
        read_sculpt(path)
