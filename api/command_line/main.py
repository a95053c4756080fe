"""The `sccr` command and its sub-commands."""

import click

from sccr import __version__

from .audit import audit_command
from .backup import backup_command
from .batches import batch_group
from .compare import compare_command
from .fault import fault_command
from .keys import keys_group
from .orders import order_group
from .papers import nameplate_command
from .papers import report_command
from .parts import parts_group
from .rate import rate_command
from .records import records_group
from .select import select_command
from .serve import serve_command
from .serve import work_command
from .upgrade import upgrade_command
from .verify import verify_command
from .webhooks import webhooks_group


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="sccr")
def main() -> None:
    """Rate industrial control panels for short circuit, after UL 508A Supplement SB.

    A design aid: the marking on a panel is its manufacturer's responsibility.
    """


main.add_command(rate_command)
main.add_command(compare_command)
main.add_command(nameplate_command)
main.add_command(report_command)
main.add_command(fault_command)
main.add_command(select_command)
main.add_command(upgrade_command)
main.add_command(serve_command)
main.add_command(keys_group)
main.add_command(audit_command)
main.add_command(verify_command)
main.add_command(work_command)
main.add_command(backup_command)
for _group in (parts_group, order_group, batch_group, records_group, webhooks_group):
    main.add_command(_group)
