"""How the tables of a scenario declare their fields: the numbers of a quantity, then its words.

``size_tb: Amount = quantity("TB", 0.25, 100).named("drive size", find_out="the label")`` must be
given by the file, as it has no default. Where several fields share a declaration, it stands before
the tables: ``cameras: Annotated[Amount, CAMERAS] = 1.0``.
"""

from dataclasses import KW_ONLY, dataclass
from functools import partial
from typing import Any

from pydantic import Field

from storagecalc.study.scenario.quantity import Quantity, Status


@dataclass(frozen=True, slots=True)
class Numbers:
    """The numbers of a quantity, as ``Quantity`` has them, and the default of its field."""

    unit: str
    lowest: float
    highest: float
    _: KW_ONLY
    step: float = 1
    default: Any = ...
    whole: bool = False
    floor: float = 0

    def named(self, label: str, *, find_out: str, status: Status = "guess") -> Any:
        """The field, with the words of its quantity and where its default comes from."""
        field = Field(default=self.default)
        quantity = Quantity(
            label=label,
            unit=self.unit,
            lowest=self.lowest,
            highest=self.highest,
            step=self.step,
            find_out=find_out,
            status=status,
            whole=self.whole,
            floor=self.floor,
        )
        field.metadata.append(quantity)
        return field


quantity = Numbers
fraction = partial(Numbers, "fraction")
count = partial(Numbers, whole=True)


def described(label: str, *, find_out: str, default: Any = ...) -> Any:
    """A field that is no quantity: what it is, and how to find out or what to write."""
    return Field(default=default, title=label, description=find_out)
