"""The guide itself, its places and its targets."""

from typing import Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Altitude,
    Azimuth,
    Charge,
    Distance,
    Elevation,
    Entry,
    Fraction,
    Id,
    Latitude,
    Length,
    Line,
    Longitude,
    Magnitude,
    Margin,
    Mass,
    Number,
    Overlap,
    PositionAngle,
    PositiveAngle,
    PositiveFraction,
    PositiveLength,
    PositiveMass,
    PositiveNumber,
    PositiveOpticalLength,
    PositiveSmallAngle,
    PositiveSpeed,
    PositiveTime,
    Reference,
    SkyBrightness,
    Skyline,
    SmallAngle,
    Speed,
    Temperature,
    TemperatureStep,
    Text,
    Time,
    Truth,
    Voltage,
    Wavelength,
)
from rigleaf.catalogue.models.flight_fields import Day, StateCode
from rigleaf.catalogue.models.night_fields import Steps
from rigleaf.catalogue.models.place_fields import HumidityByMonth, TemperatureByMonth, TimeZone, Year
from rigleaf.catalogue.models.sky_fields import Declination, RightAscension


class Choices(Entry):
    """What the guide assumes or asks for, where nothing better is known."""

    seeing: PositiveSmallAngle | None = Field(
        None, examples=["2.5 arcsec"], description="Seeing (FWHM at the zenith, 500 nm) where a place states none."
    )
    target_altitude: Altitude | None = Field(
        None, examples=["50 deg"], description="Altitude of the target at which sampling is judged."
    )
    tracking_error: SmallAngle | None = Field(
        None,
        examples=["1.0 arcsec"],
        description="Tracking error (root mean square, both axes together) where a rig states none.",
    )
    wavelength: Wavelength | None = Field(
        None, examples=["550 nm"], description="Wavelength at which optics are judged."
    )
    lost_contrast: PositiveFraction | None = Field(
        None,
        description="Contrast that may be left at the finest detail the pixels hold, before sampling counts "
        "as too coarse.",
    )
    focus_steps: PositiveNumber | None = Field(
        None, examples=["5"], description="Motor steps wanted inside the depth of focus."
    )
    night_cooling: TemperatureStep | None = Field(
        None, examples=["8 K"], description="Fall of the air's temperature over a night."
    )
    back_focus_tolerance: PositiveOpticalLength | None = Field(
        None, examples=["1 mm"], description="Tolerance of a back focus where its maker states none."
    )
    corner_light: PositiveFraction | None = Field(
        None, examples=["90 %"], description="Light that the corners of the frame must keep in the image train."
    )
    load_margin: Fraction | None = Field(
        None, examples=["20 %"], description="Part of a capacity that the guide leaves unused."
    )
    worm_share: Fraction | None = Field(
        None,
        examples=["60 %"],
        description="Part of its capacity up to which a worm mount serves long exposures.",
    )
    polar_error: SmallAngle | None = Field(None, description="Polar error that is left after aligning the mount.")
    guide_motion: PositiveFraction | None = Field(
        None, description="Motion allowed between two guide corrections, as a part of a star's width."
    )
    star_trail: PositiveNumber | None = Field(
        None, description="Trail allowed within one exposure, in widths of a star."
    )
    guide_exposure: PositiveTime | None = Field(None, description="Longest guide exposure that is still usual.")
    guide_signal_to_noise: PositiveNumber | None = Field(None, description="Signal to noise wanted of a guide star.")
    guide_delay: Time | None = Field(None, description="Time that download and correction take when guiding.")
    sky_brightness: SkyBrightness | None = Field(
        None, description="Sky brightness at the zenith where a place states none."
    )
    extinction_times: PositiveNumber | None = Field(
        None, description="How many times as much light the air takes as on a high mountain."
    )
    transmission: PositiveFraction | None = Field(
        None, description="Part of the light that an optic lets through where it states nothing."
    )
    read_share: PositiveFraction | None = Field(
        None, description="Noise that reading may add to the noise of a sub-exposure's background."
    )
    longest_sub: PositiveTime | None = Field(None, description="Longest sub-exposure that people take.")
    star_kept: Number | None = Field(
        None, description="Magnitude of the stars that a sub-exposure should not burn out."
    )
    signal_to_noise: PositiveNumber | None = Field(
        None, description="Signal to noise wanted of a target's glow, on each pixel."
    )
    night_hours: PositiveTime | None = Field(None, description="Time that a night gives to one target.")
    most_hours: PositiveTime | None = Field(None, description="Time that one target is worth over several nights.")
    frame_overhead: Time | None = Field(None, description="Time that a frame takes beside its exposure.")
    line_share: Fraction | None = Field(
        None, description="Part of a nebula's light that lies in the lines a narrow filter passes."
    )
    frame_margin: Margin | None = Field(
        None, description="Room wanted around a target in the frame, as a part of the frame's short side."
    )
    mosaic_overlap: Overlap | None = Field(
        None, description="Part of its side by which a panel of a mosaic overlaps the next one."
    )
    lowest_altitude: Altitude | None = Field(
        None, examples=["30 deg"], description="Altitude below which a target is not photographed."
    )
    design_wind: PositiveSpeed | None = Field(
        None, description="Steady wind that a loaded tripod should stand, where a place states none."
    )
    gust_factor: PositiveNumber | None = Field(None, description="Speed of gusts against the steady wind.")
    tip_factor: PositiveNumber | None = Field(
        None, description="How many times the moment of the wind the weight should hold before a tripod tips."
    )
    lean: PositiveAngle | None = Field(
        None, examples=["6 deg"], description="Lean from the upright that a loaded tripod should bear in still air."
    )
    leg_width: PositiveLength | None = Field(
        None, examples=["30 mm"], description="Mean thickness of a tripod's legs where it states none."
    )
    most_ballast: PositiveMass | None = Field(None, description="Most ballast that people will hang under a tripod.")
    sensor_temperature: Temperature | None = Field(
        None, description="Temperature at which cooled sensors are held, where a rig states none."
    )
    usual_cooling: TemperatureStep | None = Field(
        None, description="How far below the air a cooled camera's working draw holds the sensor, as makers state it."
    )
    cooling_down: Time | None = Field(None, description="Time that a cooled camera takes to cool down.")
    slewing: Fraction | None = Field(None, description="Part of the night in which the mount slews.")
    session: PositiveTime | None = Field(
        None, description="Time that Sun, Moon or planets are photographed, where a rig states none."
    )
    battery_left: Fraction | None = Field(
        None, description="Part of a battery's usable energy that should be left at dawn."
    )
    battery_warmth: TemperatureStep | None = Field(
        None, description="How much warmer than the air batteries stay in bag or box."
    )
    lead_acid_usable: PositiveFraction | None = Field(
        None, description="Part of a lead-acid battery's charge that is used, where it states nothing."
    )
    lithium_usable: PositiveFraction | None = Field(
        None, description="Part of a lithium battery's charge that is used, where it states nothing."
    )
    converter: PositiveFraction | None = Field(
        None, description="Efficiency of a converter between battery and device, where it states none."
    )
    starter_charge: Charge | None = Field(None, description="Charge of a car's starter battery.")
    starter_share: PositiveFraction | None = Field(
        None, description="Part of the starter battery's charge that may be taken so that the engine still starts."
    )
    optic_margin: TemperatureStep | None = Field(None, description="How far above the dew point an optic should stay.")
    dew_wind: Speed | None = Field(
        None, examples=["0.5 m/s"], description="Breeze over the optics on nights on which dew falls."
    )
    first_night: PositiveNumber | None = Field(
        None, examples=["2"], description="How many times as long setting up takes on somebody's first night."
    )
    boot_sill: PositiveLength | None = Field(
        None, examples=["650 mm"], description="Height of the sill over which things are lifted into a car."
    )
    table_height: PositiveLength | None = Field(
        None, examples=["720 mm"], description="Height of a table, a belt or a rack onto which bags are lifted."
    )
    season_hours: PositiveTime | None = Field(
        None, examples=["20 h"], description="Dark, moonless hours that a target should have in its best month."
    )
    padding: Length | None = Field(
        None, examples=["5 mm"], description="Padding around what needs any in a bag, where a part states none."
    )
    on_fragile: Mass | None = Field(
        None, examples=["1 kg"], description="Mass that may stand above a fragile part in a bag."
    )
    gap_share: PositiveFraction | None = Field(
        None, examples=["70 %"], description="Part of the room beside hard parts that soft ones can fill."
    )


