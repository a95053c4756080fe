"""The `sccr` command and its sub-commands."""

from importlib import import_module
from typing import Final

import click

from sccr.version import ENGINE_VERSION

#: Each command: its module here, and its name there.
_COMMANDS: Final = {
    "audit": ("audit", "audit_command"),
    "backup": ("backup", "backup_command"),
    "batch": ("batches", "batch_group"),
    "compare": ("compare", "compare_command"),
    "fault": ("fault", "fault_command"),
    "fleet": ("fleet", "fleet_group"),
    "keys": ("keys", "keys_group"),
    "nameplate": ("papers", "nameplate_command"),
    "order": ("orders", "order_group"),
    "parts": ("parts", "parts_group"),
    "rate": ("rate", "rate_command"),
    "records": ("records", "records_group"),
    "report": ("papers", "report_command"),
    "select": ("select", "select_command"),
    "serve": ("serve", "serve_command"),
    "upgrade": ("upgrade", "upgrade_command"),
    "verify": ("verify", "verify_command"),
    "webhooks": ("webhooks", "webhooks_group"),
    "work": ("serve", "work_command"),
}


class _Commands(click.Group):
    """Commands that are imported when they are asked for: one does not wait for what the others need."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands, in their order in the help."""
        return sorted(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command by its name, None where there is none."""
        if cmd_name not in _COMMANDS:
            return None
        module, name = _COMMANDS[cmd_name]
        command = getattr(import_module(f".{module}", __package__), name)
        assert isinstance(command, click.Command)
        return command


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(ENGINE_VERSION, prog_name="sccr")
def main() -> None:
    """Rate industrial control panels for short circuit, after UL 508A Supplement SB.

    A design aid: the marking on a panel is its manufacturer's responsibility.
    """
