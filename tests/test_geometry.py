"""The curve, the print, the sheet and the pipe, against closed forms and other solvers."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, fsolve

from solarlib import geometry
from solarlib.geometry import Circle, HangingChain, Parabola, Pipe, screw_line

DEMO = Parabola(focal_length=0.170, aperture_width=0.640)
MEASURES = ("aperture_width", "focal_length", "sheet_width", "depth", "rim_angle_deg")
ROUNDING = 1e-9  # relative, for identities in floating point
TABLE_DIGIT = 0.006  # deg, half a unit of the last printed digit of a published slope error

widths = st.floats(0.05, 5.0)
rim_angles = st.floats(10.0, 150.0)


# --- the curve -------------------------------------------------------------------------------
@given(width=widths, rim=rim_angles)
def test_any_two_measures_give_the_same_curve(width, rim):
    p = Parabola.from_two(aperture_width=width, rim_angle_deg=rim)
    for first, second in itertools.combinations(MEASURES, 2):
        again = Parabola.from_two(**{name: getattr(p, name) for name in (first, second)})
        assert again.focal_length == pytest.approx(p.focal_length, rel=1e-7)
        assert again.aperture_width == pytest.approx(p.aperture_width, rel=1e-7)


@given(width=widths, rim=rim_angles)
def test_every_ray_along_the_axis_meets_at_the_focus(width, rim):
    """Independent of the formulas: reflect a vertical ray at the slope and see where it goes."""
    p = Parabola.from_two(aperture_width=width, rim_angle_deg=rim)
    x = np.array([0.1, 0.4, 0.5]) * p.aperture_width
    twice = 2 * np.radians(p.slope_deg(x))
    crossing = p.height(x) + x * np.cos(twice) / np.sin(twice)  # where it crosses x = 0
    assert crossing == pytest.approx(p.focal_length, rel=ROUNDING)
    path = p.focal_distance(x)
    assert path == pytest.approx(np.hypot(x, p.height(x) - p.focal_length), rel=ROUNDING)


def test_arc_and_mean_distance_agree_with_quadrature():
    arc = 2 * quad(lambda x: np.hypot(1, x / 0.34), 0, 0.32)[0]
    mean = quad(DEMO.focal_distance, -0.32, 0.32)[0] / 0.64
    assert DEMO.sheet_width == pytest.approx(arc, rel=ROUNDING)
    assert DEMO.mean_focal_distance == pytest.approx(mean, rel=ROUNDING)
    assert DEMO.focal_distance(0.32) == pytest.approx(DEMO.rim_distance)


@given(s=st.floats(-3, 3), f=st.floats(0.02, 2))
def test_holes_measured_along_the_sheet_come_back(s, f):
    p = Parabola(f, 0.6)
    assert p.arc(p.x_at_arc(s)) == pytest.approx(s, abs=1e-12)


def test_where_the_focus_lies_and_what_meets_the_sun():
    """Seen from the focus: the rim is rim_distance away, below or above by focus_above_rim."""
    for p in (DEMO, Parabola(0.10, 0.64)):
        assert np.hypot(p.aperture_width / 2, p.focus_above_rim) == pytest.approx(p.rim_distance)
    assert Parabola(0.10, 0.64).focus_above_rim < 0 < DEMO.focus_above_rim
    assert DEMO.area(0.9) == pytest.approx(0.576)  # m2, the demo trough's opening


def test_curvature_is_the_derivative_of_the_slope_along_the_arc():
    x, step = np.linspace(-0.3, 0.3, 7), 1e-6
    turn = np.radians(DEMO.slope_deg(x + step) - DEMO.slope_deg(x - step))
    along = DEMO.arc(x + step) - DEMO.arc(x - step)
    assert DEMO.curvature(x) == pytest.approx(turn / along, rel=1e-6)


@pytest.mark.parametrize("shape", [(), (4,), (4, 1)])
def test_broadcasts_and_leaves_its_inputs_alone(shape):
    f = np.full(shape, 0.17)
    before = f.copy()
    p = Parabola(f, 0.64)
    for value in (p.depth, p.sheet_width, p.rim_angle_deg, p.mean_focal_distance):
        assert np.shape(value) == shape
    assert np.shape(Parabola.from_sheet(f * 4, rim_angle_deg=90).focal_length) == shape
    assert np.shape(Parabola.from_two(sheet_width=f * 4, depth=f * 0.5).depth) == shape
    assert np.shape(geometry.printed_focal_length(f, 0.97, 1.0)) == shape
    assert np.shape(Pipe(f / 10, 0.001).sag(1.0)) == shape
    assert np.array_equal(f, before)


@pytest.mark.parametrize(
    ("two", "word"),
    [
        ({"focal_length": 0.0, "aperture_width": 0.6}, "focal length is 0 m"),
        ({"focal_length": -0.1, "aperture_width": 0.6}, "above 0"),
        ({"focal_length": float("nan"), "aperture_width": 0.6}, "focal length is nan"),
        ({"rim_angle_deg": 180.0, "aperture_width": 0.6}, "between 0.1 and 179.9 deg"),
        ({"sheet_width": 0.6, "aperture_width": 0.6}, "wider than the opening"),
        ({"sheet_width": 0.6, "depth": 0.3}, "twice the depth"),
        ({"aperture_width": 0.6}, "exactly two"),
        ({"aperture_width": 0.6, "colour": 3.0}, "colour is not a measure"),
    ],
)
def test_impossible_curves_are_refused_in_one_sentence(two, word):
    with pytest.raises(ValueError, match=word):
        Parabola.from_two(**two)


# --- ribs and print ----------------------------------------------------------------------------
def test_rib_table_reaches_the_rim_and_starts_at_the_centre():
    table = geometry.rib_table(DEMO, step=0.05, backing=0.003)
    assert table.x[0] == table.height[0] == 0
    assert table.x[-1] == 0.32 and np.all(np.diff(table.x) > 0)
    assert table.height[-1] == pytest.approx(DEMO.depth)


def test_backing_curve_is_parallel_to_the_parabola():
    """The shortest distance from each sawn point to the mirror's parabola is the backing."""
    t = 0.006
    x = np.array([0.0, 0.1, 0.2, 0.3])
    saw = geometry.rib_height_under_backing(DEMO, x, t) - t
    fine = np.linspace(-0.4, 0.4, 400_001)
    distance = [
        np.min(np.hypot(fine - a, DEMO.height(fine) - b)) for a, b in zip(x, saw, strict=True)
    ]
    assert np.array(distance) == pytest.approx(t, abs=1e-7)
    assert geometry.rib_height_under_backing(DEMO, x, 0.0) == pytest.approx(DEMO.height(x))


