"""The tree speaks of the tool alone: no machine paths, no package registries, no trade names."""

import csv
import hashlib
import io
import re
from functools import cache

import pytest
from house.tree import ROOT, kept_files, text

TOP_LEVEL = {
    *(".ci", ".gitignore", "README.md", "DEVELOPERS.md", "pyproject.toml"),
    *("storagecalc", "notebooks", "data_examples", "tests"),
}
# Spelt backwards, so that this file does not contain what it looks for.
PATH_STARTS = "krow toor emoh pmt sresU"
REGISTRY_HOSTS = """
    gro.ipyp gro.detsohnohtyp gro.adnocana gro.egrof-adnoc gro.naibed moc.utnubu
    .sjmpn moc.gkpnray oi.setarc moc.gkpnu ten.rviledsj .sjndc
"""


def any_of(backwards: str) -> str:
    return "(?:" + "|".join(re.escape(word[::-1]) for word in backwards.split()) + ")"


MACHINE_PATH = re.compile(rf"(?<![\w.<])/{any_of(PATH_STARTS)}(?![\w-])|\b[A-Z]:\\+Users\b")
REGISTRY = re.compile(any_of(REGISTRY_HOSTS))
# Where a cited source stands, its author, title and publisher may be named: the source and note
# of a published check, the source column of a table, the references of a docstring.
CITED_IN_TOML = re.compile(r'^\s*(source|note)\s*=\s*(""".*?"""|.*?$)', re.MULTILINE | re.DOTALL)
CITED_IN_DOCSTRING = re.compile(
    r"^\s*References\n\s*-{5,}\n.*?(?=\"\"\"|^\s*\w+\n\s*-{5,}\n)", re.M | re.S
)


@cache
def trade_names() -> frozenset[str]:
    lines = (ROOT / "tests/house/trade_names.sha256").read_text(encoding="utf-8").splitlines()
    return frozenset(line for line in lines if not line.startswith("#"))


def uncited(name: str) -> str:
    """The text of a file without what cites a source."""
    if name.endswith(".toml"):
        return CITED_IN_TOML.sub("", text(name))
    if name.endswith(".py"):
        return CITED_IN_DOCSTRING.sub("", text(name))
    if name.endswith(".csv"):
        rows = csv.DictReader(io.StringIO(text(name)))
        return "\n".join(str({k: v for k, v in row.items() if k != "source"}) for row in rows)
    return text(name)


def own_words(name: str) -> set[str]:
    """The lower-case words of a file and of its name, without what stands in a cited source."""
    return set(re.findall(r"[a-z0-9]+", f"{name} {uncited(name)}".lower()))


def is_trade_name(word: str) -> bool:
    return hashlib.sha256(word.encode()).hexdigest() in trade_names()


def test_no_trade_names():
    faults = [
        f"{name}: {word}"
        for name in kept_files()
        for word in sorted(own_words(name))
        if is_trade_name(word)
    ]
    assert not faults


@pytest.mark.parametrize(("what", "pattern"), [("path", MACHINE_PATH), ("registry", REGISTRY)])
def test_nothing_of_the_machine_it_was_written_on(what, pattern):
    faults = [
        f"{name}: {what} {found.group()}"
        for name in kept_files()
        if (found := pattern.search(text(name)))
    ]
    assert not faults


def test_top_level_holds_nothing_else():
    assert {name.split("/")[0] for name in kept_files()} <= TOP_LEVEL


def test_the_rules_themselves():
    home, registry = (any_of(words)[3:].split("|") for words in (PATH_STARTS, REGISTRY_HOSTS))
    assert MACHINE_PATH.search(f'open("/{home[2]}/someone/file")')
    assert not MACHINE_PATH.search("kept for the home/away shelves and [work.films]")
    assert REGISTRY.search(f"https://{registry[0]}/simple".replace("\\", ""))
    assert len(trade_names()) >= 40
    assert not is_trade_name("drive")
