"""What could go wrong with the recommended, in few short sentences."""

import pytest
from study.decision.crafted import crafted, lasts

from storagecalc.study.decision.cautions import KINDS, Caution, cautions
from storagecalc.study.decision.verdict import verdict
from storagecalc.views.text.worries import MOST_WORRIES, WORDS, worries


def test_worries_are_the_gravest_of_the_recommended_alone(drawn):
    """In the order of all cautions; what others suffer, and what is told elsewhere, is left out."""
    chosen = verdict(drawn).recommended.build.name
    own = [each for each in cautions(drawn) if each.build in (None, chosen) and each.kind in WORDS]
    told = worries(drawn)
    assert len(told) == min(MOST_WORRIES, len(own)) == 4
    others = {build.name for build in drawn.builds}
    assert not any(name in sentence for sentence in told for name in others)
    assert told[0] == (
        "It weighs 27 kg with its drives (limit for one person 23 kg): lift with two."
    )


def test_every_worry_is_a_caution_and_what_the_answers_tell_is_none():
    assert set(WORDS) < set(KINDS)
    assert "one copy" not in WORDS


FIGURES = {
    "weight_kg": 31.0, "over_w": 120.0, "from_date": None, "doubt_fraction": 0.2,
    "age_years": 6.0, "life_years": 5.0, "held_tb": 40.0, "plannable_tb": 30.0,
    "late_fraction": 0.6, "by_date": None, "boxes": 20.0, "most_fraction": 0.1,
    "editors": 7.0, "played": 9.0, "streams": 6.0, "sure_fraction": 0.8, "desk_mb_s": 110.0,
    "stream_mb_s": 150.0, "are": "invented",
}  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "figures"),
    [
        ("weight", ["31 kg"]),
        ("circuit", ["120 W"]),
        ("full from the start", ["40 TB held", "30 TB"]),
        ("rule orders too late", ["in 60 of 100 futures"]),
        ("streams short", ["7 people play 9 streams", "carries 6 in 80 of 100"]),
        ("desk link", ["carries 110 MB/s", "takes 150 MB/s"]),
        ("worn-out drives", ["6 years old"]),
        ("prices", ["invented"]),
    ],
)
def test_each_figure_stands_in_its_place(monkeypatch, drawn, kind, figures):
    from datetime import date

    facts = {**FIGURES, "by_date": date(2028, 3, 1), "from_date": date(2029, 5, 1)}
    one = Caution(kind=kind, build=None, facts=facts)
    monkeypatch.setattr("storagecalc.views.text.worries.cautions", lambda _: (one,))
    (said,) = worries(drawn)
    assert all(words in said for words in figures)


def test_the_gravest_come_first_and_those_of_the_recommended_alone(monkeypatch):
    """The dearer of two level ones is recommended; a fifth worry is one too many."""
    needs = {"headroom_months": (24, {"a": lasts(83), "b": lasts(92)})}
    whole = crafted({"a": 1000, "b": 1015}, needs)
    made = [
        Caution(kind="weight", build=build, facts={"weight_kg": weight})
        for build, weight in (("a", 41), ("b", 42), (None, 43), ("b", 44), ("b", 45), ("b", 46))
    ]
    monkeypatch.setattr("storagecalc.views.text.worries.cautions", lambda _: tuple(made))
    told = [sentence.split()[2] for sentence in worries(whole)]
    assert told == ["42", "43", "44", "45"]
