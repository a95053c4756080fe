"""`sccr webhooks`: who is told of events by a service."""

from typing import Any

import click

from .desk import as_json
from .desk import in_form
from .desk import minute
from .desk import of_service
from .desk import print_each
from .desk import service

_OF_HOOK = click.option("--webhook", help="Only those to this webhook.")


@click.group("webhooks")
def webhooks_group() -> None:
    """Have a service tell somebody of events, and see what became of its messages.

    The service is at --server; where it has keys, that of an admin is in the environment variable SCCR_KEY. Exit
    status: 2 bad input, 1 another refusal, each told in full.
    """


@webhooks_group.command("create")
@click.argument("url")
@click.option(
    "--event", "events", multiple=True, required=True, help="batch.ended or panel.rating_changed; both may be said."
)
@in_form
@of_service
def create_webhook(url: str, events: tuple[str, ...], form: str, server: str) -> None:
    """Have events posted to a URL, which must be at a --webhook-target of the service.

    The secret, by which messages are signed, is told once: text prints it alone to standard output.
    """
    with service(server) as client:
        made = client.create_webhook(url, events)
    if form == "json":
        click.echo(as_json(made))
    else:
        click.echo(f"{_hook_line(made)}; its secret is not shown again:", err=True)
        click.echo(made["secret"])


@webhooks_group.command("list")
@in_form
@of_service
def list_webhooks(form: str, server: str) -> None:
    """List the webhooks, the oldest first. json: a line each."""
    with service(server) as client:
        print_each(client.webhooks(), form, _hook_line)


@webhooks_group.command("delete")
@click.argument("webhook")
@of_service
def delete_webhook(webhook: str, server: str) -> None:
    """Have a webhook told nothing more."""
    with service(server) as client:
        client.delete_webhook(webhook)
    click.echo(f"{webhook} is deleted")


@webhooks_group.command("deliveries")
@click.option("--state", type=click.Choice(["pending", "delivered", "dead"]), help="Only those in this state.")
@_OF_HOOK
@in_form
@of_service
def list_deliveries(state: str | None, webhook: str | None, form: str, server: str) -> None:
    """List the messages, the newest first. json: a line each."""
    with service(server) as client:
        print_each(client.deliveries(state=state, webhook=webhook), form, _delivery_line)


@webhooks_group.command("dead-letters")
@_OF_HOOK
@in_form
@of_service
def list_dead_letters(webhook: str | None, form: str, server: str) -> None:
    """List the messages that were given up. json: a line each."""
    with service(server) as client:
        print_each(client.deliveries(state="dead", webhook=webhook), form, _delivery_line)


@webhooks_group.command("retry")
@click.argument("delivery")
@in_form
@of_service
def retry_delivery(delivery: str, form: str, server: str) -> None:
    """Have a message that was given up sent once more, now."""
    with service(server) as client:
        again = client.retry_delivery(delivery)
    click.echo(as_json(again) if form == "json" else _delivery_line(again))


def _hook_line(hook: Any) -> str:
    made = f"{minute(hook['created_at'])} by {hook['created_by']}"
    return f"{hook['id']}  {hook['url']}  {', '.join(hook['events'])}, {made}"


def _delivery_line(delivery: Any) -> str:
    tried = f"{delivery['attempts']} attempt{'' if delivery['attempts'] == 1 else 's'}"
    last = delivery["last_status"] or delivery["last_error"]
    told = f", last: {last}" if last else ""
    return (
        f"{delivery['id']}  {delivery['state']}  {delivery['event']}  {minute(delivery['created_at'])}, {tried}{told}"
    )
