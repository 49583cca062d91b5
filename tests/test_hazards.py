"""Hazards: published tables, sums by hand, a ray fan; and unknown is never “safe”."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from solarlib import hazards, reference
from solarlib.geometry import Parabola
from tests.refusals import refused

DEMO = Parabola(focal_length=0.170, aperture_width=0.640)


# --- touch -------------------------------------------------------------------------------------
def test_contact_table():
    # first touch of 60, 80, 100 °C, and the surface that brings the skin to 44 °C, in whole
    # degrees: recomputed from k, rho, c of the table in `reference`
    table = {
        "copper": (59, 79, 98, 44),
        "stainless": (57, 74, 91, 46),
        "glass": (48, 60, 71, 53),
        "water": (49, 60, 72, 52),
        "acrylic": (42, 48, 55, 67),
        "pine": (39, 43, 47, 86),
    }
    for material, row in table.items():
        touch = hazards.contact_temperature_c(material, np.array([60, 80, 100]))
        np.testing.assert_allclose(touch, row[:3], atol=0.55)
        assert hazards.surface_for_contact_c(material, 44) == pytest.approx(row[3], abs=0.5)


@pytest.mark.parametrize("material", ["copper", "pine", "glass"])
def test_contact_temperature_by_solving_the_heat_equation(material):
    """Two bodies in contact, marched in time on a grid: the interface settles at Tc at once."""
    hot, skin = reference.CONTACT_MATERIALS[material], reference.SKIN
    cells, time_step = 400, 1e-4

    def grid(body):
        diffusivity = body.conductivity / (body.density * body.specific_heat)
        return np.sqrt(diffusivity * time_step / 0.4), diffusivity

    (dx_hot, _), (dx_skin, _) = grid(hot), grid(skin)
    left, right = np.full(cells, 80.0), np.full(cells, 33.0)
    middle = 0.0
    for _ in range(3000):
        g_hot, g_skin = hot.conductivity / dx_hot, skin.conductivity / dx_skin
        middle = (g_hot * left[-1] + g_skin * right[0]) / (g_hot + g_skin)
        for field, edge in ((left, -1), (right, 0)):
            wall = np.concatenate(([field[0]], field, [field[-1]]))
            field += 0.4 * np.diff(wall, 2)
            field[edge] += 0.4 * (middle - field[edge])
    expected = hazards.contact_temperature_c(material, 80.0)
    assert middle == pytest.approx(expected, abs=0.3)


@given(st.sampled_from(sorted(reference.CONTACT_MATERIALS)), st.floats(34, 300))
def test_touch_lies_between_and_can_be_undone(material, surface):
    touch = hazards.contact_temperature_c(material, surface)
    assert 33 < touch < surface
    assert hazards.surface_for_contact_c(material, touch) == pytest.approx(surface)


# --- burns -------------------------------------------------------------------------------------
def test_rows_of_the_tables_come_back():
    for table in hazards.BURN_TABLES.values():
        times = hazards.scald_time_s(np.array(table.temps_c), table.name)
        np.testing.assert_allclose(times, table.times_s, rtol=1e-9)


def test_known_points():
    # antiscald.com third degree: 49 °C 10 min, 55 °C 30 s, 60 °C 5 s; 120 °F 5 min in the consumer
    # leaflet; 150 °F 0.5 s for a small child
    assert hazards.scald_time_s(49) == pytest.approx(600)
    # Moritz & Henriques 1947, as quoted, for the upper end: 60 °C 5 s, 68.3 °C (155 °F) 1 s
    assert hazards.scald_time_s([60, 68.3]) == pytest.approx([5, 1])
    assert hazards.scald_time_s(49, "blistering burn") == pytest.approx(480)
    fahrenheit = lambda f: (f - 32) / 1.8  # noqa: E731
    assert hazards.scald_time_s(fahrenheit(120), "consumer advice") == pytest.approx(300)
    assert hazards.scald_time_s(fahrenheit(150), "small child") == pytest.approx(0.5)
    assert hazards.scald_time_s(60, child=True) == pytest.approx(5 / 4)
    # linear interpolation would say 141 s
    assert hazards.scald_time_s(53) < 90


@given(
    st.sampled_from(sorted(hazards.BURN_TABLES)), st.floats(30, 90), st.floats(0.01, 20),
    st.booleans(),
)  # fmt: skip
def test_hotter_is_never_slower_and_unknown_is_never_safe(table, temp, more, child):
    cool, hot = (hazards.scald_time_s(t, table, child) for t in (temp, temp + more))
    if not np.isnan(cool) and not np.isnan(hot):
        assert hot < cool
    finding = hazards.scald(temp, table, child)
    assert finding.known == (not np.isnan(cool))
    assert "safe" not in str(finding).lower()
    assert finding.source in str(finding) and finding.status in str(finding)
    if not finding.known:
        assert "ends at" in finding.sentence or "no promise" in finding.sentence


def test_a_child_has_a_quarter_of_the_time_but_not_twice():
    for table in hazards.BURN_TABLES:
        temp = np.mean(hazards.BURN_TABLES[table].temps_c)
        ratio = hazards.scald_time_s(temp, table, child=True) / hazards.scald_time_s(temp, table)
        assert ratio == pytest.approx(1.0 if table == "small child" else 0.25)
    # the child table agrees: a quarter or less at 140 and 150 °F
    for f in (140, 150):
        temp = (f - 32) / 1.8
        child = hazards.scald_time_s(temp, "small child")
        assert child <= hazards.scald_time_s(temp, "consumer advice") / 4 + 1e-9


def test_the_burn_integral_agrees_with_the_table_near_50_degrees():
    # Two sources of different severity: within a factor 4 at 49-55 °C, one more reason to name the
    # table. Above 58 °C the integral, at the basal layer, is shorter than times at the surface.
    ratio = hazards.scald_time_s([49, 51, 55]) / hazards.damage_time_s([49, 51, 55])
    assert np.all((ratio > 1 / 4) & (ratio < 4))
    assert hazards.scald_time_s(60) > hazards.damage_time_s(60)


def test_copper_and_pine_of_one_temperature():
    copper, pine = hazards.contact_burn("copper", 62), hazards.contact_burn("pine", 62)
    assert copper.value < 5 and not pine.known
    assert "no promise" in pine.sentence
    assert hazards.contact_burn("copper", 62, kept_hot=True).value < copper.value
    assert hazards.contact_burn("copper", 62, child=True).value == pytest.approx(copper.value / 4)
    assert "third-degree" in copper.sentence and "antiscald" in copper.source


def test_touch_limits_and_their_status():
    second = hazards.touch_limit("bare metal", 1)
    assert second.value == 65 and second.status == reference.COPY
    minute = hazards.touch_limit("bare metal", 60)
    assert minute.value == 51 and minute.status == reference.MEMORY
    assert "look it up before you rely on it" in str(minute)
    assert hazards.touch_limit("bare metal", 3).status == reference.MEMORY  # between 1 s and 10 s
    assert not hazards.touch_limit("wood", 0.1).known
    assert "43" in hazards.touch_limit("wood", 0.1).sentence
    times = np.geomspace(1, 28800, 40)
    for surface in reference.TOUCH_LIMITS_C:
        limits = [hazards.touch_limit(surface, t).value for t in times]
        assert np.all(np.diff(limits) < 0)
    metal, wood = (hazards.touch_limit(s, 1).value for s in ("bare metal", "wood"))
    assert metal < wood


# --- steam and shut-in water -------------------------------------------------------------------
def test_steam_against_iapws_95():
    def enthalpy(temp_c, vapour):
        return PropsSI("H", "T", temp_c + 273.15, "Q", vapour, "Water")

    assert hazards.steam_heat(0.001) == pytest.approx(
        (enthalpy(100, 1) - enthalpy(37, 0)) / 1000, rel=2e-3
    )
    assert hazards.water_heat(0.001) == pytest.approx(
        (enthalpy(100, 0) - enthalpy(37, 0)) / 1000, rel=2e-3
    )


@pytest.mark.parametrize("end_c", [21, 25, 30, 40])
def test_trapped_water_against_iapws_95(end_c):
    # a rigid vessel keeps the density of 20 °C and 1 atm
    density = PropsSI("D", "T", 293.15, "P", 101325, "Water")
    pressure = PropsSI("P", "T", end_c + 273.15, "D", density, "Water")
    assert hazards.trapped_water_pressure(20, end_c) == pytest.approx(pressure, rel=0.01)


def test_closed_volume_in_words():
    finding = hazards.closed_volume(20, 40)
    # 22 x 0.9: elastic 82.9 bar, rigid 139.5; made for 51 bar
    assert finding.value / 1e5 == pytest.approx(82.9, rel=0.03)
    assert "made for 51 bar" in finding.sentence and "Never close it" in finding.sentence
    assert "made for" not in hazards.closed_volume(20, 25).sentence


# --- light -------------------------------------------------------------------------------------
def test_skin_rule_ends_at_ten_seconds():
    edge = 20000 / 10**0.75
    assert hazards.skin_exposure_limit_s(edge) == pytest.approx(10)
    assert np.isnan(hazards.skin_exposure_limit_s(edge * 0.999))
    finding = hazards.skin_exposure(2000)
    assert not finding.known and "no clearance" in finding.sentence
    assert "pain comes after about 45 s" in finding.sentence
    assert "2.5 s" in hazards.skin_exposure(10_000).sentence


@given(st.floats(3600, 1e6))
def test_skin_limit_is_the_dose(irradiance):
    t = hazards.skin_exposure_limit_s(irradiance)
    assert irradiance * t == pytest.approx(20000 * t**0.25)


def test_eye_limit_joins_at_a_thousand_seconds():
    assert hazards.eye_irradiance_limit([1000, 1001, 1e5]) == pytest.approx([101.2, 100, 100], 1e-3)


def test_pain_and_blisters_against_the_handbook_table():
    # 2 kW/m2: pain 45 s; 5: pain 13 s, blister 40 s; 10: pain 5 s, blister 14 s
    np.testing.assert_allclose(hazards.pain_time_s([2000, 5000, 10000]), [45, 13, 5])
    np.testing.assert_allclose(hazards.blister_time_s([5000, 10000]), [40, 14])
    assert np.isnan(hazards.pain_time_s([1500, 20000])).all()
    assert np.isnan(hazards.blister_time_s(2000))


def test_beam_distances_of_the_demo_trough():
    # rho 0.85, G 900: axis / rim strip [mm] for 1.0, 1.6, 4.3, 5, 10, 20 kW/m2
    flux = np.array([1000, 1600, 4300, 5000, 10000, 20000])
    rim = 1000 * hazards.beam_distance(DEMO, 0.85, 900, flux)
    centre = 1000 * hazards.beam_distance(DEMO, 0.85, 900, flux, part="centre")
    np.testing.assert_allclose(rim, [245, 153, 57, 49, 25, 12], atol=0.55)
    np.testing.assert_allclose(centre, [130, 81, 30, 26, 13, 6.5], atol=0.55)


def test_beam_law_against_traced_rays():
    """Rays of a real sun's disc from the whole mirror, counted on a circle round the focus."""
    random, rays = np.random.default_rng(5), 1_000_000
    f, width = DEMO.focal_length, DEMO.aperture_width
    x = random.uniform(-width / 2, width / 2, rays)
    y = x**2 / (4 * f)
    across = np.sqrt(random.uniform(0, 1, rays)) * np.cos(random.uniform(0, 2 * np.pi, rays))
    lean = np.radians(0.26645) * across + 2 * np.arctan(x / (2 * f))  # from straight up, to -x
    u, v = -np.sin(lean), np.cos(lean)
    for s in (0.03, 0.06, 0.12):
        to_focus = x * u + (y - f) * v  # far crossing of the circle of radius s round the focus
        run = -to_focus + np.sqrt(to_focus**2 - (x**2 + (y - f) ** 2 - s**2))
        angle = np.degrees(np.arctan2(-(x + run * u), y + run * v - f))  # 0 above, 86.5 at the rim
        edges = np.array([-4, 4, 70, 78])
        landed = np.histogram(angle, edges)[0][[0, 2]]
        flux = 0.85 * 900 * landed / rays * width / (s * np.radians(8))
        radius = 2 * f / (1 + np.cos(np.radians([0, 74])))
        np.testing.assert_allclose(flux, 0.85 * 900 * radius / s, rtol=0.03)
        assert hazards.beam_flux(DEMO, 0.85, 900, s, part="centre") == pytest.approx(
            flux[0], rel=0.03
        )


