"""Shares of light against an adaptive integral, a ray trace, limits and published tables."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ndtr

from solarlib import geometry, optics
from solarlib.geometry import Circle, Parabola

DEMO = Parabola(focal_length=0.170, aperture_width=0.640)
PIPE = 0.022
TRACE_AGREES = 0.001  # slope, aim and sideways errors
TRACE_AGREES_AXIAL = 0.004  # pipe moved along the axis
TABLE_DIGIT = 0.0011  # published shares of light printed with three digits, last one may differ


def share_caught(**errors):
    return optics.intercept_factor(DEMO, PIPE, **errors)


# --- the share caught ------------------------------------------------------------------------
def share_by_quad(slope_mrad, misaim_deg, dx, dy):
    """The same physics, written with vectors and an adaptive integral."""
    f, half, a = 0.170, 0.320, 0.011
    spread = 1e-3 * np.hypot(2 * slope_mrad, 2.33)

    def strip(x):
        to_focus = np.array([-x, f - x * x / (4 * f)])
        to_pipe = to_focus + np.array([dx, dy])
        turn = to_focus[1] * to_pipe[0] - to_focus[0] * to_pipe[1]
        offset = np.radians(misaim_deg) + np.arcsin(
            turn / np.linalg.norm(to_focus) / np.linalg.norm(to_pipe)
        )
        window = np.arcsin(a / np.linalg.norm(to_pipe))
        return ndtr((window - offset) / spread) - ndtr((-window - offset) / spread)

    return quad(strip, -half, half, limit=400, points=[0])[0] / (2 * half)


@pytest.mark.parametrize(
    ("slope", "misaim", "dx", "dy"),
    [(0, 0, 0, 0), (0, 2, 0, 0), (2, -1.9, 0, 0), (8, 1, 0, 0), (5, 0, 0.01, 0), (8, -2, 0.01, 0),
     (8, 0, 0, 0.01), (8, 1, 0.003, -0.012), (30, 3, 0, 0)],
)  # fmt: skip
def test_share_agrees_with_an_adaptive_integral(slope, misaim, dx, dy):
    share = share_caught(slope_error_mrad=slope, misaim_deg=misaim, tube_dx=dx, tube_dy=dy)
    assert share == pytest.approx(share_by_quad(slope, misaim, dx, dy), abs=3e-4)


@pytest.mark.parametrize(
    ("errors", "agrees"),
    [
        ({"slope_error_mrad": 5}, TRACE_AGREES),
        ({"slope_error_mrad": 12}, TRACE_AGREES),
        ({"slope_error_mrad": 8, "misaim_deg": 1.5}, TRACE_AGREES),
        ({"slope_error_mrad": 8, "misaim_deg": -3}, TRACE_AGREES),
        ({"slope_error_mrad": 8, "tube_dx": 0.010}, TRACE_AGREES),
        ({"slope_error_mrad": 8, "tube_dx": 0.010, "misaim_deg": -2}, TRACE_AGREES),
        ({"slope_error_mrad": 8, "incidence_deg": 45, "misaim_deg": 1}, TRACE_AGREES),
        ({"specularity_mrad": 12, "tracking_mrad": 9, "incidence_deg": 30}, TRACE_AGREES),
        ({"slope_error_mrad": 8, "tube_dy": 0.010}, TRACE_AGREES_AXIAL),
        ({"slope_error_mrad": 8, "tube_dy": -0.010}, TRACE_AGREES_AXIAL),
    ],
)
def test_share_agrees_with_a_million_rays(errors, agrees):
    rays = optics.trace(DEMO, PIPE, rays=2_000_000, seed=1, **errors)
    assert share_caught(**errors) == pytest.approx(rays.intercept_factor, abs=agrees)


# shares published to three digits, from an independent three-dimensional ray trace
MISAIM = {
    5: {0.5: 0.999, 1: 0.994, 1.5: 0.965, 2: 0.878, 2.5: 0.715, 3: 0.497, 4: 0.104, 5: 0.003},
    10: {0: 0.980, 0.5: 0.970, 1: 0.937, 1.5: 0.874, 2: 0.776, 3: 0.494, 4: 0.214, 6: 0.008},
    12: {0: 0.954, 1: 0.903, 2: 0.743, 3: 0.495, 4: 0.247, 6: 0.021},
}
PRINTS = {  # scale across, scale down -> (left, moved) at 5 mrad, (left, moved) at 8 mrad
    (0.97, 0.97): ((0.995, 1.000), (0.966, 0.996)),
    (0.97, 1.00): ((0.865, 1.000), (0.811, 0.996)),
    (1.03, 1.00): ((0.853, 1.000), (0.803, 0.993)),
    (1.00, 0.98): ((0.999, 1.000), (0.982, 0.994)),
    (0.99, 1.00): ((0.999, 1.000), (0.984, 0.995)),
}
CIRCLE = {0.250: 1.00, 0.300: 0.90, 0.400: 0.67, 0.500: 0.54, 0.640: 0.42}
SCREWS = {3: (0.24, 0.77), 5: (0.66, 0.89), 9: (0.95, 0.96), 13: (0.98, 0.99)}


@pytest.mark.parametrize("slope", MISAIM)
def test_misaim_table(slope):
    for misaim, share in MISAIM[slope].items():
        found = share_caught(slope_error_mrad=slope, misaim_deg=misaim)
        assert found == pytest.approx(share, abs=TABLE_DIGIT)


@pytest.mark.parametrize("scales", PRINTS)
def test_stretched_print_table(scales):
    for slope, (left, moved) in zip((5, 8), PRINTS[scales], strict=True):
        loss = optics.print_loss(DEMO, *scales, PIPE, slope_error_mrad=slope)
        assert loss.pipe_left == pytest.approx(left, abs=TABLE_DIGIT)
        assert loss.pipe_moved == pytest.approx(moved, abs=TABLE_DIGIT)


@pytest.mark.parametrize("width", CIRCLE)
def test_a_circle_is_perfect_when_shallow_and_useless_when_deep(width):
    circle = Circle(0.340, width)
    rays = optics.trace(circle, PIPE, slope_error_mrad=2)
    assert rays.intercept_factor == pytest.approx(CIRCLE[width], abs=0.006)
    assert optics.intercept_factor(circle, PIPE, 2) == pytest.approx(
        rays.intercept_factor, abs=0.004
    )


@pytest.mark.parametrize("points", SCREWS)
@pytest.mark.parametrize("model", [0, 1])
def test_light_caught_by_a_sheet_between_screws(points, model):
    """A constant slope error is no Gaussian one: the share follows from the sheet's own line."""
    line = geometry.screw_line(DEMO, points, ("natural cubic", "elastic")[model])
    rays = optics.trace(line, PIPE, seed=3)
    assert rays.intercept_factor == pytest.approx(SCREWS[points][model], abs=0.011)
    assert optics.intercept_factor(line, PIPE) == pytest.approx(rays.intercept_factor, abs=0.006)


