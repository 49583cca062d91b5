"""Where every physical number of the course lives: value, unit, source, how sure we are, range.

Nothing goes in; constants and small tables come out. A number that is used in
more than one place, or that somebody may want to argue about, stands here with
its source; coefficients of a formula stand beside that formula instead.
"""

from __future__ import annotations

from dataclasses import dataclass

READ = "read in the source"
COPY = "read in a copy"
RECOMPUTED = "recomputed"
MEMORY = "from memory"
PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Value:
    """One physical value with its unit, source, status and plausible range [same unit]."""

    value: float
    unit: str
    source: str
    status: str
    low: float
    high: float

    def __float__(self) -> float:
        return self.value


def _exact(value: float, unit: str, source: str, status: str = READ) -> Value:
    return Value(value, unit, source, status, value, value)


# --- constants ---------------------------------------------------------------------------------
STEFAN_BOLTZMANN = _exact(5.670374419e-8, "W/m2K4", "CODATA 2018, exact in the 2019 SI", MEMORY)
GRAVITY = _exact(9.80665, "m/s2", "standard gravity, 3rd CGPM 1901", MEMORY)
STANDARD_PRESSURE = _exact(101325.0, "Pa", "ISO 2533 standard atmosphere", MEMORY)
ZERO_CELSIUS = _exact(273.15, "K", "definition of the degree Celsius", MEMORY)
SUN_RADIUS = Value(
    6.957e8, "m", "IAU 2015 Resolution B3, nominal solar radius", MEMORY, 6.955e8, 6.965e8
)
ASTRONOMICAL_UNIT = _exact(1.495978707e11, "m", "IAU 2012 Resolution B2", MEMORY)
SUN_HALF_ANGLE_DEG = Value(
    0.26645,
    "deg",
    "asin(sun radius / 1 au); 0.2710 in January, 0.2621 in July",
    RECOMPUTED,
    0.2621,
    0.2710,
)
SUN_RMS_MRAD = Value(
    2.33,
    "mrad",
    "half-angle/2: rms on one axis of a uniform disc; wider with circumsolar light",
    RECOMPUTED,
    2.33,
    4.1,
)
AIR_DENSITY = Value(1.225, "kg/m3", "ISO 2533 at 15 C and sea level", MEMORY, 0.9, 1.3)
AIR_GAS_CONSTANT = _exact(287.05, "J/kgK", "ISO 2533", MEMORY)
AIR_SPECIFIC_HEAT = Value(
    1007.0, "J/kgK", "dry air near 300 K, textbook tables", MEMORY, 1004.0, 1014.0
)
GAS_CONSTANT = _exact(8.314462618, "J/molK", "CODATA 2018, exact in the 2019 SI", MEMORY)

# --- copper and its tubes ----------------------------------------------------------------------
COPPER_DENSITY = Value(8940.0, "kg/m3", "copper tube data sheets", READ, 8890.0, 8960.0)
COPPER_SPECIFIC_HEAT = Value(385.0, "J/kgK", "copper tube data sheets", READ, 385.0, 390.0)
COPPER_CONDUCTIVITY = Value(
    339.0,
    "W/mK",
    "phosphorus-deoxidised copper, about 85 % IACS; pure copper 390-400",
    MEMORY,
    305.0,
    400.0,
)
COPPER_MODULUS = Value(117e9, "Pa", "Young's modulus of copper tube", MEMORY, 110e9, 130e9)
COPPER_POISSON = Value(0.34, "1", "Poisson's ratio of copper", MEMORY, 0.33, 0.35)
# (warmest temperature of the range starting at 20 °C, mean coefficient)
COPPER_EXPANSION = (
    (100.0, Value(16.8e-6, "1/K", "engineeringtoolbox, 20-100 C", COPY, 16.5e-6, 17.2e-6)),
    (200.0, Value(17.3e-6, "1/K", "engineeringtoolbox, 20-200 C", COPY, 16.8e-6, 17.6e-6)),
    (300.0, Value(17.7e-6, "1/K", "engineeringtoolbox, 20-300 C", COPY, 17.2e-6, 18.1e-6)),
)