def test_backing_moves_the_beam_as_a_ray_says():
    """Lift the mirror by t along its normal and follow the vertical ray past the focus."""
    t, x0 = 0.003, 0.32
    slope = np.radians(DEMO.edge_slope_deg)
    point = np.array([x0 - t * np.sin(slope), DEMO.depth + t * np.cos(slope)])
    direction = np.array([-np.sin(2 * slope), np.cos(2 * slope)])
    to_focus = np.array([0, DEMO.focal_length]) - point
    miss = abs(to_focus[0] * direction[1] - to_focus[1] * direction[0])
    assert geometry.backing_offset(DEMO, t) == pytest.approx(miss, rel=ROUNDING)
    # half the thickness outward leaves 0.186 t at the rim (recomputed)
    left = geometry.backing_offset(DEMO, t, pipe_moved=t / 2)
    assert abs(left) == pytest.approx(0.186 * t, rel=0.005)
    # exactly, with the pipe moved: the ray passes on one side, then on the other
    for moved in (0.0005, 0.004):
        to_pipe = to_focus + np.array([0, moved])
        passes = direction[0] * to_pipe[1] - direction[1] * to_pipe[0]
        found = geometry.backing_offset(DEMO, t, pipe_moved=moved)
        assert abs(found) == pytest.approx(abs(passes), rel=ROUNDING)


