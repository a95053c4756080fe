"""The page: what a person sees of the service, at `/`. It asks the service for everything else, as any client does."""

from .views import blueprint as blueprint

__all__ = ["blueprint"]