@dataclass(frozen=True)
class Tube:
    """One standard copper tube: outside diameter [m], wall [m], working pressure to 65 °C [Pa]."""

    name: str
    outside_diameter: float
    wall: float
    working_pressure: float | None
    source: str
    status: str


_EN1057 = "EN 1057 sizes, makers' tables; pressure from a tube maker's table"
_B88 = "ASTM B88 sizes, engineeringtoolbox copy; outside diameter is nominal + 1/8 in"
_IN = 0.0254
TUBES = {
    tube.name: tube
    for tube in (
        Tube("12 x 0.6", 0.012, 0.0006, None, _EN1057, COPY),
        Tube("15 x 0.7", 0.015, 0.0007, 58e5, _EN1057, COPY),
        Tube("15 x 1.0", 0.015, 0.0010, 87e5, _EN1057, COPY),
        Tube("22 x 0.9", 0.022, 0.0009, 51e5, _EN1057, COPY),
        Tube("22 x 1.0", 0.022, 0.0010, None, _EN1057, COPY),
        Tube("28 x 0.9", 0.028, 0.0009, 40e5, _EN1057, COPY),
        Tube("1/2 in K", 0.625 * _IN, 0.049 * _IN, None, _B88, COPY),
        Tube("1/2 in L", 0.625 * _IN, 0.040 * _IN, None, _B88, COPY),
        Tube("1/2 in M", 0.625 * _IN, 0.028 * _IN, None, _B88, COPY),
        Tube("3/4 in K", 0.875 * _IN, 0.065 * _IN, None, _B88, COPY),
        Tube("3/4 in L", 0.875 * _IN, 0.045 * _IN, None, _B88, COPY),
        Tube("3/4 in M", 0.875 * _IN, 0.032 * _IN, None, _B88, COPY),
        Tube("1 in L", 1.125 * _IN, 0.050 * _IN, None, _B88, COPY),
        Tube("1 in M", 1.125 * _IN, 0.035 * _IN, None, _B88, COPY),
    )
}


# --- mirrors and coatings ----------------------------------------------------------------------
_MIRRORS = "Duffie & Beckman, Solar Engineering of Thermal Processes, Table 4.10.2"
REFLECTANCE = {
    "back-silvered glass, clean": Value(0.91, "1", _MIRRORS, MEMORY, 0.88, 0.94),
    "high-purity aluminium": Value(0.91, "1", _MIRRORS, MEMORY, 0.89, 0.92),
    "sputtered aluminium": Value(0.89, "1", _MIRRORS, MEMORY, 0.87, 0.91),
    "aluminium foil": Value(0.86, "1", _MIRRORS, MEMORY, 0.75, 0.88),
    "aluminised acrylic": Value(0.86, "1", _MIRRORS, MEMORY, 0.80, 0.88),
    "bright-anodised aluminium": Value(0.85, "1", _MIRRORS, MEMORY, 0.80, 0.88),
    "solar-grade anodised sheet": Value(
        0.914, "1", "one measured sample, maker's page", READ, 0.88, 0.93
    ),
    "second-surface mirror, clean": Value(0.85, "1", "course default", PRACTICE, 0.80, 0.90),
    "second-surface mirror, in use": Value(
        0.82, "1", "course default, dirt included", PRACTICE, 0.65, 0.87
    ),
    "polished stainless steel": Value(
        0.67, "1", "1 - 0.33, handbook table copy; column alignment uncertain", COPY, 0.55, 0.70
    ),
}


@dataclass(frozen=True)
class Coating:
    """A tube surface: solar absorptance and thermal emittance, which differ surface by surface."""

    name: str
    absorptance: Value
    emittance: Value


