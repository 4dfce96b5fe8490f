"""Evidence with its sources: tables, bibliography and the priors made from them."""

from tanwright.reference.loader import check_all, data_version

__all__ = ["check_all", "data_version"]
