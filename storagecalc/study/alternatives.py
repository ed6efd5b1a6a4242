"""The one list of what is compared: every build, then every build with an option beside it."""

from dataclasses import dataclass

from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.options import Option
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """A build, or a build with a change of habit beside it.

    ``habit`` is what an option changes, None for a build alone. Alternatives with one
    ``footage_key`` hold the same footage: all builds do, each option has its own.
    """

    key: str
    name: str
    build_key: str
    habit: str | None

    @property
    def footage_key(self) -> str:
        """Names the footage it holds; empty where that is the scenario's own."""
        return self.key if self.habit else ""

    def build(self, drawn: Scenario) -> Build:
        """Its build, in a scenario as written or drawn."""
        return drawn.builds[self.build_key]

    def option(self, drawn: Scenario) -> Option | None:
        """Its option, or None for a build alone."""
        return drawn.options[self.key] if self.habit else None


def alternatives(scenario: Scenario) -> tuple[Alternative, ...]:
    """What a scenario compares, in the order of its file, options after builds."""
    builds = [
        Alternative(key=key, name=scenario.build_name(key), build_key=key, habit=None)
        for key in scenario.builds
    ]
    options = [
        Alternative(
            key=key,
            name=scenario.build_name(key),
            build_key=option.build,
            habit=option.habit,
        )
        for key, option in scenario.options.items()
    ]
    return (*builds, *options)
