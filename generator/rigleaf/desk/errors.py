"""What the desk refuses to do, told in a sentence that says what would help."""


class DeskError(Exception):
    """Something that only the person at the desk can decide or mend; nothing has been written."""
