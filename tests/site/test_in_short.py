"""What stays of a study once its rig's page is finished: enough for every page that tells of all rigs."""

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.in_the_frame.fleet import framings_of
from rigleaf.chapters.study import RigStudy, in_short
from rigleaf.chapters.tracing import Trace
from rigleaf.site.lent.availability import lending_of
from rigleaf.site.rigs.finding import finding_page
from rigleaf.site.rigs.page import rig_entry
from rigleaf.site.rigs.side_by_side import side_by_side_files
from rigleaf.site.shelf.claimed import claimed_page
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer

STYLE = Addresses(False)


def told(demo: Catalogue, studies: tuple[RigStudy, ...]) -> list[object]:
    lending = lending_of(demo)
    had = lending.rigs if lending else {}
    writer = Writer("index", STYLE, demo.guide.units)
    entries = [writer.render("macros.html", entry=rig_entry(study, writer)) for study in studies]
    tallies = [[finding.verdict for _, finding in study.findings] for study in studies]
    return [
        *entries,
        tallies,
        finding_page(demo, studies, framings_of(demo), STYLE, had),
        dict(side_by_side_files(demo, studies, had)),
        claimed_page(demo, studies, Trace({}), STYLE),
    ]


def test_pages_of_all_rigs_tell_the_same_of_studies_in_short(
    demo: Catalogue, demo_studies: tuple[RigStudy, ...]
) -> None:  # fmt: skip
    short = tuple(map(in_short, demo_studies))
    assert told(demo, short) == told(demo, demo_studies)


def test_a_study_in_short_is_short(demo_studies: tuple[RigStudy, ...]) -> None:
    for study in demo_studies:
        short = in_short(study)
        assert in_short(short) == short
        assert not any(finding.sentence or finding.remedy for _, finding in short.findings)
        held, made = (sum(len(found.figures) for _, found in one.studies) for one in (short, study))
        assert held < made / 2, study.rig.id