_HANDBOOK = "solar absorptance table, handbook copy on studylib"
_CAMERA = "emissivity table of a thermal-camera manual"
_SELECTIVE = "Incropera, Fundamentals of Heat and Mass Transfer, Table A.12"
COATINGS = {
    coating.name: coating
    for coating in (
        Coating(
            "flat black paint",
            Value(0.92, "1", "course default; 0.95-0.98 when fresh", PRACTICE, 0.90, 0.98),
            Value(0.90, "1", "course default; a journal table gives 0.874", PRACTICE, 0.85, 0.95),
        ),
        Coating(
            "fresh flat black paint",
            Value(0.95, "1", "0.975 in a journal table (scirp.org)", COPY, 0.92, 0.98),
            Value(0.90, "1", "0.874 in the same table", COPY, 0.85, 0.95),
        ),
        Coating(
            "polished copper",
            Value(0.18, "1", _HANDBOOK, COPY, 0.15, 0.25),
            Value(0.04, "1", _CAMERA, COPY, 0.02, 0.07),
        ),
        Coating(
            "bright copper",
            Value(0.25, "1", _HANDBOOK, COPY, 0.18, 0.35),
            Value(0.05, "1", _CAMERA, COPY, 0.02, 0.07),
        ),
        Coating(
            "dull copper",
            Value(0.40, "1", "between clean and tarnished", PRACTICE, 0.30, 0.50),
            Value(0.20, "1", "between clean and tarnished", PRACTICE, 0.10, 0.30),
        ),
        Coating(
            "tarnished copper",
            Value(0.64, "1", _HANDBOOK, COPY, 0.53, 0.75),
            Value(
                0.50,
                "1",
                "oxidised copper at 50 C is 0.6-0.7 in a thermal-camera table",
                PRACTICE,
                0.4,
                0.7,
            ),
        ),
        Coating(
            "heavily oxidised copper",
            Value(0.80, "1", "between tarnished and black", PRACTICE, 0.70, 0.90),
            Value(0.78, "1", _CAMERA, COPY, 0.6, 0.88),
        ),
        Coating(
            "selective black chrome",
            Value(0.92, "1", _SELECTIVE, MEMORY, 0.87, 0.95),
            Value(0.10, "1", _SELECTIVE, MEMORY, 0.08, 0.17),
        ),
    )
}
GLASS_TRANSMITTANCE = Value(0.90, "1", "uncoated borosilicate tube", PRACTICE, 0.88, 0.92)
GLASS_EMITTANCE = Value(
    0.88, "1", "glass is opaque to heat radiation beyond 4.5 um", MEMORY, 0.84, 0.94
)


# --- sheet and frame ---------------------------------------------------------------------------
ACRYLIC_BEND_FACTOR = Value(
    330.0,
    "1",
    "cold-bend radius / thickness, one acrylic sheet maker's note; 180-330 quoted",
    COPY,
    180.0,
    330.0,
)
ACRYLIC_EXPANSION = Value(
    70e-6, "1/K", "two plastics pages, typically 70-77e-6", COPY, 50e-6, 90e-6
)
SCREW_PITCH_RIM = Value(0.090, "m", "80-100 mm along the rim strips", PRACTICE, 0.080, 0.100)
SCREW_PITCH_RIB = Value(0.135, "m", "120-150 mm along a rib", PRACTICE, 0.120, 0.150)
WOOD_GAP = Value(
    0.015, "m", "air gap between hot pipe bracket and wood, 15-20 mm", PRACTICE, 0.015, 0.020
)


# --- touch, burns, light -----------------------------------------------------------------------
@dataclass(frozen=True)
class Contact:
    """What decides how hot a touched surface feels: conductivity, density, specific heat (SI)."""

    name: str
    conductivity: float
    density: float
    specific_heat: float
    status: str = PRACTICE


CONTACT_MATERIALS = {
    contact.name: contact
    for contact in (
        Contact("copper", 390.0, 8940.0, 385.0),
        Contact("stainless", 16.0, 7900.0, 500.0),
        Contact("glass", 1.1, 2500.0, 840.0),
        Contact("water", 0.65, 980.0, 4180.0),
        Contact("acrylic", 0.19, 1180.0, 1470.0),
        Contact("pine", 0.12, 500.0, 1600.0),
    )
}
SKIN = Contact("skin", 0.37, 1100.0, 3400.0)
SKIN_TEMPERATURE_C = Value(33.0, "degC", "resting skin surface", PRACTICE, 30.0, 35.0)

