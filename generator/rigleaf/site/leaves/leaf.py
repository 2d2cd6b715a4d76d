"""A leaf: what one rig's study found, and the pages and files that tell of this rig alone."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.desk import Desk
from rigleaf.catalogue.kept import KeptFiles
from rigleaf.chapters.figures import Study
from rigleaf.chapters.register import Chapter
from rigleaf.chapters.study import RigStudy, in_short
from rigleaf.chapters.tracing import Input, Tracer
from rigleaf.desk.bundle import Originals, write_bundle
from rigleaf.site.lent.availability import Availability, Lending, as_sent
from rigleaf.site.packed import Packed
from rigleaf.site.previews.pictures import rig_preview
from rigleaf.site.record import PageRecord
from rigleaf.site.rigs.page import rig_page, rig_writer
from rigleaf.site.sent.copies import page_alone
from rigleaf.site.sheets.field_card import field_card
from rigleaf.site.sheets.hand_over import hand_over_page
from rigleaf.site.sheets.last_seen import LastSeen, last_seen_in
from rigleaf.site.sheets.part_labels import rig_label_pages
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.doors import bundle_path, copy_path, offers_copies
from rigleaf.site.typeset.own_names import names_in
from rigleaf.words import LANGUAGES, speaking


@dataclass(frozen=True)
class Found:
    """What was found out about a rig.

    Attributes:
        studies: what each chapter found, in short.
        read: by chapter, the inputs that its study looked at.
    """

    studies: tuple[tuple[Chapter, Study], ...]
    read: Mapping[str, Collection[Input]]


@dataclass(frozen=True)
class Leaf:
    """All that is finished of one rig.

    Attributes:
        rig: the rig's id.
        found: what was found out, in short: the whole stands on the pages.
        pages: the rig's own page first, then its sheets; they may lie on a spool.
        files: paths in the site and contents.

    What was found, articles and contents lie packed but for those of a leaf that was only just made.
    """

    rig: str
    found: Found | Packed
    pages: Sequence[PageRecord]
    files: tuple[tuple[str, bytes | Packed], ...]


@dataclass(frozen=True)
class Around:
    """All that leaves are made of. The book of loans enters by what it says of each rig, and by nothing else.

    Attributes:
        catalogue: the guide, with an empty book of loans.
        addresses: how addresses become paths.
        field_copy: whether readers' browsers keep the guide.
        told: by the id of a rig, what pages say of its loans.
        sent: the same for files that people send on.
        seen: by the id of a rig, how it and its parts were when they were last seen.
        frames: the guide with rigs that lack words, where it is known how these frame its targets.
        kept: the guide's files as this process has read them.
    """

    catalogue: Catalogue
    addresses: Addresses
    field_copy: bool
    told: Mapping[str, Availability]
    sent: Mapping[str, Availability]
    seen: Mapping[str, LastSeen]
    frames: Catalogue | None = None
    kept: KeptFiles | None = None


def around(
    catalogue: Catalogue,
    addresses: Addresses,
    lending: Lending | None,
    seen: Mapping[str, LastSeen] | None = None,
    *,
    field_copy: bool,
    frames: Catalogue | None = None,
    kept: KeptFiles | None = None,
) -> Around:
    """Return what the leaves of a guide are made of."""
    sent = as_sent(catalogue, lending) if lending and offers_copies(catalogue) else None
    return Around(
        catalogue=replace(catalogue, desk=Desk()),
        addresses=addresses,
        field_copy=field_copy,
        told=lending.rigs if lending else {},
        sent=sent.rigs if sent else {},
        seen=seen if seen is not None else last_seen_in(catalogue, lending.on) if lending else {},
        frames=frames,
        kept=kept,
    )


class Maker:
    """Makes leaves one after the other; what they share is worked out once."""

    def __init__(self, given: Around, only: Collection[str] | None = None) -> None:
        """Begin with what leaves are made of; ``only`` are the ids of the rigs that will be asked for, or any."""
        self.given = given
        self._tracer = Tracer(given.catalogue, given.frames, only)
        self._originals = Originals(given.catalogue, kept=given.kept)
        self._names = names_in(given.catalogue)

    @property
    def sound(self) -> bool:
        """Whether every file still said, when it was read again for a bundle, what it said when the guide was read."""
        known = self.given.catalogue.digests
        return all(known.get(name) == digest for name, digest in self._originals.digests.items())

    def make(self, id_: str) -> Leaf:
        """Study a rig and finish all that tells of it alone.

        Raises:
            MethodError: when a figure or finding names a method that is not in the register.
        """
        with speaking(LANGUAGES[0]):  # in whatever language pages will say it
            study, read = self._tracer.study(id_)
        with speaking(self.given.catalogue.guide.language, self._names):
            pages = tuple(self._pages(study))
            files = tuple(self._files(study, pages[0]))
        return Leaf(id_, Found(in_short(study).studies, read), pages, files)

    def _pages(self, study: RigStudy) -> Iterator[PageRecord]:
        given, id_ = self.given, study.rig.id
        writer = rig_writer(given.catalogue, id_, given.addresses)
        yield rig_page(given.catalogue, study, writer, given.told.get(id_), field_copy=given.field_copy)
        yield hand_over_page(given.catalogue, study, given.addresses, given.seen.get(id_, LastSeen()))
        yield field_card(given.catalogue, study, given.addresses)
        yield from rig_label_pages(given.catalogue, study.assembly, given.addresses)

    def _files(self, study: RigStudy, page: PageRecord) -> Iterator[tuple[str, bytes]]:
        given, id_ = self.given, study.rig.id
        yield bundle_path(id_), write_bundle(given.catalogue, id_, originals=self._originals).encode("utf-8")
        if offers_copies(given.catalogue):
            yield copy_path(id_), page_alone(given.catalogue, page, given.addresses, given.sent.get(id_))
        if given.addresses.site:
            yield rig_preview(given.catalogue, study)
