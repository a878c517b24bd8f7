"""Files stay short, name no machine and no package host, and point only at what is there."""

import re
import tomllib
from pathlib import Path

import buffycoat
from tests.tidy.repository import ROOT, files, texts

LONGEST = 400
READ_BY_PEOPLE = {".py", ".html", ".css", ".js", ".typ", ".toml", ".sh"}
# Put together here, so that this file does not find itself.
HOSTS = [
    "py" + "pi.org",
    "python" + "hosted",
    "npm" + "js",
    "deb." + "debian",
    "/sim" + "ple/",
    "index" + "-url",
]
PLACES = ["/ro" + "ot/", "/wo" + "rk/", "/ho" + "me/", ".py" + "env", "Us" + "ers\\"]
LEFT_OVER = re.compile(r"\b(" + "|".join(["TO" + "DO", "FIX" + "ME", "X" * 3, "HA" + "CK"]) + r")\b")
LINK = re.compile(r"\]\(([^)\s]+)\)")


def test_no_file_is_longer_than_a_person_reads_at_once():
    lengths = {name: text.count("\n") for name, text in texts() if Path(name).suffix in READ_BY_PEOPLE}
    assert {} == {name: lines for name, lines in lengths.items() if lines > LONGEST}


def test_no_file_names_a_package_host_or_a_place_on_one_machine():
    found = [f"{name}: {word}" for name, text in texts() for word in HOSTS + PLACES if word in text]
    assert [] == found


def test_no_file_carries_a_left_over_marker():
    found = [f"{name}: {marker.group()}" for name, text in texts() for marker in LEFT_OVER.finditer(text)]
    assert [] == found


def test_every_link_inside_the_documents_points_to_a_file():
    documents = [path for path in files() if path.suffix == ".md"]
    links = [(path, target) for path in documents for target in LINK.findall(path.read_text())]
    inside = [(path, target) for path, target in links if not re.match(r"[a-z]+:|#", target)]
    assert [] == [
        f"{path.relative_to(ROOT)}: {target}"
        for path, target in inside
        if not (path.parent / target.split("#")[0]).exists()
    ]


def test_the_changelog_tells_of_this_version():
    assert buffycoat.__version__ in (ROOT / "CHANGELOG.md").read_text()


def test_the_version_is_the_same_in_the_package_and_its_description():
    described = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"]
    assert buffycoat.__version__ == described


def test_everything_needed_is_in_the_lock_with_a_hash():
    description = tomllib.loads((ROOT / "pyproject.toml").read_text())
    wanted = [*description["project"]["dependencies"], *description["dependency-groups"]["dev"]]
    names = {re.split(r"[<>=\[]", each)[0] for each in wanted}
    blocks = re.split(r"\n(?=[a-z])", (ROOT / "requirements.lock").read_text())
    hashed = {block.split("==")[0] for block in blocks if "--hash=sha256:" in block}
    assert set() == names - hashed
    assert len(blocks) == len(hashed)
