"""Templates that were compiled before: MkDocs makes a new environment in every build, the theme's templates stay."""

from types import CodeType

from jinja2.bccache import Bucket, BytecodeCache


class Compiled(BytecodeCache):
    """The code of templates in the memory of one process, under a digest of their texts."""

    def __init__(self) -> None:
        self._codes: dict[str, tuple[str, CodeType]] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Give a template its code if it was compiled from the same text."""
        known = self._codes.get(bucket.key)
        if known is not None and known[0] == bucket.checksum:
            bucket.code = known[1]

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep the code of a template."""
        if bucket.code is not None:
            self._codes[bucket.key] = bucket.checksum, bucket.code
