"""Judgement of the cold: the lowest temperature against what batteries bear, and how cold the sensor can be held."""

from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.dew_and_cold import physics
from rigleaf.chapters.dew_and_cold.evening import Evening
from rigleaf.chapters.figures import Figure, Finding, Verdict

FREEZING = 0.0
STEP_K = 5.0
"""Temperatures at which people hold sensors are multiples of this, so that their dark frames serve again."""


def judge_batteries(evening: Evening) -> Finding | None:
    """Judge the coldest hour against what the batteries bear; None where there is nothing to say."""
    batteries = list(evening.assembly.parts(Battery))
    coldest = float(evening.air.temperature.min())
    if not batteries:
        return None
    say = evening.assembly.say
    warmth = evening.assembly.choice("battery_warmth").value
    inside = coldest + warmth
    title = "Batteries in the cold"
    limits = [(part.lowest_temperature.value, part) for part in batteries if part.lowest_temperature is not None]
    silent = [part for part in batteries if part.lowest_temperature is None]
    kept = f", and in bag or box {say(warmth, 'temperature_step')} more" if warmth else ""
    night = f"The coldest hour has {say(coldest, 'temperature')}{kept}"
    behind = ("coldest",)
    beyond = [(limit, part) for limit, part in limits if inside < limit]
    if beyond:
        limit, part = max(beyond, key=lambda one: one[0])
        sentence = f"{night}; the {part.name} may be used down to {say(limit, 'temperature')}."
        cure = "Keep it in an insulated box or an inner pocket with the leads led out, and start with it warm."
        return Finding("batteries", "fails", title, sentence, behind, "coldest", cure, (part.id,))
    if silent and inside < FREEZING:
        names = ", ".join(part.name for part in silent[:3])
        sentence = f"{night}; down to where it may be used is unsaid of the {names}."
        cure = "Its label or leaflet states a lowest temperature for use and a higher one for charging."
        return Finding("batteries", "unsaid", title, sentence, behind, "coldest", cure, tuple(p.id for p in silent[:3]))
    if not limits:
        if coldest < FREEZING:
            return None
        return Finding("batteries", "sound", title, f"{night}: no frost reaches the batteries.", behind, "coldest")
    limit, part = max(limits, key=lambda one: one[0])
    sentence = f"{night}; the {part.name} may be used down to {say(limit, 'temperature')}."
    return Finding("batteries", "sound", title, sentence, behind, "coldest")


def sensor(evening: Evening) -> tuple[list[Figure], Finding | None]:
    """Judge whether the cooler holds the sensor where it should be held, with some of its power to spare."""
    assembly = evening.assembly
    camera = assembly.camera
    if camera is None:
        return [], None
    title = "Sensor held cold"
    depth = camera.cooling_depth
    if depth is None:
        sentence = f"How far the {camera.name} cools its sensor is unsaid."
        cure = (
            "Read how far below the air it gets after a quarter of an hour at full cooling, or state '0 K' where it "
            "has no cooler."
        )
        return [], Finding("sensor", "unsaid", title, sentence, (), "sensor-reach", cure, ())
    if depth.value == 0:
        return [], None
    say = assembly.say
    stated = assembly.rig.night.sensor if assembly.rig.night is not None else None
    held = (stated or assembly.choice("sensor_temperature")).value
    during = evening.air.temperature[evening.during]
    warmest = float(during.max())
    spare = assembly.choice("load_margin").value
    reach, safe = physics.sensor_reach(warmest, depth.value), physics.sensor_reach(warmest, depth.value * (1 - spare))
    figures = [
        Figure("sensor-held", "Temperature at which the sensor is held", held, "temperature", "sensor-reach",
               "stated" if stated is not None else "assumed"),
        Figure("sensor-reach", "Coldest that the sensor can be held all night", reach, "temperature", "sensor-reach",
               note=f"{say(depth.value, 'temperature_step')} below the warmest air of the night"),
    ]  # fmt: skip
    verdict: Verdict = "sound" if safe <= held else "tight" if reach <= held else "fails"
    sentence = (
        f"Pictures begin at {say(warmest, 'temperature')}; the {camera.name} can hold its sensor at "
        f"{say(reach, 'temperature')} from then on, and {say(held, 'temperature')} are asked for."
    )
    cure = ""
    if verdict != "sound":
        warmer = physics.next_step_up(safe, STEP_K)
        cure = (
            f"Hold it at {say(warmer, 'temperature')}, which leaves some of the cooler's reach, and take darks there."
        )
    return figures, Finding("sensor", verdict, title, sentence, ("sensor-held", "sensor-reach"), "sensor-reach", cure)