@given(sx=st.floats(0.9, 1.1), sy=st.floats(0.9, 1.1))
def test_a_stretched_print_is_a_parabola_and_can_be_put_right(sx, sy):
    check = geometry.check_print(DEMO, 0.2 * sx, 0.15 * sy)
    x = np.linspace(0, 0.32, 5)
    assert check.printed.height(sx * x) == pytest.approx(sy * DEMO.height(x), abs=1e-12)
    back = geometry.printed_parabola(check.printed, check.print_at_x, check.print_at_y)
    assert back.focal_length == pytest.approx(DEMO.focal_length)
    assert check.move_pipe == pytest.approx(check.printed.focal_length - 0.170)


def test_a_bar_in_the_wrong_unit_is_caught():
    with pytest.raises(ValueError, match="check the unit"):
        geometry.check_print(DEMO, 194.0, 0.150)


# --- the sheet between screws ----------------------------------------------------------------
# Independent elastic-curve and spline codes; edge and rms slope error in degrees (recomputed).
FREE_SHEET = {3: (5.37, 1.85), 4: (4.15, 1.25), 5: (3.35, 0.90), 6: (2.88, 0.74), 7: (2.46, 0.58),
              8: (2.15, 0.47), 9: (1.91, 0.39), 11: (1.55, 0.28), 13: (1.31, 0.22)}  # fmt: skip
CUBIC = {3: (8.05, 3.49), 4: (6.29, 2.71), 5: (4.37, 1.44), 6: (3.50, 1.05), 7: (2.88, 0.76),
         8: (2.45, 0.60), 9: (2.13, 0.48), 11: (1.70, 0.34), 13: (1.41, 0.25)}  # fmt: skip


@pytest.mark.parametrize("points", FREE_SHEET)
@pytest.mark.parametrize(("model", "table"), [("elastic", FREE_SHEET), ("natural cubic", CUBIC)])
def test_sheet_between_screws_as_published(points, model, table):
    line = screw_line(DEMO, points, model)
    edge, rms = table[points]
    assert line.edge_slope_error_deg == pytest.approx(edge, abs=TABLE_DIGIT)
    assert line.rms_slope_error_deg == pytest.approx(rms, abs=TABLE_DIGIT)


def test_equal_arc_is_a_little_better():
    line = screw_line(DEMO, 9, equal_arc=True)
    assert line.edge_slope_error_deg == pytest.approx(1.69, abs=TABLE_DIGIT)


def elastica_from_the_middle(tight):
    """Shoot an elastica from the middle screw to the free edge; returns the edge slope [deg].

    Free length: curvature' has no force along the sheet at the edge screw. Tight
    holes: the arc equals the parabola's.
    """
    half, depth = 0.32, DEMO.depth

    def edge(v):
        bend, push, lift, length = v
        return solve_ivp(
            lambda s, u: [u[1], push * np.sin(u[0]) - lift * np.cos(u[0]), np.cos(u[0]),
                          np.sin(u[0])],
            (0, length), [0, bend, 0, 0], rtol=1e-11, atol=1e-13,
        ).y[:, -1]  # fmt: skip

    def miss(v):
        angle, bend, x, y = edge(v)
        along = v[1] * np.cos(angle) + v[2] * np.sin(angle)  # force along the sheet at the screw
        return [bend, x - half, y - depth, v[3] - DEMO.sheet_width / 2 if tight else along]

    found = fsolve(miss, [2.9, 0.0, 0.0, 0.36], xtol=1e-12)
    return float(np.degrees(edge(found)[0]))


