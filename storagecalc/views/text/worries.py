"""What could go wrong, for whoever signs: the worst cautions about the recommended, kept short."""

from storagecalc.study.decision.cautions import IDEAL_LIFT_KG, cautions
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.text.cautions import figures
from storagecalc.views.text.numbers import significant

MOST_WORRIES = 4
# The other kinds are told by the four answers, or are of no use on the first page.
WORDS = {
    "circuit": (
        "With all bays full the circuit carries {over_w} W too much: ask a licensed electrician"
        " first."
    ),
    "circuit later": (
        "From {from_date} on further boxes overload the circuit {doubt_fraction}: ask a licensed"
        " electrician."
    ),
    "weight": (
        "It weighs {weight_kg} kg with its drives (limit for one person"
        f" {significant(IDEAL_LIFT_KG, 2)} kg): lift with two."
    ),
    "worn-out drives": (
        "The drives you own are {age_years} old and costed as replaced on day one."
    ),
    "worn-out box": "The box you own is {age_years} old: a successor is costed on day one.",
    "full from the start": (
        "It is full from the first month: {held_tb} held, {plannable_tb} plannable."
    ),
    "order at once": "Its next order falls due before the start: begin with more drives.",
    "rule orders too late": (
        "Its rule orders too late {late_fraction}: order by {by_date} whatever it says."
    ),
    "too many boxes": "It needs more than {boxes} {most_fraction}: look for a larger build.",
    "streams short": (
        "From {from_date} on {editors} play {played}; it carries {streams} {sure_fraction}."
    ),
    "desk link": "A desk's link carries {desk_mb_s} MB/s, one stream takes {stream_mb_s} MB/s.",
    "too loud later": "With further boxes it is too loud from {from_date} on {doubt_fraction}.",
    "too deep later": "Further boxes are too deep from {from_date} on {doubt_fraction}.",
    "class ends": "Its drives are sold until {by_date} only: ask what will take their place.",
    "independence": (
        "Drives of one batch or power event fail together: the real chance of loss is higher."
    ),
    "prices": "Prices are {are}.",
}


def worries(evaluation: Evaluation) -> list[str]:
    """What could go wrong with the recommended, in few sentences, the most harmful first."""
    chosen = verdict(evaluation).recommended.build.name
    found = [
        each for each in cautions(evaluation) if each.build in (None, chosen) and each.kind in WORDS
    ]
    return [WORDS[each.kind].format(**figures(each, evaluation)) for each in found[:MOST_WORRIES]]