@settings(max_examples=60)
@given(
    misaim=st.floats(0, 6), dx=st.floats(-0.02, 0.02), dy=st.floats(-0.02, 0.02),
    slope=st.floats(0, 40), rim=st.floats(30, 120), width=st.floats(0.2, 2),
)  # fmt: skip
def test_share_is_symmetric_and_between_0_and_1(misaim, dx, dy, slope, rim, width):
    p = Parabola.from_two(aperture_width=width, rim_angle_deg=rim)
    one = optics.intercept_factor(p, PIPE, slope, misaim_deg=misaim, tube_dx=dx, tube_dy=dy)
    other = optics.intercept_factor(p, PIPE, slope, misaim_deg=-misaim, tube_dx=-dx, tube_dy=dy)
    assert 0 <= one <= 1
    assert one == pytest.approx(other, abs=1e-12)


@settings(max_examples=40)
@given(slope=st.floats(0, 30), misaim=st.floats(0, 4), more=st.floats(0.1, 2))
def test_more_error_never_helps_a_well_aimed_pipe_and_a_thicker_pipe_always_does(
    slope, misaim, more
):
    assert share_caught(slope_error_mrad=slope + more) <= share_caught(slope_error_mrad=slope) + 1e-12
    further = share_caught(slope_error_mrad=slope, misaim_deg=misaim + more)
    assert further <= share_caught(slope_error_mrad=slope, misaim_deg=misaim) + 1e-12
    thicker = optics.intercept_factor(DEMO, PIPE * (1 + more), slope, misaim_deg=misaim)
    assert thicker >= share_caught(slope_error_mrad=slope, misaim_deg=misaim) - 1e-12


