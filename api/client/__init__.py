"""The client of the service: `Client("http://127.0.0.1:8008", key).rate(document)`."""

from .answers import Batch as Batch
from .answers import CatalogueVersion as CatalogueVersion
from .answers import Delivery as Delivery
from .answers import Document as Document
from .answers import FaultCurrent as FaultCurrent
from .answers import File as File
from .answers import Impact as Impact
from .answers import ImpactRun as ImpactRun
from .answers import ImportReport as ImportReport
from .answers import NewWebhook as NewWebhook
from .answers import OrderSummary as OrderSummary
from .answers import Record as Record
from .answers import RecordSummary as RecordSummary
from .answers import Revision as Revision
from .answers import RevisionSummary as RevisionSummary
from .answers import Selection as Selection
from .answers import Tagged as Tagged
from .answers import UpgradePlan as UpgradePlan
from .answers import UpgradePlans as UpgradePlans
from .answers import Webhook as Webhook
from .batches import Batches
from .catalogue import Catalogue
from .errors import BadAddress as BadAddress
from .errors import ClientError as ClientError
from .errors import NoAnswer as NoAnswer
from .errors import Problem as Problem
from .impacts import Impacts
from .orders import Orders
from .planning import Planning
from .ratings import Ratings
from .transport import Retries as Retries
from .webhooks import Webhooks


class Client(Ratings, Planning, Catalogue, Orders, Batches, Impacts, Webhooks):
    """A client of the service, for one thread; a method for each operation of the contract.

    Parameters
    ----------
    base_url : str
        Where the service is, such as "http://127.0.0.1:8008".
    key : str, optional
        The key of the caller, where the service has keys.
    retries : Retries, optional
        How often a request is sent, and with what pauses.
    timeout : float
        How long the service may take to answer [s].

    Every method raises Problem where the service refuses, NoAnswer where it does not answer, and BadAddress where it is
    not there at all.
    """
