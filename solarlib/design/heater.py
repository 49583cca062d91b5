"""A heater as its builder describes it: every input with its unit, its range and the demo's value.

In: numbers in SI (or in the unit that a name ends with), words from short lists,
yes or no. Out: a frozen record that cannot hold an impossible heater. The values
given here are those of the demo, the invented trough of Cobwren Yard.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

from solarlib import reference, units
from solarlib.design.entries import DesignError, check, choice, flag, number, other, text
from solarlib.design.plumbing import Plumbing
from solarlib.geometry import Parabola, Pipe
from solarlib.heat import Cover
from solarlib.sun import SUMMER_TIME_RULES, Zone

GROUPS = {
    "site": "the place and its weather",
    "need": "the warm water that is asked for",
    "trough": "the mirror's size and how it stands",
    "mirror": "the sheet",
    "ribs": "the wood under it",
    "pipe": "the pipe in the focus",
    "plumbing": "what the water runs through",
    "control": "aiming, covering, watching",
    "paper": "the printed pack",
    "record": "who made it, which version, what changed",
}


@dataclass(frozen=True)
class HeaterDesign:
    """The inputs of a heater's design.

    Sizes, surfaces and weather start from the demo's values. What decides a hazard has no
    value until it is stated (None): an entry left out never passes for a precaution.

    `fields(HeaterDesign)` carries for each one: group, kind ("number", "choice", "flag",
    "text", "months", "plumbing", "prices", "changes"), words, demo, and for numbers unit, low and high in
    the unit that people read and write. Values are held in SI, or in the unit a name ends with.

    Raises
    ------
    DesignError : a value outside its range or a pair that cannot be, named in one sentence.
    """

    name: str | None = text("site", "The Ladle", "name of the design", stated=True)
    # --- site ---
    latitude_deg: float = number("site", 38.0, "deg", -60, 60, "latitude, north positive")
    meridian_offset_deg: float = number(
        "site", -4.5, "deg", -20, 20, "longitude from the zone's meridian, east positive"
    )
    utc_offset_h: float = number("site", 0.0, "h", -12, 14, "standard time minus UTC")
    summer_time: str = choice("site", "none", tuple(SUMMER_TIME_RULES), "summer-time rule")
    elevation: float = number("site", 0.0, "m", -400, 4500, "height above the sea")
    beam_noon: float = number("site", 820.0, "W/m2", 400, 1050, "clear-sky beam at noon")
    air_c: float = number("site", 22.0, "degC", 0, 40, "air in use")
    site_wind: float = number("site", 1.5, "m/s", 0, 8, "usual wind at the site")
    shelter: float = number(
        "site", reference.WIND_SHELTER.value, "1", 0.1, 1, "wind at the pipe / wind at the site"
    )
    stow_wind: float = number("site", 20.0, "m/s", 10, 35, "wind it must stand when stowed")
    months: tuple[int, ...] = other("site", "months", (4, 5, 6, 7, 8, 9), "months of use, 1 to 12")
    frost: bool | None = flag("site", False, "frost is possible while it stands there", stated=True)
    # --- need ---
    water_mass: float = number("need", 6.0, "kg", 2, 20, "water, pot and pipe together")
    start_c: float = number("need", 18.0, "degC", 5, 30, "water at the start")
    target_c: float = number("need", 55.0, "degC", 35, 60, "water wanted")
    latest_time: float = number("need", 7200.0, "min", 30, 240, "latest acceptable time")
    use: str | None = choice(
        "need", "cleaning", ("cleaning", "washing people", "drinking"), "use", stated=True
    )
    # --- trough ---
    aperture_width: float = number("trough", 0.640, "mm", 300, 900, "opening, across")
    trough_length: float = number("trough", 0.900, "mm", 500, 2000, "length of the mirror")
    focal_length: float = number("trough", 0.170, "mm", 90, 500, "focal length")
    axis: str = choice("trough", "east-west", ("east-west", "north-south"), "axis direction")
    wind_height: float = number("trough", 0.750, "mm", 200, 2000, "mean height of the wind's push")
    half_base: float = number("trough", 0.350, "mm", 100, 1500, "half the width of the base")
    ballast: float = number("trough", 0.0, "kg", 0, 500, "ballast on the base")
    stored_indoors: bool | None = flag("trough", True, "carried indoors above 8 m/s", stated=True)
    on_roof: bool | None = flag("trough", False, "stands on a roof", stated=True)
    # --- mirror ---
    mirror: str = text("mirror", "second-surface acrylic mirror", "kind of mirror")
    sheet_thickness: float = number("mirror", 0.001, "mm", 0.1, 6, "thickness of the sheet")
    bend_factor: float = number(
        "mirror", reference.ACRYLIC_BEND_FACTOR.value, "1", 20, 600,
        "smallest bend radius / thickness",
    )  # fmt: skip
    stock_width: float = number("mirror", 0.760, "mm", 200, 3000, "stock sheet, across the trough")
    stock_length: float = number("mirror", 1.000, "mm", 200, 4000, "stock sheet, along the trough")
    edge_trim: float = number("mirror", 0.010, "mm", 0, 50, "trim on each long edge")
    reflectance_clean: float = number("mirror", 0.85, "1", 0.4, 0.96, "reflectance, clean")
    reflectance_used: float = number(
        "mirror", 0.82, "1", 0.3, 0.96, "reflectance in use, with dirt"
    )
    slope_error_mrad: float = number("mirror", 8.0, "mrad", 0, 60, "surface error, rms")
    # --- ribs ---
    rib_count: int = number("ribs", 4, "1", 2, 20, "number of ribs")
    board_thickness: float = number("ribs", 0.012, "mm", 3, 40, "thickness of the ribs")
    rib_blank_length: float = number("ribs", 0.660, "mm", 200, 2000, "rib blank, across")
    rib_blank_height: float = number("ribs", 0.190, "mm", 50, 1000, "rib blank, height")
    saw_kerf: float = number("ribs", 0.003, "mm", 0, 6, "width of the saw cut")
    backing: float = number("ribs", 0.0, "mm", 0, 12, "mirror surface inside the rib's curve")
    rim_pitch: float = number(
        "ribs", reference.SCREW_PITCH_RIM.value, "mm", 20, 400, "screws along the rim strips"
    )
    rib_pitch: float = number(
        "ribs", reference.SCREW_PITCH_RIB.value, "mm", 20, 400, "screws along a rib"
    )
    # --- pipe ---
    tube_diameter: float = number("pipe", 0.022, "mm", 8, 42, "outside diameter")
    tube_wall: float = number("pipe", 0.0009, "mm", 0.4, 3, "wall")
    tube_length: float = number("pipe", 1.400, "mm", 500, 3000, "length of the pipe")
    support_spacing: float = number("pipe", 0.950, "mm", 200, 3000, "between the pipe's supports")
    slot_clearance: float | None = number(
        "pipe", 0.010, "mm", 0, 50, "room for growth at the sliding end", stated=True
    )
    one_end_slides: bool | None = flag("pipe", True, "one end fixed, the other slides", stated=True)
    absorptance: float = number(
        "pipe", 0.92, "1", 0.1, 0.99, "share of sunlight the paint takes up"
    )
    emittance: float = number(
        "pipe", 0.90, "1", 0.02, 0.98, "heat radiation / that of a black body"
    )
    cover: str = choice("pipe", "none", ("none", "glass tube"), "cover of the pipe")
    cover_inner: float = number("pipe", 0.036, "mm", 10, 100, "glass tube, inside diameter")
    cover_outer: float = number("pipe", 0.040, "mm", 12, 110, "glass tube, outside diameter")
    cover_transmittance: float = number(
        "pipe", reference.GLASS_TRANSMITTANCE.value, "1", 0.5, 0.97, "sunlight through the glass"
    )
    tube_dx: float = number("pipe", 0.0, "mm", -30, 30, "pipe off the focus, sideways")
    tube_dy: float = number("pipe", 0.0, "mm", -30, 30, "pipe off the focus, away from the mirror")
    pipe_guarded: bool = flag("pipe", False, "a guard keeps hands off the pipe")
    wood_gap: float | None = number(
        "pipe", 0.018, "mm", 0, 100, "air gap between hot metal and wood", stated=True
    )
    # --- plumbing ---
    joint: str | None = choice(
        "plumbing",
        "tin-antimony solder",
        (*reference.JOINT_LIMIT_C, "none"),
        "kind of pipe joint",
        stated=True,
    )
    joint_distance: float | None = number(
        "plumbing",
        0.240,
        "mm",
        -1000,
        1000,
        "joint beyond the mirror's end; inside is negative",
        stated=True,
    )
    dry_out_control: str | None = text(
        "plumbing",
        "Cover first, drain last; two people check the water level before uncovering.",
        "written rule against a dry pipe in the sun; empty for none",
        stated=True,
    )
    plumbing: Plumbing | None = other(  # noqa: RUF009  (a frozen value)
        "plumbing", "plumbing", Plumbing(), "parts, heights and links", stated=True
    )
    hose: str = text("plumbing", "silicone hose", "kind of hose")
    hose_rating_c: float = number("plumbing", 200.0, "degC", 40, 400, "hose is good for")
    hose_length: float = number("plumbing", 1.200, "mm", 0, 5000, "each of the two hoses")
    fill_method: str | None = choice(
        "plumbing", "jug", ("jug", "hose in the pot", "mains tap"), "filling", stated=True
    )
    delivery: str | None = choice(
        "plumbing", "ladle", ("ladle", "jug", "hose end", "tap"), "drawing off", stated=True
    )
    left_after_drain: float | None = number(
        "plumbing", 20e-6, "mL", 0, 5000, "water left after draining", stated=True
    )
    pot_volume: float = number("plumbing", 0.008, "L", 1, 40, "pot, to the brim")
    pot_heat_capacity: float = number(
        "plumbing", reference.POT_HEAT_CAPACITY.value, "J/K", 0, 10000, "empty pot"
    )
    pot_loss: float = number(
        "plumbing", reference.POT_LOSS.value, "W/K", 0, 20, "heat loss of the lidded pot"
    )
    # --- control ---
    aim_total_deg: float = number("control", 1.5, "deg", 0.1, 6, "whole aim budget, each side")
    aim_date_deg: float = number("control", 0.5, "deg", 0, 6, "of it: between two settings")
    aim_session_deg: float = number("control", 0.7, "deg", 0, 6, "of it: within the session")
    aim_setting_deg: float = number("control", 0.3, "deg", 0, 6, "of it: setting by hand")
    calendar_band_deg: float = number("control", 0.5, "deg", 0.1, 6, "band of the re-tilt calendar")
    usual_misaim_deg: float = number("control", 1.0, "deg", 0, 6, "usual aim error in use")
    usual_incidence_deg: float = number(
        "control", 10.0, "deg", 0, 80, "usual slant along the trough"
    )
    session_half_h: float = number("control", 2.0, "h", 0.25, 5, "session, each side of solar noon")
    cover_cloth: str | None = choice(
        "control", "opaque cloth", ("opaque cloth", "clear film", "none"), "cover", stated=True
    )
    park_position: str | None = choice(
        "control",
        "face down",
        ("face down", "covered, away from the sun", "as it was used"),
        "parking",
        stated=True,
    )
    attended_only: bool | None = flag(
        "control", True, "uncovered only while somebody watches", stated=True
    )
    wood_distance: float | None = number(
        "control",
        0.160,
        "mm",
        0,
        3000,
        "nearest bare wood, cloth or dry grass to the bright line",
        stated=True,
    )
    end_shields: bool = flag("control", False, "metal shields at both ends of the pipe")
    joined_to_mains: bool | None = flag(
        "control", False, "joined to the house's water", stated=True
    )
    stop_c: float | None = number(
        "control", 60.0, "degC", 30, 100, "water at which it is covered", stated=True
    )
    # --- paper ---
    paper: str = choice("paper", "a4", ("a4", "letter"), "paper")
    rib_template: str = choice(
        "paper", "half rib", ("half rib", "full rib"), "rib template; a half is turned over"
    )
    printer_margin: float = number("paper", 0.012, "mm", 0, 25, "margin the printer needs")
    bar_across: float | None = number(
        "paper",
        0.1996,
        "mm",
        100,
        300,
        "200 mm bar as measured on the print, once printed",
        stated=True,
    )
    bar_down: float | None = number(
        "paper",
        0.1498,
        "mm",
        75,
        225,
        "150 mm bar as measured on the print, once printed",
        stated=True,
    )
    show_units: str = choice("paper", "mm", ("mm", "mm and inches"), "units on paper")
    prices: tuple[tuple[str, float], ...] = other(
        "paper", "prices", (), "price of a part, your money"
    )
    # --- record ---
    learner: str = text("record", "", "your id, printed on every page")
    version: str = text("record", "1", "version of this design, printed on every page")
    changes: tuple[tuple[str, str, str], ...] = other(
        "record", "changes", (), "what I changed and why: [date, what, why]"
    )

    def __post_init__(self) -> None:
        for one in fields(self):
            given = getattr(self, one.name)
            value = check(one, given)
            if value is not given:
                object.__setattr__(self, one.name, value)
        for sentence in self._impossible():
            raise DesignError(sentence)

    def _impossible(self) -> Iterator[str]:
        """Say which entries no heater can have together."""
        show = units.show
        if self.target_c <= self.start_c:
            yield (
                f"target_c is {show(self.target_c, 'degC')} and start_c is "
                f"{show(self.start_c, 'degC')}; the water wanted must be the warmer of the two."
            )
        if 2 * self.tube_wall >= self.tube_diameter:
            yield (
                f"tube_wall is {show(self.tube_wall, 'mm')} and tube_diameter "
                f"{show(self.tube_diameter, 'mm')}; two walls leave no bore."
            )
        if self.tube_length < self.trough_length:
            yield (
                f"tube_length is {show(self.tube_length, 'mm')}, shorter than trough_length, "
                f"{show(self.trough_length, 'mm')}; the pipe must reach both ends of the mirror."
            )
        if self.tube_diameter >= self.aperture_width:
            yield "tube_diameter is wider than aperture_width; the pipe would shade all of it."
        glass = self.cover == "glass tube"
        if glass and not self.tube_diameter < self.cover_inner < self.cover_outer:
            yield (
                f"cover_inner is {show(self.cover_inner, 'mm')}; it must lie between tube_diameter "
                f"({show(self.tube_diameter, 'mm')}) and cover_outer "
                f"({show(self.cover_outer, 'mm')})."
            )
        if self.reflectance_used > self.reflectance_clean:
            yield "reflectance_used is above reflectance_clean; a mirror in use is never cleaner."
        if self.pot_volume < self.water_mass / 1000 - self.tube_water:
            yield (
                f"pot_volume is {show(self.pot_volume, 'L')}; water_mass of "
                f"{show(self.water_mass, 'kg')} does not fit into pot and pipe."
            )

    # --- what follows at once ------------------------------------------------------------------
    @cached_property
    def curve(self) -> Parabola:
        """The mirror's section."""
        return Parabola(self.focal_length, self.aperture_width)

    @property
    def pipe(self) -> Pipe:
        """The pipe."""
        return Pipe(self.tube_diameter, self.tube_wall)

    @property
    def tube_water(self) -> float:
        """Water in the pipe [m³]."""
        return float(self.pipe.water_volume_per_metre) * self.tube_length

    @property
    def overhang(self) -> float:
        """Pipe beyond the mirror at each end [m]."""
        return (self.tube_length - self.trough_length) / 2

    @property
    def glass(self) -> Cover | None:
        """The glass tube round the pipe, None if there is none."""
        if self.cover == "none":
            return None
        return Cover(self.cover_inner, self.cover_outer, transmittance=self.cover_transmittance)

    @property
    def tube_wind(self) -> float:
        """Usual wind at the pipe [m/s]."""
        return self.site_wind * self.shelter

    @property
    def longitude_deg(self) -> float:
        """Longitude, east positive [deg]."""
        return (15 * self.utc_offset_h + self.meridian_offset_deg + 180) % 360 - 180

    @property
    def zone(self) -> Zone:
        """The clock of the place."""
        return Zone(self.utc_offset_h, self.summer_time)

    # --- files ---------------------------------------------------------------------------------
    @classmethod
    def from_toml(cls, path: Any) -> HeaterDesign:
        """Read a design file; see `design.files`."""
        from solarlib.design import files

        return files.read(path)

    @classmethod
    def from_text(cls, text: str, where: str = "the design") -> HeaterDesign:
        """Read a design from TOML text."""
        from solarlib.design import files

        return files.from_text(text, where)

    def to_toml(self) -> str:
        """Write the design as TOML text, grouped, with unit and range beside every number."""
        from solarlib.design import files

        return files.to_text(self)


def demo() -> HeaterDesign:
    """Return the demo, all stated: the Ladle of Cobwren Yard. Place, people and readings are
    invented."""
    return HeaterDesign(**{one.name: one.metadata["demo"] for one in fields(HeaterDesign)})
