"""One act, one transaction, one line in the job's chain."""

from project.audit.act import Deed, act
from project.audit.chain import Break, verify_stream

__all__ = ["Break", "Deed", "act", "verify_stream"]
