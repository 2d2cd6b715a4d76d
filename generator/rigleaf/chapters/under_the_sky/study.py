"""Judgement of the nights: from the place and the targets to figures, findings, tables and the year's plate."""

from rigleaf.catalogue.models.guide import Place
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Study
from rigleaf.chapters.under_the_sky import darkness, targets, turning
from rigleaf.chapters.under_the_sky.place_sky import nights_of
from rigleaf.chapters.under_the_sky.year_plate import year_plate

ID = "under-the-sky"
_HOW_TO = "Read latitude and longitude off a map or a phone and write them in places.yml, like 'latitude: 52.4 deg'."


def study(assembly: Assembly) -> Study:
    """Study the nights of one rig's place and the seasons of its targets."""
    place = assembly.place
    if place is None:
        sentence = "Nights and seasons cannot be told: neither the rig nor the guide names a place."
        remedy = f"Write 'place:' in the rig or in guide.yml. {_HOW_TO}"
        return Study(ID, findings=(Finding("place", "unsaid", "Place", sentence, (), darkness.DARK, remedy),))
    found = nights_of(assembly.catalogue, place)
    if found is None:
        sentence = f"Nights and seasons cannot be told: {place.name} states no {_missing(place)}."
        return Study(ID, findings=(Finding("place", "unsaid", "Place", sentence, (), darkness.DARK, _HOW_TO),))
    seen = targets.seen_from(assembly, place)
    figures = [*darkness.figures_of(found), *turning.figures_of(assembly, seen)]
    of_targets = [figure for one in seen for figure in targets.figures_of(one)]
    findings = [darkness.judge(assembly, found, place.name), *targets.judge(assembly, seen, place)]
    drawing = year_plate(assembly.rig.id, place.name, found, [(one.target.name, one.season) for one in seen])
    tables = []
    if seen:
        index = {figure.id: figure for figure in of_targets}
        tables = [targets.seasons_table(seen, index, place), targets.months_table(seen)]
    return Study(ID, (*figures, *of_targets), tuple(findings), (drawing,), tuple(tables))


def _missing(place: Place) -> str:
    wanted = (("latitude", place.latitude), ("longitude", place.longitude))
    return " and no ".join(name for name, value in wanted if value is None)