def test_scaling_everything_changes_nothing():
    big = optics.intercept_factor(Parabola(1.70, 6.40), 0.22, 8, misaim_deg=1, tube_dy=0.05)
    assert big == pytest.approx(share_caught(slope_error_mrad=8, misaim_deg=1, tube_dy=0.005))


@pytest.mark.parametrize("shape", [(), (3,), (3, 1)])
def test_broadcasts_and_leaves_its_inputs_alone(shape):
    value = np.full(shape, 1.0)
    before = value.copy()
    p = Parabola(0.17 * value, 0.64)
    one = share_caught(slope_error_mrad=8, misaim_deg=1)
    for found in (
        optics.intercept_factor(p, PIPE, 8, misaim_deg=value),
        optics.intercept_factor(p, PIPE * value, 8 * value, misaim_deg=1, incidence_deg=0 * value),
    ):
        assert np.shape(found) == shape
        assert found == pytest.approx(one)
    assert np.shape(optics.end_effect(p, PIPE, 0.9, 0.1, 30 * value)) == shape
    assert np.shape(optics.light_past_end(p, PIPE, 0.9, 0.1, 30 * value).ends) == shape
    row = np.ones(4)
    together = np.broadcast_shapes(shape, (4,)) if shape != (3,) else None
    if together:
        assert np.shape(optics.intercept_factor(p, PIPE * row, 8)) == together
        assert np.shape(optics.end_effect(p, PIPE * row, 0.9, incidence_deg=20)) == together
    assert np.array_equal(value, before)


@pytest.mark.parametrize(
    ("errors", "word"),
    [
        ({"slope_error_mrad": -1}, "slope error is -1 mrad"),
        ({"misaim_deg": 91}, "between -90 and 90 deg"),
        ({"incidence_deg": float("nan")}, "incidence is nan deg"),
        ({"tube_diameter": 0}, "pipe diameter is 0 m"),
        ({"tube_diameter": "thick"}, "pipe diameter is 'thick'"),
    ],
)
def test_impossible_errors_are_refused(errors, word):
    for find in (optics.intercept_factor, optics.trace):
        with pytest.raises(ValueError, match=word):
            find(DEMO, **{"tube_diameter": PIPE, **errors})


# --- closed forms ------------------------------------------------------------------------------
def traced_share(p, pipe, misaim=0.0, **others):
    return optics.trace(p, pipe, 100_000, 2, misaim_deg=misaim, **others).intercept_factor


@pytest.mark.parametrize(("rim", "incidence"), [(60, 0), (86.53, 0), (110, 0), (86.53, 40)])
def test_no_loss_aim_is_where_the_rays_begin_to_miss(rim, incidence):
    p = Parabola.from_two(aperture_width=0.64, rim_angle_deg=rim)
    limit = optics.no_loss_aim_deg(p, PIPE, incidence)
    assert traced_share(p, PIPE, limit - 0.01, incidence_deg=incidence) == 1.0
    assert traced_share(p, PIPE, limit + 0.10, incidence_deg=incidence) < 1.0
    half = optics.transverse_sun_half_angle_deg(incidence)
    assert optics.acceptance_half_angle_deg(p, PIPE) == pytest.approx(limit + half)


def test_smallest_tube_just_takes_the_rays():
    smallest = optics.smallest_tube(DEMO)
    assert traced_share(DEMO, 1.001 * smallest) == 1.0
    assert traced_share(DEMO, 0.97 * smallest) < 1.0
    # seen from the rim its image is as wide as that of a flat strip at that distance
    image = optics.sun_image_width(DEMO.rim_distance)
    assert smallest == pytest.approx(image, rel=2e-5)
    ratio = optics.concentration_by_area(0.64, smallest)
    assert ratio == pytest.approx(optics.round_tube_limit(DEMO.rim_angle_deg))


