"""What a command says of its own work: how long it may take, and where it put things."""

from collections.abc import Mapping
from pathlib import Path

from storagecalc.views.text.starter import plain_path

# As measured on three studios: what a page takes of the time of one evaluation of 2,000 futures,
# and to start a notebook at all; and what an evaluation takes that draws none.
EVALUATIONS_A_PAGE = 10
NOTEBOOK_START_S = 5
SHARE_WITHOUT_DRAWS = 0.06
FULL_DRAWS = 2000
WORTH_TELLING_S = 20


def page_words(evaluation_s: float, draws: int) -> str:
    """What is being done while the owner's page is written, with an estimate where it is long.

    Parameters
    ----------
    evaluation_s
        Seconds that an evaluation took on this computer.
    draws
        Futures it drew.

    Examples
    --------
    >>> page_words(0.5, 2000)
    "Writing the owner's page"
    >>> page_words(4.0, 2000)
    "Writing the owner's page, which takes about 40 seconds"
    """
    share = SHARE_WITHOUT_DRAWS + (1 - SHARE_WITHOUT_DRAWS) * draws / FULL_DRAWS
    about_s = NOTEBOOK_START_S + EVALUATIONS_A_PAGE * evaluation_s / share
    if about_s <= WORTH_TELLING_S:
        return "Writing the owner's page"
    shown = f"{about_s / 60:.0f} minutes" if about_s > 100 else f"{round(about_s, -1):.0f} seconds"
    return f"Writing the owner's page, which takes about {shown}"


def placed_words(folder: Path, placed: Mapping[str, Path]) -> str:
    """Where the notebooks lie, and which of them stay because they were changed."""
    kept = [
        f"{name}.ipynb was changed and stays as it is; the fresh one is {path.name}."
        for name, path in placed.items()
        if path.stem != name
    ]
    return "\n".join([f"The notebooks lie in {plain_path(folder)}", *kept])