# Unknown is never "safe" in `solarlib.hazards`.
# Scald tables differ in severity and source: print one, and name it. Times for healthy adults.
_MINUTE, _HOUR = 60.0, 3600.0
SCALD_BY_DEGREE_SOURCE = (
    "antiscald.com (read in a copy): water on adult skin, second / third degree"
)
SCALD_BY_DEGREE = (  # water °C, seconds to a second-degree burn, seconds to a third-degree burn
    (45.0, 2 * _HOUR, 3 * _HOUR),
    (47.0, 20 * _MINUTE, 45 * _MINUTE),
    (48.0, 15 * _MINUTE, 20 * _MINUTE),
    (49.0, 8 * _MINUTE, 10 * _MINUTE),
    (51.0, 2 * _MINUTE, 4.2 * _MINUTE),
    (55.0, 17.0, 30.0),
    (60.0, 3.0, 5.0),
)
SCALD_SERIOUS_SOURCE = "childrensal.org and a mailing-list copy: serious burn, adult"
SCALD_SERIOUS = (  # water °F, seconds (the shorter end where the table prints a range)
    (120.0, 5 * _MINUTE),
    (125.0, 1.5 * _MINUTE),
    (130.0, 30.0),
    (135.0, 10.0),
    (140.0, 5.0),
    (145.0, 3.0),
    (150.0, 1.5),
    (155.0, 1.0),
)
SCALD_CONSUMER_SOURCE = "quotations of CPSC document 5098"
SCALD_CONSUMER = ((120.0, 5 * _MINUTE), (130.0, 30.0), (140.0, 6.0), (150.0, 2.0))  # °F, s
SCALD_CHILD_SOURCE = "theplumber.com: small child, a quarter of the adult time or less"
SCALD_CHILD = ((120.0, 4 * _MINUTE), (140.0, 1.0), (150.0, 0.5))  # °F, s

WOOD_IGNITION_FLUX = Value(
    4300.0,
    "W/m2",
    "least flux that ignited wood, long exposure; Babrauskas, Interflam 2001",
    READ,
    4300.0,
    12500.0,
)
WOOD_LONG_FLUX = Value(
    1600.0,
    "W/m2",
    "margin of this course below the flux that lit wood; as for bare skin",
    PRACTICE,
    1000.0,
    2200.0,
)
WOOD_LONG_CONTACT_C = Value(
    77.0,
    "degC",
    "self-heating of wood in long contact; Fire and Materials 31 (2007) 125 (abstract)",
    READ,
    77.0,
    120.0,
)
SKIN_LONG_FLUX = Value(
    1600.0,
    "W/m2",
    "bearable for long; Handbook of Chemical Hazard Analysis Procedures 1989",
    COPY,
    1500.0,
    1700.0,
)
MORITZ_HENRIQUES_SOURCE = "Moritz & Henriques 1947, read in two quotations"
MORITZ_HENRIQUES = ((60.0, 5.0), (68.3, 1.0))  # skin surface °C, s to a deep burn
CHILD_SHARE = Value(
    0.25, "1", "a small child's burn time / an adult's, a quarter or less; theplumber.com", COPY,
    0.08, 0.25,
)  # fmt: skip
DAMAGE_RATE = Value(3.1e98, "1/s", "Henriques 1947, burn integral", MEMORY, 1e98, 1e99)
DAMAGE_ENERGY = Value(6.28e5, "J/mol", "Henriques 1947, burn integral", MEMORY, 6.1e5, 6.4e5)

_TOUCH = "ISO 13732-1 burn threshold (obtain the standard)"


def _touch(value: float, low: float, high: float, status: str = MEMORY) -> Value:
    return Value(value, "degC", _TOUCH, status, low, high)