def test_slanting_light_widens_the_sun_as_vectors_say():
    """Turn a ray by the sun's half-angle sideways and look at it in the plane across."""
    for slant in (0, 30, 60):
        along, up = np.sin(np.radians(slant)), np.cos(np.radians(slant))
        aside = np.tan(np.radians(0.26645)) * np.hypot(along, up)
        seen = np.degrees(np.arctan2(aside, up))
        assert optics.transverse_sun_half_angle_deg(slant) == pytest.approx(seen, abs=1e-6)
        assert optics.transverse_sun_half_angle_deg(-slant) == pytest.approx(seen, abs=1e-6)


def test_random_errors_add_like_random_numbers():
    """Two million normal numbers; a mirror that turns by an angle turns the ray by two."""
    rng = np.random.default_rng(5)
    slope, spec, track, sun = (s * rng.standard_normal(2_000_000) for s in (10, 3, 5, 2.33))
    found = optics.total_spread_mrad(10, 3, 5)
    assert found == pytest.approx(np.std(2 * slope + spec + track + sun), rel=0.002)


def test_limits_as_published():
    """215.0 and 46 240 at 0.26645 deg, 212.2 and 45 032 at 0.27; 68.4 at rim 90; 8.94 unshaded."""
    assert optics.line_concentration_limit(0.26645) == pytest.approx(215.0, abs=0.06)
    assert optics.point_concentration_limit(0.26645) == pytest.approx(46_240, abs=6)
    assert optics.line_concentration_limit(0.27) == pytest.approx(212.2, abs=0.06)
    assert optics.point_concentration_limit(0.27) == pytest.approx(45_032, abs=6)
    assert optics.round_tube_limit(90) == pytest.approx(68.4, abs=0.06)
    # what hits the pipe's whole skin, but for the shadow, is all that the opening lets in
    assert optics.concentration_unshaded(0.64, PIPE) * np.pi * PIPE == pytest.approx(0.64 - PIPE)
    assert optics.concentration_by_width(0.64, PIPE) == pytest.approx(29.09, abs=0.006)


def test_overhang_is_free_up_to_the_angle_at_which_rays_begin_to_pass():
    """The sun is 0.27 deg wide on each side, so the rays begin that much earlier."""
    free = optics.free_incidence_deg(DEMO, PIPE, 0.25)
    for slant, lost in ((free - 0.4, False), (free + 1.0, True)):
        rays = optics.trace(
            DEMO, PIPE, 400_000, 3, incidence_deg=slant, trough_length=0.9, overhang=0.25
        )
        assert (rays.end_share < 1) == lost


# --- the trace -------------------------------------------------------------------------------
def test_trace_repeats_with_its_seed_and_not_with_another():
    first, again, other = (optics.trace(DEMO, PIPE, 5000, seed, 10) for seed in (4, 4, 5))
    assert np.array_equal(first.hit_angle_deg, again.hit_angle_deg)
    assert not np.array_equal(first.hit_angle_deg[:50], other.hit_angle_deg[:50])
    assert len(first.start_x) == round(first.intercept_factor * 5000)


def test_trace_sees_the_pipes_shadow():
    whole = optics.trace(DEMO, PIPE, 400_000, slope_error_mrad=2)
    shaded = optics.trace(DEMO, PIPE, 400_000, slope_error_mrad=2, shadow=True)
    lost = whole.intercept_factor - shaded.intercept_factor
    assert lost == pytest.approx(optics.shaded_share(0.64, PIPE), abs=0.001)


@pytest.mark.parametrize(("overhang", "incidence"), [(0, 30), (0, 60), (0.25, 60), (0.25, 45)])
def test_end_effect_agrees_with_rays(overhang, incidence):
    rays = optics.trace(
        DEMO, PIPE, 400_000, 2, incidence_deg=incidence, trough_length=0.9, overhang=overhang
    )
    share = optics.end_effect(DEMO, PIPE, 0.9, overhang, incidence)
    assert share == pytest.approx(rays.end_share, abs=0.002)


