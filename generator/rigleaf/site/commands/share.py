"""What `rigleaf share` writes: one rig's page as one file, or a few lines about it for a chat."""

from pathlib import Path

from rigleaf.catalogue.lookup import rig_named
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.study import study_rig
from rigleaf.desk.errors import DeskError
from rigleaf.site.lent.availability import as_sent
from rigleaf.site.rigs.page import rig_page, rig_writer
from rigleaf.site.sent.chat_lines import chat_lines
from rigleaf.site.sent.copies import page_alone
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.prose import first_sentence


def share(folder: Path, rig: str, target: Path | None, *, addresses: Addresses, as_text: bool = False) -> str:
    """Write one rig of the guide in ``folder`` to send; return what was done, or the lines where no file is named.

    Args:
        folder: the guide.
        rig: id of the rig.
        target: the file; without one, lines are returned and the page is written to "RIG.html" here.
        addresses: where the guide stands for all to read, where that is known.
        as_text: a few lines for a chat in place of the page.

    Raises:
        CatalogueError: with every fault of the guide.
        DeskError: when the file exists.
        KeyError: when there is no such rig; the message offers the nearest name.
    """
    catalogue = read_catalogue(folder)
    known = rig_named(rig, catalogue.rigs)
    if target is None and not as_text:
        target = Path(f"{rig}.html")
    if target is not None and target.exists():
        raise DeskError(f"'{target}' exists already; name another file")
    study = study_rig(catalogue, known)
    if as_text:
        content = chat_lines(catalogue, study, addresses, first_sentence(study.rig.summary or "")).encode("utf-8")
    else:
        sent = as_sent(catalogue)
        availability = sent.rigs[rig] if sent else None
        page = rig_page(catalogue, study, rig_writer(catalogue, rig, addresses), availability)
        content = page_alone(catalogue, page, addresses, availability)
    if target is None:
        return content.decode("utf-8")
    target.write_bytes(content)
    size = "" if as_text else f", {len(content) / 1000:.0f} kB"
    return f"{target} is ready to send{size}. Read it before you do.\n"
