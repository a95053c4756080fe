"""The `sccr` command and its sub-commands."""

import click

from sccr import __version__

from .compare import compare_command
from .keys import keys_group
from .papers import nameplate_command
from .papers import report_command
from .rate import rate_command
from .select import select_command
from .serve import serve_command
from .upgrade import upgrade_command
from .verify import verify_command


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
main.add_command(select_command)
main.add_command(upgrade_command)
main.add_command(serve_command)
main.add_command(keys_group)
main.add_command(verify_command)