# --- ends ------------------------------------------------------------------------------------
def test_end_effect_without_overhang_is_the_mean_slide():
    mean = (DEMO.mean_focal_distance - PIPE / 2) * np.tan(np.radians(30)) / 0.9
    assert optics.end_effect(DEMO, PIPE, 0.9, incidence_deg=30) == pytest.approx(1 - mean)


def test_light_past_the_end_lands_between_overhang_and_the_rims_slide():
    lost = optics.light_past_end(DEMO, PIPE, 0.9, 0.25, [10.0, 45.0])
    assert lost.share[0] == 0 and np.isnan(lost.starts[0])
    assert lost.share[1] == pytest.approx(0.0071, abs=0.0005)
    assert lost.starts[1] == 0.25
    assert lost.ends[1] == pytest.approx(0.310, abs=0.001)  # rim slide at 45 deg, published table


def test_overhang_needed_at_two_hours_from_noon():
    """sin(incidence) = cos(0) sin(30 deg) at the equinox; the course's demo needs 185 mm."""
    assert optics.overhang_needed(DEMO, 30.0) == pytest.approx(0.185, abs=0.0005)


# --- brightness ------------------------------------------------------------------------------
# mean over the lower half, peak and its angle from the bottom: independent ray trace, in suns
AROUND = {
    0: (17.8, 26, 78),
    2: (17.5, 24, 72),
    5: (16.7, 21, 58),
    8: (16.0, 19, 48),
    20: (12.0, 14, 0),
}


@pytest.mark.parametrize("slope", AROUND)
def test_flux_round_the_pipe(slope):
    mean, peak, where = AROUND[slope]
    angle = np.arange(-180.0, 180.0)
    flux = optics.flux_round_tube(DEMO, PIPE, angle, slope_error_mrad=slope)
    assert np.mean(flux[90:271]) == pytest.approx(mean, abs=0.15)
    assert np.max(flux) == pytest.approx(peak, abs=0.55)
    assert abs(abs(angle[np.argmax(flux)]) - where) <= 3


@pytest.mark.parametrize(
    "errors", [{"slope_error_mrad": 8}, {"slope_error_mrad": 5, "misaim_deg": 1}]
)
def test_flux_round_the_pipe_adds_up_to_the_share_caught(errors):
    """Energy: suns × pipe circumference = share × (opening - shadow)."""
    flux = optics.flux_round_tube(DEMO, PIPE, np.arange(-180.0, 180.0), **errors)
    rays = optics.trace(DEMO, PIPE, 1_000_000, shadow=True, **errors)
    assert np.mean(flux) * np.pi * PIPE / 0.64 == pytest.approx(rays.intercept_factor, abs=0.001)


def test_flux_round_the_pipe_has_the_shape_the_rays_draw():
    rays = optics.trace(DEMO, PIPE, 2_000_000, slope_error_mrad=8, misaim_deg=0.5, shadow=True)
    counts, edges = np.histogram(rays.hit_angle_deg, bins=np.arange(-120, 121, 20))
    drawn = counts / rays.rays * 0.64 / (np.radians(20) * PIPE / 2)
    fine = np.linspace(-120, 120, 481)
    flux = optics.flux_round_tube(DEMO, PIPE, fine, slope_error_mrad=8, misaim_deg=0.5)
    bins = [np.mean(flux[(fine >= a) & (fine <= a + 20)]) for a in edges[:-1]]
    assert drawn == pytest.approx(np.array(bins), abs=0.25)