class SkylinePoint(Entry):
    """One point of a place's skyline."""

    azimuth: Azimuth = Field(description="Direction, from north (0 deg) through east (90 deg).")
    altitude: Skyline = Field(description="Altitude of the skyline there.")


class Mains(Entry):
    """Mains as a place offers it."""

    voltage: Voltage | None = Field(None, description="Voltage.")
    plugs: tuple[Line, ...] = Field((), description="Plug types by their usual letters, such as '[C, M]'.")
    hours: Line | None = Field(None, description="When it is on, such as '06:00 to 22:00'; unsaid means always.")


class Place(Entry):
    """A place where rigs are used."""

    id: Id = Field(description="Name of the place in other files.")
    name: Line = Field(description="What people call it.")
    latitude: Latitude | None = Field(None, description="Latitude, north positive.")
    longitude: Longitude | None = Field(None, description="Longitude, east positive.")
    elevation: Elevation | None = Field(None, description="Height above sea level.")
    state: StateCode | None = Field(
        None, description="State that it lies in, by its two letters; unsaid means that of its time zone."
    )
    timezone: TimeZone | None = Field(None, description="Time zone by its IANA name, such as 'Europe/Berlin'.")
    horizon: tuple[SkylinePoint, ...] = Field(
        (), description="Points along the skyline; straight between them, and flat where there are none."
    )
    seeing: PositiveSmallAngle | None = Field(None, description="Typical seeing (FWHM at the zenith, 500 nm).")
    sky_brightness: SkyBrightness | None = Field(None, description="Sky brightness at the zenith on a moonless night.")
    night_temperature: TemperatureByMonth | None = Field(
        None, description="Typical temperature at the end of the night, by month."
    )
    night_humidity: HumidityByMonth | None = Field(
        None, description="Typical relative humidity of the air at night, by month."
    )
    wind: PositiveSpeed | None = Field(None, description="Steady wind that a loaded tripod should stand here.")
    mains: Mains | None = Field(None, description="Mains at the place, where there is any.")
    walk: Distance | None = Field(None, description="Way from the car to the spot, one way.")
    notes: Text | None = Field(None, description="How to get there, cautions.")


