"""Judgement of tracking, guiding and exposure: from the rig's numbers to figures, findings, tables and a plate."""

from rigleaf.catalogue.models.mounting import Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Study, Table
from rigleaf.chapters.guiding_and_exposure import exposure_study, hours_study, tracking, tracking_study
from rigleaf.chapters.guiding_and_exposure.chain import Chain, chain
from rigleaf.chapters.guiding_and_exposure.guide_view import Guide, guide, way_of
from rigleaf.chapters.guiding_and_exposure.guiding_study import guiding
from rigleaf.chapters.guiding_and_exposure.hours_plate import hours_plate
from rigleaf.chapters.guiding_and_exposure.inputs import Stars, for_bright_things, unsaid
from rigleaf.chapters.scale_and_field import inputs as scale_inputs
from rigleaf.chapters.scale_and_field.sampling import Part

ID = "guiding-and-exposure"


def study(assembly: Assembly) -> Study:
    """Study tracking, guiding and exposure of one rig."""
    found = scale_inputs.gather(assembly)
    if found.known is None:
        what = "What tracking, guiding and exposure come to"
        finding = unsaid("inputs", "Guiding and exposure", what, found.missing, "sky-rate")
        return Study(ID, (), (finding,))
    stars, mount = Stars(assembly, found.known), tracking_study.mount_of(assembly)
    if for_bright_things(assembly):
        return _bright(assembly, mount, stars)
    whole, tables = Part(), []
    way = way_of(assembly)
    whole.figures += tracking_study.drive_figures(assembly, mount, stars, way is not None)
    guided: Guide | None = None
    tracked: float | None = None
    if way is None or (mount is not None and tracking_study.turns(mount)):
        alone = tracking_study.unguided(assembly, mount, stars)
        whole.figures += alone.figures
        whole.findings += alone.findings
        tracked = alone.longest
    if way is not None:
        if not tracking_study.turns(mount):
            figures, findings = tracking_study.judge_drive(assembly, mount, stars)
            whole.figures += figures
            whole.findings += findings
        made = way if isinstance(way, tuple) else guide(assembly, stars, way)
        if isinstance(made, Guide) and not made.view.rate_at_zero:
            whole.findings.append(_no_light("guide", "Guiding", "guide-reach"))
        elif isinstance(made, Guide):
            guided = made
            part, table = guiding(assembly, stars, made, mount)
            _add(whole, part)
            tables += [table] if table else []
        else:
            whole.findings.append(unsaid("guide", "Guiding", "How well it guides", made, "guide-reach"))
    hours = _exposure(assembly, whole, stars, mount, guided, tracked)
    return Study(ID, tuple(whole.figures), tuple(whole.findings), tuple(whole.drawings), (*hours, *tables))


def _exposure(
    assembly: Assembly, whole: Part, stars: Stars, mount: Mount | None, guided: Guide | None, tracked: float | None
) -> list[Table]:  # fmt: skip
    """Add everything on exposure; return its table."""
    light = chain(assembly, stars)
    if not isinstance(light, Chain):
        whole.findings.append(unsaid("exposure", "Exposure", "How long to expose", light, "sky-rate"))
        return []
    if not light.light.slices:
        whole.findings.append(_no_light("exposure", "Exposure", "photons-in-band"))
        return []
    sub = exposure_study.longest_sub(assembly, light, tracked)
    whole.figures += exposure_study.rates(light, stars)
    _add(whole, exposure_study.sub_exposure(assembly, light, stars, sub))
    if sub is None:
        return []
    if tracked is not None:
        added = exposure_study.added_by_reading(light, sub)
        whole.findings.append(tracking_study.judge_alone(assembly, mount, stars, tracked, sub, added))
    if guided is not None and not tracking_study.turns(mount):
        figures, findings = tracking_study.judge_polar(assembly, stars, guided, sub.set)
        whole.figures += figures
        whole.findings += findings
    found = hours_study.taken(assembly, light, sub)
    whole.figures += hours_study.figures(assembly, found)
    whole.findings += hours_study.judge(assembly, light, sub, found)
    whole.findings += hours_study.unknown(assembly)
    if found:
        whole.drawings.append(hours_plate(assembly, found))
    table = hours_study.table(assembly, light, found)
    return [table] if table else []


def _no_light(id_: str, title: str, method: str) -> Finding:
    cure = "Take one of the filters out, or put the filter elsewhere: together they leave no light."
    sentence = (
        "Between 400 and 700 nm, where the sensor is taken to see, nothing gets through the filters in the light."
    )
    return Finding(id_, "fails", title, sentence, (), method, cure)


def _add(whole: Part, part: Part) -> None:
    whole.figures += part.figures
    whole.findings += part.findings
    whole.drawings += part.drawings


def _bright(assembly: Assembly, mount: Mount | None, stars: Stars) -> Study:
    """A rig for the Sun, the Moon and planets: fractions of a second, which no drive can spoil."""
    figures: list[Figure] = tracking_study.drive_figures(assembly, mount, stars, guided=False)
    still = assembly.say(tracking.longest_untracked(stars.trail), "time")
    sentence = (
        "The Sun, the Moon and planets are bright: fractions of a second expose them. Even with the drive at rest a "
        f"star would stay within its own width for {still}, and nothing need be guided."
    )
    finding = Finding("bright", "sound", "Bright things", sentence, ("untracked",), "untracked-trail")
    return Study(ID, tuple(figures), (finding,))
