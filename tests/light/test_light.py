"""Light classes behave as the standard library's frozen classes with slots."""

from __future__ import annotations

import copy
import dataclasses
import pickle

import pytest

from ferrule.engine.light import dataclass


@dataclass(frozen=True, slots=True)
class Light:
    """A class made lightly."""

    one: int
    two: str = "b"
    three: dict[str, int] = dataclasses.field(default_factory=dict)

    @property
    def both(self) -> str:
        """Both in words."""
        return f"{self.one}{self.two}"


@dataclasses.dataclass(frozen=True, slots=True)
class Standard:
    """The same class, made by the standard library."""

    one: int
    two: str = "b"
    three: dict[str, int] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Checked:
    """A class that looks at itself."""

    one: int

    def __post_init__(self) -> None:
        if self.one < 0:
            raise ValueError("below zero")


@pytest.mark.parametrize(
    ("args", "named"), [((1,), {}), ((1, "c"), {}), ((1,), {"two": "d"}), ((), {"one": 1, "three": {"x": 2}})]
)
def test_same_values_and_same_words(args: tuple[object, ...], named: dict[str, object]) -> None:
    """Constructor, defaults and repr are those of the standard class."""
    light, standard = Light(*args, **named), Standard(*args, **named)  # type: ignore[arg-type]

    assert dataclasses.asdict(light) == dataclasses.asdict(standard)
    assert repr(light).replace("Light", "") == repr(standard).replace("Standard", "")


@pytest.mark.parametrize(("args", "named"), [((), {}), ((1, "b", {}, 4), {}), ((1,), {"four": 4}), ((1,), {"one": 1})])
def test_wrong_arguments_are_refused(args: tuple[object, ...], named: dict[str, object]) -> None:
    """A missing, extra or doubled argument is a TypeError, at the first use as at every later one."""
    for _ in range(2):
        with pytest.raises(TypeError):
            Light(*args, **named)  # type: ignore[arg-type]


def test_frozen_and_slotted() -> None:
    """A field cannot be set or deleted, and there is no place for another."""
    light = Light(1)

    with pytest.raises(dataclasses.FrozenInstanceError):
        light.one = 2  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        del light.one
    with pytest.raises(dataclasses.FrozenInstanceError):
        light.four = 4  # type: ignore[attr-defined]
    assert not hasattr(light, "__dict__")


def test_equal_only_to_its_own_kind() -> None:
    """Equality and hash go by value and by class; the default of a factory is made anew each time."""
    assert Light(1) == Light(1)
    assert Light(1) != Light(2)
    assert Light(1) != Standard(1)
    assert hash(Checked(3)) == hash(Checked(3))
    assert Light(1).three is not Light(1).three


def test_standard_helpers_work() -> None:
    """`fields`, `replace`, `is_dataclass`, copy and pickle work as on a standard class."""
    changed = dataclasses.replace(Light(1), two="z")

    assert [f.name for f in dataclasses.fields(Light)] == ["one", "two", "three"]
    assert dataclasses.is_dataclass(Light)
    assert (changed.one, changed.two, changed.both) == (1, "z", "1z")
    assert copy.deepcopy(changed) == changed
    assert pickle.loads(pickle.dumps(changed)) == changed


def test_post_init_is_called() -> None:
    """A class may refuse its values."""
    with pytest.raises(ValueError, match="below zero"):
        Checked(-1)


@dataclass
class Loose:
    """A class that can be changed."""

    one: int
    two: list[int] = dataclasses.field(default_factory=list)


def test_a_loose_class_can_be_changed() -> None:
    """Without `frozen` a field can be set, values compare, and there is no hash, as in the standard library."""
    loose = Loose(1)
    loose.one = 2
    loose.two.append(3)

    assert loose == Loose(2, [3])
    assert Loose(1).two == []
    with pytest.raises(TypeError):
        hash(loose)
