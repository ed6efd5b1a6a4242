"""A scenario with some of its alternatives alone: quicker where the others are not asked for."""

from collections.abc import Iterable

from storagecalc.study.alternatives import Alternative
from storagecalc.study.scenario.owned import drive_classes
from storagecalc.study.scenario.scenario import Scenario


def with_only(scenario: Scenario, wanted: Iterable[Alternative]) -> Scenario:
    """The scenario with some alternatives, and the build that further boxes are.

    The other builds and their drives change nothing about them and would only take time. A best
    plan chooses among all drives, so they stay where a build asks for one.

    Parameters
    ----------
    scenario
        As written.
    wanted
        Some of its alternatives.
    """
    keys = {key for each in wanted for key in (each.key, each.build_key)}
    builds = {
        key: build
        for key, build in scenario.builds.items()
        if key in keys or key == scenario.remedy.next_build
    }
    owned = scenario.owned
    classes = {each for build in builds.values() for each in drive_classes(owned, build)}
    classes |= {owned[name].drives for build in builds.values() for name in build.keeps}
    if any(build.plan == "best" for build in builds.values()):
        classes |= set(scenario.drives)
    kept = {
        "builds": builds,
        "options": {key: each for key, each in scenario.options.items() if key in keys},
        "drives": {key: each for key, each in scenario.drives.items() if key in classes},
    }
    return scenario.model_copy(update=kept)