@pytest.mark.parametrize("slope", [0, 2, 5, 10])
def test_bare_line_against_plain_counting(slope):
    """Rays in the section, written without the library; suns in the middle millimetre."""
    rng = np.random.default_rng(1)
    x = 0.64 * (rng.random(2_000_000) - 0.5)
    y = x * x / 0.68
    disc = np.tan(np.radians(0.26645)) * np.sqrt(rng.random(x.size))
    angle = disc * np.cos(2 * np.pi * rng.random(x.size))
    angle -= 2 * (np.arctan(x / 0.34) + 1e-3 * slope * rng.standard_normal(x.size))
    lands = x + (0.17 - y) * np.tan(angle)
    counted = np.mean((np.abs(lands) < 0.0005) & (np.cos(angle) > 0)) * 640
    line = optics.flux_in_focal_plane(
        DEMO, np.linspace(-0.0005, 0.0005, 51), slope_error_mrad=slope
    )
    assert np.mean(line) == pytest.approx(counted, rel=0.01)


def test_middle_of_a_perfect_line_is_4_over_pi_above_the_mean_limit():
    """Radiance is conserved: the middle sees the sun's full height between the rims, 4 sin(rim)
    / (pi sin(half-angle))."""
    limit = 4 / np.pi * optics.line_concentration_limit() * np.sin(np.radians(DEMO.rim_angle_deg))
    assert optics.flux_in_focal_plane(DEMO, 0.0) == pytest.approx(limit, rel=0.002)


def test_unknown_blur_is_refused():
    with pytest.raises(ValueError, match="colour"):
        optics.flux_round_tube(DEMO, PIPE, 0.0, colour=1.0)


# --- power and pictures ------------------------------------------------------------------------
def test_power_is_linear_in_the_sun_and_counts_the_direct_light():
    one = optics.pipe_power(DEMO, PIPE, 0.9, 1.4, 820, 0.82, 0.92, 0.965, incidence_deg=10)
    two = optics.pipe_power(DEMO, PIPE, 0.9, 1.4, 1640, 0.82, 0.92, 0.965, incidence_deg=10)
    assert two.total == pytest.approx(2 * one.total)
    assert one.total == one.reflected + one.direct
    assert one.direct == pytest.approx(23, abs=0.5)  # W, published with the base case
    covered = optics.pipe_power(DEMO, PIPE, 0.9, 1.4, 820, 0.0, 0.92, incidence_deg=60)
    assert covered.total == pytest.approx(820 * 0.5 * 0.92 * PIPE * 1.4)


@pytest.mark.parametrize(
    ("changed", "word"),
    [({"reflectance": 85}, "reflectance is 85; it must lie between 0 and 1"),
     ({"caught": -0.1}, "share caught is -0.1"), ({"beam": -5}, "beam is -5 W/m2"),
     ({"tube_length": 0}, "tube length is 0 m"), ({"trough_length": np.nan}, "trough length is nan")],
)  # fmt: skip
def test_impossible_power_is_refused(changed, word):
    given = {"trough_length": 0.9, "tube_length": 1.4, "beam": 820, "reflectance": 0.82,
             "absorptance": 0.92}  # fmt: skip
    with pytest.raises(ValueError, match=word):
        optics.pipe_power(DEMO, PIPE, **{**given, **changed})


def test_a_mirror_must_be_a_curve():
    with pytest.raises(ValueError, match="give a geometry"):
        optics.intercept_factor(0.170, PIPE)


def test_power_never_exceeds_the_sunlight_in_the_opening_and_on_the_pipe():
    best = optics.pipe_power(DEMO, PIPE, 0.9, 0.9, 1000, 1.0, 1.0)
    assert best.total == pytest.approx(1000 * 0.64 * 0.9)


def test_drawn_rays_of_a_parabola_meet_and_those_of_a_circle_do_not():
    x = np.linspace(-0.3, 0.3, 7)
    assert optics.ray_paths(DEMO, x).miss == pytest.approx(0, abs=1e-12)
    circle = optics.ray_paths(Circle(0.34, 0.64), x)
    assert circle.x.shape == circle.y.shape == (7, 3)
    assert abs(circle.miss[0]) > 0.02 and circle.miss[3] == pytest.approx(0)
    aimed = optics.ray_paths(DEMO, np.array([0.0]), misaim_deg=1.0)
    assert aimed.miss[0] == pytest.approx(-0.17 * np.sin(np.radians(1)))
