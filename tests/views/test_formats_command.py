"""The list of recording formats: figures, search, and what a wrong word is told."""

import pytest

from storagecalc import evaluate
from storagecalc.study.scenario.formats import format_rows, rate_spreads, search
from storagecalc.views.cli import main
from storagecalc.views.text.sensitivity import check_passages


def listed(capsys, *words):
    assert main(["formats", *words]) == 0
    return capsys.readouterr().out


def test_lists_every_format_with_its_figures(capsys):
    lines = listed(capsys).splitlines()
    assert len(format_rows()) >= 60
    assert lines[0].startswith(f"{len(format_rows())} recording formats")
    for row in format_rows():
        assert sum(line.startswith(f"{row.format.key} ") for line in lines) == 1


def test_an_hour_and_a_terabyte_by_hand(capsys):
    """100 Mbit/s: 12.5 MB/s, 45 GB an hour, 22.2 hours a TB."""
    row = next(line for line in listed(capsys).splitlines() if line.startswith("h264_uhd_100_av"))
    assert row.split()[1:4] == ["100", "45", "22.2"]


def test_gb_per_hour_times_hours_per_tb_is_a_tb():
    for row in format_rows():
        assert row.gb_per_h * row.hours_per_tb == pytest.approx(1000)
        assert row.gb_per_h == pytest.approx(row.format.mbit_s * 0.45)


def test_says_how_the_rate_is_defined_and_how_real_files_differ(capsys):
    text = listed(capsys, "rdd36_hq_hd_25")
    for words in ("target", "90 % to 95 %", "recomputed", "RDD 36 HQ"):
        assert words in text
    assert "not known" in listed(capsys, "h264_hd_28_max")
    assert "constant frame size" in listed(capsys, "vc3_hq_uhd_25")


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (["UHD", "25", "hq"], {"vc3_hq_uhd_25"}),
        (["vc-3 hq uhd 25"], {"vc3_hq_uhd_25"}),
        (["pcm", "96khz", "TARGET"], set()),
        (["vc3_444_4096_24"], {"vc3_444_4096_24"}),
    ],
)
def test_all_words_must_occur_whatever_their_case(words, expected):
    keys = {row.format.key for row in search(words).rows}
    assert keys >= expected
    assert bool(keys) == bool(expected)
    for row in search(words).rows:
        for word in " ".join(words).casefold().split():
            assert word in row.words


def test_a_word_counts_from_its_beginning():
    found = {row.format.key for row in search(["hd"]).rows}
    assert "vc3_hq_hd_25" in found
    assert "vc3_hq_uhd_25" not in found
    assert all("pcm" not in row.format.key for row in search(["4k"]).rows)


def test_empty_words_ask_for_nothing(capsys):
    assert listed(capsys, "", "  ") == listed(capsys)


@pytest.mark.parametrize(
    ("word", "near"),
    [("uhdd", "uhd"), ("maximun", "maximum"), ("PROXI", "proxy")],
)
def test_a_wrong_word_is_told_the_nearest(capsys, word, near):
    assert main(["formats", word]) == 2
    heard = capsys.readouterr()
    assert not heard.out
    assert f"nearest known word is “{near}" in heard.err
    assert len(heard.err) < 300


@pytest.mark.parametrize("word", ["x" * 9999, "xyzzy", "77777", "papyrus"])
def test_a_word_far_from_any_gets_no_wild_guess(capsys, word):
    assert main(["formats", word]) == 2
    heard = capsys.readouterr().err
    assert "nearest" not in heard
    assert "storagecalc formats without words lists all" in heard
    assert len(heard) < 300


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("4k", "vc3_sq_uhd_25"),
        ("4K", "bayer_12bit_4096_25"),
        ("uhd 25", "vc3_sq_uhd_25"),
        ("ultra hd", "h264_uhd_100_average"),
        ("full hd", "h264_hd_50_average"),
        ("Full-HD 10 bit", "rdd36_hq_hd_25"),
        ("1080 50", "rdd36_hq_hd_50"),
        ("1080p 50p", "rdd36_hq_hd_50"),
        ("10-bit", "v210_hd_25"),
        ("12 bit raw", "bayer_12bit_uhd_25"),
        ("6k", "bayer_12bit_6144_25"),
        ("8 k", "bayer_12bit_8192_24"),
        ("all-intra uhd", "avc_intra_300_uhd_25"),
        ("all intra", "rdd36_hq_hd_25"),
        ("long GOP", "mpeg2_1440_25"),
        ("422 uhd", "uncompressed_10bit_uhd_25"),
        ("sound 24 bit", "pcm_48khz_24bit_2ch"),
    ],
)
def test_plain_words_find_what_people_mean(words, key):
    found = {row.format.key for row in search([words]).rows}
    assert key in found
    assert len(found) < len(format_rows())


def test_plain_words_find_nothing_else():
    assert all(row.format.height_px == 2160 for row in search(["4k"]).rows if row.format.height_px)
    assert {row.format.bit_depth for row in search(["12 bit"]).rows} == {12}
    assert {row.format.width_px for row in search(["full hd"]).rows} == {1920}
    assert not any("long-GOP" in row.format.family for row in search(["all-intra"]).rows)


@pytest.mark.parametrize(
    "word", ["<script>", "\u202e", "(((", "\\", "x\ny", "[/bold]", "%s", "{0}"]
)
def test_hostile_words_are_only_words(capsys, word):
    assert main(["formats", word]) == 2
    assert all(char.isprintable() or char == "\n" for char in capsys.readouterr().err)


def test_known_words_that_no_format_has_together(capsys):
    assert main(["formats", "proxy", "uhd"]) == 2
    assert "all of these words: “proxy” in" in capsys.readouterr().err


def test_cards_on_request(capsys):
    assert "Card classes" not in listed(capsys, "pcm")
    text = listed(capsys, "pcm", "--cards")
    classes = next(line for line in text.splitlines() if line.startswith("v90 "))
    assert classes.split()[1:3] == ["90", "720"]
    assert "Interfaces" in text
    assert "pcie4_x1" in text


def test_check_suggests_the_known_spread_once_a_kind_of_work(demo):
    bare = demo.varied(
        {
            "work.stage.format": "rdd36_hq_hd_25",
            "work.stage.changes": [{"from_date": "2028-01-01", "format": "rdd36_lt_hd_25"}],
        }
    )
    found = rate_spreads(bare)
    assert [spread.work for spread in found] == ["stage"]
    assert (found[0].real_fraction_low, found[0].real_fraction_high) == (0.9, 0.95)
    told = [each for each in check_passages(evaluate(bare)) if each.heading == "Worth a look:"]
    assert len(told) == 1
    assert len(told[0].sentences) == 1
    assert "work.stage.real_rate_fraction = { low = 0.9" in told[0].sentences[0]


def test_no_suggestion_where_the_studio_said_or_the_rate_is_exact(demo):
    assert rate_spreads(demo) == ()
    exact = demo.varied({"work.stage.format": "vc3_hq_uhd_25"})
    assert rate_spreads(exact) == ()


def test_the_suggestion_is_a_line_the_loader_takes(demo):
    bare = demo.varied({"work.stage.format": "rdd36_hq_hd_25"})
    spread = rate_spreads(bare)[0]
    line = {
        "low": spread.real_fraction_low,
        "middle": spread.real_fraction_middle,
        "high": spread.real_fraction_high,
    }
    assert rate_spreads(bare.varied({"work.stage.real_rate_fraction": line})) == ()