# surface -> contact time [s] -> temperature from which an adult's skin burns
TOUCH_LIMITS_C = {
    "bare metal": {
        1.0: _touch(65.0, 65.0, 70.0, COPY),
        10.0: _touch(55.0, 54.0, 57.0),
        60.0: _touch(51.0, 50.0, 52.0),
        600.0: _touch(48.0, 47.0, 49.0),
        28800.0: _touch(43.0, 42.0, 44.0),
    },
    "glass, ceramic or stone": {
        1.0: _touch(80.0, 80.0, 86.0),
        60.0: _touch(56.0, 55.0, 57.0),
        600.0: _touch(48.0, 47.0, 49.0),
        28800.0: _touch(43.0, 42.0, 44.0),
    },
    "plastic": {
        1.0: _touch(85.0, 85.0, 93.0),
        60.0: _touch(60.0, 59.0, 61.0),
        600.0: _touch(48.0, 47.0, 49.0),
        28800.0: _touch(43.0, 42.0, 44.0),
    },
    "wood": {
        1.0: _touch(110.0, 110.0, 120.0),
        60.0: _touch(60.0, 59.0, 61.0),
        600.0: _touch(48.0, 47.0, 49.0),
        28800.0: _touch(43.0, 42.0, 44.0),
    },
}
BURN_ON_METAL_SOURCE = "ISO 13732-1 smooth bare metal (from memory: obtain the standard)"
BURN_ON_METAL = tuple(  # surface °C, contact time s
    (limit.value, seconds) for seconds, limit in TOUCH_LIMITS_C["bare metal"].items()
)
HEAT_FLUX_SOURCE = "Handbook of Chemical Hazard Analysis Procedures 1989, copy in an FAQ on h2tools"
HEAT_FLUX_PAIN = ((2000.0, 45.0), (5000.0, 13.0), (10000.0, 5.0))  # W/m2 on bare skin, s to pain
HEAT_FLUX_BLISTER = ((5000.0, 40.0), (10000.0, 14.0))  # W/m2 on bare skin, s to a blister
WOOD_SHORT_FLUX = Value(
    12500.0, "W/m2", "short exposure with a flame near; not a limit to build by", MEMORY,
    10000.0, 15000.0,
)  # fmt: skip

# --- joints ------------------------------------------------------------------------------------
JOINT_LIMIT_C = {
    "tin-lead solder": Value(183.0, "degC", "Sn50Pb50 starts to melt", COPY, 183.0, 183.0),
    "tin-copper solder": Value(227.0, "degC", "Sn99.3Cu0.7 melts", READ, 227.0, 227.0),
    "tin-silver solder": Value(221.0, "degC", "Sn96.5Ag3.5 melts", COPY, 221.0, 221.0),
    "tin-antimony solder": Value(
        232.0, "degC", "Sn95Sb5 starts to melt at 232-233", COPY, 232.0, 240.0
    ),
    "compression fitting": Value(
        120.0, "degC", "brass olive fitting, usual catalogue limit", PRACTICE, 110.0, 150.0
    ),
    "brazed": Value(600.0, "degC", "brazing alloys melt above 600", PRACTICE, 600.0, 800.0),
}
SOLDER_SERVICE_C = Value(
    121.0,
    "degC",
    "250 F, usual service limit of soldered joints; CDA data sheet",
    READ,
    115.0,
    121.0,
)
JOINT_MARGIN_K = Value(
    25.0, "K", "margin of this course between dry pipe and joint", PRACTICE, 25.0, 50.0
)
HOSE_LEAST_C = Value(
    120.0, "degC", "20 K above boiling water, which comes through the hose", PRACTICE, 110.0, 200.0
)

# --- wind --------------------------------------------------------------------------------------
DRAG_TROUGH = Value(
    1.4,
    "1",
    "hollow hemisphere facing the wind 1.42; a long half shell 2.3: treat 1.4 as the low end",
    COPY,
    1.4,
    2.3,
)
WIND_AT_ONE_METRE = Value(
    0.72, "1", "10 m forecast to 1 m height, 1/7 power law", PRACTICE, 0.5, 0.9
)
WIND_SHELTER = Value(
    0.6, "1", "wind at the tube / wind at the site; fit it in the heating test", PRACTICE, 0.3, 1.0
)
OVERTURNING_MARGIN = Value(1.5, "1", "ballast moment / wind moment", PRACTICE, 1.5, 2.0)
STOW_ABOVE_WIND = Value(
    8.0, "m/s", "store indoors or face down above this wind", PRACTICE, 5.0, 10.0
)

# --- the pot -----------------------------------------------------------------------------------
POT_HEAT_CAPACITY = Value(750.0, "J/K", "empty lidded pot", PRACTICE, 300.0, 1500.0)
POT_LOSS = Value(1.2, "W/K", "lidded, insulated 6 L pot in still air", PRACTICE, 0.6, 2.4)
WATER_SPECIFIC_HEAT = Value(
    4186.0, "J/kgK", "water near 20-60 C; 4180-4216 between 0 and 100", RECOMPUTED, 4178.0, 4216.0
)