@given(st.floats(0.5, 0.95), st.floats(300, 1050), st.floats(1000, 15000))
def test_distance_and_flux_are_inverse(reflectance, beam, limit):
    distance = hazards.beam_distance(DEMO, reflectance, beam, limit)
    assert hazards.beam_flux(DEMO, reflectance, beam, distance) == pytest.approx(limit)
    assert hazards.beam_distance(DEMO, reflectance, beam, limit / 2) == pytest.approx(2 * distance)


def test_in_the_line_itself_nothing_is_promised():
    assert np.isnan(hazards.beam_distance(DEMO, 0.85, 900, 200_000))
    assert np.isnan(hazards.beam_flux(DEMO, 0.85, 900, 0.001))


def test_wood():
    assert hazards.ignition(4300).value == pytest.approx(1)
    assert "can set wood alight" in hazards.ignition(5000).sentence
    assert "no clearance" in hazards.ignition(1000).sentence
    assert "77 °C" in hazards.ignition(1000).sentence


# --- wind and joints ---------------------------------------------------------------------------
def test_wind_by_hand():
    # 1.225 kg/m3, Cd 1.4, 0.576 m2: 31.6 N at 8 m/s, 49 at 10, 309 at 25; 325 N at 20 m/s, Cd 2.3
    np.testing.assert_allclose(
        hazards.wind_force([8, 10, 25], 0.576), [31.6, 49.4, 308.7], atol=0.05
    )
    assert hazards.wind_force(20, 0.576, drag=2.3) == pytest.approx(325, abs=0.5)
    # 83 N m at 15 m/s, 148 at 20; ballast 36 and 65 kg
    force = hazards.wind_force([15, 20], 0.576)
    np.testing.assert_allclose(hazards.overturning_moment(force, 0.75), [83, 148], atol=0.5)
    np.testing.assert_allclose(hazards.ballast_mass(force, 0.75, 0.35), [36, 65], atol=0.5)


