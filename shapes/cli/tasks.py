"""What plan and prepare share: the options of a job."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapes.workshop.job import JobOptions


def asked_of(
    hold: str,
    z: str,
    measured: str | None,
    share: float,
    timber: str = "",
    oil: str = "",
    oiled: str | None = None,
) -> "JobOptions":
    """Read the options of a job. Raises InputError."""
    from datetime import date

    from shapes.cli.common import in_range, plain_text
    from shapes.cli.marking import a_length
    from shapes.errors import InputError, Problem
    from shapes.workshop.job import JobOptions

    in_range(share, 0.1, 1, "--chip-share")
    day = None
    if oiled is not None:
        try:
            day = date.fromisoformat(oiled)
        except ValueError:
            raise InputError(
                Problem("--oiled", f"'{oiled}' is no date", "", "write 2026-05-14")
            ) from None
    thickness = a_length(measured, 6, 80, "--measured")
    return JobOptions(
        hold,
        z,
        thickness,
        share,
        1,
        plain_text(timber, "--timber-source"),
        plain_text(oil, "--oil-batch"),
        day,
    )


def counts_of(quantity: str | None) -> list[int]:
    """Read how many of each board. Raises InputError."""
    from shapes.cli.common import in_range
    from shapes.errors import InputError, Problem

    if quantity is None:
        return [1]
    try:
        counts = [int(part) for part in quantity.split(",")]
    except ValueError:
        raise InputError(
            Problem("--quantity", f"'{quantity}' is no list of numbers", "", "write 2,1,3")
        ) from None
    for count in counts:
        in_range(count, 1, 500, "--quantity")
    return counts
