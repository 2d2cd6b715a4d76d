"""The book of the club's desk as it was read: every entry with the place where it stands."""

from dataclasses import dataclass
from typing import Generic, TypeVar

from rigleaf.catalogue.models.lending import Loan, Reservation, Service

Said = TypeVar("Said", Loan, Reservation, Service)


@dataclass(frozen=True, slots=True)
class Written(Generic[Said]):
    """One entry of the book: what it says, its file relative to the guide's folder, and its line from 1."""

    entry: Said
    file: str
    line: int

    @property
    def place(self) -> str:
        """Where it stands, as faults and the terminal say it, such as "desk/loans.yml:12"."""
        return f"{self.file}:{self.line}"


@dataclass(frozen=True, slots=True)
class Desk:
    """Loans, reservations and services of all files in the folder ``desk``, in the order in which they are read."""

    loans: tuple[Written[Loan], ...] = ()
    reservations: tuple[Written[Reservation], ...] = ()
    service: tuple[Written[Service], ...] = ()

    def __bool__(self) -> bool:
        return bool(self.loans or self.reservations or self.service)