class Target(Entry):
    """Something to photograph: an object of the catalogue by its designation, or values of its own, or both."""

    id: Id = Field(description="Name of the target in other files.")
    name: Line = Field(description="What people call it.")
    sort: Literal["nebula", "galaxy", "star cluster", "comet", "Milky Way", "Moon", "Sun", "planet"] | None = Field(
        None, description="What it is."
    )
    object: Line | None = Field(
        None,
        description="Its usual designation, such as 'NGC 7000', 'M 31' or 'Sh2-155': place, size and light follow.",
    )
    ra: RightAscension | None = Field(None, description="Right ascension (ICRS), where the catalogue has none or errs.")
    dec: Declination | None = Field(None, description="Declination.")
    major_axis: PositiveAngle | None = Field(None, description="Longest extent, such as '120 arcmin'.")
    minor_axis: PositiveAngle | None = Field(None, description="Extent across it; unsaid counts as round.")
    position_angle: PositionAngle | None = Field(
        None, description="Direction of the longest extent, from north through east."
    )
    magnitude: Magnitude | None = Field(None, description="Total V magnitude.")
    source: Line | None = Field(None, description="Where these values of its own come from.")
    notes: Text | None = Field(None, description="What to know about it.")


class Guide(Entry):
    """The guide as a whole."""

    name: Line = Field(description="Name of the guide or the club.")
    summary: Text | None = Field(None, description="A few sentences for the home page.")
    language: Literal["en", "de"] = Field(
        "en", description="Language of headings, labels, buttons and dates; what you write yourself stays as it is."
    )
    units: Literal["metric", "imperial"] = Field("metric", description="Unit system shown first.")
    place: Reference | None = Field(None, description="Id of the home place.")
    carrier: Reference | None = Field(
        None, examples=["home-carrier"], description="Id of the carrier that members usually fly with."
    )
    rules_read_on: Day | None = Field(
        None, description="Day on which you last compared the flight rules with the documents in which they stand."
    )
    year: Year | None = Field(
        None,
        examples=[2027],
        description="Year whose nights are computed; unsaid means the year of SOURCE_DATE_EPOCH, or 2027 without it.",
    )
    label_sheet: Literal["A4 3 x 8", "A4 3 x 7", "Letter 3 x 10"] = Field(
        "A4 3 x 8", description="Sheet on which labels for parts and batteries are printed: columns x rows of labels."
    )
    lid_label_sheet: Literal["A4 2 x 4", "Letter 2 x 5"] = Field(
        "A4 2 x 4", description="Sheet on which labels for the lids of cases are printed: columns x rows of labels."
    )
    copies: Truth | None = Field(
        None,
        examples=[True],
        description="Whether each rig's page is offered as one file to send, of half a megabyte; unsaid means that it "
        "is in a guide of up to 100 rigs.",
    )
    contact: Line | None = Field(None, description="How to reach the equipment officer, as it may be shown in public.")
    show_borrowers: Truth = Field(
        False, description="Whether the public site names who has what out; contact and remarks stay private."
    )
    steps: Steps = Field(default_factory=Steps, description="Time that steps of setting up take, where the club knows.")
    choices: Choices = Field(default_factory=Choices, description="What the guide assumes or asks for.")