@pytest.mark.parametrize(("model", "tight"), [("elastic", False), ("elastic, tight holes", True)])
def test_three_screws_against_a_shot_elastica(model, tight):
    edge = DEMO.edge_slope_deg - elastica_from_the_middle(tight)
    line = screw_line(DEMO, 3, model)
    assert line.edge_slope_error_deg == pytest.approx(edge, abs=2e-4)


def test_many_screws_follow_the_short_bay_rule():
    """Edge error h·curvature/(2 sqrt 3), the limit of a natural spline with short bays."""
    line = screw_line(DEMO, 61, equal_arc=True)
    rule = np.degrees(DEMO.sheet_width / 60 * DEMO.curvature(0.32) / (2 * np.sqrt(3)))
    assert line.edge_slope_error_deg == pytest.approx(rule, rel=0.003)


@pytest.mark.parametrize("model", geometry.screws.MODELS)
@pytest.mark.parametrize("points", [3, 4, 7])
def test_sheet_touches_every_screw_and_is_symmetric(model, points):
    line = screw_line(DEMO, points, model)
    at = np.interp(line.screw_x, line.x, line.y)
    assert at == pytest.approx(DEMO.height(line.screw_x), abs=2e-6)
    assert line.y == pytest.approx(line.y[::-1], abs=1e-9)
    assert 0 < line.largest_gap < 0.02


def test_a_clamped_edge_puts_the_curve_right():
    """The cubic returns the parabola exactly; the elastic sheet keeps at most 0.2 deg."""
    cubic = screw_line(DEMO, 5, "natural cubic", edge_clamped=True)
    assert cubic.rms_slope_error_deg == pytest.approx(0, abs=1e-9)
    for points in (3, 5):
        line = screw_line(DEMO, points, edge_clamped=True)
        assert line.edge_slope_error_deg == pytest.approx(0, abs=1e-9)
        assert 0.05 < np.max(np.abs(line.slope_error_deg)) < 0.2


@pytest.mark.parametrize(("points", "model", "says"), [
    (2, "elastic", "2 screws across"), (2.5, "elastic", "2.5 screws across"),
    (5, "plank", "“plank” is not a model"),
])  # fmt: skip
def test_impossible_screws_are_refused(points, model, says):
    with pytest.raises(ValueError, match=says):
        screw_line(DEMO, points, model)


def test_screws_are_worked_out_for_one_curve_at_a_time():
    with pytest.raises(ValueError, match="one parabola"):
        screw_line(Parabola([0.17, 0.18], 0.64))


# --- the sheet ---------------------------------------------------------------------------------
@pytest.mark.parametrize(("factor", "thickest_mm"), [(330, 1.03), (240, 1.42), (180, 1.89)])
def test_thickest_sheet_as_published(factor, thickest_mm):
    """Bend factors quoted for acrylic at f = 170 mm; recomputed table, two decimals."""
    thickest = geometry.thickest_sheet(0.170, factor)
    assert 1000 * thickest == pytest.approx(thickest_mm, abs=0.005)
    assert geometry.shortest_focal_length(thickest, factor) == pytest.approx(0.170)
    # the bend is tightest at the vertex: nowhere on the curve is the radius smaller
    radii = 1 / DEMO.curvature(np.linspace(-0.32, 0.32, 101))
    assert radii.min() / thickest == pytest.approx(factor)


def test_strain_is_the_longer_way_round_the_outside():
    """A strip bent round radius R: its skin, t/2 farther out, is that much longer."""
    thickness = np.array([0.0005, 0.001, 0.003])
    radius = DEMO.bend_radius
    longer = (radius + thickness / 2) / radius - 1
    assert geometry.bending_strain(thickness, 0.170) == pytest.approx(longer, rel=1e-9)
    assert 100 * longer == pytest.approx([0.074, 0.147, 0.44], abs=0.002)  # %, published


