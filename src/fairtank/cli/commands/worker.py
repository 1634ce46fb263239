"""Do what the pages hand in: measure, judge, write reports, take in trials.

`fairtank serve` starts one by itself. Start more on a server where several people work, or where the pages are served by something else.

Example: fairtank worker
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import click

from fairtank.cli.with_parent import end_with_parent
from fairtank.records.database import tables_ready
from fairtank.records.jobs.worker import work_forever


@click.command("worker", help=__doc__)
@click.option("--with-parent", is_flag=True, hidden=True, help="End when whoever started it is gone.")
def command(with_parent: bool) -> None:
    """Twin of `fairtank.records.jobs.worker.work_forever`."""
    if with_parent:
        end_with_parent()
    tables_ready()
    work_forever(with_parent=with_parent)