@given(st.floats(1, 40), st.floats(0.1, 2), st.floats(0.2, 1), st.floats(0.2, 1))
def test_ballast_balances(speed, area, height, half_base):
    force = hazards.wind_force(speed, area)
    mass = hazards.ballast_mass(force, height, half_base, margin=1)
    assert mass * 9.80665 * half_base == pytest.approx(force * height)
    assert hazards.wind_force(2 * speed, area) == pytest.approx(4 * force)


def test_joints():
    close = hazards.joint("tin-antimony solder", 225)
    assert close.value == 7 and "not acceptable" in close.sentence and "121 °C" in close.sentence
    assert "not acceptable" in hazards.joint("tin-lead solder", 250).sentence
    assert "−67 K" in hazards.joint("tin-lead solder", 250).sentence
    assert "It keeps the 25 K" in hazards.joint("brazed", 290).sentence
    assert "121" not in hazards.joint("brazed", 290).sentence


# --- shapes and bad input ----------------------------------------------------------------------
def test_every_function_broadcasts():
    column = np.array([46.0, 52.0, 59.0])
    curve = Parabola(focal_length=0.17, aperture_width=0.64)
    for function in (
        lambda x: hazards.contact_temperature_c("copper", x),
        lambda x: hazards.surface_for_contact_c("copper", x),
        lambda x: hazards.scald_time_s(x),
        lambda x: hazards.damage_time_s(x),
        lambda x: hazards.skin_exposure_limit_s(100 * x),
        lambda x: hazards.eye_irradiance_limit(x),
        lambda x: hazards.pain_time_s(100 * x),
        lambda x: hazards.blister_time_s(100 * x),
        lambda x: hazards.beam_distance(curve, 0.85, 900, 100 * x),
        lambda x: hazards.beam_flux(curve, 0.85, 900, x / 1000),
        lambda x: hazards.wind_force(x, 0.5),
        lambda x: hazards.overturning_moment(x, 0.5),
        lambda x: hazards.ballast_mass(x, 0.7, 0.4),
        lambda x: hazards.trapped_water_pressure(20, x),
        lambda x: hazards.steam_heat(x),
        lambda x: hazards.water_heat(0.001, x),
    ):
        kept = column.copy()
        row, table = function(column), function(column[:, None])
        assert row.shape == (3,) and table.shape == (3, 1)
        np.testing.assert_array_equal(table[:, 0], row)
        np.testing.assert_allclose([function(float(x)) for x in column], row, rtol=1e-12)
        assert isinstance(function(52.0), float)
        np.testing.assert_array_equal(column, kept)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: hazards.contact_temperature_c("cheese", 60), "'cheese' is not known; use one of"),
        (lambda: hazards.contact_temperature_c("copper", np.nan), "surface temperature is nan"),
        (lambda: hazards.contact_temperature_c("copper", 5000), "5000"),
        (lambda: hazards.scald_time_s(60, "folklore"), "'folklore' is not known"),
        (lambda: hazards.scald_time_s("hot"), "'hot'"),
        (lambda: hazards.touch_limit("jelly", 1), "'jelly'"),
        (lambda: hazards.touch_limit("wood", 0), "contact time is 0 s"),
        (lambda: hazards.damage_time_s(20), "skin temperature is 20"),
        (lambda: hazards.skin_exposure_limit_s(0), "irradiance is 0 W/m2"),
        (lambda: hazards.eye_irradiance_limit(-1), "exposure is -1 s"),
        (lambda: hazards.beam_distance(DEMO, 85, 900, 4300), "reflectance is 85"),
        (lambda: hazards.beam_distance(DEMO, 0.85, 900, 0), "flux limit is 0"),
        (lambda: hazards.beam_distance(DEMO, 0.85, 900, 4300, part="left"), "'left'"),
        (lambda: hazards.wind_force(-3, 0.5), "wind speed is -3 m/s"),
        (lambda: hazards.wind_force(10, 0), "area is 0 m2"),
        (lambda: hazards.ballast_mass(100, 0.7, 0), "half base is 0 m"),
        (lambda: hazards.ballast_mass(100, 0.7, 0.4, margin=0.5), "margin is 0.5"),
        (lambda: hazards.joint("chewing gum", 200), "'chewing gum'"),
        (lambda: hazards.closed_volume(20, 40, "99 x 9"), "'99 x 9'"),
        (lambda: hazards.closed_volume(20, np.nan), "end temperature is nan"),
        (lambda: hazards.steam_heat(0), "mass is 0 kg"),
    ],
)
def test_bad_input_is_refused_in_words(call, words):
    refused(call, words, longest=250)


def test_a_finding_is_its_number():
    assert float(hazards.scald(60)) == hazards.scald(60).value and hazards.scald(60).known
    assert not hazards.scald(20).known


def test_no_finding_ever_says_safe():
    findings = [
        *(
            hazards.contact_burn(m, t)
            for m in reference.CONTACT_MATERIALS
            for t in (20, 45, 60, 250)
        ),
        *(hazards.touch_limit(s, t) for s in reference.TOUCH_LIMITS_C for t in (0.1, 1, 1e5)),
        *(hazards.skin_exposure(e) for e in (100, 3000, 20000)),
        *(hazards.ignition(e) for e in (1, 4299, 4301, 20000)),
        *(hazards.joint(kind, 240) for kind in reference.JOINT_LIMIT_C),
        *(hazards.closed_volume(20, t) for t in (20, 21, 90)),
    ]
    for finding in findings:
        assert "safe" not in str(finding).lower()
        assert finding.sentence.endswith(".") and finding.unit and len(finding.source) > 10
        assert finding.status in str(finding)
