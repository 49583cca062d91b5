"""Every number has a unit, a source, a status and a range it lies in; the fixed ones are right."""

import numpy as np
import pytest
from scipy import constants

from solarlib import reference
from solarlib.reference import Coating, Contact, Tube, Value

STATUSES = {
    reference.READ,
    reference.COPY,
    reference.RECOMPUTED,
    reference.MEMORY,
    reference.PRACTICE,
}


def values_of_the_module():
    """Every Value of the module, wherever it stands, with a name for the test's report."""

    def inside(name, thing):
        if isinstance(thing, Value):
            yield name, thing
        elif isinstance(thing, Coating):
            yield from inside(f"{name}.absorptance", thing.absorptance)
            yield from inside(f"{name}.emittance", thing.emittance)
        elif isinstance(thing, dict):
            for key, item in thing.items():
                yield from inside(f"{name}[{key}]", item)
        elif isinstance(thing, tuple):
            for place, item in enumerate(thing):
                yield from inside(f"{name}[{place}]", item)

    for name, thing in vars(reference).items():
        if not name.startswith("_"):
            yield from inside(name, thing)


VALUES = dict(values_of_the_module())


@pytest.mark.parametrize("name", VALUES)
def test_every_value_lies_in_its_range_and_says_where_it_is_from(name):
    value = VALUES[name]
    assert value.low <= value.value <= value.high
    assert value.status in STATUSES
    assert value.unit and len(value.source) >= 5
    assert float(value) == value.value


def test_the_walk_finds_the_tables():
    assert len(VALUES) > 50
    assert "COATINGS[flat black paint].emittance" in VALUES


def test_constants_against_scipy():
    """CODATA values as scipy carries them."""
    assert pytest.approx(constants.Stefan_Boltzmann, rel=1e-9) == reference.STEFAN_BOLTZMANN.value
    assert reference.GRAVITY.value == constants.g
    assert reference.STANDARD_PRESSURE.value == constants.atm
    assert reference.ZERO_CELSIUS.value == constants.zero_Celsius
    assert pytest.approx(constants.au, rel=1e-9) == reference.ASTRONOMICAL_UNIT.value


def test_suns_half_angle_from_its_size_and_distance():
    half = np.degrees(np.arcsin(reference.SUN_RADIUS.value / reference.ASTRONOMICAL_UNIT.value))
    assert reference.SUN_HALF_ANGLE_DEG.value == pytest.approx(half, abs=2e-5)
    # rms on one axis of an evenly bright disc is half its radius; by counting points
    rng = np.random.default_rng(0)
    x, y = rng.uniform(-1, 1, (2, 1_000_000))
    rms = np.std(x[x * x + y * y < 1]) * 1000 * np.radians(half)
    assert reference.SUN_RMS_MRAD.value == pytest.approx(rms, rel=0.003)


@pytest.mark.parametrize("tube", reference.TUBES.values(), ids=str)
def test_tubes_are_tubes(tube: Tube):
    assert 0 < 2 * tube.wall < tube.outside_diameter < 0.05
    assert tube.source and tube.status in STATUSES


def test_american_tubes_are_an_eighth_larger_than_their_name():
    """ASTM B88: outside diameter is the nominal size + 1/8 in."""
    nominal = {"1/2": 0.5, "3/4": 0.75, "1": 1.0}
    for name, tube in reference.TUBES.items():
        if " in " in name:
            size = nominal[name.split(" in ")[0]] + 0.125
            assert tube.outside_diameter == pytest.approx(size * 0.0254)


@pytest.mark.parametrize(
    "table",
    [
        [(row[0], row[1]) for row in reference.SCALD_BY_DEGREE],
        [(row[0], row[2]) for row in reference.SCALD_BY_DEGREE],
        reference.SCALD_SERIOUS,
        reference.SCALD_CONSUMER,
        reference.SCALD_CHILD,
        sorted(reference.BURN_ON_METAL),
    ],
)
def test_hotter_always_burns_sooner(table):
    temperatures, times = zip(*table, strict=True)
    assert list(temperatures) == sorted(temperatures)
    assert list(times) == sorted(times, reverse=True)


def test_a_third_degree_burn_takes_longer_than_a_second():
    assert all(second < third for _, second, third in reference.SCALD_BY_DEGREE)


def test_skin_effusivity_as_published():
    """sqrt(k rho c) of skin at 33 C: 1176 (k .37, rho 1100, c 3400), common practice."""
    skin: Contact = reference.SKIN
    assert np.sqrt(skin.conductivity * skin.density * skin.specific_heat) == pytest.approx(
        1176, abs=1
    )


def test_values_cannot_be_changed_by_accident():
    with pytest.raises(AttributeError):
        reference.GRAVITY.value = 10.0