def test_sheet_grows_by_the_published_length():
    """0.90 m of acrylic at 70e-6 /K, 50 K warmer: 3.2 mm, one decimal."""
    assert 1000 * geometry.expansion(0.90, 50, 70e-6) == pytest.approx(3.15, abs=1e-9)
    assert geometry.expansion(0.90, 50) == geometry.expansion(0.90, 50, 70e-6)


# --- other shapes, pipe ------------------------------------------------------------------------
@pytest.mark.parametrize("shape", [Circle(0.34, 0.64), HangingChain(0.34, 0.64)])
def test_shapes_slope_is_the_derivative_of_height(shape):
    x, step = np.linspace(-0.3, 0.3, 7), 1e-6
    rise = (shape.height(x + step) - shape.height(x - step)) / (2 * step)
    assert np.tan(np.radians(shape.slope_deg(x))) == pytest.approx(rise, abs=1e-7)
    # same bend at the lowest point as the parabola: heights agree to the fourth power of x
    assert shape.height(0.01) == pytest.approx(DEMO.height(0.01), rel=1e-3)


def test_circle_and_chain_by_their_own_laws():
    """Pythagoras for the circle; for the chain, slope = length hung / c (balance of forces)."""
    circle, chain = Circle(0.34, 0.64), HangingChain(0.34, 0.64)
    assert (0.34 - circle.depth) ** 2 + 0.32**2 == pytest.approx(0.34**2)
    hung = quad(lambda x: np.hypot(1, np.tan(np.radians(chain.slope_deg(x)))), 0, 0.32)[0]
    assert np.tan(np.radians(chain.slope_deg(0.32))) == pytest.approx(hung / 0.34)
    rise = quad(lambda x: np.tan(np.radians(chain.slope_deg(x))), 0, 0.32)[0]
    assert chain.depth == pytest.approx(rise)


@pytest.mark.parametrize("shape", [Circle(0.34, 0.64), HangingChain(0.34, 0.64)])
def test_rays_near_the_axis_meet_at_half_the_bend_radius(shape):
    x = 1e-4
    crossing = shape.height(x) + x / np.tan(2 * np.radians(shape.slope_deg(x)))
    assert shape.focal_length == pytest.approx(crossing, rel=1e-6)


def test_circle_cannot_open_wider_than_itself():
    with pytest.raises(ValueError, match="twice that wide"):
        Circle(0.3, 0.7)


def test_pipe_content_by_displacement():
    """Copper and water fill the outside: an identity, not a formula."""
    pipe = Pipe(np.array([0.015, 0.022]), 0.0009)
    outside = np.pi / 4 * np.square(pipe.outside_diameter)
    copper = pipe.copper_per_metre / 8940
    assert pipe.water_volume_per_metre + copper == pytest.approx(outside, rel=1e-12)


def test_pipe_sag_against_the_beam_equation():
    """Integrate E I y'' = M twice from one support; the far end must meet the other."""
    pipe, span = Pipe(0.022, 0.0009), 1.2
    load = 9.80665 * (pipe.copper_per_metre + 1000 * pipe.water_volume_per_metre)
    stiff = 117e9 * pipe.second_moment

    def far_end(slope, until=span):
        return solve_ivp(
            lambda x, u: [u[1], -load * x * (span - x) / 2 / stiff],
            (0, until), [0, slope], rtol=1e-10,
        ).y[0, -1]  # fmt: skip

    slope = brentq(far_end, 0, 0.1)
    assert pipe.sag(span) == pytest.approx(far_end(slope, span / 2), rel=1e-6)


def test_copper_growth_uses_the_hotter_range():
    assert geometry.copper_growth(1.4, 20, 250) > 1.4 * 16.8e-6 * 230
    assert geometry.copper_growth(1.4, 20, [90.0, 150.0, 290.0]).shape == (3,)


def test_pipe_without_a_bore_is_refused():
    with pytest.raises(ValueError, match="no bore"):
        Pipe(0.010, 0.005)
