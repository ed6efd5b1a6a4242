"""What holds for the arguments of every public model function, found rather than listed."""

import dataclasses
import inspect
import math
import re
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from house.examples import Either, Example, examples
from house.model_functions import public_functions

EXAMPLES = examples()
COVERED = sorted(set(EXAMPLES) & set(public_functions()))


def called(function: str, arguments: dict[str, Any]) -> Any:
    """The result of a model function, its arguments given by name."""
    return public_functions()[function](**arguments)


def numbers_of(result: Any) -> dict[str, Any]:
    """The parts of a result by name: fields of a dataclass, entries of a tuple, or the whole."""
    if dataclasses.is_dataclass(result):
        return {f.name: getattr(result, f.name) for f in dataclasses.fields(result)}
    if isinstance(result, tuple):
        return {str(place): part for place, part in enumerate(result)}
    return {"result": result}


def differs(one: Any, two: Any) -> bool:
    """Whether two results differ in any part, in shape, kind or value."""
    parts, others = numbers_of(one), numbers_of(two)
    return parts.keys() != others.keys() or any(
        np.shape(parts[name]) != np.shape(others[name]) or np.any(parts[name] != others[name])
        for name in parts
    )


def variations(example: Example, argument: str) -> Iterator[dict[str, Any]]:
    """Calls that differ from the base in one argument only."""
    other = example.other[argument]
    for value in other if isinstance(other, Either) else [other]:
        yield {**example.base, argument: value}


def test_every_public_function_has_an_example_of_every_argument():
    faults = [name for name in public_functions() if name not in EXAMPLES]
    faults += [f"{name} exists no more" for name in EXAMPLES if name not in public_functions()]
    for name in COVERED:
        parameters = set(inspect.signature(public_functions()[name]).parameters)
        example = EXAMPLES[name]
        for what in (example.base, example.other):
            faults += [f"{name}: {argument}" for argument in parameters ^ set(what)]
    assert not faults, "give these an example in tests/house/examples"


@pytest.mark.parametrize("function", COVERED)
def test_every_argument_changes_the_result(function):
    example = EXAMPLES[function]
    result = called(function, dict(example.base))
    without_effect = [
        argument
        for argument in example.other
        if not any(
            differs(result, called(function, varied)) for varied in variations(example, argument)
        )
    ]
    assert not without_effect


@pytest.mark.parametrize("function", COVERED)
def test_a_call_changes_none_of_its_arrays(function):
    base, objects = EXAMPLES[function].base, EXAMPLES[function].no_number
    arrays = {
        name: np.array(value, dtype=float)
        for name, value in base.items()
        if np.ndim(value) and name not in objects
    }
    called(function, {**base, **arrays})
    for name, array in arrays.items():
        np.testing.assert_array_equal(array, base[name], err_msg=name)


@pytest.mark.parametrize("function", COVERED)
def test_plain_numbers_in_give_plain_numbers_out(function):
    base = EXAMPLES[function].base
    if EXAMPLES[function].gives_array:
        return
    for name, part in numbers_of(called(function, dict(base))).items():
        assert not isinstance(part, np.ndarray | np.generic), f"{name} is {type(part)}"


@pytest.mark.parametrize("function", COVERED)
def test_an_array_gives_what_a_loop_gives(function):
    example = EXAMPLES[function]
    for argument in (*example.vectors, *example.columns):
        base = dict(example.base)
        agrees_with_a_loop(function, argument, [base])
        for varied in variations(example, argument):
            agrees_with_a_loop(function, argument, [base, varied])


def agrees_with_a_loop(function: str, argument: str, calls: list[dict[str, Any]]) -> None:
    """Asserts that one argument of several calls, stacked, gives what the calls give in turn."""
    stacked = np.stack([np.asarray(call[argument]) for call in calls])
    if argument in EXAMPLES[function].columns:
        stacked = stacked[:, np.newaxis]
    at_once = numbers_of(called(function, {**calls[0], argument: stacked}))
    in_turn = [numbers_of(called(function, call)) for call in calls]
    for name, all_of_them in at_once.items():
        wanted = np.stack([np.ravel(each[name]) for each in in_turn]).astype(float)
        # A part that this argument has no say in may keep its shape.
        got = np.ravel(all_of_them).astype(float)
        got = np.tile(got, len(calls)) if got.size < wanted.size else got
        np.testing.assert_allclose(
            got.reshape(wanted.shape), wanted, rtol=1e-12, err_msg=f"{argument}: {name}"
        )


def spoiled(value: Any, bad: Any) -> Any:
    """The bad value alone for a number; in place of its first entry for an array."""
    if not np.ndim(value):
        return bad
    array = np.array(value, dtype=object if isinstance(bad, str) else float)
    array.flat[0] = bad
    return array


def bad_values(example: Example, argument: str) -> Iterator[Any]:
    yield from (math.nan, math.inf, "text")
    if argument not in example.may_be_negative:
        yield -1.0


@pytest.mark.parametrize("function", COVERED)
def test_bad_input_is_refused_by_name(function):
    example = EXAMPLES[function]
    faults = []
    for argument, value in example.base.items():
        if argument in example.no_number:
            continue
        for bad in bad_values(example, argument):
            said = refusal(function, {**example.base, argument: spoiled(value, bad)})
            if not re.search(rf"\b{argument}\b", said):
                faults.append(f"{argument} = {bad!r}: {said}")
    assert not faults, "\n".join(faults)


def refusal(function: str, arguments: dict[str, Any]) -> str:
    """What a call is refused with, or what happened instead."""
    try:
        result = called(function, arguments)
    except ValueError as reason:
        return str(reason)
    except Exception as surprise:
        return f"raised {type(surprise).__name__}"
    return f"accepted, giving {result!r:.60}"
